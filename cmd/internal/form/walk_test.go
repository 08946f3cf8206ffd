package form

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// takeYard downloads the three files and reads them as a yard.
func (p *phone) takeYard() *data.Yard {
	p.t.Helper()
	p.step("finish")
	files := fstest.MapFS{}
	for _, name := range []string{"vans.csv", "readings.csv", "documents.csv"} {
		files[name] = &fstest.MapFile{Data: []byte(p.take(name))}
	}
	yard, err := data.Load(p.ctx, files, data.LoadOptions{})
	if err != nil {
		p.t.Fatal(err)
	}
	for _, r := range yard.Rejects {
		p.t.Errorf("rejected: %s", r)
	}
	for _, w := range yard.Warnings {
		if !strings.Contains(w, "is missing") {
			p.t.Errorf("warning: %s", w)
		}
	}
	return yard
}

// identify gives what a van must have.
func (p *phone) identify() {
	p.t.Helper()
	p.tap("[name=body][value=overcab]")
	p.typeInto("#f-reg", "AB01 CDE")
	p.typeInto("#f-maker", "Brackwater")
	p.typeInto("#f-model", "Tern 640")
	p.pick("#f-first_registered", "2016-05-01")
	p.typeInto("#f-mileage", "41,200")
	p.pick("#f-taken_on", "2026-03-09")
}

func TestBuyerTakesAReport(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.typeInto("#f-inspector", "Una Marl")
	p.tap("#next")
	for _, word := range []string{"gas-locker", "hob", "hookup", "co-alarm"} {
		p.tap("[name=equipment][value=" + word + "]")
	}

	p.step("zone-outside")
	p.tap("#wipers .verdicts label:nth-child(2)")
	p.tap("#mirrors .places [value='*']") // both
	p.tap("#mirrors .verdicts label:nth-child(1)")
	p.tap("#wipers .foot summary")
	p.typeInto("#wipers textarea", "Smears, left blade")
	picture := filepath.Join(t.TempDir(), "IMG_2041.jpg")
	if err := os.WriteFile(picture, []byte("not looked into"), 0o644); err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.SetUploadFiles(chromedp.CSS("#wipers [type=file]"), []string{picture}))

	p.step("zone-tyres")
	p.tap("#standing [value=nearside-front]")
	p.typeInto("#tyre-tread .value input", "2,5 mm") // a decimal comma and the unit are forgiven
	p.typeInto("#tyre-code .value input", "2319")
	p.tap("#wheel-nuts .verdicts label:nth-child(3)")
	p.tap("#standing [value='*']")
	p.tap("#wheel-nuts .verdicts label:nth-child(1)") // the other three, not the defect

	p.step("zone-gas")
	p.pick("#gas-hose-date .value input", "2021-04-01")
	p.tap("#gas-drop .verdicts label:nth-child(5)") // left to the engineer

	p.step("zone-living")
	p.tap(".to-side[value=overcab]")
	p.tap("[value=overcab-nearside-low]")
	p.typeInto("#damp .value input", "31\r9") // Enter moves on to the next spot
	p.tap(".to-side[value=nearside]")
	p.tap("#damp .map summary")
	p.typeInto("#damp .map details input", "Under the seat")
	p.tap("#damp .map details button")
	p.typeInto("#damp .value input", "12")

	p.step("zone-safety")
	p.pick("#co-alarm-expiry .value input", "2025-06-30")
	p.tap("#several")
	p.tap("#jack > .tick")
	p.tap("#tow-eye > .tick")
	p.tap("#mark")

	p.step("paperwork")
	p.tap("#adds [value=mot]")
	p.tap("#paper-0 .verdicts label:nth-child(1)")
	p.pick("#paper-0 [data-cell=dated]", "2025-09-12")
	p.pick("#paper-0 [data-cell=expires]", "2026-09-11")
	p.typeInto("#paper-0 [data-cell=mileage]", "39 900")
	p.pick("#paper-0 [data-cell=evidence]", "online")
	p.tap("#adds [value=habitation-service]")
	p.tap("#paper-1 .verdicts label:nth-child(2)")
	p.tap("#paper-1 summary")
	p.tap("#paper-1 .tick:has([value=damp])")
	p.tap("#paper-1 .tick:has([value=gas])")
	p.step("paperwork") // shows what was kept

	yard := p.takeYard()
	p.quiet()
	if len(yard.Vans) != 1 {
		t.Fatalf("%d vans", len(yard.Vans))
	}
	v := yard.Vans[0]
	got := []any{v.StockID, v.Reg, v.Maker, v.Model, v.Body, v.FirstRegistered.String(), v.Mileage, v.Status, v.Equipment}
	want := []any{"AB01CDE", "AB01 CDE", "Brackwater", "Tern 640", data.Overcab, "2016-05-01", 41200, data.Offered,
		[]string{"gas-locker", "hookup", "hob", "co-alarm"}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	type line struct{ Checkpoint, Position, Value, Unit, Verdict, Note string }
	var lines []line
	for _, r := range yard.Readings["AB01CDE"] {
		if r.TakenOn.String() != "2026-03-09" || r.Inspector != "Una Marl" {
			t.Errorf("%s was taken on %s by %q", r.Checkpoint, r.TakenOn, r.Inspector)
		}
		lines = append(lines, line{r.Checkpoint, r.Position, r.Value, r.Unit, r.Verdict.String(), r.Note})
	}
	wantLines := []line{
		{"co-alarm-expiry", "", "2025-06-30", "date", "", ""},
		{"damp", "nearside-under-the-seat-low", "12", "percent", "", ""},
		{"damp", "overcab-nearside-low", "31", "percent", "", ""},
		{"damp", "overcab-nearside-middle", "9", "percent", "", ""},
		{"gas-drop", "", "", "mbar", "untested", ""},
		{"gas-hose-date", "", "2021-04-01", "date", "", ""},
		{"jack", "", "", "", "sound", ""},
		{"mirrors", "nearside", "", "", "sound", ""},
		{"mirrors", "offside", "", "", "sound", ""},
		{"tow-eye", "", "", "", "sound", ""},
		{"tyre-code", "nearside-front", "2319", "code", "", ""},
		{"tyre-tread", "nearside-front", "2.5", "mm", "", ""},
		{"wheel-nuts", "nearside-front", "", "", "defect", ""},
		{"wheel-nuts", "nearside-rear", "", "", "sound", ""},
		{"wheel-nuts", "offside-front", "", "", "sound", ""},
		{"wheel-nuts", "offside-rear", "", "", "sound", ""},
		{"wipers", "", "", "", "worn", "Smears, left blade\nPhotos: IMG_2041.jpg"},
	}
	if diff := cmp.Diff(wantLines, lines); diff != "" {
		t.Error(diff)
	}
	wantPapers := []data.Document{
		{StockID: "AB01CDE", Kind: "mot", Dated: data.NewDate(2025, 9, 12), Mileage: data.Some(39900), Evidence: "online", Held: "yes", Expires: data.NewDate(2026, 9, 11)},
		{StockID: "AB01CDE", Kind: "habitation-service", Covers: []string{"damp", "gas"}, Held: "promised"},
	}
	if diff := cmp.Diff(wantPapers, yard.Documents["AB01CDE"], cmpopts.IgnoreFields(data.Document{}, "Source")); diff != "" {
		t.Error(diff)
	}
}

// Whatever is typed comes out of the table as it went in, also after a reload.
func TestTextSurvives(t *testing.T) {
	typed := map[string]string{
		"maker":     `<script>alert("x")</script> & <b>'`,
		"model":     `=HYPERLINK("x";1),+2@3`,
		"site":      strings.Repeat("é🚐x", 66) + "to", // 200 characters
		"inspector": "-1+1, \"quoted\"; and semicolons",
	}
	note := "=1+1\n\"second\" line, <img src=x onerror=alert(1)> 🚐\n" + typed["site"]
	p := openForm(t)
	p.identify()
	for name, text := range typed {
		p.pick("#f-"+name, text)
	}
	p.step("zone-cab")
	p.tap("#horn .verdicts label:nth-child(4)")
	p.pick("#horn textarea", note)
	p.step("paperwork")
	p.tap("#adds [value=other]")
	p.tap("#paper-0 .verdicts label:nth-child(3)")
	p.pick("#paper-0 textarea", note)
	p.reload()
	yard := p.takeYard()
	p.quiet()
	v, r, d := yard.Vans[0], yard.Readings["AB01CDE"][0], yard.Documents["AB01CDE"][0]
	got := map[string]string{"maker": v.Maker, "model": v.Model, "site": v.Site, "inspector": r.Inspector}
	if diff := cmp.Diff(typed, got); diff != "" {
		t.Error(diff)
	}
	for _, got := range []string{r.Note, d.Note} {
		if got != note {
			t.Errorf("got the note %q, want %q", got, note)
		}
	}
}

func TestNothingIsSoundUnasked(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.step("zone-outside")
	p.step("zone-tyres")
	p.tap("#standing [value='*']") // choosing wheels enters nothing
	p.tap("#several")
	if n := ask[int](p, "document.querySelectorAll('#points .tick input:checked').length"); n != 0 {
		t.Errorf("%d points are ticked before anybody ticked one", n)
	}
	if yard := p.takeYard(); len(yard.Readings) != 0 {
		t.Errorf("an untouched form gives readings: %v", yard.Readings)
	}
	if got := ask[string](p, "document.querySelector('#count').textContent"); !strings.HasPrefix(got, "0 of ") {
		t.Errorf("the count says %q", got)
	}
	p.quiet()
}

func TestReloadKeepsAndStartAgainAsks(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.step("zone-cab")
	p.tap("#horn .verdicts label:nth-child(2)")
	p.reload() // at once: leaving the page keeps what was entered
	if !ask[bool](p, "document.querySelector('#horn [value=worn]').checked && state.fields.model === 'Tern 640'") {
		t.Error("a reload lost what was entered")
	}
	p.step("all")
	p.tap("#step-all .again")
	p.tap("#ask-no")
	if !ask[bool](p, "state.fields.model === 'Tern 640'") {
		t.Error("keeping it threw it away")
	}
	p.tap("#step-all .again")
	p.tap("#ask-yes")
	p.reload()
	if !ask[bool](p, "!state.fields.model && Object.keys(state.readings).length === 0 && document.querySelector('#f-model').value === ''") {
		t.Error("starting again left something")
	}
	p.quiet()
}

// A browser that stores nothing still gives the files, and says what it lacks.
func TestWithoutStorage(t *testing.T) {
	p := openForm(t)
	call(p, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{
		Source: `Object.defineProperty(window, "localStorage", {get() { throw new DOMException("refused", "SecurityError"); }});`,
	})
	p.reload()
	p.identify()
	if got := ask[string](p, "keep(), document.querySelector('#kept').textContent"); !strings.HasPrefix(got, "Not kept") {
		t.Errorf("it says %q", got)
	}
	if yard := p.takeYard(); len(yard.Vans) != 1 {
		t.Error("no van came of it")
	}
	p.quiet()
}

// What check would reject is named, with the way to it, and holds the files
// back until it is put right.
func TestProblemsHoldTheFilesBack(t *testing.T) {
	p := openForm(t)
	p.step("finish")
	wants := func(words ...string) {
		t.Helper()
		said := ask[string](p, "document.querySelector('#problems').textContent")
		for _, w := range words {
			if !strings.Contains(said, w) {
				t.Errorf("the problems do not name %q: %s", w, said)
			}
		}
		if blocked := ask[bool](p, "document.querySelector('[data-file=\"vans.csv\"]').disabled"); blocked != (len(words) > 0) {
			t.Errorf("files held back: %t", blocked)
		}
	}
	wants("Choose the body", "Stock number is needed", "Maker is needed", "Mileage is needed")
	p.step("van")
	p.identify()
	p.typeInto("#f-stock_id", "/é") // behind what the registration gave
	p.pick("#f-max_mass_kg", "3500")
	p.pick("#f-running_mass_kg", "3600")
	p.pick("#f-guide", "12k")
	p.step("zone-cab")
	p.typeInto("#handbrake-travel .value input", "7.5")
	p.step("paperwork")
	p.tap("#adds [value=mot]")
	p.pick("#paper-0 [data-cell=dated]", "2026-01-02")
	p.pick("#paper-0 [data-cell=expires]", "2026-01-01")
	p.step("finish")
	wants("Stock number: 1 to 20", "More than the maximum mass", "Price guide's retail figure", "Handbrake travel: A whole number",
		"Say whether it is held", "MOT: Not before its date")
	p.tap("#problems a") // leads to the first of them
	if _, err := chromedp.Run(p.ctx, chromedp.Poll[bool]("document.activeElement.id === 'f-stock_id'")); err != nil {
		t.Errorf("the first link leads to %q: %v", ask[string](p, "document.activeElement.id"), err)
	}
	for id, value := range map[string]string{"stock_id": "V-7", "running_mass_kg": "3100", "guide": "£52,995.00"} {
		p.pick("#f-"+id, value)
	}
	p.step("zone-cab")
	p.pick("#handbrake-travel .value input", "7")
	p.step("paperwork")
	p.tap("#paper-0 .verdicts label:nth-child(1)")
	p.pick("#paper-0 [data-cell=expires]", "2027-01-01")
	p.step("finish")
	wants()
	yard := p.takeYard()
	if v := yard.Vans[0]; v.StockID != "V-7" || v.Guide.Value.String() != "52995" || v.RunningMassKg.Value != 3100 {
		t.Errorf("got %+v", v)
	}
	p.quiet()
}

// Readings of what was taken off the van again are not lost without a word.
func TestTakingEquipmentOffIsSaid(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.step("fitted")
	p.tap("[name=equipment][value=hob]")
	p.step("zone-gas")
	p.tap("#gas-taps .verdicts label:nth-child(1)")
	p.step("fitted")
	p.tap("[name=equipment][value=hob]")
	if yard := p.takeYard(); len(yard.Readings) != 0 {
		t.Errorf("a van without gas has readings of it: %v", yard.Readings)
	}
	if said := ask[string](p, "document.querySelector('#left-out').textContent"); !strings.Contains(said, "Appliance shut-off taps") {
		t.Errorf("left out: %q", said)
	}
	p.quiet()
}

// tooWide and tooSmall look at everything that shows on a step.
const (
	tooWide = `[...document.querySelectorAll("body *")].filter((e) => {
		const r = e.getBoundingClientRect();
		return r.width > 0 && !e.closest(".skip, .shapes, .ticking legend") && (r.right > innerWidth + 1 || r.left < -1);
	}).map((e) => e.outerHTML.slice(0, 90)).concat(document.documentElement.scrollWidth > innerWidth ? ["the page itself"] : [])`
	tooSmall = `[...document.querySelectorAll("button, select, textarea, summary, .tick, .card, .verdicts label, .button, .field input, .value input, .links a")].filter((e) => {
		const r = e.getBoundingClientRect();
		return r.width > 0 && (r.height < 43.5 || r.width < 43.5);
	}).map((e) => e.outerHTML.slice(0, 90))`
)

func TestEveryStepFitsThumbAndScreen(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.do(js("state.equipment = [...document.querySelectorAll('[name=equipment]')].map((b) => b.value); fillVan(); route()"))
	p.step("fitted")
	p.tap(".tick:has([name=twin])")
	p.tap(".tick:has([name=spare])")
	p.pick("#f-model", strings.Repeat("W", 200))
	p.step("paperwork")
	p.tap("#adds [value=mot]")
	codes := ask[[]string](p, "steps().map((s) => s.code).concat('all')")
	for _, width := range []int64{320, 390, 1280} {
		p.do(chromedp.EmulateViewport(width, 844))
		for _, code := range codes {
			p.step(code)
			p.do(js("for (const d of document.querySelectorAll('details')) d.open = true"))
			if code == "zone-tyres" {
				p.tap("#standing button")
			}
			sides := []string{""}
			if code == "zone-living" {
				sides = data.DampSides
			}
			for _, side := range sides {
				if side != "" {
					p.tap(".to-side[value=" + side + "]")
				}
				if got := ask[[]string](p, tooWide); len(got) > 0 {
					t.Errorf("%s %s at %d px is too wide: %s", code, side, width, got)
				}
				if got := ask[[]string](p, tooSmall); len(got) > 0 && width >= 390 {
					t.Errorf("%s %s at %d px is too small to tap: %s", code, side, width, got)
				}
				if width == 390 {
					p.shoot(code + side)
				}
			}
		}
	}
	p.quiet()
}

// What the form says of a value by its limits is what the appraisal will say.
func TestLimitsSpeakAsTheAppraisal(t *testing.T) {
	p := openForm(t)
	asOf := data.NewDate(2026, 3, 9)
	books := builtInBooks(t)
	van := data.Van{StockID: "V1", Body: data.Overcab, FirstRegistered: data.NewDate(2012, 1, 1), Equipment: data.EquipmentWords}
	van.Equipment = slices.DeleteFunc(slices.Clone(van.Equipment), func(w string) bool { return w == "battery-agm" || w == "battery-lithium" })
	p.pick("#f-taken_on", asOf.String())

	type trial struct{ Code, Value string }
	var trials []trial
	for _, c := range books.Checkpoints {
		for _, limit := range limitSteps(c) {
			switch {
			case strings.HasSuffix(c.Code, "alarm-expiry"):
				trials = append(trials, trial{c.Code, asOf.String()}, trial{c.Code, asOf.AddDays(100).String()})
			case c.Unit == "date":
				day := asOf.AddMonths(-int(12 * limit.At))
				trials = append(trials, trial{c.Code, day.String()}, trial{c.Code, day.AddDays(1).String()}, trial{c.Code, day.AddDays(-1).String()})
			case c.Unit == "code":
				for _, week := range []int{9, 10, 11, 12} { // 9 March 2026 is the Monday of week 11
					trials = append(trials, trial{c.Code, fmt.Sprintf("%02d%02d", week, 26-int(limit.At))})
				}
			case units[c.Unit].Whole:
				for _, d := range []float64{-1, 0, 1} {
					trials = append(trials, trial{c.Code, fmt.Sprint(limit.At + d)})
				}
			default:
				for _, d := range []float64{-0.1, 0, 0.1} {
					trials = append(trials, trial{c.Code, fmt.Sprintf("%.1f", limit.At+d)})
				}
			}
		}
	}
	asked, err := json.Marshal(trials)
	if err != nil {
		t.Fatal(err)
	}
	said := ask[[]string](p, fmt.Sprintf("%s.map((t) => judge(points.get(t.Code), t.Value))", asked))
	vans, readings := "stock_id,maker,model,body,first_registered,mileage,status\n", "stock_id,taken_on,checkpoint,value\n"
	for i, tr := range trials {
		vans += fmt.Sprintf("V%d,M,N,overcab,2012-01-01,1,offered\n", i)
		readings += fmt.Sprintf("V%d,%s,%s,%s\n", i, asOf, tr.Code, tr.Value)
	}
	files := fstest.MapFS{"vans.csv": {Data: []byte(vans)}, "readings.csv": {Data: []byte(readings)}}
	yard, err := data.Load(t.Context(), files, data.LoadOptions{AsOf: asOf})
	if err != nil || len(yard.Rejects) > 0 {
		t.Fatal(err, yard.Rejects)
	}
	for i, tr := range trials {
		c, _ := books.Checkpoint(tr.Code)
		a := appraise.Assess(van, yard.Readings[fmt.Sprintf("V%d", i)], nil, books, data.DefaultPolicy(), asOf)
		k := slices.IndexFunc(a.Findings, func(f appraise.Finding) bool { return f.Code == tr.Code })
		if k < 0 {
			t.Errorf("%v: no finding", tr)
			continue
		}
		if want := a.Findings[k].Verdict.String(); said[i] != want {
			t.Errorf("%s %s %s: the form says %q, the appraisal %q: %s", tr.Code, tr.Value, c.Unit, said[i], want, a.Findings[k].Reason)
		}
	}
	if len(trials) < 100 {
		t.Errorf("only %d trials", len(trials))
	}
	p.quiet()
}

// axe-core is not part of the project: name its axe.min.js in AXE_CORE to hold
// every step against it, in light and dark.
func TestAxeFindsNothing(t *testing.T) {
	path := os.Getenv("AXE_CORE")
	if path == "" {
		t.Skip("AXE_CORE does not name axe.min.js: accessibility rules were not checked")
	}
	axe, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	p := openForm(t)
	p.identify()
	p.do(js("state.equipment = [...document.querySelectorAll('[name=equipment]')].map((b) => b.value); fillVan(); route()"))
	p.step("paperwork")
	p.tap("#adds [value=mot]")
	p.do(chromedp.Evaluate[chromedp.Void](string(axe)))
	for _, dark := range []bool{false, true} {
		p.dark(dark)
		for _, code := range ask[[]string](p, "steps().map((s) => s.code).concat('all')") {
			p.step(code)
			switch code {
			case "zone-tyres":
				p.tap("#standing button")
				p.tap("#tyre-tread .verdicts label")
			case "zone-living":
				p.tap(".to-side[value=nearside]")
				p.tap("[value=nearside-rear-low]")
				p.typeInto("#damp .value input", "9x")
			}
			p.do(js("for (const d of document.querySelectorAll('details')) d.open = true"))
			const run = `axe.run().then((r) => r.violations.map((v) => v.id + ": " + v.help + " " + v.nodes[0].html.slice(0, 150)))`
			found, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](run, chromedp.EvalAwaitPromise))
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range found {
				t.Errorf("%s, dark %t: %s", code, dark, f)
			}
		}
	}
}
