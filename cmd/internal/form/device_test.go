package form

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/data"
)

// A form that was saved on the phone needs no network from its opening to the slip.
func TestAirplaneMode(t *testing.T) {
	p := openForm(t)
	p.Airplane(true)
	p.Reload(ready)
	p.identify()
	p.whole()
	p.step("zone-cab")
	p.Tap("#horn .verdicts label:nth-child(3)")
	if s := p.takeSlip(); len(s.Table("readings.csv")) != 1 || len(s.Table("vans.csv")) != 1 {
		t.Errorf("the slip holds %v", s.Table("readings.csv"))
	}
	p.Quiet()
}

// The phone reloads the page after every single entry, as one that is short of
// memory does when another app was looked at.
func TestReloadAtEveryStep(t *testing.T) {
	p := openForm(t)
	reload := func() {
		t.Helper()
		here := browsertest.Ask[string](p.Phone, "here")
		p.Reload(ready)
		if now := browsertest.Ask[string](p.Phone, "here"); now != here {
			t.Errorf("a reload of %s shows %s", here, now)
		}
	}
	for _, step := range []func(){
		func() { p.Tap("[name=body][value=overcab]") },
		func() { p.Type("#f-reg", "AB01 CDE") },
		func() { p.Type("#f-maker", "Brackwater") },
		func() { p.Type("#f-model", "Tern 640") },
		func() { p.Pick("#f-first_registered", "2016-05-01") },
		func() { p.Type("#f-mileage", "41200") },
		func() { p.Type("#f-inspector", "Una Marl") },
		func() { p.step("fitted"); p.Tap("[name=equipment][value=hob]") },
		func() { p.Tap("[name=equipment][value=gas-locker]") },
		func() { p.step("all"); p.Tap("#scope") }, // the whole walk
		func() { p.step("zone-outside"); p.Tap("#wipers .verdicts label:nth-child(2)") },
		func() { p.Tap("#wipers .foot summary"); p.Type("#wipers textarea", "Smears") },
		func() { p.Tap("#mirrors .places [value=nearside]"); p.Tap("#mirrors .verdicts label:nth-child(1)") },
		func() { p.step("wheel-nearside-front"); p.Type("#tyre-tread .value input", "2.5") },
		func() { p.step("zone-gas"); p.Pick("#gas-hose-date .value input", "2022-04") },
		func() {
			p.step("zone-living")
			p.Tap(".to-side[value=rear]")
			p.Tap(".spot")
			p.Keystrokes("#damp .value input", "31")
		},
		func() { p.step("zone-safety"); p.Tap("#several"); p.Tap("#jack > .tick"); p.Tap("#mark") },
		func() { p.step("paperwork"); p.Tap("#adds [data-paper=mot][value=yes]") },
		func() { p.Pick(".paper [data-cell=dated]", "2026-01-12") },
		func() { p.Tap(".paper .year") },
		func() { p.step("finish") },
	} {
		step()
		reload()
	}
	s := p.TakeSlip()
	p.Quiet()
	var got []string
	for _, r := range s.Table("readings.csv") {
		got = append(got, strings.Join([]string{r["checkpoint"], r["position"], r["value"], r["verdict"], r["note"]}, "|"))
	}
	want := []string{
		"wipers|||worn|Smears", "mirrors|nearside||sound|", "tyre-tread|nearside-front|2.5||", "gas-hose-date||2022-04||",
		"damp|rear-nearside-low|31||", "jack|||sound|",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	v, paper := s.Table("vans.csv")[0], s.Table("documents.csv")[0]
	if v["stock_id"] != "AB01CDE" || v["model"] != "Tern 640" || v["mileage"] != "41200" || v["equipment"] != "gas-locker;hob" || paper["expires"] != "2027-01-11" {
		t.Errorf("the van is %v, its paper %v", v, paper)
	}
}

// A second van is looked at while the first one's is half done: each slip has its
// own van and nothing of the other's.
func TestTwoVansInTurn(t *testing.T) {
	p := openForm(t)
	begin := func(reg string) {
		p.Tap("[name=body][value=overcab]")
		p.Type("#f-reg", reg)
		p.Type("#f-maker", "Brackwater")
		p.Type("#f-model", "Tern 640")
		p.Pick("#f-first_registered", "2016-05-01")
		p.Type("#f-mileage", "41200")
		p.whole()
	}
	begin("AB01 CDE")
	p.step("zone-cab")
	p.Tap("#horn .verdicts label:nth-child(3)")
	p.step("vans")
	p.Tap("#step-vans .new-van")
	p.Wait(`here === "van" && field("reg") === ""`)
	begin("AB01 XYZ")
	p.step("zone-cab")
	p.Tap("#horn .verdicts label:nth-child(1)")
	second := p.takeSlip()
	p.step("vans")
	p.Tap("#vans li:nth-child(2) button")
	p.Wait(`field("reg") === "AB01 CDE"`)
	p.step("zone-cab")
	p.Tap("#odometer .verdicts label:nth-child(1)")
	first := p.takeSlip()
	p.Quiet()
	for _, tt := range []struct {
		slip browsertest.Slip
		want string
	}{
		{first, "AB01CDE: AB01CDE odometer sound, AB01CDE horn defect, "},
		{second, "AB01XYZ: AB01XYZ horn sound, "},
	} {
		got := tt.slip.Table("vans.csv")[0]["stock_id"] + ": "
		for _, r := range tt.slip.Table("readings.csv") {
			got += r["stock_id"] + " " + r["checkpoint"] + " " + r["verdict"] + ", "
		}
		if len(tt.slip.Table("vans.csv")) != 1 || got != tt.want {
			t.Errorf("the slip holds %s, want %s", got, tt.want)
		}
	}
}

// The browser is killed in the middle of a note and started again with what it had
// on the disk: nothing is lost that the page had put there, which takes it a moment,
// and a note is never another one than was typed.
func TestDeadBattery(t *testing.T) {
	dir := t.TempDir()
	file, profile := filepath.Join(dir, "form.html"), filepath.Join(dir, "profile")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := Write(f, Yard{Books: builtInBooks(t), Policy: data.DefaultPolicy()}); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	address := browsertest.File(file)
	start := func() *phone {
		t.Helper()
		p := &phone{browsertest.OpenOwn(t, profile, address), address}
		p.Wait(ready)
		return p
	}
	const sentence = "Smears on the left, the blade is split near its end. "
	p := start()
	p.identify()
	p.whole()
	p.step("zone-outside")
	p.Tap("#wipers .verdicts label:nth-child(2)")
	typed := ""
	for i := range 4 {
		at := i%2 == 1 // in the middle of a word; else a moment after it
		words := fmt.Sprintf("%d %s", i, sentence)
		p.Tap("#wipers .foot summary")
		p.Do(browsertest.JS(`document.querySelector("#wipers textarea").focus()`))
		p.Keystrokes("#wipers textarea", words)
		typed += words
		if !at {
			began := time.Now()
			p.Wait(`van.writing === null && Object.keys(van.late).length === 0`)
			t.Logf("battery %d: on the disk after %d ms", i, time.Since(began).Milliseconds())
		}
		p.Kill()
		p = start()
		p.step("zone-outside")
		kept := browsertest.Ask[string](p.Phone, `document.querySelector("#wipers textarea").value`)
		if !at && kept != typed || !strings.HasPrefix(typed, kept) || len(kept) < len(typed)-len(words) {
			t.Fatalf("after %q was typed, %q is there", typed, kept)
		}
		t.Logf("battery %d: %d of %d characters that were typed in the last moment are lost", i, len(typed)-len(kept), len(words))
		typed = kept
		if got := browsertest.Ask[string](p.Phone, `[field("reg"), field("mileage"), readingAt(points.get("wipers"), "").verdict].join()`); got != "AB01 CDE,41,200,worn" {
			t.Errorf("of the van is left: %s", got)
		}
	}
	p.Quiet()
}

// A second visit to a van that was handed in begins anew: what was read on the first
// day is not said to be read on the second, and the van's status stays the yard's.
func TestAnotherVisitBringsOnlyItsOwnReadings(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.whole()
	p.step("zone-cab")
	p.Tap("#horn .verdicts label:nth-child(3)")
	first := p.takeSlip()
	p.Tap("#revisit button")
	p.Wait(`here === "van" && readings().length === 0`)
	p.Pick("#f-mileage", "41300")
	p.step("zone-cab")
	p.Tap("#odometer .verdicts label:nth-child(1)")
	second := p.takeSlip()
	p.Quiet()
	if rows := first.Table("vans.csv"); len(rows) != 1 || rows[0]["status"] != "offered" {
		t.Errorf("the first slip says of the van %v", rows)
	}
	if diff := cmp.Diff([]map[string]string{{"stock_id": "AB01CDE", "mileage": "41300"}}, second.Table("vans.csv")); diff != "" {
		t.Error(diff)
	}
	rows := second.Table("readings.csv")
	if len(rows) != 1 || rows[0]["checkpoint"] != "odometer" || rows[0]["taken_on"] == "2026-03-09" {
		t.Errorf("the second slip reads %v", rows)
	}
}
