package deskpage

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/data"
)

func TestMain(m *testing.M) { browsertest.Main(m) }

const ready = `typeof book === "object" && !document.querySelector("#ready")`

func open(t *testing.T) *browsertest.Phone {
	t.Helper()
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "desk.html")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	err = Write(f, Page{
		AsOf: data.NewDate(2026, 3, 9), Books: books, Front: "index.html",
		Vans: []Van{
			{StockID: "K1", Reg: "AB01 CDE", Name: "Brackwater Tern 640", Status: "ready", Asking: "36995.00"},
			{StockID: "K2", Reg: "AB01 XYZ", Name: "Larkfield Moor", Status: "offered", StandIn: "21000.00", Finance: "1500.00"},
			{StockID: "K3", Name: "Larkfield Rail", Status: "preparing"},
		},
		Orders: []Order{{Part: books.Parts[0].Code, Title: books.Parts[0].Title, StockID: "K3", Quantity: "2", OrderedOn: "2026-03-02", DueOn: "2026-03-12"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	p := browsertest.OpenPhone(t, browsertest.File(file))
	p.Wait(ready)
	return p
}

// act opens an action and chooses its van; the fields follow.
func act(p *browsertest.Phone, code, van string, cells map[string]string) {
	p.T.Helper()
	p.Tap(".act[value=" + code + "]")
	p.Wait(fmt.Sprintf(`!document.querySelector("#step-%s").hidden`, code))
	if code != "arrived" {
		p.Tap(fmt.Sprintf(`#step-%s .found [value="%s"]`, code, van))
	}
	if part, ok := cells["part"]; ok { // fills the others in
		p.Pick("#f-ordered-part", part)
	}
	for name, value := range cells {
		if name != "part" {
			p.Pick(fmt.Sprintf("#f-%s-%s", code, name), value)
		}
	}
	p.Tap("#step-" + code + " .keep")
	if code == "deal" {
		p.Wait(`!document.querySelector("#deal").hidden`)
		p.Tap("#step-" + code + " .keep")
	}
	p.Wait(`!document.querySelector("#step-start").hidden`)
}

func TestEveryActionIsARowOfATable(t *testing.T) {
	part := func() data.Part {
		books, err := data.LoadBooks(data.BuiltInBooks())
		if err != nil {
			t.Fatal(err)
		}
		return books.Parts[0]
	}()
	const day = "2026-03-09"
	for _, tt := range []struct {
		code, van string
		cells     map[string]string
		table     string
		want      []map[string]string
	}{
		{"bought", "K2", map[string]string{"acquired": day, "cost": "£20,500", "bought_from": "A. Fenn", "source": "private", "vat_on_invoice": "no"}, "vans.csv",
			[]map[string]string{{"stock_id": "K2", "status": "owned", "acquired": day, "cost": "20500", "bought_from": "A. Fenn", "source": "private", "vat_on_invoice": "no"}}},
		{"stage", "K3", map[string]string{"status": "ready"}, "vans.csv", []map[string]string{{"stock_id": "K3", "status": "ready"}}},
		{"listed", "K3", map[string]string{"listed": day, "asking": "29995", "status": "ready"}, "vans.csv",
			[]map[string]string{{"stock_id": "K3", "listed": day, "asking": "29995", "status": "ready"}}},
		{"priced", "K1", map[string]string{"asking": "35495"}, "vans.csv", []map[string]string{{"stock_id": "K1", "asking": "35495"}}},
		{"reserved", "K1", map[string]string{"reserved_on": day}, "vans.csv", []map[string]string{{"stock_id": "K1", "reserved_on": day}}},
		{"promised", "K1", map[string]string{"promised_on": "2027-01-02"}, "vans.csv", []map[string]string{{"stock_id": "K1", "promised_on": "2027-01-02"}}},
		{"paper", "K3", map[string]string{"kind": "mot", "dated": day, "expires": "2027-03-08", "evidence": "online"}, "documents.csv",
			[]map[string]string{{"stock_id": "K3", "held": "yes", "kind": "mot", "dated": day, "expires": "2027-03-08", "evidence": "online"}}},
		{"ordered", "", map[string]string{"part": part.Code, "ordered_on": day, "due_on": "2026-03-16", "unit_cost": "12.50", "supplier": "Fellgate"}, "orders.csv",
			[]map[string]string{{"part": part.Code, "quantity": "1", "ordered_on": day, "due_on": "2026-03-16", "unit_cost": "12.50", "supplier": "Fellgate"}}},
		{"arrived", "", map[string]string{"order": part.Code + "|K3|2026-03-02", "arrived_on": day}, "orders.csv",
			[]map[string]string{{"part": part.Code, "stock_id": "K3", "quantity": "2", "ordered_on": "2026-03-02", "due_on": "2026-03-12", "arrived_on": day}}},
		{"cost", "K3", map[string]string{"on": day, "kind": "sublet", "cost": "240", "invoice": "F-12"}, "costs.csv",
			[]map[string]string{{"stock_id": "K3", "on": day, "kind": "sublet", "cost": "240", "invoice": "F-12"}}},
		{"sold", "K1", map[string]string{"sold_on": day, "sold_price": "36500", "sold_to": "B. Reeve", "sale_invoice": "S-7"}, "vans.csv",
			[]map[string]string{{"stock_id": "K1", "status": "sold", "sold_on": day, "sold_price": "36500", "sold_to": "B. Reeve", "sale_invoice": "S-7"}}},
		{"deal", "K1", map[string]string{"taking": "K2", "on": day, "sold_price": "36500", "allowance": "22000", "customer": "B. Reeve"}, "vans.csv",
			[]map[string]string{
				{"stock_id": "K1", "status": "sold", "sold_on": day, "sold_price": "36500", "sold_to": "B. Reeve"},
				{"stock_id": "K2", "status": "owned", "source": "part-exchange", "acquired": day, "cost": "22000", "bought_from": "B. Reeve"},
			}},
		{"delivered", "K1", map[string]string{"delivered_on": day}, "vans.csv", []map[string]string{{"stock_id": "K1", "delivered_on": day}}},
	} {
		t.Run(tt.code, func(t *testing.T) {
			p := open(t)
			act(p, tt.code, tt.van, tt.cells)
			p.Reload(ready)
			p.Tap("#nav-news")
			p.Wait(`document.querySelectorAll("#news li").length === 1`)
			got := p.TakeSlip().Table(tt.table)
			for _, r := range got {
				for column, v := range r {
					if v == "" {
						delete(r, column)
					}
				}
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Error(diff)
			}
			p.Quiet()
		})
	}
}

func TestDealIsShownBeforeItIsKept(t *testing.T) {
	p := open(t)
	p.Tap(".act[value=deal]")
	p.Wait(`!document.querySelector("#step-deal").hidden`)
	p.Tap(`#step-deal .found [value="K1"]`)
	for name, value := range map[string]string{"taking": "K2", "sold_price": "36500", "allowance": "22000"} {
		p.Pick("#f-deal-"+name, value)
	}
	p.Tap("#step-deal .keep")
	want := []string{
		"Stand-in value by the reports of 9 Mar 2026: £21,000.", "Over-allowance: £1,000.", "Finance owed on it: £1,500.",
		"VAT and what the deal leaves are not in this: they are worked out where this page is opened by the yard's computer, or by vanwright deal.",
	}
	shown := `[...document.querySelectorAll("#deal p")].map((q) => q.textContent)`
	if diff := cmp.Diff(want, browsertest.Ask[[]string](p, shown)); diff != "" {
		t.Error(diff)
	}
	if n := browsertest.Ask[int](p, "unsent(entry).length"); n != 0 {
		t.Error("the deal was kept before it was shown")
	}
	p.Pick("#f-deal-allowance", "21500") // other terms are shown anew
	p.Tap("#step-deal .keep")
	want[1] = "Over-allowance: £500."
	if diff := cmp.Diff(want, browsertest.Ask[[]string](p, shown)); diff != "" {
		t.Error(diff)
	}
	p.Shoot("desk-deal-shown")
	p.Tap("#step-deal .keep")
	p.Wait("unsent(entry).length === 1")
	p.Quiet()
}

// The page is loaded anew after every cell: nothing has to be entered twice.
func TestDeskReloadedAtEveryStep(t *testing.T) {
	p := open(t)
	p.Tap(".act[value=bought]")
	p.Wait(`!document.querySelector("#step-bought").hidden`)
	for _, step := range []func(){
		func() { p.Tap(`#step-bought .found [value="K2"]`) },
		func() { p.Type("#f-bought-cost", "20500") },
		func() { p.Type("#f-bought-bought_from", "A. Fenn") },
		func() { p.Pick("#f-bought-source", "private") },
	} {
		step()
		p.Reload(ready)
	}
	p.Tap("#step-bought .keep")
	p.Wait(`!document.querySelector("#step-start").hidden`)
	p.Tap(".act[value=bought]") // the next one begins empty
	p.Wait(`!document.querySelector("#step-bought").hidden`)
	if left := browsertest.Ask[string](p, `document.querySelector("#f-bought-cost").value + (chosen ? chosen.stock_id : "")`); left != "" {
		t.Errorf("the next van bought begins with %q", left)
	}
	p.Tap("#nav-news")
	p.Wait(`document.querySelectorAll("#news li").length === 1`)
	row := p.TakeSlip().Table("vans.csv")[0]
	for column, want := range map[string]string{"stock_id": "K2", "cost": "20500", "bought_from": "A. Fenn", "source": "private"} {
		if row[column] != want {
			t.Errorf("%s is %q, want %q", column, row[column], want)
		}
	}
	p.Quiet()
}

func TestVanThatIsNotOnTheList(t *testing.T) {
	p := open(t)
	p.Tap(".act[value=bought]")
	p.Wait(`!document.querySelector("#step-bought").hidden`)
	p.Tap("#step-bought .new summary")
	for name, value := range map[string]string{"reg": "ab01 new", "maker": "Brackwater", "model": "Tern 700", "body": "overcab", "first_registered": "2019-04-01", "mileage": "21,000"} {
		p.Pick("#step-bought [data-new="+name+"]", value)
	}
	p.Pick("#f-bought-cost", "20000")
	p.Pick("#f-bought-acquired", "2026-03-09")
	p.Tap("#step-bought .keep")
	p.Wait(`!document.querySelector("#step-start").hidden`)
	p.Tap("#nav-news")
	p.Wait(`!document.querySelector("#step-news").hidden`)
	row := p.TakeSlip().Table("vans.csv")[0]
	for column, want := range map[string]string{"stock_id": "AB01NEW", "status": "owned", "maker": "Brackwater", "mileage": "21000", "cost": "20000"} {
		if row[column] != want {
			t.Errorf("%s is %q, want %q", column, row[column], want)
		}
	}
	p.Quiet()
}

func TestWhatLacksIsSaidAndNothingKept(t *testing.T) {
	p := open(t)
	for code, want := range map[string][]string{
		"sold":  {"Choose a van.", "Price, VAT included is needed."},
		"paper": {"Choose a van.", "Which paper is needed."},
		"stage": {"Choose a van.", "Where is it now is needed."},
	} {
		p.Do(browsertest.JS("go(%q)", code))
		p.Wait(fmt.Sprintf(`!document.querySelector("#step-%s").hidden`, code))
		p.Tap("#step-" + code + " .keep")
		said := browsertest.Ask[[]string](p, fmt.Sprintf(`[...document.querySelectorAll("#step-%s .bad:not([hidden])")].map((q) => q.textContent)`, code))
		if diff := cmp.Diff(want, said); diff != "" {
			t.Errorf("%s: %s", code, diff)
		}
	}
	if n := browsertest.Ask[int](p, "unsent(entry).length"); n != 0 {
		t.Errorf("%d items were kept", n)
	}
	p.Quiet()
}

func TestEveryStepOfTheDeskFitsAndIsAccessible(t *testing.T) {
	p := open(t)
	steps := []string{"start", "news"}
	for _, a := range actions {
		steps = append(steps, a.Code)
	}
	for _, width := range []int64{390, 1280} {
		p.Do(chromedp.EmulateViewport(width, 844))
		for _, step := range steps {
			p.Do(browsertest.JS("location.hash = %q; route()", step))
			p.Do(browsertest.JS("for (const d of document.querySelectorAll('details')) d.open = true"))
			p.FitsAndIsAccessible(fmt.Sprintf("desk-%s-%d", step, width))
		}
	}
	p.Quiet()
}
