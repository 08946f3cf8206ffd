package data

import (
	"fmt"
	"strings"
)

// vanIndex knows every stock_id of vans.csv, for the tables that name one.
type vanIndex struct {
	accepted map[string]string // stock_id to the one copy of it that records share
	rejected map[string]int    // stock_id to line, where no row of it was accepted
	folded   map[string]string // without regard to case, to say what was meant
}

// parseVans returns a parser of vans.csv that keeps stock_ids apart, and the
// index that note fills as it is settled which rows are used.
func parseVans() (rowParser[rawVan, Van], *vanIndex) {
	ix := &vanIndex{accepted: map[string]string{}, rejected: map[string]int{}, folded: map[string]string{}}
	return func(raw *rawVan, c *cells, at Source) Van {
		v := parseVan(raw, c, at)
		// Stock numbers become file names, and some file systems do not tell
		// v7.html from V7.html.
		c.unique("stock_id", v.StockID, strings.ToLower(v.StockID))
		return v
	}, ix
}

// note adds the stock_id of a row of vans.csv.
func (ix *vanIndex) note(stockID string, line int, accepted bool) {
	if accepted {
		ix.accepted[stockID] = stockID
		ix.folded[strings.ToLower(stockID)] = stockID
		delete(ix.rejected, stockID)
	} else if _, ok := ix.accepted[stockID]; !ok {
		ix.rejected[stockID] = line
	}
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
	switch line, ok := ix.rejected[value]; {
	case ok:
		c.refuse("stock_id", value, "stock_id.rejected",
			fmt.Sprintf("a van that was accepted; its row, vans.csv:%d, was rejected", line))
	case ix.folded[strings.ToLower(value)] != "":
		c.refuse("stock_id", value, "stock_id.unknown",
			fmt.Sprintf("a van of vans.csv; did you mean %q?", ix.folded[strings.ToLower(value)]))
	default:
		c.refuse("stock_id", value, "stock_id.unknown", "a van of vans.csv; there is none of this stock_id")
	}
	return ""
}
