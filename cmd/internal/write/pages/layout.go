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
	Policy string       // Content-Security-Policy
	Style  template.CSS // the same on every page
	Sheet  template.CSS // what stands in the margin of each printed sheet
	Script template.JS
	Photos []shot // at the end of the page
}

func (s *report) layout(title, root, here string) layout {
	l := layout{Title: title, AsOf: longDay(s.AsOf), Root: root, Here: here, Style: template.CSS(style)}
	l.Sheet = sheetMargin(title)
	l.Policy = securityPolicy(string(l.Sheet), "")
	return l
}

// bare takes the ways into the dealer's pages off a page for a customer.
func (l layout) bare() layout {
	l.Bare, l.Kind = true, "sheet"
	return l
}

// withScript adds a script, which the page's policy then allows.
func (l layout) withScript(script string) layout {
	l.Script, l.Policy = template.JS(script), securityPolicy(string(l.Sheet), script)
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

// securityPolicy allows the style sheets, the script if any, a search on the list
// of vans, and nothing else. Styles and script are named by their hashes, which
// works from a file as well as from a server.
func securityPolicy(sheet, script string) string {
	rules := []string{"default-src 'none'", "style-src " + styleHash + " " + csp.Hash(sheet)}
	if script != "" {
		rules = append(rules, "script-src "+csp.Hash(script))
	}
	return strings.Join(append(rules, "img-src data:", "base-uri 'none'", "form-action 'self' file:"), "; ")
}

var styleHash = csp.Hash(style)
