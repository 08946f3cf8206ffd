package daypage

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/data"
)

func TestMain(m *testing.M) { browsertest.Main(m) }

func aDay(t *testing.T) Page {
	t.Helper()
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	return Page{
		Technician: "Una Marl", AsOf: data.NewDate(2026, 3, 9), Books: books, List: "una-marl.html",
		Jobs: []Job{
			{StockID: "K1", Job: "damp-local-repair", Title: "Local damp repair", Places: "nearside rear", Bay: "Bay 2", Day: "2026-03-09", From: "08:00", Hours: "5.5", State: "open",
				Parts: []string{"wallboard", "sealant"}, Caution: "Wear a mask.",
				Again: []Again{{"damp", "nearside-rear-low", "Damp, nearside rear low", "percent", "24%"}}},
			{StockID: "K2", Job: "tyre-replace", Title: "Replace tyres", Day: "2026-03-09", From: "14:00", Hours: "2", Spent: "0.5", State: "started"},
			{StockID: "K1", Job: "valet", Title: "Valet", Day: "2026-03-10", From: "08:00", Hours: "3", State: "open"},
		},
		Vans: []Van{{"K1", "AB01 CDE", "Brackwater Tern 640", "../vans/K1-job-card.html"}, {"K2", "", "Larkfield Rail", ""}, {"K3", "AB01 XYZ", "Larkfield Moor", ""}},
	}
}

const ready = `typeof book === "object" && !document.querySelector("#ready")`

func open(t *testing.T) (*browsertest.Phone, string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "day.html")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := Write(f, aDay(t)); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	p := browsertest.OpenPhone(t, browsertest.File(file))
	p.Wait(ready)
	return p, browsertest.File(file)
}

// rows reads a table of a slip without the columns of the day of the test.
func rows(t *testing.T, s browsertest.Slip, name string, dated ...string) []map[string]string {
	t.Helper()
	out := s.Table(name)
	for _, r := range out {
		for _, column := range dated {
			if v, ok := r[column]; ok && v != "" && !strings.HasPrefix(v, "20") {
				t.Errorf("%s: %s is %q", name, column, v)
			}
			delete(r, column)
		}
		for column, v := range r {
			if v == "" {
				delete(r, column)
			}
		}
	}
	return out
}

func TestTechnicianSaysHowTheDayWent(t *testing.T) {
	p, _ := open(t)
	p.Tap(`[id="job-K1/damp-local-repair"] [value=started]`)
	p.Tap(`[id="job-K1/damp-local-repair"] [value=done]`)
	p.Wait(`!document.querySelector("#step-job").hidden`)
	p.Tap("#more")
	p.Type("#again-0", "13")
	p.Tap("#keep")
	p.Wait(`!document.querySelector("#step-jobs").hidden`)
	p.Tap(`[id="job-K2/tyre-replace"] [value=awaiting-parts]`)
	p.Wait(`!document.querySelector("#step-job").hidden`)
	p.Type("#note", "Two of four came")
	p.Tap("#keep")
	p.Wait(`!document.querySelector("#step-jobs").hidden`)
	p.Tap("#later-box summary")
	p.Tap(`[id="job-K1/valet"] [value=dropped]`)
	p.Wait(`!document.querySelector("#step-job").hidden`)
	p.Tap("#keep")
	p.Wait(`!document.querySelector("#step-jobs").hidden`)
	p.Tap("#found")
	p.Wait(`!document.querySelector("#step-found").hidden`)
	p.Pick("#found-van", "K3")
	p.Type("#find-point", "wiper")
	p.Tap("#found-points button")
	p.Tap("#step-found .verdicts label:nth-child(3)")
	p.Tap("#keep-found")
	p.Wait(`!document.querySelector("#step-jobs").hidden`)
	p.Reload(ready)
	p.Tap("#nav-news")
	p.Wait(`document.querySelectorAll("#news li").length === 5`)
	s := p.TakeSlip()
	p.Quiet()
	wantProgress := []map[string]string{
		{"stock_id": "K1", "job": "damp-local-repair", "state": "started", "technician": "Una Marl"},
		{"stock_id": "K1", "job": "damp-local-repair", "state": "done", "hours_spent": "5.75", "technician": "Una Marl"},
		{"stock_id": "K2", "job": "tyre-replace", "state": "awaiting-parts", "hours_spent": "0.5", "technician": "Una Marl", "note": "Two of four came"},
		{"stock_id": "K1", "job": "valet", "state": "dropped", "technician": "Una Marl"},
	}
	if diff := cmp.Diff(wantProgress, rows(t, s, "progress.csv", "on", "done_on")); diff != "" {
		t.Error(diff)
	}
	wantReadings := []map[string]string{
		{"stock_id": "K1", "inspector": "Una Marl", "checkpoint": "damp", "position": "nearside-rear-low", "value": "13", "unit": "percent"},
		{"stock_id": "K3", "inspector": "Una Marl", "checkpoint": "wipers", "verdict": "defect"},
	}
	if diff := cmp.Diff(wantReadings, rows(t, s, "readings.csv", "taken_on")); diff != "" {
		t.Error(diff)
	}
	if by := s.Table("slip.csv")[0]["by"]; by != "Una Marl" {
		t.Errorf("by %q", by)
	}
	if !browsertest.Ask[bool](p, `unsent(entry).length === 0 && document.querySelector("#slip [value=save]").disabled`) {
		t.Error("what was handed on is offered again")
	}
}

// The square of a job card has the job behind the page's address; another job
// than those planned can be chosen.
func TestSquareOpensItsJob(t *testing.T) {
	p, address := open(t)
	p.Do(browsertest.JS("location.hash = 'K2/tyre-replace'"))
	p.Wait(`document.querySelector("#h-job").textContent === "Replace tyres"`)
	p.Do(browsertest.JS("location.hash = 'K3/valet'"))
	p.Wait(`document.querySelector("#job-about").textContent.includes("AB01 XYZ")`)
	p.Do(browsertest.JS("go('/')"))
	p.Wait(`!document.querySelector("#pick-job").hidden`)
	p.Pick("#pick-van", "K3")
	p.Pick("#pick-code", "valet")
	p.Tap("#step-job .verdicts label:nth-child(2)")
	p.Do(browsertest.JS("document.querySelector('#hours').value = '1:99x'"))
	p.Tap("#keep")
	if !browsertest.Ask[bool](p, `!document.querySelector("#e-hours").hidden`) {
		t.Error("hours of 1:99x are taken")
	}
	for raw, want := range map[string]float64{"1h": 1, "1:15": 1.25, "1h15": 1.25, "1,5": 1.5, "0.25": 0.25} {
		if got := browsertest.Ask[float64](p, "readHours('"+raw+"').hours"); got != want {
			t.Errorf("%s is read as %v hours, want %v", raw, got, want)
		}
	}
	p.Quiet()
	_ = address
}

func TestEveryStepOfTheDayFitsAndIsAccessible(t *testing.T) {
	p, _ := open(t)
	for _, width := range []int64{390, 1280} {
		p.Do(chromedp.EmulateViewport(width, 844))
		for name, hash := range map[string]string{"jobs": "", "job": "K1/damp-local-repair", "other": "/", "found": "found", "handin": "news"} {
			p.Do(browsertest.JS("location.hash = %q; route()", hash))
			if name == "job" {
				p.Tap("#step-job .verdicts label:nth-child(2)")
			}
			if name == "found" {
				p.Do(browsertest.JS(`choosePoint(book.points.find((q) => q.code === "tyre-tread"))`))
			}
			p.Do(browsertest.JS("for (const d of document.querySelectorAll('details')) d.open = true"))
			p.FitsAndIsAccessible(fmt.Sprintf("day-%s-%d", name, width))
		}
	}
	p.Quiet()
}

// What cannot be measured is not kept; what was likely meant is one tap away.
func TestImpossibleValueOfTheDayIsNotKept(t *testing.T) {
	p, _ := open(t)
	p.Tap(`[id="job-K1/damp-local-repair"] [value=done]`)
	p.Wait(`!document.querySelector("#step-job").hidden`)
	p.Type("#again-0", "130")
	p.Tap("#keep")
	if n := browsertest.Ask[int](p, "unsent(entry).length"); n != 0 {
		t.Errorf("damp of 130 %% is kept")
	}
	p.Tap("#again button")
	p.Tap("#keep")
	p.Wait(`!document.querySelector("#step-jobs").hidden`)
	p.Tap("#found")
	p.Wait(`!document.querySelector("#step-found").hidden`)
	p.Type("#find-point", "tread")
	p.Tap("#found-points button")
	p.Type("#found-value", "29")
	if !browsertest.Ask[bool](p, `document.querySelector("#keep-found").disabled`) {
		t.Error("29 mm of tread may be kept")
	}
	p.Tap("#found-meant")
	p.Tap("#keep-found")
	p.Wait(`!document.querySelector("#step-jobs").hidden`)
	p.Tap("#nav-news")
	p.Wait(`!document.querySelector("#step-news").hidden`)
	got := ""
	for _, r := range p.TakeSlip().Table("readings.csv") {
		got += r["checkpoint"] + " " + r["value"] + ", "
	}
	if got != "damp 13, tyre-tread 2.9, " {
		t.Errorf("got %s", got)
	}
	p.Quiet()
}

// The page is loaded anew after every tap: what was entered of a job, or of
// something found, is there until it is kept.
func TestDayReloadedAtEveryStep(t *testing.T) {
	p, _ := open(t)
	picture := filepath.Join(t.TempDir(), "a.png")
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewRGBA(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(picture, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	p.Tap(`[id="job-K1/damp-local-repair"] [value=done]`)
	p.Wait(`!document.querySelector("#step-job").hidden`)
	for _, step := range []func(){
		func() { p.Tap("#more") },
		func() { p.Type("#again-0", "13") },
		func() { p.Type("#note", "Seam opened") },
		func() { p.Tap("#step-job [value=done]") },
		func() { p.Tap("#keep"); p.Wait(`!document.querySelector("#step-jobs").hidden`) },
		func() { p.Tap("#found"); p.Wait(`!document.querySelector("#step-found").hidden`) },
		func() { p.Pick("#found-van", "K3") },
		func() { p.Type("#find-point", "tread"); p.Tap("#found-points button") },
		func() { p.Pick("#found-position", "offside-front") },
		func() { p.Type("#found-value", "2.9") },
		func() {
			p.Do(chromedp.SetUploadFiles(chromedp.CSS("#found-photos [type=file]"), []string{picture}))
			p.Wait(`document.querySelectorAll("#found-photos img").length === 1`)
		},
		func() { p.Tap("#keep-found"); p.Wait(`!document.querySelector("#step-jobs").hidden`) },
	} {
		step()
		p.Reload(ready)
	}
	p.Tap("#nav-news")
	p.Wait(`document.querySelectorAll("#news li").length === 2`)
	s := p.TakeSlip()
	p.Quiet()
	wantProgress := []map[string]string{{"stock_id": "K1", "job": "damp-local-repair", "state": "done", "hours_spent": "5.75", "technician": "Una Marl", "note": "Seam opened"}}
	if diff := cmp.Diff(wantProgress, rows(t, s, "progress.csv", "on", "done_on")); diff != "" {
		t.Error(diff)
	}
	wantReadings := []map[string]string{
		{"stock_id": "K1", "inspector": "Una Marl", "checkpoint": "damp", "position": "nearside-rear-low", "value": "13", "unit": "percent"},
		{"stock_id": "K3", "inspector": "Una Marl", "checkpoint": "tyre-tread", "position": "offside-front", "value": "2.9", "unit": "mm"},
	}
	if diff := cmp.Diff(wantReadings, rows(t, s, "readings.csv", "taken_on")); diff != "" {
		t.Error(diff)
	}
	if photos := s.Table("photos.csv"); len(photos) != 1 || photos[0]["position"] != "offside-front" {
		t.Errorf("photos: %v", photos)
	}
}
