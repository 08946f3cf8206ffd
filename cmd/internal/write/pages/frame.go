package pages

import (
	"embed"
	"html/template"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/write/csp"
)

//go:embed templates
var files embed.FS

var templates = template.Must(template.ParseFS(files, "templates/*.html"))

var (
	style  = readText("templates/style.css")
	sortJS = readText("templates/sort.js")
)

// Policies of a page without a script and of one that sorts.
var (
	strict         = securityPolicy("")
	strictWithSort = securityPolicy(sortJS)
)

func readText(name string) string {
	b, err := files.ReadFile(name)
	if err != nil {
		panic(err) // the file is part of the program
	}
	return string(b)
}

// Frame is what every page has around its content.
type Frame struct {
	Title  string
	AsOf   string
	Root   string // from this page to the reports folder: "" or "../"
	Here   string // which of the chief pages this is: front, workshop, margin or blank
	Kind   string // of the page, for its print; blank for most
	Bare   bool   // for a customer: no way into the dealer's pages
	Policy string // Content-Security-Policy
	Style  template.CSS
	Script template.JS
}

func (s *site) frame(title, root, here string) Frame {
	return Frame{
		Title: title, AsOf: longDay(s.AsOf), Root: root, Here: here,
		Policy: strict, Style: template.CSS(style),
	}
}

// withScript adds the script that sorts tables.
func (f Frame) withScript() Frame {
	f.Script, f.Policy = template.JS(sortJS), strictWithSort
	return f
}

// securityPolicy allows the style sheet, the script if any, and nothing else.
// Both are named by their hashes, which works from a file as well as from a
// server.
func securityPolicy(script string) string {
	rules := []string{"default-src 'none'", "style-src " + csp.Hash(style)}
	if script != "" {
		rules = append(rules, "script-src "+csp.Hash(script))
	}
	return strings.Join(append(rules, "img-src data:", "base-uri 'none'", "form-action 'none'"), "; ")
}
