package form

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/data"
)

// identify gives what a van must have.
func (p *phone) identify() {
	p.T.Helper()
	p.Tap("[name=body][value=overcab]")
	p.Type("#f-reg", "AB01 CDE")
	p.Type("#f-maker", "Brackwater")
	p.Type("#f-model", "Tern 640")
	p.Pick("#f-first_registered", "2016-05-01")
	p.Type("#f-mileage", "41,200")
	p.Pick("#f-taken_on", "2026-03-09")
}

func TestBuyerTakesAReport(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.Type("#f-inspector", "Una Marl")
	p.whole()
	p.Tap("#next")
	for _, word := range []string{"gas-locker", "hob", "hookup", "co-alarm"} {
		p.Tap("[name=equipment][value=" + word + "]")
	}

	p.step("zone-outside")
	p.Tap("#wipers .verdicts label:nth-child(2)")
	p.Tap("#mirrors .places [value='*']") // both
	p.Tap("#mirrors .verdicts label:nth-child(1)")
	p.Tap("#wipers .foot summary")
	p.Type("#wipers textarea", "Smears, left blade")
	p.step("wheel-nearside-front")
	p.Type("#tyre-tread .value input", "2,5 mm") // a decimal comma and the unit are forgiven
	p.Type("#tyre-code .value input", "2319")
	p.Tap("#wheel-nuts .verdicts label:nth-child(3)")
	p.Tap("#next") // the next wheel, from its top
	p.Wait(`here === "wheel-nearside-rear" && scrollY === 0`)
	p.Tap("#wheel-nuts .verdicts label:nth-child(1)")
	p.Tap("#wheel-nuts .same") // the other two, not the defect

	p.step("zone-gas")
	p.Pick("#gas-hose-date .value input", "2021-04")
	if said := browsertest.Ask[string](p.Phone, "document.querySelector('#gas-hose-date .says').textContent"); said != "By its limits: worn, due Apr 2026" {
		t.Errorf("of the hose it says %q", said)
	}
	p.Shoot("form-due")
	p.Tap("#gas-drop .verdicts label:nth-child(5)") // left to the engineer

	p.step("zone-living")
	p.Tap(".to-side[value=overcab]")
	p.Tap("[value=overcab-nearside-low]")
	p.Keystrokes("#damp .value input", "31\r9") // Enter moves on to the next place
	p.Tap(".to-side[value=nearside]")
	p.Tap("#damp .side summary")
	p.Type("#damp .side details input", "Under the seat")
	p.Tap("#damp .side details button")
	p.Type("#damp .value input", "12")

	p.step("zone-safety")
	p.Pick("#co-alarm-expiry .value input", "2025-06")
	p.Tap("#several")
	p.Tap("#jack > .tick")
	p.Tap("#tow-eye > .tick")
	p.Tap("#mark")

	p.step("paperwork")
	p.Tap("#adds [data-paper=mot][value=yes]")
	p.Pick(".paper:nth-child(1) [data-cell=dated]", "2025-09-12")
	p.Tap(".paper:nth-child(1) .year")
	p.Type(".paper:nth-child(1) [data-cell=mileage]", "39 900")
	p.Pick(".paper:nth-child(1) [data-cell=evidence]", "online")
	p.Tap("#adds [data-paper=habitation-service][value=promised]")
	p.Tap(".paper:nth-child(2) summary")
	p.Tap(".paper:nth-child(2) .tick:has([value=damp])")
	p.Tap(".paper:nth-child(2) .tick:has([value=gas])")
	p.step("paperwork") // shows what was kept

	yard := p.takeYard()
	p.Quiet()
	if len(yard.Vans) != 1 {
		t.Fatalf("%d vans", len(yard.Vans))
	}
	v := yard.Vans[0]
	got := []any{v.StockID, v.Reg, v.Maker, v.Model, v.Body, v.FirstRegistered.String(), v.Mileage, v.Status, v.Equipment}
	want := []any{"AB01CDE", "AB01 CDE", "Brackwater", "Tern 640", data.Overcab, "2016-05-01", 41200, data.Offered,
		[]string{"co-alarm", "gas-locker", "hob", "hookup"}}
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
		{"co-alarm-expiry", "", "2025-06", "date", "", ""},
		{"damp", "nearside-under-the-seat-low", "12", "percent", "", ""},
		{"damp", "overcab-nearside-low", "31", "percent", "", ""},
		{"damp", "overcab-nearside-middle", "9", "percent", "", ""},
		{"gas-drop", "", "", "mbar", "untested", ""},
		{"gas-hose-date", "", "2021-04", "date", "", ""},
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
		{"wipers", "", "", "", "worn", "Smears, left blade"},
	}
	if diff := cmp.Diff(wantLines, lines); diff != "" {
		t.Error(diff)
	}
	wantPapers := []data.Document{
		{StockID: "AB01CDE", Kind: "habitation-service", Covers: []string{"damp", "gas"}, Held: "promised"},
		{StockID: "AB01CDE", Kind: "mot", Dated: data.NewDate(2025, 9, 12), Mileage: data.Some(39900), Evidence: "online", Held: "yes", Expires: data.NewDate(2026, 9, 11)},
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
		p.Pick("#f-"+name, text)
	}
	p.whole()
	p.step("zone-cab")
	p.Tap("#horn .verdicts label:nth-child(4)")
	p.Pick("#horn textarea", note)
	p.step("paperwork")
	p.Tap("#adds [data-paper=other][value=no]")
	p.Pick(".paper textarea", note)
	p.Reload("typeof here === 'string' && !document.querySelector('#ready')")
	yard := p.takeYard()
	p.Quiet()
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
	p.step("wheel-nearside-front")
	p.Tap("#several")
	if n := browsertest.Ask[int](p.Phone, "document.querySelectorAll('#points .tick input:checked').length"); n != 0 {
		t.Errorf("%d points are ticked before anybody ticked one", n)
	}
	if yard := p.takeYard(); len(yard.Readings) != 0 {
		t.Errorf("an untouched form gives readings: %v", yard.Readings)
	}
	if got := browsertest.Ask[string](p.Phone, "document.querySelector('#count').textContent"); !strings.HasPrefix(got, "0 of ") {
		t.Errorf("the count says %q", got)
	}
	p.Quiet()
}

func TestReloadKeepsAndThrowingAwayAsks(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.whole()
	p.step("zone-cab")
	p.Tap("#horn .verdicts label:nth-child(2)")
	p.Reload(ready)
	if !browsertest.Ask[bool](p.Phone, "document.querySelector('#horn [value=worn]').checked && field('model') === 'Tern 640'") {
		t.Error("a reload lost what was entered")
	}
	first := browsertest.Ask[string](p.Phone, "van.id")
	p.step("all")
	p.Tap("#step-all .new-van")
	p.Wait("van.id !== '" + first + "'")
	p.Type("#f-reg", "AB01 XYZ")
	p.step("all")
	p.Tap("#step-all .again")
	p.Tap("#ask-no")
	if !browsertest.Ask[bool](p.Phone, "field('reg') === 'AB01 XYZ'") {
		t.Error("keeping it threw it away")
	}
	p.Tap("#step-all .again")
	p.Tap("#ask-yes")
	p.Wait("van.id === '" + first + "'")
	p.Reload(ready)
	if !browsertest.Ask[bool](p.Phone, "vans.length === 1 && field('model') === 'Tern 640'") {
		t.Error("throwing one van away touched the other, or left it")
	}
	p.Quiet()
}

// A browser that stores nothing still gives the files, and says what it lacks.
func TestWithoutStorage(t *testing.T) {
	p := openForm(t)
	browsertest.Call(p.Phone, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{
		Source: `for (const name of ["localStorage", "sessionStorage", "indexedDB"]) Object.defineProperty(window, name, {get() { throw new DOMException("refused", "SecurityError"); }});`,
	})
	p.Reload("typeof here === 'string' && !document.querySelector('#ready')")
	p.identify()
	if got := browsertest.Ask[string](p.Phone, "document.querySelector('#kept').textContent"); !strings.HasPrefix(got, "Not kept") {
		t.Errorf("it says %q", got)
	}
	if yard := p.takeYard(); len(yard.Vans) != 1 {
		t.Error("no van came of it")
	}
	p.Quiet()
}

// What check would reject is named, with the way to it, and holds the files
// back until it is put right.
func TestProblemsHoldTheFilesBack(t *testing.T) {
	p := openForm(t)
	p.step("finish")
	wants := func(words ...string) {
		t.Helper()
		said := browsertest.Ask[string](p.Phone, "document.querySelector('#problems').textContent")
		for _, w := range words {
			if !strings.Contains(said, w) {
				t.Errorf("the problems do not name %q: %s", w, said)
			}
		}
		if blocked := browsertest.Ask[bool](p.Phone, "document.querySelector('#slip [value=save]').disabled"); blocked != (len(words) > 0) {
			t.Errorf("files held back: %t", blocked)
		}
	}
	wants("Choose the body", "Stock number is needed", "Maker is needed", "Mileage is needed")
	p.step("van")
	p.identify()
	p.Type("#f-stock_id", "/é") // behind what the registration gave
	p.Pick("#f-max_mass_kg", "3500")
	p.Pick("#f-running_mass_kg", "3600")
	p.Pick("#f-guide", "12k")
	p.whole()
	p.step("zone-cab")
	p.Type("#handbrake-travel .value input", "7.5")
	p.step("paperwork")
	p.Tap("#adds [data-paper=mot][value=yes]")
	p.Pick(".paper [data-cell=dated]", "2026-01-02")
	p.Pick(".paper [data-cell=expires]", "2026-01-01")
	p.step("finish")
	wants("Stock number: 1 to 20", "More than the maximum mass", "Price guide's retail figure", "Handbrake travel: A whole number",
		"MOT: Not before its date")
	p.Tap("#problems a") // leads to the first of them
	p.Wait("document.activeElement.id === 'f-stock_id'")
	for id, value := range map[string]string{"stock_id": "V-7", "running_mass_kg": "3100", "guide": "£52,995.00"} {
		p.Pick("#f-"+id, value)
	}
	p.step("zone-cab")
	p.Pick("#handbrake-travel .value input", "7")
	p.step("paperwork")
	p.Pick(".paper [data-cell=expires]", "2027-01-01")
	p.step("finish")
	wants()
	yard := p.takeYard()
	if v := yard.Vans[0]; v.StockID != "V-7" || v.Guide.Value.String() != "52995" || v.RunningMassKg.Value != 3100 {
		t.Errorf("got %+v", v)
	}
	p.Quiet()
}

// Readings of what was taken off the van again are not lost without a word.
func TestTakingEquipmentOffIsSaid(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.whole()
	p.step("fitted")
	p.Tap("[name=equipment][value=hob]")
	p.step("zone-gas")
	p.Tap("#gas-taps .verdicts label:nth-child(1)")
	p.step("fitted")
	p.Tap("[name=equipment][value=hob]")
	if yard := p.takeYard(); len(yard.Readings) != 0 {
		t.Errorf("a van without gas has readings of it: %v", yard.Readings)
	}
	if said := browsertest.Ask[string](p.Phone, "document.querySelector('#left-out').textContent"); !strings.Contains(said, "Appliance shut-off taps") {
		t.Errorf("left out: %q", said)
	}
	p.Quiet()
}

func TestEveryStepFitsThumbAndScreen(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.Do(browsertest.JS("for (const b of document.querySelectorAll('[name=equipment]')) van.set('fitted:' + b.value, true); van.set('full', true); fillVan(); route()"))
	p.step("fitted")
	p.Tap(".tick:has([name=twin])")
	p.Tap(".tick:has([name=spare])")
	p.Pick("#f-model", strings.Repeat("W", 200))
	p.step("paperwork")
	p.Tap("#adds [data-paper=mot][value=yes]")
	codes := browsertest.Ask[[]string](p.Phone, "steps().map((s) => s.code).concat('all')")
	for _, width := range []int64{320, 390, 1280} {
		p.Do(chromedp.EmulateViewport(width, 844))
		for _, code := range codes {
			p.step(code)
			p.Do(browsertest.JS("for (const d of document.querySelectorAll('details')) d.open = true"))
			sides := []string{""}
			if code == "zone-living" {
				sides = data.DampSides
			}
			for _, side := range sides {
				if side != "" {
					p.Tap(".to-side[value=" + side + "]")
				}
				if got := browsertest.Ask[[]string](p.Phone, browsertest.TooWide); len(got) > 0 {
					t.Errorf("%s %s at %d px is too wide: %s", code, side, width, got)
				}
				if got := browsertest.Ask[[]string](p.Phone, browsertest.TooSmall); len(got) > 0 && width >= 390 {
					t.Errorf("%s %s at %d px is too small to tap: %s", code, side, width, got)
				}
				if width >= 390 {
					p.Shoot(fmt.Sprintf("form-%s%s-%d", code, side, width))
				}
			}
		}
	}
	p.Quiet()
}

// What the form says of a value by its limits is what the appraisal will say.
func TestLimitsSpeakAsTheAppraisal(t *testing.T) {
	p := openForm(t)
	asOf := data.NewDate(2026, 3, 9)
	books := builtInBooks(t)
	van := data.Van{StockID: "V1", Body: data.Overcab, FirstRegistered: data.NewDate(2012, 1, 1), Equipment: data.EquipmentWords}
	van.Equipment = slices.DeleteFunc(slices.Clone(van.Equipment), func(w string) bool { return w == "battery-agm" || w == "battery-lithium" })
	p.Pick("#f-taken_on", asOf.String())

	type trial struct{ Code, Value string }
	var trials []trial
	policy := data.DefaultPolicy()
	for _, c := range books.Checkpoints {
		limits := appraise.LimitsOf(&c, &policy)
		for _, limit := range limits.Steps() {
			switch {
			case strings.HasSuffix(c.Code, "alarm-expiry"):
				trials = append(trials, trial{c.Code, asOf.String()}, trial{c.Code, asOf.AddDays(100).String()}, trial{c.Code, "2026-02"}, trial{c.Code, "2026-12"})
			case c.Unit == "date":
				day := asOf.AddMonths(-int(12 * limit.At))
				trials = append(trials, trial{c.Code, day.String()}, trial{c.Code, day.AddDays(1).String()}, trial{c.Code, day.AddDays(-1).String()},
					trial{c.Code, day.String()[:7]}, trial{c.Code, day.AddMonths(-1).String()[:7]}) // a month counts to its end
			case c.Unit == "code":
				for _, week := range []int{9, 10, 11, 12} { // 9 March 2026 is the Monday of week 11
					trials = append(trials, trial{c.Code, fmt.Sprintf("%02d%02d", week, 26-int(limit.At))})
				}
			case data.UnitOf(c.Unit).Whole:
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
	said := browsertest.Ask[[]string](p.Phone, fmt.Sprintf("%s.map((t) => judge(points.get(t.Code), t.Value))", asked))
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
		a := appraise.Assess(van, yard.Readings[fmt.Sprintf("V%d", i)], nil, nil, books, data.DefaultPolicy(), asOf)
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
	p.Quiet()
}

// Every step is held against axe-core, in light and dark.
func TestAxeFindsNothing(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.Do(browsertest.JS("for (const b of document.querySelectorAll('[name=equipment]')) van.set('fitted:' + b.value, true); van.set('full', true); fillVan(); route()"))
	p.step("paperwork")
	p.Tap("#adds [data-paper=mot][value=yes]")
	codes := browsertest.Ask[[]string](p.Phone, "steps().map((s) => s.code).concat('all')")
	codes = slices.DeleteFunc(codes, func(c string) bool { return strings.HasPrefix(c, "wheel-") && c != "wheel-nearside-front" }) // all alike
	for _, look := range []struct {
		width int64
		dark  bool
	}{{390, false}, {390, true}, {1280, false}} {
		p.Do(chromedp.EmulateViewport(look.width, 844))
		p.Dark(look.dark)
		for _, code := range codes {
			p.step(code)
			switch code {
			case "wheel-nearside-front":
				p.Tap("#tyre-tread .verdicts label")
			case "zone-living":
				p.Tap(".to-side[value=nearside]")
				p.Tap("[value=nearside-rear-low]")
				p.Type("#damp .value input", "9x")
			}
			p.Do(browsertest.JS("for (const d of document.querySelectorAll('details')) d.open = true"))
			p.ReadsAsWords(code)
			for _, f := range p.Axe() {
				t.Errorf("%s, %+v: %s", code, look, f)
			}
		}
	}
}
