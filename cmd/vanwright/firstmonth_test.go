package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// news is one slip: what came in on a day, table by table.
type news struct {
	day, id, by string
	tables      map[string]string
}

const larkfield = "Larkfield,Rise 540,low-profile"

// firstMonth is a dealer's first month from an empty folder: four vans come in, are
// looked over, worked on, listed, repriced, sold and handed over. No cell of a table
// is typed by hand.
func firstMonth() []news {
	treads := func(id, day string, values ...string) string {
		text := "stock_id,taken_on,inspector,checkpoint,position,value\n"
		for i, wheel := range []string{"nearside-front", "offside-front", "nearside-rear", "offside-rear"} {
			text += fmt.Sprintf("%s,%s,Ann,tyre-tread,%s,%s\n", id, day, wheel, values[i%len(values)])
		}
		return text
	}
	return []news{
		{"2026-03-02", "month-0201", "Ann", map[string]string{
			"vans.csv":     "stock_id,maker,model,body,first_registered,mileage,status,vat,guide,reg\nM1," + larkfield + ",2018-04-02,31000,offered,margin,36995,UA01 AAA\n",
			"readings.csv": treads("M1", "2026-03-02", "6.1", "1.9"),
		}},
		{"2026-03-02", "month-0202", "Office", map[string]string{
			"team.csv": "technician,skills,mon,tue,wed,thu,fri\nBob,mechanical;habitation;tyres;valet;damp;bodywork;photography,8,8,8,8,8\nCarol,gas;electrical;habitation,8,8,8,8,8\n",
			"bays.csv": "bay,kind,count\nRamp,ramp,1\nHabitation,habitation,1\nBodywork,bodywork,1\nValet,valet,1\n",
		}},
		{"2026-03-03", "month-0301", "Office", map[string]string{
			"vans.csv": "stock_id,status,cost,acquired,bought_from,purchase_invoice\nM1,owned,29000,2026-03-03,Jo Vendor,P-1\n",
		}},
		{"2026-03-04", "month-0401", "Ann", map[string]string{
			"vans.csv":     "stock_id,maker,model,body,first_registered,mileage,status,vat,guide,cost,acquired\nM2," + larkfield + ",2016-05-01,52000,owned,margin,27995,20000,2026-03-04\n",
			"readings.csv": treads("M2", "2026-03-04", "5.0") + "M2,2026-03-04,Ann,damp,offside-rear-low,31\n",
		}},
		{"2026-03-05", "month-0501", "Bob", map[string]string{
			"vans.csv":     "stock_id,status\nM1,preparing\n",
			"progress.csv": "stock_id,job,state,hours_spent,on,technician\nM1,valet,started,1h,2026-03-05,Bob\n",
		}},
		{"2026-03-06", "month-0601", "Bob", map[string]string{
			"progress.csv": "stock_id,job,state,hours_spent,on,done_on,technician\nM1,valet,done,4:30,2026-03-06,2026-03-06,Bob\n",
		}},
		{"2026-03-09", "month-0901", "Office", map[string]string{
			"vans.csv":  "stock_id,status,listed,asking\nM1,ready,2026-03-09,36495\n",
			"costs.csv": "stock_id,on,kind,cost,invoice\nM1,2026-03-09,parts,212.50,W-77\n",
		}},
		{"2026-03-12", "month-1201", "Office", map[string]string{
			"vans.csv": "stock_id,asking\nM1,35995\n",
		}},
		{"2026-03-16", "month-1601", "Ann", map[string]string{
			"vans.csv": "stock_id,maker,model,body,first_registered,mileage,status,vat,guide\nM3," + larkfield + ",2019-06-01,18000,offered,margin,41995\nM4," + larkfield + ",2014-06-01,78000,offered,margin,19995\n",
		}},
		{"2026-03-18", "month-1801", "Office", map[string]string{
			"vans.csv": "stock_id,reserved_on,promised_on\nM1,2026-03-18,2026-03-25\n",
		}},
		{"2026-03-20", "month-2001", "Office", map[string]string{ // a part-exchange deal: both vans at once
			"vans.csv": "stock_id,status,sold_on,sold_price,cost,acquired,sold_to,sale_invoice\nM1,sold,2026-03-20,35500,,,Ann Buyer,S-1\nM4,owned,,,14000,2026-03-20,,\n",
		}},
		{"2026-03-25", "month-2501", "Office", map[string]string{
			"vans.csv": "stock_id,delivered_on,reserved_on\nM1,2026-03-25,-\n",
		}},
		{"2026-03-26", "month-2601", "Ann", map[string]string{
			"photos.csv":     "stock_id,checkpoint,position,file,taken_on,note,customer\nM2,damp,offside-rear-low,wet.png,2026-03-26,below the window,\nM3,,,whole.png,2026-03-26,,yes\n",
			"photos/wet.png": pictureOf(40, 30), "photos/whole.png": pictureOf(30, 40),
		}},
		{"2026-03-27", "month-2701", "Ann", map[string]string{
			"readings.csv": "stock_id,taken_on,inspector,checkpoint,position,value\nM2,2026-03-27,Ann,damp,offside-rear-low,14\n",
		}},
	}
}

// pictureOf is a PNG, all of one grey.
func pictureOf(width, height int) string {
	var out bytes.Buffer
	if err := png.Encode(&out, image.NewGray(image.Rect(0, 0, width, height))); err != nil {
		panic(err) // of an encoder that writes to memory
	}
	return out.String()
}

// write puts a slip into a yard, as a folder or as an archive. name is the file's,
// which says nothing of when it counts.
func (n news) write(t *testing.T, yard, name string, packed bool) {
	t.Helper()
	texts := map[string]string{"slip.csv": fmt.Sprintf("slip,made,by\n%s,%sT18:00:00Z,%s\n", n.id, n.day, n.by)}
	maps.Copy(texts, n.tables)
	dir := filepath.Join(yard, "slips", name)
	if !packed {
		if err := os.MkdirAll(dir, 0o750); err != nil {
			t.Fatal(err)
		}
		for file, text := range texts {
			file = filepath.Join(dir, filepath.FromSlash(file))
			if err := os.MkdirAll(filepath.Dir(file), 0o750); err != nil {
				t.Fatal(err)
			}
			write(t, file, text)
		}
		return
	}
	if err := os.MkdirAll(filepath.Dir(dir), 0o750); err != nil {
		t.Fatal(err)
	}
	var archive bytes.Buffer
	z := zip.NewWriter(&archive)
	for _, file := range slices.Sorted(maps.Keys(texts)) {
		f, err := z.Create(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write([]byte(texts[file])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	write(t, dir+".zip", archive.String())
}

// TestDealersFirstMonth plays it night by night: every night each van stands where the
// news of the days before put it, nothing is rejected, and in the end the sale leaves
// what it must. Each slip delivered twice and by names in the other order, and the
// slips folded into tables, give the same reports but for file and line.
func TestDealersFirstMonth(t *testing.T) {
	if testing.Short() {
		t.Skip("runs a month of nights")
	}
	place := t.TempDir()
	yard, out := filepath.Join(place, "yard"), filepath.Join(place, "reports")
	stands := map[string]map[string]int{ // of each night on which it changes
		"2026-03-02": {"offered": 1},
		"2026-03-03": {"owned": 1},
		"2026-03-04": {"owned": 2},
		"2026-03-05": {"owned": 1, "preparing": 1},
		"2026-03-09": {"owned": 1, "ready": 1},
		"2026-03-16": {"offered": 2, "owned": 1, "ready": 1},
		"2026-03-20": {"offered": 1, "owned": 2, "sold": 1},
	}
	all := firstMonth()
	want := map[string]int{}
	for day := 2; day <= 31; day++ {
		asOf := fmt.Sprintf("2026-03-%02d", day)
		for i, n := range all {
			if n.day == asOf {
				n.write(t, yard, n.id, i%2 == 0)
			}
		}
		if now, ok := stands[asOf]; ok {
			want = now
		}
		status, text, errs := commandLine("run", "--yard", yard, "--out", out, "--as-of", asOf, "--quiet", "--json", schedulesTried)
		if status != exitDone {
			t.Fatalf("%s: %s", asOf, errs)
		}
		var run summary
		if err := json.Unmarshal([]byte(text), &run); err != nil {
			t.Fatal(err)
		}
		if run.Rejected != 0 || !maps.Equal(run.Status, want) {
			t.Errorf("%s: %v, %d rejected; want %v", asOf, run.Status, run.Rejected, want)
		}
	}
	for column, want := range map[string]string{
		"status": "sold", "price": "35500.00", "cost": "29000.00",
		"vat": "1083.33", // a sixth of 6500
	} {
		if got := cellOf(t, out, "margin.csv", "M1", column); got != want {
			t.Errorf("M1: %s is %s, want %s", column, got, want)
		}
	}
	if got := cellOf(t, out, "stock-book.csv", "M1", "sold_to"); got != "Ann Buyer" {
		t.Errorf("sold to %q", got)
	}

	again := filepath.Join(place, "again")
	for i, n := range all {
		n.write(t, again, fmt.Sprintf("z%02d", len(all)-i), i%2 == 1)
		n.write(t, again, fmt.Sprintf("z%02d (1)", len(all)-i), i%2 == 0)
	}
	plain := filepath.Join(place, "plain")
	for _, n := range all {
		n.write(t, plain, n.id, false)
	}
	fresh := func(yard string) map[string]string {
		t.Helper()
		out := filepath.Join(t.TempDir(), "reports")
		if status, _, errs := commandLine("run", "--yard", yard, "--out", out, "--as-of", "2026-03-31", "--quiet", schedulesTried); status != exitDone {
			t.Fatal(errs)
		}
		return withoutPlaces(t, out)
	}
	once := fresh(plain)
	photos := 0
	for name := range once {
		if strings.HasPrefix(name, "photos/") {
			photos++
		}
	}
	if _, ok := once["vans/M2.html"]; !ok || photos != 2 {
		t.Errorf("%d photos among %d files: the comparison says little", photos, len(once))
	}
	sameFiles(t, fresh(again), once)
	if status, _, errs := commandLine("fold", "--yard", plain, "--as-of", "2026-03-31"); status != exitDone {
		t.Fatal(errs)
	}
	sameFiles(t, fresh(plain), once)
	if exists(filepath.Join(plain, "slips", all[0].id)) {
		t.Error("a slip that was folded in is still there")
	}
}

// places is what a report says of where something stands in the yard: a table or one of
// a slip, with the line, or the list of files that were read.
var places = regexp.MustCompile(`(slips/[^/<",;: ]+/)?[a-z]+\.csv:[0-9]+|(<tr><th scope="row">(slips/[^<]+/)?[a-z]+\.csv</th>.*</tr>\n?)+`)

// readOnce is what a report says of a slip that stands there twice.
var readOnce = regexp.MustCompile(`<li>slips/.* once more, and was not read again</li>\n`)

// withoutPlaces reads the reports, tables, pages and pictures, without what names file
// and line. run.json and what the next run holds its yard against are of the input
// files.
func withoutPlaces(t *testing.T, out string) map[string]string {
	t.Helper()
	reports := map[string]string{}
	for name, text := range filesOf(t, out) {
		switch {
		case filepath.Base(name) == "run.json" || strings.HasPrefix(filepath.Base(name), "."):
		case filepath.Ext(name) == ".csv" || filepath.Ext(name) == ".html":
			reports[name] = places.ReplaceAllString(readOnce.ReplaceAllString(text, ""), "(place)")
		default:
			reports[name] = text
		}
	}
	return reports
}

// cellOf reads a cell of a van's row in a report.
func cellOf(t *testing.T, out, report, stockID, column string) string {
	t.Helper()
	rows := csvRows(t, filepath.Join(out, report))
	id, at := slices.Index(rows[0], "stock_id"), slices.Index(rows[0], column)
	for _, row := range rows[1:] {
		if at >= 0 && row[id] == stockID {
			return row[at]
		}
	}
	return ""
}

func write(t *testing.T, file, text string) {
	t.Helper()
	if err := os.WriteFile(file, []byte(text), 0o640); err != nil {
		t.Fatal(err)
	}
}
