// Package offline holds what the pages that end in a slip have in common: their
// style, their script and a few pieces of markup.
//
// In go a page's own markup, style and scripts; out comes one file that needs no
// network, with a security policy that allows just these. Such a page keeps what
// was entered on the device, packs it into a slip for the yard, and hands that in
// to the server that showed it, if one did.
//
//	var page = offline.Load(files, "day.css", "news.js", "day.js")
package offline

import (
	"embed"
	"html/template"
	"io"
	"io/fs"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/write/csp"
	"github.com/vanwright/vanwright/data"
)

//go:embed shared.html base.css *.js
var files embed.FS

// templates are the pieces of markup that pages share: head, foot, find, ask, slip,
// photos, t-photo, field.
var templates = template.Must(template.ParseFS(files, "shared.html"))

// shared are the files that every page's script begins with, in this order.
var shared = []string{"dom.js", "zip.js", "store.js", "slip.js", "photos.js"}

// Page is a page that needs no other file.
type Page struct {
	Kit
	markup *template.Template
}

// Kit is what the head and the end of a page show: its template's data has one.
type Kit struct {
	Policy string // the value of its Content-Security-Policy
	Style  template.CSS
	Script template.JS
	Mark   template.HTML // by which such a page is known; may be blank
}

// Load reads a page from its own files: page.html and what other markup is beside
// it, its style, and its scripts in their order, among which may be news.js and
// reading.js of this package. It panics where one is missing, as they are part of
// the program.
func Load(own fs.FS, style string, scripts ...string) Page {
	css, js := read(files, "base.css")+read(own, style), ""
	for _, name := range shared {
		js += read(files, name)
	}
	for _, name := range scripts {
		from := own
		if _, err := fs.Stat(own, name); err != nil {
			from = files
		}
		js += read(from, name)
	}
	send := "form-action 'none'"
	if strings.Contains(read(own, "page.html"), `{{template "find"`) {
		send = "form-action 'self' file:"
	}
	return Page{
		markup: template.Must(template.Must(templates.Clone()).ParseFS(own, "*.html")),
		Kit: Kit{
			// connect-src is for handing in: a page from a file reaches nothing by it.
			Policy: strings.Join([]string{
				"default-src 'none'", "style-src " + csp.Hash(css), "script-src " + csp.Hash(js),
				"img-src data: blob:", "connect-src 'self'", "base-uri 'none'", send,
			}, "; "),
			Style: template.CSS(css), Script: template.JS(js),
		},
	}
}

func read(from fs.FS, name string) string {
	b, err := fs.ReadFile(from, name)
	if err != nil {
		panic(err)
	}
	return string(b)
}

// Write fills in page.html. view has the page's Kit among its fields.
func (p Page) Write(w io.Writer, view any) error {
	return p.markup.ExecuteTemplate(w, "page.html", view)
}

// Choice is a word of the tables and what people call it.
type Choice struct {
	Word  string `json:"word"`
	Title string `json:"title"`
}

// Titled pairs words of the tables with what people call them.
func Titled[S ~string](words []S) []Choice {
	out := make([]Choice, len(words))
	for i, w := range words {
		out[i] = Choice{string(w), data.Heading(w)}
	}
	return out
}

// Verdicts are the choices that an inspector has.
var Verdicts = []Choice{
	{"sound", "Sound"}, {"worn", "Worn"}, {"defect", "Defect"}, {"unsafe", "Unsafe"}, {"untested", "Untested"},
}

// Field is one cell of a table, to be typed or chosen.
type Field struct {
	Name     string
	Label    string
	Hint     string
	Kind     string // text, code, date, whole, money or choice
	Low      int    // of a whole number
	High     int
	Required bool
	Past     bool // a day that must not lie ahead
	Unit     string
	Options  []Choice
}
