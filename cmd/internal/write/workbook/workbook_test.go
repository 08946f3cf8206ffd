package workbook

import (
	"bytes"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var out = flag.String("out", "", "write the demo yard's workbook to this file, to look at it")

func written(t testing.TB, r *night.Result) []byte {
	t.Helper()
	m := nighttest.Folder{}
	if err := Write(m.Create, r); err != nil {
		t.Fatal(err)
	}
	return m[Name].Bytes()
}

func opened(t testing.TB, raw []byte) *excelize.File {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// get returns a cell as saved.
func get(t testing.TB, f *excelize.File, sheet, at string) string {
	t.Helper()
	v, err := f.GetCellValue(sheet, at, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestDemoWorkbook(t *testing.T) {
	raw := written(t, nighttest.Demo(t))
	if *out != "" {
		if err := os.WriteFile(*out, raw, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	f := opened(t, raw)
	if got := fmt.Sprint(f.GetSheetList()); got != "[Margin Totals Prices Bids Stock]" {
		t.Errorf("got sheets %s", got)
	}
	for _, sheet := range f.GetSheetList() {
		panes, err := f.GetPanes(sheet)
		if err != nil {
			t.Fatal(err)
		}
		if !panes.Freeze || panes.YSplit != 1 || panes.XSplit != 1 || panes.TopLeftCell != "B2" {
			t.Errorf("%s: panes %+v", sheet, panes)
		}
	}
	for i := range f.GetSheetList() {
		part, _ := f.Pkg.Load(fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1))
		content := string(part.([]byte))
		if !strings.Contains(content, `fitToPage="true"`) || !strings.Contains(content, `<autoFilter ref="$A$1:`) {
			t.Errorf("sheet %d lacks its filter or does not fit its pages", i+1)
		}
		last := 0 // a workbook whose columns stand out of order is refused by some programs
		for _, c := range regexp.MustCompile(`<col min="(\d+)"`).FindAllStringSubmatch(content, -1) {
			n, _ := strconv.Atoi(c[1])
			if n <= last {
				t.Fatalf("sheet %d: column %d after %d", i+1, n, last)
			}
			last = n
		}
	}
	filters := 0
	for _, n := range f.GetDefinedName() {
		if n.Name == "_xlnm._FilterDatabase" {
			filters++
		}
	}
	if filters != 5 {
		t.Errorf("%d sheets have a filter, not 5", filters)
	}
	for _, sheet := range f.GetSheetList() {
		layout, err := f.GetPageLayout(sheet)
		if err != nil {
			t.Fatal(err)
		}
		if *layout.Orientation != "landscape" || *layout.Size != 9 || *layout.FitToWidth != 1 || *layout.FitToHeight != 0 {
			t.Errorf("%s is printed on %+v", sheet, layout)
		}
		for i := range 40 {
			if head := get(t, f, sheet, at(i, 1)); strings.Contains(head, "_") || head != data.Capital(head) {
				t.Errorf("%s: %q heads a column", sheet, head)
			}
		}
		printed := map[string]string{}
		for _, n := range f.GetDefinedName() {
			if n.Scope == sheet {
				printed[n.Name] = n.RefersTo
			}
		}
		if printed["_xlnm.Print_Titles"] != sheet+"!$1:$1" || !strings.HasPrefix(printed["_xlnm.Print_Area"], sheet+"!$A$1:$") {
			t.Errorf("%s: names %v", sheet, printed)
		}
	}
	width, err := f.GetColWidth("Margin", "O")
	if err != nil || width < 20 {
		t.Errorf("flags are %v characters wide: %v", width, err)
	}
}

// The workbook says what the CSV reports say: under each column of a report
// stands, row by row, the same text or number; formulas by what they work out
// to when every cell is calculated anew.
func TestWorkbookAgreesWithReports(t *testing.T) {
	r := nighttest.Demo(t)
	m := nighttest.Folder{}
	if _, err := tables.Write(m.Create, r, nil); err != nil {
		t.Fatal(err)
	}
	f := opened(t, written(t, r))
	for _, tc := range []struct {
		sheet, file string
		live        int // formulas at least, for each row
	}{
		{"Margin", "margin.csv", 0}, // vans without a price have none
		{"Totals", "margin-totals.csv", 9},
		{"Prices", "prices.csv", 0},
		{"Bids", "bids.csv", 0},
	} {
		t.Run(tc.sheet, func(t *testing.T) {
			rows, err := csv.NewReader(m[tc.file]).ReadAll()
			if err != nil {
				t.Fatal(err)
			}
			place := map[string]int{}
			for i := range 40 {
				if title := get(t, f, tc.sheet, at(i, 1)); title != "" {
					place[title] = i
				}
			}
			live, compared := 0, 0
			for j, title := range rows[0] {
				i, ok := place[heading(title)]
				if !ok {
					t.Errorf("no column %s", title)
					continue
				}
				for n, row := range rows[1:] {
					cell := at(i, n+2)
					text, err := f.GetCellFormula(tc.sheet, cell)
					if err != nil {
						t.Fatal(err)
					}
					got := get(t, f, tc.sheet, cell)
					if text != "" {
						live++
						fresh, err := f.CalcCellValue(tc.sheet, cell, excelize.Options{RawCellValue: true})
						if err != nil {
							t.Fatalf("%s %s =%s: %v", tc.sheet, cell, text, err)
						}
						if !same(got, fresh) {
							t.Errorf("%s %s: %s is saved, =%s gives %s", tc.sheet, cell, got, text, fresh)
						}
						got = fresh
					}
					if got == notSaid {
						got = ""
					}
					if !same(got, inWords(title, strings.TrimPrefix(row[j], "'"))) {
						t.Errorf("%s %s: got %q; %s says %q", tc.sheet, cell, got, tc.file, row[j])
					}
					compared++
				}
			}
			if compared < 100 || live < tc.live*(len(rows)-1) {
				t.Errorf("only %d cells and %d formulas compared", compared, live)
			}
		})
	}
}

// inWords puts the codes of a CSV cell into the words that the workbook has.
func inWords(column, cell string) string {
	switch column {
	case "status", "price_basis", "vat_scheme", "body", "source", "state", "name", "method":
		return data.Title(cell)
	case "flags", "price_ladder", "nearest_sales":
		parts := strings.Split(cell, ";")
		for i, part := range parts {
			code, pounds, priced := strings.Cut(part, ":")
			amount, err := decimal.NewFromString(pounds)
			day, notDay := data.ParseDate(code)
			switch {
			case !priced || err != nil:
				parts[i] = data.Title(part)
			case notDay == nil:
				parts[i] = data.InPounds(amount) + " from " + day.Words()
			default:
				parts[i] = code + " " + data.InPounds(amount)
			}
		}
		return strings.Join(parts, ";")
	}
	return cell
}

func at(column, row int) string { return letter(column) + strconv.Itoa(row) }

// same compares numbers to a tenth of a penny, lists whatever follows their
// semicolons, and other text letter by letter.
func same(a, b string) bool {
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if errX == nil && errY == nil {
		return math.Abs(x-y) < 0.001
	}
	return strings.ReplaceAll(a, "; ", ";") == strings.ReplaceAll(b, "; ", ";")
}

// Profit carries the identity in each row and in the sums, every reckoned row
// has it as a formula, and the checks find nothing.
func TestIdentityIsLive(t *testing.T) {
	r := nighttest.Demo(t)
	f := opened(t, written(t, r))
	margins, _, _ := rowsOf(r)
	calc := func(sheet, cell string) float64 {
		t.Helper()
		text, err := f.CalcCellValue(sheet, cell, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		n, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatalf("%s %s: %v", sheet, cell, err)
		}
		return n
	}
	known := 0
	for i, v := range margins {
		text, err := f.GetCellFormula("Margin", at(11, i+2))
		if err != nil {
			t.Fatal(err)
		}
		if want := v.Margin.Known; (text != "") != want {
			t.Errorf("%s: formula %q; price and cost known: %v", v.StockID, text, want)
		}
		if text == "" {
			continue
		}
		known++
		if got, want := calc("Margin", at(11, i+2)), v.Margin.Breakdown.Profit.InexactFloat64(); math.Abs(got-want) > 0.001 {
			t.Errorf("%s: profit %v; want %v", v.StockID, got, want)
		}
		if got := calc("Margin", colCheck+strconv.Itoa(i+2)); got != 0 {
			t.Errorf("%s: the check says %v", v.StockID, got)
		}
	}
	if known < 10 {
		t.Fatalf("only %d vans are reckoned", known)
	}
	last := strconv.Itoa(len(margins) + 2)
	sum := calc("Margin", colProfit+last)
	if reported := calc("Margin", colReported+last); math.Abs(sum-reported) > 0.001 {
		t.Errorf("the profit of the sums is %v; the sum of the profits is %v", sum, reported)
	}
	if got := calc("Margin", colCheck+last); got != 0 {
		t.Errorf("%v rows differ", got)
	}

	// What somebody changes, the checks show.
	first := 2
	for !margins[first-2].Margin.Known {
		first++
	}
	price := colPrice + strconv.Itoa(first)
	if err := f.SetCellFloat("Margin", price, calc("Margin", price)+100, 2, 64); err != nil {
		t.Fatal(err)
	}
	if got := calc("Margin", colProfit+strconv.Itoa(first)); math.Abs(got-margins[first-2].Margin.Breakdown.Profit.InexactFloat64()-100) > 0.001 {
		t.Errorf("£100 on the price gives a profit of %v", got)
	}
	if got := calc("Margin", colCheck+last); got != 1 {
		t.Errorf("%v rows differ; want 1", got)
	}
	if got := calc("Margin", colProfit+last); math.Abs(got-sum-100) > 0.001 {
		t.Errorf("the sum became %v; want £100 more than %v", got, sum)
	}
}

func TestStockByAge(t *testing.T) {
	r := nighttest.Demo(t)
	f := opened(t, written(t, r))
	var paid data.Money
	vans := 0
	for _, v := range r.Vans {
		if v.Status.InHand() {
			vans++
			paid = paid.Add(v.Cost.Value)
		}
	}
	last := vans + 2
	if got := get(t, f, "Stock", at(0, last)); got != "All in hand" {
		t.Fatalf("line %d begins with %q", last, got)
	}
	var byAge float64
	for i := range pricing.StockAges {
		cell := at(firstAge+i, last)
		text, err := f.CalcCellValue("Stock", cell, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		if saved := get(t, f, "Stock", cell); !same(saved, text) {
			t.Errorf("%s: %s is saved, %s worked out", cell, saved, text)
		}
		n, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		byAge += n
	}
	if want := paid.InexactFloat64(); want == 0 || math.Abs(byAge-want) > 0.001 {
		t.Errorf("the ages add up to %v; want %v", byAge, want)
	}
}

func TestSameResultSameBytes(t *testing.T) {
	r := nighttest.Demo(t)
	first := written(t, r)
	time.Sleep(1100 * time.Millisecond) // across a second of the clock
	for i := range 4 {                  // and four chances for an order to differ
		if !bytes.Equal(first, written(t, r)) {
			t.Fatalf("writing %d gives other bytes", i+2)
		}
	}
	props, err := opened(t, first).GetDocProps()
	if err != nil {
		t.Fatal(err)
	}
	if want := "2026-03-09T00:00:00Z"; props.Created != want || props.Modified != want {
		t.Errorf("created %s, modified %s; want %s", props.Created, props.Modified, want)
	}
}

// hostile returns the demo result with one van whose texts try to do harm, and
// two sites that differ in letter case alone.
func hostile(t *testing.T) *night.Result {
	t.Helper()
	r := *nighttest.Demo(t)
	r.Vans = append([]night.Van(nil), r.Vans...)
	sites := []string{`=HYPERLINK("http://a")`, "north*", "NORTH*", `a "b" ~?`, "+1", "<>x", strings.Repeat("é", 200), "Old Barn & Co.", "Saltmere"}
	for i := range r.Vans {
		v := &r.Vans[i]
		if v.Margin == nil {
			continue
		}
		margin := *v.Margin
		v.Site = sites[i%len(sites)]
		v.Maker, v.Model = "<script>alert(1)</script>", "=1+1\x00\"'🚐"
		margin.Van.Site = v.Site
		v.Margin = &margin
	}
	r.AddUp()
	return &r
}

func TestTextStaysText(t *testing.T) {
	r := hostile(t)
	f := opened(t, written(t, r))
	margins, _, _ := rowsOf(r)
	for i, v := range margins {
		for cell, want := range map[string]string{
			colSite + strconv.Itoa(i+2): v.Site, at(26, i+2): v.Maker, at(27, i+2): strings.ReplaceAll(v.Model, "\x00", "\uFFFD"),
		} {
			if text, err := f.GetCellFormula("Margin", cell); err != nil || text != "" {
				t.Errorf("%s became the formula %q (%v)", cell, text, err)
			}
			if got := get(t, f, "Margin", cell); got != want {
				t.Errorf("%s: got %q; want %q", cell, got, want)
			}
		}
	}
	// Sums by such names still hold: a site that a formula cannot ask for has
	// its sums as numbers.
	lines := totalRows(r.Totals)
	live, still := 0, 0
	for i, l := range lines {
		if l.By != "site" {
			continue
		}
		if l.live {
			live++
		} else {
			still++
		}
		got, err := f.CalcCellValue("Totals", at(12, i+2), excelize.Options{RawCellValue: true})
		if err != nil || !same(got, data.FormatMoney(l.Sum.Profit)) {
			t.Errorf("site %q: profit %s (%v); want %s", l.Name, got, err, data.FormatMoney(l.Sum.Profit))
		}
	}
	if live < 2 || still < 6 {
		t.Errorf("%d live lines and %d with numbers", live, still)
	}
}

func TestEmptyYard(t *testing.T) {
	r := &night.Result{AsOf: demo.AsOf}
	f := opened(t, written(t, r))
	if got := get(t, f, "Margin", "L1"); got != "Profit" {
		t.Errorf("got %q", got)
	}
	if got := get(t, f, "Margin", "A2"); got != "" {
		t.Errorf("a yard without vans has a line of totals: %q", got)
	}
}

func BenchmarkWrite(b *testing.B) {
	r := *nighttest.Demo(b)
	for len(r.Vans) < 20_000 {
		r.Vans = append(r.Vans, r.Vans...)
	}
	r.Vans = r.Vans[:20_000]
	r.AddUp()
	b.ReportAllocs()
	for b.Loop() {
		if err := Write(nighttest.Folder{}.Create, &r); err != nil {
			b.Fatal(err)
		}
	}
}

// Where a cell of words is longer than its column is wide it goes on below, and its
// row is as high as that asks for: on paper the next cell would cut it.
func TestALongListOfFlagsIsWhole(t *testing.T) {
	r := nighttest.Demo(t)
	f := opened(t, written(t, r))
	flags := slices.IndexFunc(marginColumns(), func(c column[*night.Van]) bool { return c.title == "flags" })
	wide, err := f.GetColWidth("Margin", letter(flags))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := f.GetRows("Margin")
	if err != nil {
		t.Fatal(err)
	}
	long := 0
	for i, row := range rows[1:] {
		if len(row) <= flags || float64(len(row[flags])) <= wide {
			continue
		}
		long++
		id, err := f.GetCellStyle("Margin", at(flags, i+2))
		if err != nil {
			t.Fatal(err)
		}
		style, err := f.GetStyle(id)
		if err != nil {
			t.Fatal(err)
		}
		high, err := f.GetRowHeight("Margin", i+2)
		if err != nil {
			t.Fatal(err)
		}
		if need := 15 * float64(len(row[flags])) / wide; !style.Alignment.WrapText || high < need {
			t.Errorf("%s: wrapped %v in a row %.0f points high, which needs %.0f: %s", row[0], style.Alignment.WrapText, high, need, row[flags])
		}
	}
	if long == 0 {
		t.Error("no van of the demo has a list of flags longer than its column")
	}
}
