package pages

import (
	"maps"
	"slices"
	"strings"
	"testing"

	xhtml "golang.org/x/net/html"

	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/cmd/internal/wordstest"
)

// What people read holds no code of the tables, no name of a file, no date as the
// tables have it, no per cent sign with a space before, and no web address. The
// parts of a page about the yard's own files name those, since it is in them that
// rows are put right. What the scripts of the phone's pages write is read by those
// pages' own tests, on the screen.
func TestPeopleReadWords(t *testing.T) {
	r := nighttest.Demo(t)
	unfit := wordstest.New(t, r.Yard.Books)
	for i := range r.Vans {
		if m := r.Vans[i].Margin; m != nil {
			for _, f := range m.Flags {
				unfit.Add(string(f))
			}
		}
	}
	all := written(t, r)
	maps.Copy(all, phonesWritten(t, r))
	told := 0
	for name, page := range all {
		doc, err := xhtml.Parse(page)
		if err != nil {
			t.Fatal(err)
		}
		var excused []string
		if name == "sources.html" {
			excused = append(excused, wordstest.FromMemory) // it is said there what that means
		}
		for _, text := range shownTexts(doc) {
			told++
			for _, why := range unfit.In(text, excused...) {
				t.Errorf("%s shows %s", name, why)
			}
		}
	}
	if told < 10_000 {
		t.Errorf("only %d texts were read", told)
	}
}

// shownTexts are the texts of a page that a person reads, less those about files.
func shownTexts(n *xhtml.Node) []string {
	var texts []string
	if n.Type == xhtml.TextNode {
		if text := strings.TrimSpace(n.Data); text != "" {
			texts = append(texts, text)
		}
		return texts
	}
	if n.Type == xhtml.ElementNode {
		if slices.Contains([]string{"style", "script", "template"}, n.Data) {
			return nil
		}
		for _, a := range n.Attr {
			if a.Key == "aria-labelledby" && slices.Contains([]string{"rejects", "warnings"}, a.Val) {
				return nil
			}
			if a.Key == "id" && (a.Val == "do-data" || a.Val == "read") {
				return nil
			}
			if slices.Contains([]string{"aria-label", "alt", "placeholder", "title"}, a.Key) {
				texts = append(texts, a.Val)
			}
		}
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		texts = append(texts, shownTexts(c)...)
	}
	return texts
}
