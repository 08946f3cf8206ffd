package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/data"
)

func utf16Of(text string, mark bool) string {
	units := utf16.Encode([]rune(text))
	if mark {
		units = slices.Insert(units, 0, 0xFEFF)
	}
	var b []byte
	for _, u := range units {
		b = append(b, byte(u), byte(u>>8))
	}
	return string(b)
}

// TestFilesThatAreNoPlainTables feeds files that went wrong on the way.
func TestFilesThatAreNoPlainTables(t *testing.T) {
	if testing.Short() {
		t.Skip("runs yards with very large tables")
	}
	usual := usualYard()
	manyColumns := func(header, row string) string {
		var h, r strings.Builder
		h.WriteString(header)
		r.WriteString(row)
		for i := range 100_000 {
			fmt.Fprintf(&h, ",extra%d", i)
			r.WriteString(",x")
		}
		return h.String() + "\n" + r.String() + "\n"
	}
	const reading = "A1,2026-02-08,damp,offside-rear-low,31,,"
	const readings = "stock_id,taken_on,checkpoint,position,value,verdict,note\n"
	for _, c := range []struct {
		name    string
		yard    files
		fails   string // part of the one sentence; blank: the run is done
		rejects string // part of rejects.csv or of run.json
	}{
		{name: "seventy megabytes on one line of a table",
			yard:    files{"readings.csv": readings + strings.Repeat("x", 70<<20) + "\n" + reading + "\n"},
			rejects: `readings.csv,2,,,a line of at most 1048576 bytes,`},
		{name: "seventy megabytes of columns on one line",
			yard:    files{"readings.csv": readings + strings.Repeat("A1,", 70<<20/3) + "\n"},
			rejects: `readings.csv,2,,,a line of at most 1048576 bytes,`},
		{name: "two megabytes in a quote that is never closed",
			yard:    files{"readings.csv": readings + `A1,"` + strings.Repeat(strings.Repeat("2026-02-08,damp", 6000)+"\n", 2<<20/90_000) + reading + "\n"},
			rejects: `readings.csv,2,,,"a closing quote`},
		{name: "seventy megabytes as the header", yard: files{"vans.csv": strings.Repeat("x", 70<<20)}, fails: "vans.csv"},
		{name: "a hundred thousand columns", yard: files{"vans.csv": manyColumns(strings.TrimSpace(vanHeader), strings.Split(usual["vans.csv"], "\n")[1]), "readings.csv": "", "documents.csv": "", "progress.csv": ""},
			rejects: "extra0"},
		{name: "a hundred thousand columns in a row", yard: files{"readings.csv": readings + reading + strings.Repeat(",x", 100_000) + "\n"},
			rejects: `readings.csv,2,,,"7 columns, as in the header"`},
		{name: "NUL bytes in a row", yard: files{"readings.csv": readings + reading + "a\x00b\n" + reading + "\n"}, rejects: "readings.csv,2,,,text without NUL bytes"},
		{name: "a table of NUL bytes alone", yard: files{"readings.csv": strings.Repeat("\x00", 4096)}, fails: "readings.csv"},
		{name: "bytes that are not UTF-8", yard: files{"readings.csv": readings + reading + "caf\xe9 \x96 dry\n"}, rejects: "readings.csv: read as Windows-1252"},
		{name: "UTF-16 with its mark", yard: files{"readings.csv": utf16Of(readings+reading+"dry\n", true)}, rejects: "readings.csv: read as UTF-16"},
		{name: "UTF-16 without a mark", yard: files{"readings.csv": utf16Of(readings+reading+"dry\n", false)}, fails: "readings.csv looks like UTF-16 without a byte order mark"},
		{name: "half of a UTF-16 character at the end", yard: files{"readings.csv": utf16Of(readings+reading+"dry\n", true) + "\x00"}, rejects: "readings.csv"},
		{name: "a zip of nothing", yard: files{"sales.csv": "PK\x05\x06" + strings.Repeat("\x00", 18)}, fails: "sales.csv is an empty zip archive, not a CSV file"},
		{name: "a zip of nothing as the vans", yard: files{"vans.csv": "PK\x05\x06" + strings.Repeat("\x00", 18)}, fails: "vans.csv is an empty zip archive"},
		{name: "a zip of nothing as a workbook", yard: files{"more.xlsx": "PK\x05\x06" + strings.Repeat("\x00", 18)}, fails: "more.xlsx"},
		{name: "a folder in the place of a table", yard: files{"sales.csv": "", "sales.csv/inner.txt": "x"}, fails: "sales.csv is a folder"},
		{name: "a page saved as a table", yard: files{"sales.csv": "<!DOCTYPE html><html><body>Sign in</body></html>\n"}, fails: "sales.csv"},
	} {
		if testing.Short() && strings.HasPrefix(c.name, "seventy megabytes") {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			yard := usual.with(c.yard).write(t)
			out := filepath.Join(filepath.Dir(yard), "reports")
			if c.fails != "" {
				wantSentence(t, yard, out, c.fails)
				return
			}
			runYard(t, yard, out, "2026-03-09")
			auditReports(t, yard, out)
			rejects, err := os.ReadFile(filepath.Join(out, "rejects.csv"))
			if err != nil {
				t.Fatal(err)
			}
			run, err := os.ReadFile(filepath.Join(out, "run.json"))
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(rejects)+string(run), c.rejects) {
				t.Errorf("%q is neither in rejects.csv nor in run.json\n%.600s\n%.60s", c.rejects, rejects, run)
			}
			if len(rejects) > 3<<20 || len(run) > 20_000 {
				t.Errorf("rejects.csv has %d bytes, run.json %d", len(rejects), len(run))
			}
		})
	}
}

// TestFilesOfTwoGiBAreNotRead grows files to 2 GiB of nothing on one line: they
// are refused without being taken into memory.
func TestFilesOfTwoGiBAreNotRead(t *testing.T) {
	for _, name := range []string{"vans.csv", "readings.csv", "labour.csv", "yard.xlsx", "policy.yaml"} {
		t.Run(name, func(t *testing.T) {
			yard := usualYard().with(files{name: " "}).write(t)
			if err := os.Truncate(filepath.Join(yard, name), 2<<30); err != nil {
				t.Skip("no files with holes here:", err)
			}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			wantSentence(t, yard, filepath.Join(filepath.Dir(yard), "reports"), name)
			runtime.ReadMemStats(&after)
			if took := after.TotalAlloc - before.TotalAlloc; took > 200<<20 {
				t.Errorf("took %d MiB to refuse it", took>>20)
			}
		})
	}
}

// TestGrowingFileIsDigestedAsRead appends to a table while it is read: size and
// digest in run.json are of the bytes that the reports were made of.
func TestGrowingFileIsDigestedAsRead(t *testing.T) {
	if testing.Short() {
		t.Skip("reads a file that grows for some seconds")
	}
	yard := usualYard().write(t)
	out := filepath.Join(filepath.Dir(yard), "reports")
	file := filepath.Join(yard, "sales.csv")
	grow, err := os.OpenFile(file, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer grow.Close()
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for i := 1000; i < 60_000; i++ { // bounded, should the reader wait for an end
			select {
			case <-stop:
				return
			default:
				fmt.Fprintf(grow, "S%d,Larkfield,Rothmere 540,low-profile,2018-04-02,31000,4,3,2025-01-03,33000,2025-02-28,31000,margin\n", i)
			}
		}
	}()
	for range 2 {
		runYard(t, yard, out, "2026-03-09")
		now, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, in := range inputsOf(t, out) {
			if in.Name != "sales.csv" {
				continue
			}
			if got := fmt.Sprintf("%x", sha256.Sum256(now[:in.Size])); got != in.SHA256 {
				t.Errorf("the first %d bytes have the digest %s, run.json says %s", in.Size, got, in.SHA256)
			}
			if lines := bytes.Count(now[:in.Size], []byte("\n")); in.Read < lines-1 || in.Read > lines {
				t.Errorf("read %d rows of %d lines", in.Read, lines)
			}
		}
	}
	close(stop)
	<-stopped
}

// inputsOf reads from run.json what a run was made of.
func inputsOf(t *testing.T, out string) []data.InputFile {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(out, "run.json"))
	if err != nil {
		t.Fatal(err)
	}
	var run struct{ Inputs []data.InputFile }
	if err := json.Unmarshal(text, &run); err != nil {
		t.Fatal(err)
	}
	return run.Inputs
}

// TestFileReplacedDuringTheRunIsReadOnce puts one whole table in the place of
// another, as a program that saves well does, over and over while runs read it:
// each run is made of one of the two.
func TestFileReplacedDuringTheRunIsReadOnce(t *testing.T) {
	if testing.Short() {
		t.Skip("runs a yard again and again")
	}
	yard := usualYard().write(t)
	dir := filepath.Dir(yard)
	out, file := filepath.Join(dir, "reports"), filepath.Join(yard, "sales.csv")
	texts := []string{sales(400, nil), sales(900, nil)}
	digests := map[string]int{}
	for i, text := range texts {
		digests[fmt.Sprintf("%x", sha256.Sum256([]byte(text)))] = []int{400, 900}[i]
	}
	stop := replaceOverAndOver(t, file, texts...)
	for range 3 {
		runYard(t, yard, out, "2026-03-09")
		for _, in := range inputsOf(t, out) {
			if rows := digests[in.SHA256]; in.Name == "sales.csv" && (rows == 0 || in.Read != rows) {
				t.Errorf("%+v is neither of the two tables", in)
			}
		}
	}
	stop()
}

// replaceOverAndOver puts the texts in a file's place one after the other, each
// whole, until it is stopped.
func replaceOverAndOver(t *testing.T, file string, texts ...string) (stop func()) {
	t.Helper()
	next := filepath.Join(t.TempDir(), "next")
	replace := func(i int) error {
		return errors.Join(os.WriteFile(next, []byte(texts[i%len(texts)]), 0o644), os.Rename(next, file))
	}
	if err := replace(0); err != nil {
		t.Fatal(err)
	}
	quit, stopped := make(chan struct{}), make(chan error)
	go func() {
		for i := 1; ; i++ {
			select {
			case <-quit:
				stopped <- nil
				return
			case <-time.After(time.Millisecond):
			}
			if err := replace(i); err != nil {
				<-quit
				stopped <- err
				return
			}
		}
	}()
	return func() {
		close(quit)
		if err := <-stopped; err != nil {
			t.Skip("an open file cannot be replaced here:", err)
		}
	}
}

// TestSettingsReplacedDuringTheRunAreReadOnce does so with policy.yaml: the
// settings in force are those of the text whose digest run.json has.
func TestSettingsReplacedDuringTheRunAreReadOnce(t *testing.T) {
	if testing.Short() {
		t.Skip("runs a yard again and again")
	}
	yard := usualYard().write(t)
	dir := filepath.Dir(yard)
	out, file := filepath.Join(dir, "reports"), filepath.Join(yard, "policy.yaml")
	texts := map[string]string{"100": "bid_step: 100\nplan_schedules: 40\n", "200": "bid_step: 200\nplan_schedules: 40\n"}
	stop := replaceOverAndOver(t, file, texts["100"], texts["200"])
	for range 5 {
		runYard(t, yard, out, "2026-03-09")
		run, err := os.ReadFile(filepath.Join(out, "run.json"))
		if err != nil {
			t.Fatal(err)
		}
		for step, text := range texts {
			inForce := strings.Contains(string(run), fmt.Sprintf("%q: %q", "bid_step", step))
			digest := strings.Contains(string(run), fmt.Sprintf("%x", sha256.Sum256([]byte(text))))
			if inForce != digest {
				t.Errorf("bid_step %s in force: %t; the digest of its text: %t", step, inForce, digest)
			}
		}
	}
	stop()
}

// TestPipeInThePlaceOfTheSettings must not wait for somebody to write to it.
func TestPipeInThePlaceOfTheSettings(t *testing.T) {
	yard := usualYard().with(files{"policy.yaml": ""}).write(t)
	if err := makePipe(filepath.Join(yard, "policy.yaml")); err != nil {
		t.Skip("no named pipes here:", err)
	}
	wantSentence(t, yard, filepath.Join(filepath.Dir(yard), "reports"), "policy.yaml: it is not a regular file")
}

// TestPipeInThePlaceOfATable must not wait for somebody to write to it.
func TestPipeInThePlaceOfATable(t *testing.T) {
	yard := usualYard().with(files{"sales.csv": ""}).write(t)
	if err := makePipe(filepath.Join(yard, "sales.csv")); err != nil {
		t.Skip("no named pipes here:", err)
	}
	wantSentence(t, yard, filepath.Join(filepath.Dir(yard), "reports"), "sales.csv is not a plain file")
}

// TestPipeInThePlaceOfWhatWasFolded must not wait for somebody to write to it.
func TestPipeInThePlaceOfWhatWasFolded(t *testing.T) {
	yard := usualYard().with(files{"slips/S1/slip.csv": "slip,made,by\nslip-00001,2026-03-08T09:00:00Z,Office\n"}).write(t)
	if err := makePipe(filepath.Join(yard, data.FoldedSlips)); err != nil {
		t.Skip("no named pipes here:", err)
	}
	wantSentence(t, yard, filepath.Join(filepath.Dir(yard), "reports"), "slips/.folded.csv is not a plain file")
}

// TestLinksInReportsAreNotFollowed puts a link to a folder of the dealer's own
// among the reports, which stops the next run, and one in the place of a report,
// which it replaces: what the link leads to stays.
func TestLinksInReportsAreNotFollowed(t *testing.T) {
	yard := usualYard().write(t)
	dir := filepath.Dir(yard)
	out, own := filepath.Join(dir, "reports"), filepath.Join(dir, "own")
	runYard(t, yard, out, "2026-03-09")
	if err := os.Mkdir(own, 0o755); err != nil {
		t.Fatal(err)
	}
	kept := filepath.Join(own, "letter.txt")
	if err := os.WriteFile(kept, []byte("dear"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, link := range []string{"own", "vans/own"} {
		at := filepath.Join(out, link)
		if err := os.Symlink(own, at); err != nil {
			t.Skip("no symbolic links here:", err)
		}
		want := fmt.Sprintf("vanwright: %s holds %q, which vanwright did not write: move it elsewhere\n", out, link)
		if status, _, errs := commandLine("run", "--yard", yard, "--out", out, "--as-of", "2026-03-10"); status != exitFailed || errs != want {
			t.Errorf("status %d, %q, want %q", status, errs, want)
		}
		if err := os.Remove(at); err != nil {
			t.Fatal(err)
		}
	}
	at := filepath.Join(out, "margin.csv")
	if err := errors.Join(os.Remove(at), os.Symlink(kept, at)); err != nil {
		t.Fatal(err)
	}
	runYard(t, yard, out, "2026-03-10")
	auditReports(t, yard, out)
	if text, err := os.ReadFile(kept); err != nil || string(text) != "dear" {
		t.Errorf("behind the link: %q, %v", text, err)
	}
	if info, err := os.Lstat(filepath.Join(out, "margin.csv")); err != nil || !info.Mode().IsRegular() {
		t.Errorf("margin.csv is %v, %v", info.Mode(), err)
	}
}

// TestReadOnlyPlaceForReports leaves the old reports where nothing can be
// written beside them.
func TestReadOnlyPlaceForReports(t *testing.T) {
	yard := usualYard().write(t)
	place := filepath.Join(t.TempDir(), "place")
	if err := os.Mkdir(place, 0o755); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(place, "reports")
	runYard(t, yard, out, "2026-03-09")
	before := filesOf(t, out)
	if err := os.Chmod(place, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(place, 0o755)
	if f, err := os.Create(filepath.Join(place, "probe")); err == nil {
		f.Close()
		os.Remove(f.Name())
		t.Skip("this user may write to a read-only folder: run as another to test it")
	}
	var stdout, stderr bytes.Buffer
	code := execute([]string{"run", "--yard", yard, "--out", out, "--as-of", "2026-03-10", "--quiet"}, &stdout, &stderr)
	if code != exitFailed || strings.Count(stderr.String(), "\n") != 1 {
		t.Errorf("exit status %d\n%s", code, stderr.String())
	}
	sameFiles(t, filesOf(t, out), before)
}

// notNumbers are what a parser of numbers in a programming language might take
// and nobody means in a table.
var notNumbers = []string{"NaN", "nan", "Inf", "-Inf", "+Infinity", "1e999", "-1e999", "1e5", "0x10", "1_000", "0b11", "१२", "1,00,0", "--4", "4-", "."}

// TestNumbersThatAreNone puts each into every column of every table that holds
// numbers: each row is rejected for that column.
func TestNumbersThatAreNone(t *testing.T) {
	rejectsEach(t, notNumbers, map[string][]string{
		"vans.csv": {"mileage", "berths", "belts", "length_mm", "max_mass_kg", "running_mass_kg", "front_axle_kg", "rear_axle_kg",
			"keepers", "keys", "cost", "asking", "guide", "finance_owed", "sold_price"},
		"readings.csv":  {"value"},
		"documents.csv": {"mileage"},
		"sales.csv":     {"mileage", "berths", "length_mm", "grade", "asking", "sold_price"},
		"team.csv":      {"mon", "tue", "wed", "thu", "fri", "sat", "sun"},
		"bays.csv":      {"count"},
		"progress.csv":  {"hours_spent"},
	})
}

// TestDatesOf1899And2999 puts days that nobody means, the first of which is
// what a spreadsheet makes of 0, into every column of every table that holds
// dates: each row is rejected for that column.
func TestDatesOf1899And2999(t *testing.T) {
	rejectsEach(t, []string{"1899-12-30", "31/12/1899", "1 Jan 2999", "2999-12-31"}, map[string][]string{
		"vans.csv":      {"first_registered", "acquired", "listed", "sold_on", "promised_on"},
		"readings.csv":  {"taken_on"},
		"documents.csv": {"dated", "expires"},
		"sales.csv":     {"first_registered", "listed", "sold_on"},
		"absence.csv":   {"from", "to"},
		"progress.csv":  {"done_on"},
	})
}

// rejectsEach makes a yard whose every row holds one of the bad cells in one of
// the columns, and wants each rejected for that column and nothing else.
func rejectsEach(t *testing.T, bad []string, columns map[string][]string) {
	t.Helper()
	rows := map[string]map[string]string{ // the cells that a good row needs
		"vans.csv": {"maker": "Larkfield", "model": "Rothmere 540", "body": "low-profile", "first_registered": "2018-04-02", "mileage": "31000",
			"status": "owned"},
		"readings.csv":  {"stock_id": "A1", "taken_on": "2026-02-08", "checkpoint": "damp"},
		"documents.csv": {"stock_id": "A1", "kind": "invoice", "dated": "2025-02-08"},
		"sales.csv": {"maker": "Larkfield", "model": "Rothmere 540", "body": "low-profile", "first_registered": "2018-04-02",
			"mileage": "31000", "sold_on": "2025-02-08", "sold_price": "30000"},
		"team.csv":     {"skills": "gas"},
		"bays.csv":     {"kind": "ramp"},
		"absence.csv":  {"technician": "", "from": "2026-03-16", "to": "2026-03-16"},
		"progress.csv": {"stock_id": "A1", "job": "intake-inspection", "state": "open"},
	}
	keys := map[string]string{"vans.csv": "stock_id", "sales.csv": "sale_id", "team.csv": "technician", "bays.csv": "bay"}
	yard := files{"absence.csv": ""} // the usual one names a technician
	want := map[string]string{}      // file:line to column and value
	for name, tried := range columns {
		fields := slices.Clone(tried)
		for _, column := range slices.Sorted(maps.Keys(rows[name])) {
			if !slices.Contains(fields, column) {
				fields = append(fields, column)
			}
		}
		if key := keys[name]; key != "" {
			fields = append(fields, key)
		}
		lines := []string{strings.Join(fields, ";")} // a semicolon, so that 1,00,0 is one cell
		for _, column := range tried {
			for _, cell := range bad {
				var cells []string
				for _, f := range fields {
					switch {
					case f == column:
						cells = append(cells, cell)
					case f == keys[name]:
						cells = append(cells, fmt.Sprintf("X%d", len(lines)))
					default:
						cells = append(cells, rows[name][f])
					}
				}
				lines = append(lines, strings.Join(cells, ";"))
				want[fmt.Sprintf("%s:%d", name, len(lines))] = column
			}
		}
		if name == "vans.csv" {
			good := make([]string, len(fields))
			for i, f := range fields {
				if good[i] = rows[name][f]; f == "stock_id" {
					good[i] = "A1"
				}
			}
			lines = append(lines, strings.Join(good, ";"))
		}
		yard[name] = strings.Join(lines, "\n") + "\n"
	}
	dir := usualYard().with(yard).write(t)
	out := filepath.Join(filepath.Dir(dir), "reports")
	runYard(t, dir, out, "2026-03-09")
	a := auditReports(t, dir, out)
	got := map[string]string{}
	for _, row := range a.tables["rejects.csv"] {
		got[row["file"]+":"+row["line"]] = row["column"]
	}
	for at, column := range want {
		if got[at] != column {
			t.Errorf("%s with a bad %s: rejected for %q", at, column, got[at])
		}
	}
	if len(got) != len(want) || len(want) == 0 {
		t.Errorf("%d rows rejected, want %d", len(got), len(want))
	}
}

// TestNumbersThatAreNoneInBooks: a book with such a cell stops the run, and the
// sentence names the cell.
func TestNumbersThatAreNoneInBooks(t *testing.T) {
	dir := t.TempDir()
	var said bytes.Buffer
	if execute([]string{"books", "--out", dir}, &said, &said) != exitDone {
		t.Fatal(said.String())
	}
	books := filesOf(t, dir)
	for name, columns := range map[string][]string{
		"labour.csv":      {"hours_low", "hours_likely", "hours_high", "factor_panel_van", "factor_a_class", "drying_hours"},
		"parts.csv":       {"unit_cost", "in_stock", "lead_days"},
		"checkpoints.csv": {"worn_at", "defect_at", "unsafe_at", "risk_new_pct", "risk_old_pct"},
		"handover.csv":    {"order"},
	} {
		for _, column := range columns {
			t.Run(name+" "+column, func(t *testing.T) {
				yard := usualYard().with(files{name: books[name]}).write(t)
				// Every row in turn holds another of the bad cells.
				rewriteColumn(t, filepath.Join(yard, name), column, func(i int) string { return notNumbers[i%len(notNumbers)] })
				wantSentence(t, yard, filepath.Join(filepath.Dir(yard), "reports"), fmt.Sprintf("%s:2: column %q: ", name, column))
			})
		}
	}
}

// rewriteColumn gives every row of a table another cell of one column.
func rewriteColumn(t *testing.T, file, column string, cell func(i int) string) {
	t.Helper()
	at := -1
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	header, _, _ := strings.Cut(string(text), "\n")
	if at = slices.Index(strings.Split(strings.TrimSpace(header), ","), column); at < 0 {
		t.Fatalf("%s has no column %s", file, column)
	}
	rewriteRows(t, file, func(rows [][]string) [][]string {
		for i, row := range rows {
			row[at] = cell(i)
		}
		return rows
	})
}

// TestNumbersThatAreNoneInSettings tries them as every setting that is a
// number.
func TestNumbersThatAreNoneInSettings(t *testing.T) {
	yard := onlyVans().with(files{"sales.csv": "", "policy.yaml": ""}).write(t)
	for _, k := range policyfile.Keys {
		if k.Name == "region" || k.Name == "without_proof" || k.Name == "open_at" {
			continue
		}
		for _, bad := range notNumbers {
			if (k.Name == "price_endings" || k.Name == "damp_bands") && bad == "1,00,0" {
				continue // a list
			}
			var stdout, stderr bytes.Buffer
			code := execute([]string{"check", "--yard", yard, "--as-of", demo.AsOf.String(), "--" + k.Flag() + "=" + bad}, &stdout, &stderr)
			if code != exitUsage || !strings.Contains(stderr.String(), "--"+k.Flag()+" is ") {
				t.Errorf("--%s=%s: exit status %d, %s", k.Flag(), bad, code, stderr.String())
			}
		}
		for _, bad := range []string{".nan", ".inf", "-.inf", "1e999", "{a: 1}", "yes"} {
			file := filepath.Join(t.TempDir(), "policy.yaml")
			if err := os.WriteFile(file, []byte(k.Name+": "+bad+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
			var stdout, stderr bytes.Buffer
			code := execute([]string{"check", "--yard", yard, "--as-of", demo.AsOf.String(), "--config", file}, &stdout, &stderr)
			if code != exitFailed || strings.Count(stderr.String(), "\n") != 1 {
				t.Errorf("%s: %s: exit status %d, %s", k.Name, bad, code, stderr.String())
			}
		}
	}
}
