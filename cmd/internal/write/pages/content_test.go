package pages

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"html"
	"io"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	xhtml "golang.org/x/net/html"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/data"
)

func TestSameResultSameBytes(t *testing.T) {
	r := nighttest.Demo(t)
	first, second := written(t, r), written(t, r)
	if len(first) != len(second) {
		t.Fatalf("%d pages, then %d", len(first), len(second))
	}
	for name := range first {
		if !bytes.Equal(first[name].Bytes(), second[name].Bytes()) {
			t.Errorf("%s differs between two writes of one Result", name)
		}
	}
}

func TestCreateErrorIsNamed(t *testing.T) {
	full := errors.New("disk full")
	err := Write(func(name string) (io.WriteCloser, error) { return nil, full }, nighttest.Demo(t), nil)
	if !errors.Is(err, full) || !strings.Contains(err.Error(), "index.html") {
		t.Errorf("got %v, want the disk's error with the page's name", err)
	}
}

// The hash of a policy must be that of the very text between the tags, or the
// browser drops the style sheet: CSP Level 3, "hash-source" (from nighttest.Folder).
func TestPolicyNamesTheVeryContent(t *testing.T) {
	policy := regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]*)"`)
	tag := regexp.MustCompile(`(?s)<(style|script)>(.*?)</(?:style|script)>`)
	for name, page := range written(t, nighttest.Demo(t)) {
		text := page.String()
		m := policy.FindStringSubmatch(text)
		if m == nil {
			t.Errorf("%s has no policy", name)
			continue
		}
		rules := html.UnescapeString(m[1])
		if !strings.HasPrefix(rules, "default-src 'none'; ") || strings.Contains(rules, "unsafe") {
			t.Errorf("%s has the loose policy %s", name, rules)
		}
		tags := tag.FindAllStringSubmatch(text, -1)
		if n := strings.Count(text, "<style") + strings.Count(text, "<script"); n != len(tags) || n == 0 {
			t.Errorf("%s has %d style and script tags, %d of them plain", name, n, len(tags))
		}
		for _, found := range tags {
			sum := sha256.Sum256([]byte(found[2]))
			want := "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
			_, allowed, _ := strings.Cut(rules, found[1]+"-src ")
			if allowed, _, _ = strings.Cut(allowed, ";"); !strings.Contains(allowed, want) {
				t.Errorf("%s: the policy %s lacks %s", name, rules, want)
			}
		}
	}
}

// walk calls visit for every element of a page.
func walkNodes(n *xhtml.Node, visit func(*xhtml.Node)) {
	if n.Type == xhtml.ElementNode {
		visit(n)
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		walkNodes(c, visit)
	}
}

func parsed(t *testing.T, name string, m nighttest.Folder) *xhtml.Node {
	t.Helper()
	doc, err := xhtml.Parse(bytes.NewReader(m[name].Bytes()))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return doc
}

func attr(n *xhtml.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

// Rules of WCAG 2.2 that a parser can check: language (3.1.1), one first
// heading and no level skipped (1.3.1, common practice), captions and scopes of
// tables (1.3.1, techniques H39 and H63), names of pictures (1.1.1), labels of
// boxes that scroll (4.1.2). The numbers are from memory.
func TestPagesAreReadableByAScreenReader(t *testing.T) {
	m := written(t, nighttest.Demo(t))
	for name := range m {
		headings, level, ids := 0, 0, map[string]bool{}
		walkNodes(parsed(t, name, m), func(n *xhtml.Node) {
			if id, ok := attr(n, "id"); ok {
				if ids[id] {
					t.Errorf("%s: id %q twice", name, id)
				}
				ids[id] = true
			}
			switch n.Data {
			case "html":
				if lang, _ := attr(n, "lang"); lang != "en-GB" {
					t.Errorf("%s: lang is %q", name, lang)
				}
			case "h1", "h2", "h3", "h4":
				now := int(n.Data[1] - '0')
				if now > level+1 {
					t.Errorf("%s: %s after h%d", name, n.Data, level)
				}
				level = now
				if now == 1 {
					headings++
				}
			case "table":
				if first := n.FirstChild; first == nil || first.NextSibling == nil || first.NextSibling.Data != "caption" {
					t.Errorf("%s: a table without a caption", name)
				}
			case "th":
				if scope, _ := attr(n, "scope"); scope == "" {
					t.Errorf("%s: a th without scope", name)
				}
			case "svg":
				_, hidden := attr(n, "aria-hidden")
				label, _ := attr(n, "aria-label")
				if role, _ := attr(n, "role"); !hidden && (role != "img" || label == "") {
					t.Errorf("%s: a picture without a name", name)
				}
			}
			if _, ok := attr(n, "tabindex"); ok {
				label, _ := attr(n, "aria-label")
				if role, _ := attr(n, "role"); role != "region" || label == "" {
					t.Errorf("%s: a box that scrolls without a name", name)
				}
			}
			if _, ok := attr(n, "style"); ok {
				t.Errorf("%s: a style attribute, which the policy forbids", name)
			}
		})
		if headings != 1 {
			t.Errorf("%s has %d first headings", name, headings)
		}
	}
}

// Links go to pages that were written, to CSV files beside them, or to places
// on the page.
func TestLinksLeadSomewhere(t *testing.T) {
	m := written(t, nighttest.Demo(t))
	maps.Copy(m, phonesWritten(t, nighttest.Demo(t)))
	tables := map[string]bool{}
	for _, f := range reportFiles {
		tables[f.Name] = true
	}
	docs, places := map[string]*xhtml.Node{}, map[string]bool{}
	for name := range m {
		docs[name] = parsed(t, name, m)
		walkNodes(docs[name], func(n *xhtml.Node) {
			if id, ok := attr(n, "id"); ok {
				places[name+"#"+id] = true
			}
		})
	}
	links := 0
	for name := range m {
		walkNodes(docs[name], func(n *xhtml.Node) {
			href, ok := attr(n, "href")
			if n.Data != "a" || !ok {
				return
			}
			links++
			file, place, _ := strings.Cut(href, "#")
			to := name
			if file != "" {
				to = path.Join(path.Dir(name), file)
			}
			if m[to] == nil && !tables[to] {
				t.Errorf("%s: a link to %s, which is not written", name, href)
			}
			if place != "" && !places[to+"#"+place] {
				t.Errorf("%s: a link to %s, where there is no such place", name, href)
			}
		})
	}
	if links < 100 {
		t.Errorf("only %d links found", links)
	}
}

// hostile is text that a page must show as it is.
var hostile = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `O'Hare & "Sons" </style></title>`,
	"🚐 Wöhnmobil 名前 \u202e", strings.Repeat("Langer", 34)[:200], "{{.Policy}}", "javascript:alert(1)",
}

// hostileYard gives every name of the demo yard's vans, papers and people to a
// prankster.
func hostileYard(t *testing.T) *night.Result {
	t.Helper()
	yard, err := data.Load(context.Background(), demo.Files(), data.LoadOptions{AsOf: demo.AsOf})
	if err != nil {
		t.Fatal(err)
	}
	for i := range yard.Vans {
		v := &yard.Vans[i]
		word := hostile[i%len(hostile)]
		v.Maker, v.Model, v.Site, v.Reg, v.VIN, v.Chassis, v.Fuel = word, word, word, word, word, word, word
	}
	for i := range yard.Team {
		yard.Team[i].Name = hostile[i%len(hostile)]
	}
	yard.Absences = nil
	for _, id := range slices.Sorted(maps.Keys(yard.Readings)) {
		for i := range yard.Readings[id] {
			yard.Readings[id][i].Note = hostile[i%len(hostile)]
		}
	}
	yard.Warnings, yard.Rejects = hostile, append(yard.Rejects, data.Reject{File: hostile[0], Value: hostile[1], Column: hostile[2], Expected: hostile[3]})
	policy := data.DefaultPolicy()
	policy.PlanSchedules = 50
	r, err := night.Run(context.Background(), yard, policy, demo.AsOf, night.RunOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestHostileNamesStayTextAndWhole(t *testing.T) {
	m := written(t, hostileYard(t))
	whole := map[string]bool{}
	for name := range m {
		scripts := 0
		walkNodes(parsed(t, name, m), func(n *xhtml.Node) {
			switch n.Data {
			case "script":
				scripts++
			case "img", "iframe", "object":
				t.Errorf("%s: a name became a %s", name, n.Data)
			}
			for _, a := range n.Attr {
				if strings.HasPrefix(a.Key, "on") || strings.HasPrefix(a.Val, "javascript:") && a.Key == "href" {
					t.Errorf("%s: a name became the attribute %s=%q", name, a.Key, a.Val)
				}
			}
			for c := n.FirstChild; c != nil; c = c.NextSibling {
				if c.Type == xhtml.TextNode {
					for _, word := range hostile {
						whole[word] = whole[word] || strings.Contains(c.Data, word)
					}
				}
			}
		})
		if want := map[string]int{"margin/index.html": 1, "margin/wanted.html": 1, "workshop/index.html": 1, "index.html": 1, "find.html": 1}[name]; scripts != want {
			t.Errorf("%s has %d scripts, want %d", name, scripts, want)
		}
	}
	for _, word := range hostile {
		if !whole[word] {
			t.Errorf("%q is nowhere shown whole", word)
		}
	}
}

// The customer's sheet must not hold what the buyer may not show, not even
// where it can't be seen.
func TestOfferSheetKeepsTheMarginBack(t *testing.T) {
	r := nighttest.Demo(t)
	m := written(t, r)
	sheets := 0
	for _, v := range r.Vans {
		if v.Bid == nil || !v.Bid.Known {
			continue
		}
		sheets++
		text := m["vans/"+v.StockID+"-offer.html"].String()
		for what, amount := range map[string]data.Money{
			"largest bid": v.Bid.MaxBid, "opening bid": v.Bid.OpeningBid, "profit": v.Bid.Breakdown.Profit,
			"price": v.Bid.Breakdown.Price, "preparation": v.Bid.Prep.P80,
		} {
			if strings.Contains(text, pounds(amount)) || strings.Contains(text, data.FormatMoney(amount)) {
				t.Errorf("%s: the customer's sheet shows the %s, %s", v.StockID, what, pounds(amount))
			}
		}
		if strings.Contains(text, "margin/index.html") {
			t.Errorf("%s: the customer's sheet links to the margin", v.StockID)
		}
		if bid := m["vans/"+v.StockID+"-bid.html"].String(); !strings.Contains(bid, pounds(v.Bid.MaxBid)) {
			t.Errorf("%s: the buyer's sheet lacks the largest bid", v.StockID)
		}
	}
	if sheets == 0 {
		t.Error("no van in the demo yard has a bid")
	}
}
