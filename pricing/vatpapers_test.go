package pricing

import (
	"testing"

	"github.com/vanwright/vanwright/data"
)

func TestNotesThatShowVAT(t *testing.T) {
	for note, want := range map[string]bool{
		"VAT £5,000 shown": true, "inc. V.A.T.": true, "plus vat @ 20%": true, "Value Added Tax 20%": true, "+VAT": true, "total incl VAT": true, "vat": true,
		"": false, "no VAT": false, "VAT not shown": false, "without V.A.T.": false, "no separate VAT": false, "margin scheme, VAT in margin": false,
		"VAT: nil": false, "vatican tour": false, "private sale": false, "VAT-free": false, "VAT 0%": false, "zero VAT": false, "form VAT95": false,
	} {
		if got := showsVAT(note); got != want {
			t.Errorf("%q: got %v, want %v", note, got, want)
		}
	}
}

// Bars: gov.uk, "Using the VAT margin scheme for second-hand vehicles".
func TestAnInvoiceWithVATTakesTheVanOutOfTheScheme(t *testing.T) {
	asOf := data.NewDate(2026, 3, 9)
	owned := data.Van{Status: data.Owned, VAT: data.MarginScheme, Acquired: asOf.AddDays(-40), Cost: data.Some(pounds("30000"))}
	offered := data.Van{Status: data.Offered, VAT: data.MarginScheme}
	invoice := func(days int) data.Document {
		return data.Document{Kind: "invoice", Dated: asOf.AddDays(-days), Note: "shows V.A.T. of 5,000"}
	}
	work := invoice(40)
	work.Covers = []string{"timing-belt"}
	tests := []struct {
		name  string
		van   data.Van
		paper data.Document
		doubt bool
	}{
		{"of the day of the purchase", owned, invoice(40), true},
		{"two weeks later", owned, invoice(26), true},
		{"fifteen days later", owned, invoice(25), false},
		{"a workshop's invoice to a former owner", owned, work, false},
		{"another kind of paper", owned, data.Document{Kind: "other", Note: "VAT"}, false},
		{"offered, on an invoice of these days", offered, invoice(3), true},
		{"offered, and an old invoice", offered, invoice(300), false},
		{"qualifying, as it should be", data.Van{Status: data.Owned, VAT: data.Qualifying, Acquired: asOf.AddDays(-40)}, invoice(40), false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.van.VATDoubt = VATDoubt(tt.van, []data.Document{tt.paper}, asOf)
			treatment := VATTreatmentOf(tt.van)
			if tt.van.VATDoubt != tt.doubt || treatment.Doubt != tt.doubt || treatment.Margin == (tt.doubt || tt.van.VAT == data.Qualifying) {
				t.Errorf("doubt %v, treatment %+v; want doubt %v", tt.van.VATDoubt, treatment, tt.doubt)
			}
		})
	}
	owned.VATDoubt = true
	terms := SaleTerms{VATTreatment: VATTreatmentOf(owned), Price: pounds("36000"), Cost: pounds("30000")}
	if got := Breakdown(terms, data.DefaultPolicy()).VAT; !got.Equal(pounds("6000")) {
		t.Errorf("VAT %s, want 6,000 on the whole price", got)
	}
	if _, ok := StockBook(owned, data.DefaultPolicy()); ok {
		t.Error("the van is in the stock book while the scheme is in doubt")
	}
}
