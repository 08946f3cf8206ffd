package browsertest

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"testing"
	"testing/fstest"

	"github.com/vanwright/vanwright/cmd/internal/wordstest"
	"github.com/vanwright/vanwright/data"
)

// Slip is what a page ended in.
type Slip struct {
	Name  string
	Zip   []byte
	Files fstest.MapFS
	t     *testing.T
}

// TakeSlip saves the slip of the step on the screen and unpacks it.
func (p *Phone) TakeSlip() Slip {
	p.T.Helper()
	p.Tap("#slip [value=save]")
	p.Wait(`document.querySelector("#answer").textContent.includes("is in the downloads")`)
	name, content := p.Downloaded()
	s := Slip{Name: name, Zip: content, Files: fstest.MapFS{}, t: p.T}
	archive, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		p.T.Fatal(err)
	}
	for _, f := range archive.File {
		r, err := f.Open()
		if err != nil {
			p.T.Fatal(err)
		}
		text, err := io.ReadAll(r) // checks the sum too
		if err != nil {
			p.T.Fatalf("%s: %v", f.Name, err)
		}
		s.Files[f.Name] = &fstest.MapFile{Data: text}
	}
	return s
}

// Table reads one table of the slip, each row by column; none where the table is
// not there.
func (s Slip) Table(name string) (out []map[string]string) {
	s.t.Helper()
	file, ok := s.Files[name]
	if !ok {
		return nil
	}
	rows, err := csv.NewReader(bytes.NewReader(file.Data)).ReadAll()
	if err != nil {
		s.t.Fatalf("%s: %v", name, err)
	}
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, c := range row {
			cells[rows[0][i]] = c
		}
		out = append(out, cells)
	}
	return out
}

// TooWide lists what reaches beyond the screen.
const TooWide = `[...document.querySelectorAll("body *")].filter((e) => {
	const r = e.getBoundingClientRect();
	return r.width > 0 && !e.closest(".skip, .shapes, .patterns, .ticking legend") && (r.right > innerWidth + 1 || r.left < -1);
}).map((e) => e.outerHTML.slice(0, 90)).concat(document.documentElement.scrollWidth > innerWidth ? ["the page itself"] : [])`

// TooSmall lists what is to be tapped and measures less than 44 px.
const TooSmall = `[...document.querySelectorAll("button, select, textarea, summary, .tick, .card, .verdicts label, .button, .field input, .value input, .links a")].filter((e) => {
	const r = e.getBoundingClientRect();
	return r.width > 0 && (r.height < 43.5 || r.width < 43.5);
}).map((e) => e.outerHTML.slice(0, 90))`

// FitsAndIsAccessible fails the test where what is on the screen reaches beyond it,
// is too small to tap, is not for people to read or breaks a rule of axe-core, in
// light or dark. It keeps a picture by that name.
func (p *Phone) FitsAndIsAccessible(name string) {
	p.T.Helper()
	for _, got := range [][]string{Ask[[]string](p, TooWide), Ask[[]string](p, TooSmall)} {
		if len(got) > 0 {
			p.T.Errorf("%s: %q", name, got)
		}
	}
	p.ReadsAsWords(name)
	p.Shoot(name)
	for _, dark := range []bool{false, true} {
		p.Dark(dark)
		for _, f := range p.Axe() {
			p.T.Errorf("%s, dark %t: %s", name, dark, f)
		}
	}
	p.Dark(false)
}

// shownTexts are the texts on the screen, and those that are read out.
const shownTexts = `(() => {
	const texts = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	while (walk.nextNode()) {
		const of = walk.currentNode.parentElement;
		if (!of.closest("script, style, template") && (of.checkVisibility() || of.closest("select")?.checkVisibility())) texts.push(walk.currentNode.data.trim());
	}
	for (const named of document.querySelectorAll("[aria-label], [placeholder], [title], [alt]")) {
		if (named.checkVisibility()) for (const name of ["aria-label", "placeholder", "title", "alt"]) texts.push(named.getAttribute(name) || "");
	}
	return texts.filter(Boolean);
})()`

// ReadsAsWords fails the test where what is on the screen has codes of the built-in
// books, names of files or dates as the tables write them.
func (p *Phone) ReadsAsWords(name string) {
	p.T.Helper()
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		p.T.Fatal(err)
	}
	unfit, texts := wordstest.New(p.T, books), Ask[[]string](p, shownTexts)
	if len(texts) == 0 {
		p.T.Errorf("%s: nothing is on the screen", name)
	}
	for _, text := range texts {
		for _, why := range unfit.In(text) {
			p.T.Errorf("%s shows %s", name, why)
		}
	}
}
