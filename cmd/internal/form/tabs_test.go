package form

import (
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/data"
)

// Two tabs with one van join what was entered, also after both were reloaded.
func TestTwoTabsDoNotOverwriteEachOther(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.whole()
	p.step("zone-cab")
	other := &phone{p.OtherTab(p.address), p.address}
	other.Wait(ready)
	other.step("zone-cab")
	if a, b := browsertest.Ask[string](p.Phone, "van.id"), browsertest.Ask[string](other.Phone, "van.id"); a != b {
		t.Fatalf("the second tab opened %s, want %s", b, a)
	}
	p.Tap("#horn .verdicts label:nth-child(1)")
	other.Tap("#odometer .verdicts label:nth-child(2)")
	p.Tap("#brake-servo .verdicts label:nth-child(3)")
	other.Tap("#horn .verdicts label:nth-child(4)") // the last word of both
	const both = `["horn", "odometer", "brake-servo"].map((c) => readingAt(points.get(c), "").verdict).join() === "unsafe,worn,defect"`
	p.Wait(both)
	p.Wait(`document.querySelector("#horn [value=unsafe]").checked`)
	for _, tab := range []*phone{p, other} {
		tab.Reload(ready)
		tab.Wait(both)
		tab.Quiet()
	}
}

// Vans are kept apart, each with its number by its mark, and each tab has its
// own on the screen.
func TestSeveralVansOnOnePhone(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.Type("#f-inspector", "Una Marl")
	p.step("vans")
	p.Tap("#step-vans .new-van")
	p.Wait(`here === "van" && field("reg") === ""`)
	p.Type("#f-reg", "ab01 cde")
	p.Pick("#f-mileage", "1")
	p.step("finish")
	if said := browsertest.Ask[string](p.Phone, "document.querySelector('#problems').textContent"); !contains(said, "on this phone has this number") {
		t.Errorf("the same number twice: %q", said)
	}
	if got := browsertest.Ask[string](p.Phone, `field("inspector")`); got != "Una Marl" {
		t.Errorf("the person is %q", got)
	}
	other := &phone{p.OtherTab(p.address), p.address}
	other.Wait(ready)
	other.step("vans")
	other.Tap("#vans li:nth-child(2) button")
	other.Wait(`field("model") === "Tern 640"`)
	p.Reload(ready)
	other.Reload(ready)
	if !browsertest.Ask[bool](p.Phone, `field("reg") === "ab01 cde"`) || !browsertest.Ask[bool](other.Phone, `field("model") === "Tern 640"`) {
		t.Error("a reload changed the van of a tab")
	}
	p.Quiet()
	other.Quiet()
}

// Of a van in stock only what changed goes into the slip, and never a status.
func TestVanInStockBringsOnlyNews(t *testing.T) {
	v := data.Van{
		StockID: "K1", Reg: "AB01 CDE", Maker: "Brackwater", Model: "Tern 640", Body: data.Overcab, Status: data.Owned,
		FirstRegistered: data.NewDate(2018, 3, 1), Mileage: 41000, Equipment: []string{"hob"},
	}
	sold := data.Van{StockID: "K2", Maker: "Brackwater", Model: "Rail 5", Status: data.Sold}
	p := openForm(t, v, sold)
	p.step("vans")
	p.Type("#find-van", "tern 640")
	if n := browsertest.Ask[int](p.Phone, "document.querySelectorAll('#yard-vans button').length"); n != 1 {
		t.Errorf("%d vans found, want the one that is not sold", n)
	}
	p.Tap("#yard-vans button")
	p.Wait(`here === "van" && field("stock_id") === "K1"`)
	p.Pick("#f-taken_on", "2026-03-09")
	if s := p.takeSlip(); len(s.Table("vans.csv")) != 0 {
		t.Errorf("nothing changed, and yet: %s", s.Files["vans.csv"].Data)
	}
	p.step("van")
	p.Pick("#f-mileage", "41500")
	p.step("fitted")
	p.Tap(".tick:has([value=awning])")
	rows := p.takeSlip().Table("vans.csv")
	if len(rows) != 1 || len(rows[0]) != 3 || rows[0]["stock_id"] != "K1" || rows[0]["mileage"] != "41500" || rows[0]["equipment"] != "awning;hob" {
		t.Errorf("got %v", rows)
	}
	p.Quiet()
}
