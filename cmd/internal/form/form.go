// Package form makes the page on which a buyer takes a condition report.
//
// In go the books and the dealer's policy; out comes one HTML file that needs
// no network and no other file. It runs on a phone, keeps what was entered in
// the browser, and gives vans.csv, readings.csv and documents.csv as the yard
// wants them. The page shows limits and cautions; it never says that a van is
// safe, and never counts a point as sound that nobody touched.
//
//	err := form.Write(w, books, data.DefaultPolicy())
package form

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"
	"io"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// Mark stands near the start of every page that Write makes and of no other.
const Mark = `<meta name="generator" content="vanwright condition form">`

//go:embed page.html shapes.html form.css form.js
var files embed.FS

var templates = template.Must(template.ParseFS(files, "page.html", "shapes.html"))

var (
	style  = readText("form.css")
	script = readText("form.js")
)

func readText(name string) string {
	b, err := files.ReadFile(name)
	if err != nil {
		panic(err) // the file is part of the program
	}
	return string(b)
}

// page is what the template shows.
type page struct {
	Mark       template.HTML
	Policy     string // Content-Security-Policy
	Style      template.CSS
	Script     template.JS
	Bodies     []choice
	Equipment  []group
	Identity   []field
	Plates     []field
	Past       []field
	Visit      []field
	Kinds      []choice
	Held       []choice
	Evidence   []choice
	Covers     []choice
	Verdicts   []choice
	DampSides  []choice
	Book       book // read by the script
	PointCount int
}

// Write makes the page. The same books and policy give the same bytes.
func Write(w io.Writer, books *data.Books, policy data.Policy) error {
	return templates.ExecuteTemplate(w, "page.html", page{
		Mark:      template.HTML(Mark),
		Policy:    securityPolicy(),
		Style:     template.CSS(style),
		Script:    template.JS(script),
		Bodies:    bodies,
		Equipment: equipment,
		Identity:  identity, Plates: plates, Past: past, Visit: visit,
		Kinds: titled(data.DocumentKinds), Held: held, Evidence: evidence,
		Covers:     titled(coverWords()),
		Verdicts:   verdicts,
		DampSides:  titled(data.DampSides),
		Book:       newBook(books, policy),
		PointCount: len(books.Checkpoints),
	})
}

// securityPolicy allows the page's own style and script, named by their hashes,
// and nothing else: nothing can be fetched and nothing sent.
func securityPolicy() string {
	return strings.Join([]string{
		"default-src 'none'", "style-src " + hash(style), "script-src " + hash(script),
		"img-src data:", "base-uri 'none'", "form-action 'none'",
	}, "; ")
}

func hash(content string) string {
	sum := sha256.Sum256([]byte(content))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
