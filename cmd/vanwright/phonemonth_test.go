package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
)

// pageReady is true once a page of ours can be used.
const pageReady = `document.readyState === "complete" && !document.querySelector("#ready")`

// phoneMonth is a yard whose slips are made by the pages: the buyer's form, the
// technicians' days and the desk, each on a phone of its own.
type phoneMonth struct {
	t         *testing.T
	yard, out string
	today     string
	link, key string // of the server; blank before it runs
}

// day begins a day on all clocks: the machine's, and those of the phones at nine.
func (m *phoneMonth) day(today string, phones ...*browsertest.Phone) {
	m.t.Helper()
	m.today = today
	m.t.Setenv("VANWRIGHT_AS_OF", today)
	for _, p := range phones {
		m.clock(p, "09:00")
	}
}

// clock sets a phone's clock. Slips are read in the order in which they were made.
func (m *phoneMonth) clock(p *browsertest.Phone, hour string) {
	m.t.Helper()
	at, err := time.ParseInLocation("2006-01-02 15:04", m.today+" "+hour, time.Local)
	if err != nil {
		m.t.Fatal(err)
	}
	p.SetClock(at)
}

// night runs at the end of a day and checks where the vans stand.
func (m *phoneMonth) night(want map[string]int) {
	m.t.Helper()
	status, text, errs := commandLine("run", "--yard", m.yard, "--out", m.out, "--as-of", m.today, "--quiet", "--json", schedulesTried)
	if status != exitDone {
		m.t.Fatalf("%s: %s", m.today, errs)
	}
	var run summary
	if err := json.Unmarshal([]byte(text), &run); err != nil {
		m.t.Fatal(err)
	}
	if run.Rejected != 0 || !maps.Equal(run.Status, want) {
		m.t.Errorf("%s: %v, %d rejected; want %v", m.today, run.Status, run.Rejected, want)
	}
}

// cell reads a column of the first row of a report whose cells are as wanted, given
// in pairs of column and cell.
func (m *phoneMonth) cell(report, column string, wanted ...string) string {
	m.t.Helper()
	text, err := os.ReadFile(filepath.Join(m.out, report))
	if err != nil {
		m.t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		m.t.Fatal(err)
	}
	at := func(row []string, name string) string { return row[slices.Index(rows[0], name)] }
rows:
	for _, row := range rows[1:] {
		for i := 0; i < len(wanted); i += 2 {
			if at(row, wanted[i]) != wanted[i+1] {
				continue rows
			}
		}
		return at(row, column)
	}
	return "none"
}

func (m *phoneMonth) wants(want, report, column string, wanted ...string) {
	m.t.Helper()
	if got := m.cell(report, column, wanted...); got != want {
		m.t.Errorf("%s: %s of %v in %s is %q, want %q", m.today, column, wanted, report, got, want)
	}
}

func (m *phoneMonth) page(name string) string { return m.link + name + "?key=" + m.key }

// handIn taps once and waits for the yard's answer.
func (m *phoneMonth) handIn(p *browsertest.Phone) {
	m.t.Helper()
	p.Tap("#slip [value=hand]")
	p.Wait(`!["", "Handing in…"].includes(document.querySelector("#answer").textContent)`)
	if said := browsertest.Ask[string](p, `document.querySelector("#answer").textContent`); !strings.HasPrefix(said, "Handed in.") || !strings.Contains(said, "all of them good") {
		m.t.Errorf("%s: the yard says %q", m.today, said)
	}
}

// formStep goes to a step of the form by the list of all steps.
func formStep(p *browsertest.Phone, code string) {
	p.T.Helper()
	p.Tap("#all")
	p.Wait(`here === "all"`)
	p.Tap("#steps [value=" + code + "]")
	p.Wait(fmt.Sprintf("here === %q", code))
}

// newVan begins a report of a van that was offered. The model is tapped where the
// yard knows it.
func newVan(p *browsertest.Phone, known bool, reg, registered, mileage, guide string) {
	p.T.Helper()
	p.Type("#f-reg", reg)
	if known {
		p.Tap("#f-maker")
		p.Tap(".suggestions button") // the model and the body with it
	} else {
		p.Tap("[name=body][value=low-profile]")
		p.Type("#f-maker", "Larkfield")
		p.Type("#f-model", "Rise 540")
	}
	p.Pick("#f-first_registered", registered)
	p.Type("#f-mileage", mileage)
	if browsertest.Ask[string](p, `field("inspector")`) == "" {
		p.Type("#f-inspector", "Ann")
	}
	p.Do(browsertest.JS(`document.querySelector("#f-vat").closest("details").open = true`))
	p.Pick("#f-vat", "margin")
	p.Type("#f-guide", guide)
}

// desk enters one thing that happened in the office: cells are name and value.
func (m *phoneMonth) desk(p *browsertest.Phone, action, van string, cells ...string) {
	m.t.Helper()
	p.Tap(".act[value=" + action + "]")
	p.Wait(fmt.Sprintf(`!document.querySelector("#step-%s").hidden`, action))
	if van != "" {
		p.Tap(fmt.Sprintf(`#step-%s .found [value="%s"]`, action, van))
	}
	for i := 0; i < len(cells); i += 2 {
		input := "#f-" + action + "-" + cells[i]
		if browsertest.Ask[bool](p, fmt.Sprintf(`(({type, tagName}) => tagName === "SELECT" || type === "date")(document.querySelector(%q))`, input)) {
			p.Pick(input, cells[i+1])
		} else {
			p.Type(input, cells[i+1])
		}
	}
	p.Tap("#step-" + action + " .keep")
}

// office opens the desk, enters what is said there, and hands it in.
func (m *phoneMonth) office(p *browsertest.Phone, enter func()) {
	m.t.Helper()
	p.Visit(m.page("desk.html"), pageReady)
	if browsertest.Ask[string](p, `document.querySelector("#by").value`) == "" {
		p.Type("#by", "Office")
	}
	enter()
	p.Wait(`!document.querySelector("#step-start").hidden`)
	p.Tap("#nav-news")
	p.Wait(`!document.querySelector("#step-news").hidden`)
	m.handIn(p)
}

// job taps a state of a job on a technician's page.
func job(p *browsertest.Phone, van, code, state string) {
	p.T.Helper()
	card := fmt.Sprintf(`[id="job-%s/%s"]`, van, code)
	if browsertest.Ask[bool](p, fmt.Sprintf(`Boolean(document.querySelector('#later %s'))`, card)) {
		p.Do(browsertest.JS(`document.querySelector("#later-box").open = true`))
	}
	p.Tap(card + " [value=" + state + "]")
	if state != "started" {
		p.Wait(`!document.querySelector("#step-job").hidden`)
	}
}

func keepJob(p *browsertest.Phone) {
	p.T.Helper()
	p.Tap("#keep")
	p.Wait(`!document.querySelector("#step-jobs").hidden`)
}

// TestFirstMonthByThePages plays the dealer's first month again, its slips made by
// the pages that people use, on phones of 390 px: the first one is saved and carried
// to the yard by hand, the others are handed in with one tap.
func TestFirstMonthByThePages(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser is not started in short tests")
	}
	t.Cleanup(browsertest.End)
	place := t.TempDir()
	m := &phoneMonth{t: t, yard: filepath.Join(place, "yard"), out: filepath.Join(place, "reports")}
	const m1, m2, m3, m4 = "UA01AAA", "UA01BBB", "UA01CCC", "UA01DDD"

	// Monday 2 March: no yard yet. The form is a file on the buyer's phone, and the
	// first slip makes the yard.
	file := filepath.Join(place, "form.html")
	if status, _, errs := commandLine("form", "--out", file); status != exitDone {
		t.Fatal(errs)
	}
	ann := browsertest.OpenPhone(t, "about:blank")
	m.day("2026-03-02", ann)
	ann.Visit(browsertest.File(file), pageReady)
	newVan(ann, false, "UA01 AAA", "2018-04-02", "31000", "36995")
	for wheel, tread := range map[string]string{"nearside-front": "6.1", "offside-front": "1.9", "nearside-rear": "6.1", "offside-rear": "1.9"} {
		formStep(ann, "wheel-"+wheel)
		ann.Type("#tyre-tread .value input", tread)
	}
	formStep(ann, "finish")
	saved := ann.TakeSlip()
	if said := browsertest.Ask[string](ann, `document.querySelector("#answer").textContent`); !strings.Contains(said, "folder “slips” as it is") {
		t.Errorf("a slip that was saved says %q", said)
	}
	if err := os.MkdirAll(filepath.Join(m.yard, "slips"), 0o750); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(m.yard, "slips", saved.Name), string(saved.Zip))
	m.night(map[string]int{"offered": 1})
	m.wants("1.9", "findings.csv", "value", "stock_id", m1, "checkpoint", "tyre-tread", "position", "offside-front")

	// From now on the office's computer shows the reports and takes slips.
	link, stop := openedLink(t, "--reports", m.out, "--yard", m.yard)
	defer stop()
	m.link, m.key, _ = strings.Cut(link, "?key=")
	office := browsertest.OpenPhone(t, m.page("desk.html"))

	m.day("2026-03-03", office)
	m.office(office, func() {
		m.desk(office, "bought", m1, "cost", "29000", "bought_from", "Jo Vendor", "purchase_invoice", "P-1")
	})
	m.night(map[string]int{"owned": 1})
	m.wants("29000.00", "margin.csv", "cost", "stock_id", m1)

	// A second van, by the form that the yard's computer shows, and bought the same day.
	m.day("2026-03-04", ann, office)
	ann.Visit(m.page("form.html"), pageReady)
	newVan(ann, true, "UA01 BBB", "2016-05-01", "52000", "27995")
	formStep(ann, "zone-living")
	ann.Tap("#damp .to-side[value=offside]")
	ann.Tap("#damp [value=offside-rear-low]")
	ann.Keystrokes("#damp .value input", "31")
	formStep(ann, "finish")
	m.handIn(ann)
	m.night(map[string]int{"offered": 1, "owned": 1})
	m.clock(office, "18:00")
	m.office(office, func() {
		m.desk(office, "bought", m2, "cost", "20000")
		office.Wait(`!document.querySelector("#step-start").hidden`)
		m.desk(office, "stage", m1, "status", "preparing")
	})
	m.night(map[string]int{"owned": 1, "preparing": 1})
	m.wants("31", "findings.csv", "value", "stock_id", m2, "checkpoint", "damp")

	// The mechanic's day: started, done with hours and a reading, waits for a part, not
	// needed, and something found, with a picture of it.
	mechanic := browsertest.OpenPhone(t, m.page("desk.html"))
	m.day("2026-03-05", mechanic)
	mechanic.Visit(m.page("workshop/default-mechanic-day.html"), pageReady)
	job(mechanic, m1, "tyre-replace", "started")
	job(mechanic, m1, "tyre-replace", "done")
	mechanic.Tap("#more")
	hours := browsertest.Ask[string](mechanic, `document.querySelector("#hours").value`)
	for i := range browsertest.Ask[int](mechanic, `document.querySelectorAll("#again input").length`) {
		mechanic.Type(fmt.Sprintf("#again-%d", i), "7.9")
	}
	keepJob(mechanic)
	job(mechanic, m1, "timing-belt", "awaiting-parts")
	mechanic.Tap("#waits button")
	keepJob(mechanic)
	job(mechanic, m1, "brake-fluid", "dropped")
	mechanic.Type("#note", "Changed in January")
	keepJob(mechanic)
	mechanic.Tap("#found")
	mechanic.Wait(`!document.querySelector("#step-found").hidden`)
	mechanic.Pick("#found-van", m1)
	mechanic.Type("#find-point", "wiper")
	mechanic.Tap("#found-points button")
	mechanic.Tap("#step-found .verdicts label:nth-child(3)")
	mechanic.Do(chromedp.SetUploadFiles(chromedp.CSS("#found-photos [type=file]"), []string{picture(t, place)}))
	mechanic.Wait(`document.querySelectorAll("#found-photos img").length === 1`)
	mechanic.Tap("#keep-found")
	mechanic.Wait(`!document.querySelector("#step-jobs").hidden`)
	mechanic.Tap("#nav-news")
	mechanic.Wait(`document.querySelectorAll("#news li").length === 5`)
	m.handIn(mechanic)
	m.night(map[string]int{"owned": 1, "preparing": 1})
	m.wants("done", "jobs.csv", "state", "stock_id", m1, "job", "tyre-replace")
	m.wants(hours+"0", "jobs.csv", "hours_spent", "stock_id", m1, "job", "tyre-replace")
	m.wants("7.9", "findings.csv", "value", "stock_id", m1, "checkpoint", "tyre-tread", "position", "offside-front")
	m.wants("awaiting-parts", "jobs.csv", "state", "stock_id", m1, "job", "timing-belt")
	m.wants("dropped", "jobs.csv", "state", "stock_id", m1, "job", "brake-fluid")
	m.wants("defect", "findings.csv", "verdict", "stock_id", m1, "checkpoint", "wipers")
	if photos, err := filepath.Glob(filepath.Join(m.out, "photos", "*.jpg")); err != nil || len(photos) != 1 {
		t.Errorf("photos: %q, %v", photos, err)
	}
	mechanic.Visit(m.page("vans/"+m1+".html"), `document.readyState === "complete"`)
	mechanic.Do(browsertest.JS(`document.querySelector(".shots img").scrollIntoView()`)) // it is loaded when it is seen
	mechanic.Wait(`document.querySelector(".shots img").naturalWidth > 0`)

	valeter := browsertest.OpenPhone(t, m.page("desk.html"))
	m.day("2026-03-06", valeter)
	valeter.Visit(m.page("workshop/default-valeter-day.html"), pageReady)
	job(valeter, m1, "valet", "started")
	job(valeter, m1, "valet", "done")
	keepJob(valeter)
	valeter.Tap("#nav-news")
	valeter.Wait(`document.querySelectorAll("#news li").length === 2`)
	m.handIn(valeter)
	m.night(map[string]int{"owned": 1, "preparing": 1})
	m.wants("done", "jobs.csv", "state", "stock_id", m1, "job", "valet")

	m.day("2026-03-09", office)
	m.office(office, func() {
		m.desk(office, "listed", m1, "asking", "36495", "status", "ready")
		office.Wait(`!document.querySelector("#step-start").hidden`)
		m.desk(office, "cost", m1, "kind", "parts", "cost", "212.50", "invoice", "W-77")
		office.Wait(`!document.querySelector("#step-start").hidden`)
		m.desk(office, "paper", m1, "kind", "registration", "evidence", "original")
	})
	m.night(map[string]int{"owned": 1, "ready": 1})
	m.wants("36495.00", "margin.csv", "asking", "stock_id", m1)

	m.day("2026-03-12", office)
	m.office(office, func() { m.desk(office, "priced", m1, "asking", "35995") })
	m.night(map[string]int{"owned": 1, "ready": 1})
	m.wants("35995.00", "margin.csv", "asking", "stock_id", m1)

	// Two vans in turn on one phone: the second is looked at before the first is
	// handed in.
	m.day("2026-03-16", ann)
	ann.Visit(m.page("form.html"), pageReady)
	for _, v := range [][]string{{"UA01 CCC", "2019-06-01", "18000", "41995"}, {"UA01 DDD", "2014-06-01", "78000", "19995"}} {
		formStep(ann, "vans")
		ann.Tap("#step-vans .new-van")
		ann.Wait(`here === "van" && field("reg") === ""`)
		newVan(ann, true, v[0], v[1], v[2], v[3])
	}
	for _, at := range []int{1, 2} { // the newest first
		formStep(ann, "vans")
		ann.Tap(fmt.Sprintf("#vans li:nth-child(%d) button", at))
		ann.Wait(`here === "van"`)
		formStep(ann, "finish")
		m.handIn(ann)
	}
	m.night(map[string]int{"offered": 2, "owned": 1, "ready": 1})

	m.day("2026-03-18", office)
	m.office(office, func() {
		m.desk(office, "reserved", m1)
		office.Wait(`!document.querySelector("#step-start").hidden`)
		m.desk(office, "promised", m1, "promised_on", "2026-03-25")
	})
	m.night(map[string]int{"offered": 2, "owned": 1, "ready": 1})

	// The deal is shown, as the command says it, before it is kept, and puts both vans
	// into one slip.
	m.day("2026-03-20", office)
	m.office(office, func() {
		m.desk(office, "deal", m1, "taking", m4, "sold_price", "35500", "allowance", "14000", "customer", "Ann Buyer", "sale_invoice", "S-1")
		office.Wait(`!document.querySelector("#deal").hidden`)
		status, says, errs := commandLine("deal", "--yard", m.yard, "--selling", m1, "--taking", m4, "--price", "35500", "--allowance", "14000", "--as-of", m.today)
		if status != exitDone {
			t.Fatal(errs)
		}
		words := func(text string) string { return strings.Join(strings.Fields(text), "") }
		shown := browsertest.Ask[string](office, `document.querySelector("#deal").textContent`)
		if diff := cmp.Diff(words(says), words(shown)); diff != "" || !strings.Contains(shown, "left once "+m4+" is sold") {
			t.Errorf("the desk shows of the deal: %s", diff)
		}
		office.FitsAndIsAccessible("month-deal")
		office.Tap("#step-deal .keep")
	})
	m.night(map[string]int{"offered": 1, "owned": 2, "sold": 1})
	m.wants("14000.00", "margin.csv", "cost", "stock_id", m4)

	m.day("2026-03-25", office)
	m.office(office, func() { m.desk(office, "delivered", m1) })
	m.night(map[string]int{"offered": 1, "owned": 2, "sold": 1})

	// A van in stock is read again: its slip brings the reading and nothing else.
	m.day("2026-03-27", ann)
	ann.Visit(m.page("form.html"), pageReady)
	formStep(ann, "vans")
	ann.Tap("#yard-vans [value=" + m2 + "]")
	ann.Wait(`here === "van" && field("reg") === "UA01 BBB"`)
	formStep(ann, "zone-living")
	ann.Tap("#damp .to-side[value=offside]")
	ann.Tap("#damp [value=offside-rear-low]")
	ann.Keystrokes("#damp .value input", "14")
	formStep(ann, "finish")
	again := ann.TakeSlip()
	if rows := again.Table("readings.csv"); len(again.Files) != 2 || len(rows) != 1 || rows[0]["taken_on"] != m.today {
		t.Errorf("the slip of a second visit holds %v, with the readings %v", slices.Collect(maps.Keys(again.Files)), rows)
	}
	m.handIn(ann)
	m.night(map[string]int{"offered": 1, "owned": 2, "sold": 1})
	m.wants("14", "findings.csv", "value", "stock_id", m2, "checkpoint", "damp")

	m.day("2026-03-31")
	m.night(map[string]int{"offered": 1, "owned": 2, "sold": 1})
	for column, want := range map[string]string{
		"status": "sold", "price": "35500.00", "cost": "29000.00",
		"vat": "1083.33", // a sixth of 6500
	} {
		m.wants(want, "margin.csv", column, "stock_id", m1)
	}
	m.wants("Ann Buyer", "stock-book.csv", "sold_to", "stock_id", m1)
	m.wants("Jo Vendor", "stock-book.csv", "bought_from", "stock_id", m1)
	m.wants("Ann Buyer", "stock-book.csv", "bought_from", "stock_id", m4)
	m.wants(m3, "bids.csv", "stock_id", "stock_id", m3)
	// The accountant's month has what the desk was told.
	m.out = filepath.Join(place, "month")
	if status, _, errs := commandLine("month", "--yard", m.yard, "2026-03", "--out", m.out, "--as-of", m.today); status != exitDone {
		t.Fatal(errs)
	}
	m.wants("Jo Vendor", "purchases.csv", "bought_from", "stock_id", m1)
	m.wants("P-1", "purchases.csv", "purchase_invoice", "stock_id", m1)
	m.wants("Ann Buyer", "sales.csv", "sold_to", "stock_id", m1)
	m.wants("1083.33", "sales.csv", "margin_vat", "stock_id", m1)
	m.wants("212.50", "costs.csv", "cost", "stock_id", m1, "invoice", "W-77")
	m.wants("14000.00", "stock.csv", "cost", "stock_id", m4)
	for name, p := range map[string]*browsertest.Phone{"buyer": ann, "office": office, "mechanic": mechanic, "valeter": valeter} {
		t.Logf("%s: %d taps and %d key presses in the month", name, p.Taps, p.Keys)
		p.Quiet()
	}
	if slips := kept(t, m.yard); len(slips) != 14 {
		t.Errorf("%d slips in the yard: %q", len(slips), slips)
	}
}

// picture writes a PNG as a camera's picture.
func picture(t *testing.T, dir string) string {
	t.Helper()
	path := filepath.Join(dir, "wiper.png")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, image.NewRGBA(image.Rect(0, 0, 900, 500))); err != nil {
		t.Fatal(err)
	}
	return path
}
