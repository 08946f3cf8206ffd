package pages

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	xhtml "golang.org/x/net/html"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/data"
)

// What people read holds no code of the tables, no name of a file that is not a
// link to it, no date as the tables have it, no per cent sign with a space before,
// and no web address. The parts of a page about the files themselves are about
// their rows and names; a technician's and the desk's pages are tested by their own.
func TestPeopleReadWords(t *testing.T) {
	r := nighttest.Demo(t)
	codes := codesOf(r)
	unfit := []struct {
		what string
		form *regexp.Regexp
	}{
		{"a date of the tables", regexp.MustCompile(`\b\d{4}-\d\d-\d\d\b`)},
		{"a space before %", regexp.MustCompile(`\d %`)},
		{"a file", regexp.MustCompile(`\b[\w-]+\.(?:csv|json|yaml|xlsx)\b`)},
		{"a column", regexp.MustCompile(`\b[a-z]+_[a-z_0-9]+\b`)},
		{"an address", regexp.MustCompile(`https?://|\bwww\.|\.(?:com|co\.uk|org|net|info)\b|\.uk\b`)},
		{"a limit from memory", regexp.MustCompile(`(?i)\bfrom memory\b`)},
		{"one of something in the plural", regexp.MustCompile(`\b(?:limit of |^)1 [a-z]+s\b`)},
	}
	word := regexp.MustCompile(`[a-z0-9]+(?:-[a-z0-9]+)+`)
	told := 0
	for name, page := range written(t, r) {
		doc, err := xhtml.Parse(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range shownTexts(doc) {
			told++
			for _, u := range unfit {
				if name == "sources.html" && u.what == "a limit from memory" {
					continue // it is said there what that means
				}
				if m := u.form.FindString(text); m != "" {
					t.Errorf("%s shows %s, %q: %.120s", name, u.what, m, text)
				}
			}
			for _, w := range word.FindAllString(text, -1) {
				if codes[w] {
					t.Errorf("%s shows the code %s: %.120s", name, w, text)
				}
			}
		}
	}
	if told < 10_000 {
		t.Errorf("only %d texts were read", told)
	}
}

// codesOf are the codes that stand in words elsewhere: of jobs, parts, points,
// places, papers, equipment and flags.
func codesOf(r *night.Result) map[string]bool {
	codes := map[string]bool{}
	add := func(code string) {
		if strings.Contains(code, "-") && data.Title(code) != code {
			codes[code] = true
		}
	}
	for _, j := range r.Yard.Books.Labour {
		add(j.Code)
	}
	for _, p := range r.Yard.Books.Parts {
		add(p.Code)
	}
	for _, c := range r.Yard.Books.Checkpoints {
		add(c.Code)
		for _, p := range c.Positions {
			add(p)
		}
	}
	for _, w := range data.EquipmentWords {
		add(w)
	}
	for i := range r.Vans {
		add(string(r.Vans[i].Body))
		if m := r.Vans[i].Margin; m != nil {
			for _, f := range m.Flags {
				add(string(f))
			}
		}
	}
	// English words that are a code too: number-plate lamps, rising-roof fabric.
	for _, w := range []string{"number-plate", "rising-roof", "steering-wheel", "seat-belt"} {
		delete(codes, w)
	}
	return codes
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
		if slices.Contains([]string{"style", "script", "a"}, n.Data) && !isPage(n) {
			return nil
		}
		for _, a := range n.Attr {
			if a.Key == "aria-labelledby" && slices.Contains([]string{"rejects", "warnings", "files"}, a.Val) {
				return nil
			}
			if a.Key == "id" && a.Val == "do-data" {
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

// isPage reports whether an element is a link to a page, whose text is read too.
func isPage(n *xhtml.Node) bool {
	for _, a := range n.Attr {
		if a.Key == "href" {
			return !strings.HasSuffix(a.Val, ".csv") && !strings.HasSuffix(a.Val, ".json") && !strings.HasSuffix(a.Val, ".xlsx")
		}
	}
	return false
}
