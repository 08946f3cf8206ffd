package pages

import (
	"embed"
	"fmt"
	"html/template"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/write/csp"
)

//go:embed templates
var files embed.FS

var templates = template.Must(template.ParseFS(files, "templates/*.html"))

var (
	style  = readText("templates/style.css")
	listJS = readText("templates/list.js")
	findJS = readText("templates/find.js")
)

func readText(name string) string {
	b, err := files.ReadFile(name)
	if err != nil {
		panic(err) // the file is part of the program
	}
	return string(b)
}

// layout is what every page has around its content.
type layout struct {
	Title  string
	AsOf   string
	Root   string       // from this page to the reports folder: "" or "../"
	Here   string       // which of the main pages this is: front, workshop, board, margin, find or blank
	Kind   string       // of the page, for its print; blank for most
	Bare   bool         // for a customer: no way into the dealer's pages
	Style  template.CSS // the same on every page
	Sheet  template.CSS // what stands in the margin of each printed sheet
	Script template.JS
	Photos []shot // at the end of the page
}

func (s *report) layout(title, root, here string) layout {
	l := layout{Title: title, AsOf: longDay(s.AsOf), Root: root, Here: here, Style: template.CSS(style)}
	l.Sheet = sheetMargin(title)
	return l
}

// bare takes the ways into the dealer's pages off a page for a customer.
func (l layout) bare() layout {
	l.Bare, l.Kind = true, "sheet"
	return l
}

// withScript adds a script, which the page's policy then allows.
func (l layout) withScript(script string) layout {
	l.Script = template.JS(script)
	return l
}

// sheetMargin writes what a sheet is of, and its number, below each printed sheet.
// What is not a plain letter or digit is written as an escape of CSS Syntax Module
// Level 3, section 4.3.7, so that a name can't end the string.
func sheetMargin(what string) template.CSS {
	var text strings.Builder
	for _, c := range what {
		if c == ' ' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' {
			text.WriteRune(c)
		} else {
			fmt.Fprintf(&text, "\\%06x", c)
		}
	}
	return template.CSS(`@page{@bottom-left{content:"` + text.String() + `"}@bottom-right{content:"page " counter(page) " of " counter(pages)}}`)
}

// HasFind says whether the page has the box that looks for a van: not a
// customer's page, nor the page that the box leads to.
func (l layout) HasFind() bool { return !l.Bare && l.Here != "find" }

// Policy is the page's Content-Security-Policy. It allows the style
// sheets, the script, the photos and the box that looks for a van, where the page
// has them, and nothing else. Styles and script are named by their
// hashes, which works from a file as well as from a server.
func (l layout) Policy() string {
	rules := []string{"default-src 'none'", "style-src " + styleHash + " " + csp.Hash(string(l.Sheet))}
	if l.Script != "" {
		rules = append(rules, "script-src "+csp.Hash(string(l.Script)))
	}
	images, send := "img-src data:", "form-action 'none'"
	if len(l.Photos) > 0 {
		images = "img-src 'self' data:"
	}
	if l.HasFind() {
		send = "form-action 'self' file:"
	}
	return strings.Join(append(rules, images, "base-uri 'none'", send), "; ")
}

var styleHash = csp.Hash(style)
