package data

import (
	"testing"
	"testing/fstest"
)

// Where a part lies is the dealer's own knowledge: a yard's parts book may say
// it, and need not.
func TestPartsBookMayNameABin(t *testing.T) {
	const header = "part,title,unit_cost,in_stock,lead_days,supplier"
	content := header + ",bin\n"
	plain := partsOf(t, nil)
	for _, p := range plain {
		content += p.Code + ",A part,1.00,0,0,Somebody,B3\n"
	}
	for _, p := range partsOf(t, fstest.MapFS{"parts.csv": {Data: []byte(content)}}) {
		if p.Bin != "B3" {
			t.Fatalf("%s lies in bin %q, want B3", p.Code, p.Bin)
		}
	}
	if plain[0].Bin != "" {
		t.Errorf("the built-in book puts %s into bin %q", plain[0].Code, plain[0].Bin)
	}
}

// partsOf returns the parts of the books of a yard.
func partsOf(t *testing.T, yard fstest.MapFS) []Part {
	t.Helper()
	books, err := LoadBooks(yard)
	if err != nil {
		t.Fatal(err)
	}
	return books.Parts
}
