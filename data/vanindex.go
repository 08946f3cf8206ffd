package data

import (
	"fmt"
	"strings"
)

// vanIndex knows every stock_id of vans.csv, for the tables that name one.
type vanIndex struct {
	accepted map[string]string // stock_id to the one copy of it that records share
	rejected map[string]Source // where the row of a stock_id stands of which none was accepted
	anyCase  map[string]string // stock_ids in lower case, to say what was meant
}

// rejectedVan is a row of vans.csv that could not be used.
type rejectedVan struct {
	stockID string
	source  Source
}

// newVanIndex makes the index of the vans of a yard. rejected are the stock_ids
// those of rows that could not be used.
func newVanIndex(vans []Van, rejected []rejectedVan) *vanIndex {
	ix := &vanIndex{accepted: make(map[string]string, len(vans)), rejected: map[string]Source{}, anyCase: make(map[string]string, len(vans))}
	for i := range vans {
		id := vans[i].StockID
		ix.accepted[id], ix.anyCase[strings.ToLower(id)] = id, id
	}
	for _, r := range rejected {
		if ix.accepted[r.stockID] == "" {
			ix.rejected[r.stockID] = r.source
		}
	}
	return ix
}

// find reads the stock_id of another table and refuses one whose van is not
// there, saying which way it is missing.
func (ix *vanIndex) find(c *cells, value string) string {
	value = trim(value)
	if value == c.lastVan && value != "" {
		return c.lastVan
	}
	if id, ok := ix.accepted[value]; ok {
		c.lastVan = id
		return id
	}
	if !c.need("stock_id", value, "the stock_id of a van of vans.csv") {
		return ""
	}
	rejected, known := ix.rejected[value]
	switch meant := ix.anyCase[strings.ToLower(value)]; {
	case known:
		c.refuse("stock_id", value, "stock_id.rejected", fmt.Sprintf("a van that was accepted; its row, %s, was rejected", rejected))
	case meant != "":
		c.refuse("stock_id", value, "stock_id.unknown", fmt.Sprintf("a van of vans.csv; did you mean %q?", meant))
	default:
		c.refuse("stock_id", value, "stock_id.unknown", "a van; no such stock_id in vans.csv")
	}
	return ""
}
