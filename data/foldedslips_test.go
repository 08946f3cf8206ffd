package data

import (
	"strings"
	"testing"
	"testing/fstest"
)

// A phone sends a slip once more after it was folded in: its costs, which have no key,
// would count twice.
func TestSlipThatWasFoldedInIsNotReadAgain(t *testing.T) {
	asOf := NewDate(2026, 3, 31)
	yard := fstest.MapFS{
		"vans.csv":          {Data: []byte("stock_id,maker,model,body,first_registered,mileage,status\nA1,Larkfield,Rise 540,low-profile,2018-04-02,31000,owned\n")},
		"slips/a/slip.csv":  {Data: []byte("slip,made,by\nslip-0001,2026-03-12T18:00:00Z,\"Ann, office\"\n")},
		"slips/a/costs.csv": {Data: []byte("stock_id,on,kind,cost\nA1,2026-03-12,parts,12.50\n")},
	}
	folded, err := Fold(t.Context(), yard, LoadOptions{AsOf: asOf})
	if err != nil {
		t.Fatal(err)
	}
	after := foldedYard(yard, folded)
	for range 2 { // what is remembered is added to
		text, err := folded.Remember(after)
		if err != nil {
			t.Fatal(err)
		}
		after[FoldedSlips] = &fstest.MapFile{Data: text}
	}
	after["slips/a again/slip.csv"], after["slips/a again/costs.csv"] = yard["slips/a/slip.csv"], yard["slips/a/costs.csv"]
	y, err := Load(t.Context(), after, LoadOptions{AsOf: asOf})
	if err != nil {
		t.Fatal(err)
	}
	if len(y.Costs["A1"]) != 1 || len(y.Slips) != 0 || len(y.Rejects) != 0 {
		t.Errorf("costs %v, slips %v, rejects %v", y.Costs["A1"], y.Slips, y.Rejects)
	}
	if said := strings.Join(y.Warnings, "\n"); !strings.Contains(said, "slips/a again is the slip slip-0001, which was folded in before") {
		t.Errorf("warnings: %s", said)
	}
}
