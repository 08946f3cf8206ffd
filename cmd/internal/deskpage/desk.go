// Package deskpage makes the page on which the office says what was bought, priced,
// sold and paid.
//
// In go the vans of the yard and what is on order; out comes one HTML file that
// needs no network. Each entry is a few cells of the yard's tables, and all of
// them end in one slip.
//
//	err := deskpage.Write(w, deskpage.Page{Vans: vans, Orders: orders, Books: books, …})
package deskpage

import (
	"cmp"
	"embed"
	"io"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/offline"
	"github.com/vanwright/vanwright/data"
)

//go:embed page.html desk.css desk.js
var files embed.FS

var page = offline.Load(files, "desk.css", "news.js", "desk.js")

// Page is what the desk shows.
type Page struct {
	AsOf   data.Date
	Vans   []Van   // that are not sold, and those that were sold and not handed over
	Orders []Order // that have not arrived
	Books  *data.Books
	Front  string // where the front page is, from this page
	Find   string // where the page that finds a van is, from this page; blank for none
}

// Van is a van that something may happen to.
type Van struct {
	StockID string `json:"stock_id"`
	Reg     string `json:"reg"`
	Name    string `json:"name"`
	Status  string `json:"status"`
	Asking  string `json:"asking"`  // pounds; blank: none
	StandIn string `json:"standIn"` // pounds, of a van that is offered; blank: none can be given
	Finance string `json:"finance"` // pounds owed on it; blank: none known
}

// Order is a part that was ordered and has not arrived.
type Order struct {
	Part      string `json:"part"`
	Title     string `json:"title"`
	StockID   string `json:"stock_id"`
	Quantity  string `json:"quantity"`
	OrderedOn string `json:"ordered_on"`
	DueOn     string `json:"due_on"`
	UnitCost  string `json:"unit_cost"`
	Supplier  string `json:"supplier"`
}

// part is a part that can be ordered.
type part struct {
	Code     string `json:"code"`
	Title    string `json:"title"`
	Cost     string `json:"cost"`
	Supplier string `json:"supplier"`
	Days     int    `json:"days"`
}

type known struct {
	AsOf   string  `json:"asOf"`
	Vans   []Van   `json:"vans"`
	Orders []Order `json:"orders"`
	Parts  []part  `json:"parts"`
}

// Write makes the page. The same page gives the same bytes.
func Write(w io.Writer, p Page) error {
	k := known{AsOf: p.AsOf.String(), Vans: p.Vans, Orders: p.Orders}
	for _, t := range p.Books.Parts {
		k.Parts = append(k.Parts, part{t.Code, t.Title, data.FormatMoney(t.UnitCost), t.Supplier, t.LeadDays})
	}
	// People look for a part by its title; the rows of parts.csv have no order.
	slices.SortFunc(k.Parts, func(a, b part) int {
		return cmp.Or(strings.Compare(a.Title, b.Title), strings.Compare(a.Code, b.Code))
	})
	return page.Write(w, struct {
		offline.Kit
		Page
		Book    known
		Actions []Action
		Bodies  []offline.Choice
	}{page.Kit, p, k, actions, offline.Titled(data.Bodies)})
}
