// Package form makes the page on which a buyer takes a condition report.
//
// In go the books, the dealer's policy and the vans that the yard knows; out
// comes one HTML file that needs no network and no other file. It runs on a
// phone, keeps several vans in the browser, and ends in a slip for the yard. The
// page shows limits and cautions; it never says that a van is safe, and never
// counts a point as sound that was not touched.
//
//	err := form.Write(w, form.Yard{Books: books, Policy: data.DefaultPolicy()})
package form

import (
	"embed"
	"io"

	"github.com/vanwright/vanwright/cmd/internal/offline"
	"github.com/vanwright/vanwright/data"
)

// Mark stands near the start of every page that Write makes and of no other.
const Mark = `<meta name="generator" content="vanwright condition form">`

//go:embed page.html shapes.html form.css *.js
var files embed.FS

var sheet = offline.Load(files, "form.css", "reading.js", "state.js", "walk.js", "van.js", "zone.js", "damp.js", "papers.js", "finish.js", "begin.js")

// Yard is what the form knows of the yard.
type Yard struct {
	Books  *data.Books
	Policy data.Policy
	Vans   []data.Van // that one may take a report of; may be empty
}

// page is what the template shows.
type page struct {
	offline.Kit
	Standings  []offline.Choice
	Bodies     []offline.Choice
	Equipment  []group
	Identity   []offline.Field
	Plates     []offline.Field
	Past       []offline.Field
	Visit      []offline.Field
	Kinds      []offline.Choice
	Held       []offline.Choice
	Evidence   []offline.Choice
	Covers     []offline.Choice
	Verdicts   []offline.Choice
	Book       book // read by the script
	PointCount int
	ShortCount int
}

// Write makes the page. The same yard gives the same bytes.
func Write(w io.Writer, yard Yard) error {
	b := newBook(yard)
	kit := sheet.Kit
	kit.Mark = Mark
	return sheet.Write(w, page{
		Kit:       kit,
		Standings: []offline.Choice{{Word: "offered", Title: "Offered to us"}, {Word: "stock", Title: "In stock"}},
		Bodies:    bodies,
		Equipment: equipment,
		Identity:  identity, Plates: plates, Past: past, Visit: visit,
		Kinds: b.Kinds, Held: held, Evidence: evidence,
		Covers:   offline.Titled(coverWords()),
		Verdicts: offline.Verdicts,
		Book:     b, PointCount: len(yard.Books.Checkpoints), ShortCount: b.short(),
	})
}
