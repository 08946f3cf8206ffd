// Package offline holds what the pages that end in a slip have in common: their
// style, their script and a few pieces of markup.
//
// In go a page's own style and scripts; out comes what stands in its head and at
// its end, with a security policy that allows just these. Such a page is one
// file and needs no network. It keeps what was entered on the device, packs it
// into a slip for the yard, and hands that in to the server that showed it, if
// one did.
//
//	kit := offline.NewKit(style, script)
package offline

import (
	"embed"
	"html/template"
	"io/fs"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/write/csp"
	"github.com/vanwright/vanwright/data"
)

//go:embed shared.html base.css *.js
var files embed.FS

// The script begins with these files, in this order; a page's own follow.
var shared = read("dom.js") + read("zip.js") + read("store.js") + read("slip.js") + read("photos.js")

// News is the script of pages that gather news one item at a time; it goes before
// such a page's own.
var News = read("news.js")

func read(name string) string { return MustRead(files, name) }

// MustRead returns a file that is part of the program.
func MustRead(files fs.FS, name string) string {
	b, err := fs.ReadFile(files, name)
	if err != nil {
		panic(err)
	}
	return string(b)
}

// Templates are the pieces of markup that pages share: ask, slip, photos,
// t-photo, field.
var Templates = template.Must(template.ParseFS(files, "shared.html"))

// Kit is what stands in the head and at the end of a page.
type Kit struct {
	Policy string // the value of its Content-Security-Policy
	Style  template.CSS
	Script template.JS
}

// NewKit joins the shared style and script and a page's own.
func NewKit(style string, scripts ...string) Kit {
	style = read("base.css") + style
	script := shared + strings.Join(scripts, "")
	// connect-src is for handing in: a page from a file reaches nothing by it.
	return Kit{
		Policy: strings.Join([]string{
			"default-src 'none'", "style-src " + csp.Hash(style), "script-src " + csp.Hash(script),
			"img-src data: blob:", "connect-src 'self'", "base-uri 'none'", "form-action 'none'",
		}, "; "),
		Style: template.CSS(style), Script: template.JS(script),
	}
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
