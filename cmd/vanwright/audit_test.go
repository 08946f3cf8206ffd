package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/data"
)

// schedulesTried keeps the search for a workshop plan short in tests: what is
// checked holds of the first plan as of the best.
const schedulesTried = "--plan-schedules=10"

// TestIdentitiesOfLargerYards audits the demo yard and a made-up yard of 300
// vans, and wants the same bytes of one worker as of four.
func TestIdentitiesOfLargerYards(t *testing.T) {
	if testing.Short() {
		t.Skip("runs larger yards")
	}
	for _, c := range []struct {
		name string
		make func(t *testing.T, yard string)
	}{
		{"demo", func(t *testing.T, yard string) {
			if err := demo.Write(yard); err != nil {
				t.Fatal(err)
			}
		}},
		{"synth of 300 vans", func(t *testing.T, yard string) {
			var said bytes.Buffer
			if execute([]string{"synth", "--vans", "300", "--sales", "600", "--out", yard}, &said, &said) != exitDone {
				t.Fatal(said.String())
			}
		}},
	} {
		if testing.Short() && c.name != "demo" {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			yard := filepath.Join(dir, "yard")
			c.make(t, yard)
			one, four := filepath.Join(dir, "one"), filepath.Join(dir, "four")
			runYard(t, yard, one, demo.AsOf.String(), "--workers=1", schedulesTried)
			runYard(t, yard, four, demo.AsOf.String(), "--workers=4", schedulesTried)
			a := auditReports(t, yard, one)
			if len(a.tables["margin.csv"]) < 20 || len(a.tables["bids.csv"]) < 5 || len(a.tables["schedule.csv"]) < 50 {
				t.Error("too little was checked")
			}
			sameFiles(t, filesOf(t, four), filesOf(t, one))
		})
	}
}

// sameFiles names the first line at which two sets of files differ.
func sameFiles(t *testing.T, got, want map[string]string) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("got %d files, want %d", len(got), len(want))
	}
	for name, text := range want {
		if got[name] == text {
			continue
		}
		g, w := strings.Split(got[name], "\n"), strings.Split(text, "\n")
		for i := range min(len(g), len(w)) {
			if g[i] != w[i] {
				t.Errorf("%s:%d differs\n got %.600s\nwant %.600s", name, i+1, g[i], w[i])
				break
			}
		}
		if len(g) != len(w) {
			t.Errorf("%s has %d lines, want %d", name, len(g), len(w))
		}
	}
}

// placeInInput is where in an input a report says that something was read,
// and the digest of an input; both follow the order of its rows.
var placeInInput = regexp.MustCompile(`((readings|documents|progress|vans|sales|labour|parts|checkpoints)\.csv):[0-9]+|"sha256": "[0-9a-f]+"|, line [0-9]+`)

// TestOrderOfRowsChangesNothing shuffles the rows of the tables of the demo yard
// and of its books, less the rows that are bad, and wants the same reports save
// for the numbers of lines.
func TestOrderOfRowsChangesNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the whole demo twice")
	}
	dir := t.TempDir()
	yard, shuffled := filepath.Join(dir, "yard"), filepath.Join(dir, "shuffled")
	if err := demo.Write(yard); err != nil {
		t.Fatal(err)
	}
	dropRejected(t, yard)
	var said bytes.Buffer
	if execute([]string{"books", "--out", yard}, &said, &said) != exitDone {
		t.Fatal(said.String())
	}
	if err := os.CopyFS(shuffled, os.DirFS(yard)); err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(3, 9))
	files, _ := filepath.Glob(filepath.Join(shuffled, "*.csv"))
	if len(files) < 6 {
		t.Fatalf("found %v", files)
	}
	for _, file := range files {
		if filepath.Base(file) == "checkpoints.csv" {
			continue // its order is the order in which a van is walked round
		}
		rewriteRows(t, file, func(rows [][]string) [][]string {
			random.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
			return rows
		})
	}
	read := func(yard string) map[string]string {
		out := yard + "-out"
		runYard(t, yard, out, demo.AsOf.String(), schedulesTried)
		files := filesOf(t, out)
		for name, text := range files {
			files[name] = placeInInput.ReplaceAllString(text, "$1")
		}
		delete(files, "margin/margin.xlsx") // packed: its tables are compared as CSV
		return files
	}
	sameFiles(t, read(shuffled), read(yard))
}

// rewriteRows puts what change makes of a table's rows in their place.
func rewriteRows(t *testing.T, file string, change func(rows [][]string) [][]string) {
	t.Helper()
	rows := csvRows(t, file)
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	if err := w.WriteAll(append(rows[:1:1], change(rows[1:])...)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// dropRejected takes the rows out of a yard that a run rejects: of two rows of
// one key the first stays, so that there the order means something.
func dropRejected(t *testing.T, yard string) {
	t.Helper()
	loaded, err := data.Load(context.Background(), os.DirFS(yard), data.LoadOptions{AsOf: demo.AsOf})
	if err != nil {
		t.Fatal(err)
	}
	bad := map[string]map[int]bool{}
	for _, r := range loaded.Rejects {
		if bad[r.File] == nil {
			bad[r.File] = map[int]bool{}
		}
		bad[r.File][r.Line] = true
	}
	if len(bad) == 0 {
		t.Fatal("the yard has no bad rows")
	}
	for name, lines := range bad {
		file := filepath.Join(yard, name)
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var kept strings.Builder
		for i, line := range strings.SplitAfter(string(text), "\n") {
			if !lines[i+1] {
				kept.WriteString(line)
			}
		}
		if err := os.WriteFile(file, []byte(kept.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
