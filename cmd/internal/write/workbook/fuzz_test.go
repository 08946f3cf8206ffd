package workbook

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// FuzzWorkbook puts any text and any amounts into a van's row. The workbook
// opens, holds the text as text, and its formulas are its own.
func FuzzWorkbook(f *testing.F) {
	r := *nighttest.Small(f)
	at := slices.IndexFunc(r.Vans, func(v night.Van) bool { return v.Margin != nil && v.Margin.Known && v.Status.InHand() })
	r.Vans = r.Vans[at : at+1]
	r.AddUp()
	own := formulasOf(f, written(f, &r))
	for _, s := range []string{"=1+1", "\t=1", "@x", "plain", "", "\x00", "\xff", "a\nb", "_x0041_", "<v>&", "\ufffe", strings.Repeat("x", 40_000), "'=1", "0123", "1e9", "TRUE"} {
		f.Add(s, int64(1234567), int64(-5))
	}
	f.Add("x", int64(math.MaxInt64), int64(math.MinInt64))
	f.Fuzz(func(t *testing.T, text string, pence, more int64) {
		changed := r
		changed.Vans = slices.Clone(r.Vans)
		v := &changed.Vans[0]
		v.Maker, v.Model, v.Reg, v.StockID = text, text, text, "Z-"+text
		amount := func(pence int64) data.Money { return decimal.New(pence%10_000_000_000, -2) }
		v.Cost = data.Some(amount(pence))
		margin := *v.Margin
		margin.Flags = []pricing.Flag{pricing.Flag(text)}
		margin.Breakdown.Price, margin.Breakdown.Profit = amount(more), amount(pence)
		v.Margin = &margin
		changed.AddUp()
		raw := written(t, &changed)
		book := opened(t, raw)
		found := false
		for _, sheet := range book.GetSheetList() {
			rows, err := book.GetRows(sheet)
			if err != nil {
				t.Fatal(err)
			}
			for _, row := range rows {
				found = found || len(row) > 0 && strings.HasPrefix(row[0], "Z-")
			}
		}
		if !found {
			t.Fatal("the van is in no sheet")
		}
		if got := formulasOf(t, raw); !slices.Equal(got, own) {
			t.Fatalf("%d formulas, %d are the workbook's own", len(got), len(own))
		}
	})
}

// formulasOf lists the formulas of a workbook, sheet by sheet.
func formulasOf(t testing.TB, raw []byte) (out []string) {
	f := opened(t, raw)
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		if err != nil {
			t.Fatal(err)
		}
		for y, row := range rows {
			for x := range row {
				cell := letter(x) + strconv.Itoa(y+1)
				formula, err := f.GetCellFormula(sheet, cell)
				if err != nil {
					t.Fatal(err)
				}
				if formula != "" {
					out = append(out, sheet+" "+formula)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}
