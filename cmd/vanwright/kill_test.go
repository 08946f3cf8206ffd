package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
)

func vanwright(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	// testscript.Main runs the command whose name the binary is called by.
	link := filepath.Join(t.TempDir(), "vanwright")
	if err := os.Symlink(self, link); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	return exec.Command(link, args...)
}

// killCount is the environment variable for the number of kills, as in
// VANWRIGHT_TEST_KILLS=200. Package folder kills a writer that often each time
// it is tested; whole runs take longer.
const killCount = "VANWRIGHT_TEST_KILLS"

// TestKilledRunsLeaveReportsWhole kills runs at random moments: of a
// small yard, whose runs are mostly writing, and of the demo yard. After each,
// before another run could mend anything, the reports must be one whole set, of
// the run before or of the one that was killed: every report that run.json
// names is there with as many rows as it says.
func TestKilledRunsLeaveReportsWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("kills dozens of runs")
	}
	kills := 30
	if s := os.Getenv(killCount); s != "" {
		var err error
		if kills, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	demoYard := filepath.Join(t.TempDir(), "yard")
	if err := demo.Write(demoYard); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, yard string
		kills      int
	}{
		{"a small yard", usualYard().write(t), kills},
		{"the demo yard", demoYard, kills / 15},
	} {
		t.Run(c.name, func(t *testing.T) { killRuns(t, c.yard, c.kills) })
	}
}

func killRuns(t *testing.T, yard string, kills int) {
	out := filepath.Join(t.TempDir(), "reports")
	begun := filepath.Join(filepath.Dir(out), ".reports.vanwright-new")
	run := func(asOf string) *exec.Cmd {
		return vanwright(t, "run", "--yard", yard, "--out", out, "--as-of", asOf, "--quiet", "--accept-loss")
	}
	began := time.Now()
	if text, err := run("2026-03-09").CombinedOutput(); err != nil {
		t.Fatalf("first run: %v\n%s", err, text)
	}
	whole := time.Since(began)
	stands := checkWhole(t, out)
	killed, replaced, cutShort, runs := 0, 0, 0, 0
	for ; killed < kills && runs < 4*kills; runs++ {
		asOf := []string{"2026-03-10", "2026-03-11"}[runs%2]
		cmd := run(asOf)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		share := rand.Float64() * 1.2
		if runs%3 > 0 { // most of the moments while files are written and swapped
			share = 0.6 + share/2
		}
		wait := time.Duration(float64(whole) * share)
		began := time.Now()
		time.AfterFunc(wait, func() { cmd.Process.Kill() })
		if err := cmd.Wait(); err != nil {
			killed++
		} else {
			whole = time.Since(began) // the machine may be less busy than it was
		}
		if exists(begun) {
			cutShort++
		}
		now := checkWhole(t, out)
		if now != stands && now != asOf {
			t.Fatalf("run %d: the reports are of %s, after %s, while those of %s were written", runs, now, stands, asOf)
		}
		if now != stands {
			replaced++
		}
		stands = now
	}
	t.Logf("%d runs, %d killed, %d of them while they wrote; %d times the reports were replaced", runs, killed, cutShort, replaced)
	if killed < kills || cutShort == 0 {
		t.Error("too few runs were killed, or none while it wrote")
	}
	if text, err := run("2026-03-12").CombinedOutput(); err != nil || checkWhole(t, out) != "2026-03-12" {
		t.Errorf("the run after the last kill: %v\n%s", err, text)
	}
}

// checkWhole reads run.json, counts what it names and returns its as-of date.
func checkWhole(t *testing.T, out string) (asOf string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(out, "run.json"))
	if err != nil {
		t.Fatal(err)
	}
	var run struct {
		AsOf    string `json:"as_of"`
		Outputs []struct {
			Name string
			Rows int
		}
	}
	if err := json.Unmarshal(text, &run); err != nil {
		t.Fatal(err)
	}
	if len(run.Outputs) < 12 {
		t.Fatalf("run.json names %d reports", len(run.Outputs))
	}
	for _, o := range run.Outputs {
		text, err := os.ReadFile(filepath.Join(out, o.Name))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", o.Name, err)
		}
		if len(rows)-1 != o.Rows {
			t.Fatalf("%s has %d rows, run.json of %s says %d", o.Name, len(rows)-1, run.AsOf, o.Rows)
		}
	}
	index, err := os.ReadFile(filepath.Join(out, "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	day, err := time.Parse(time.DateOnly, run.AsOf)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(index), day.Format("As of Monday 2 January 2006")) {
		t.Fatalf("index.html is not of %s, as run.json is", run.AsOf)
	}
	err = filepath.WalkDir(out, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && strings.HasSuffix(path, ".html") {
			page, readErr := os.ReadFile(path)
			if readErr != nil || !bytes.Contains(page, []byte("</html>")) {
				t.Errorf("%s is not whole: %v", path, readErr)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return run.AsOf
}

// TestTenRunsAtOnceOnOneFolder: some may find the folder free again, but none
// may fail for another reason, and what stands in the end is whole.
func TestTenRunsAtOnceOnOneFolder(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the whole demo ten times")
	}
	dir := t.TempDir()
	yard, out := filepath.Join(dir, "yard"), filepath.Join(dir, "reports")
	if err := demo.Write(yard); err != nil {
		t.Fatal(err)
	}
	var running []*exec.Cmd
	var said []*bytes.Buffer
	for range 10 {
		cmd := vanwright(t, "run", "--yard", yard, "--out", out, "--as-of", "2026-03-09", "--quiet")
		var text bytes.Buffer
		cmd.Stderr = &text
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		running, said = append(running, cmd), append(said, &text)
	}
	busy := 0
	for i, cmd := range running {
		if err := cmd.Wait(); err != nil {
			if !strings.Contains(said[i].String(), "another run is writing the reports") {
				t.Errorf("a run failed otherwise: %v\n%s", err, said[i])
			}
			busy++
		}
	}
	if busy == 0 || busy == len(running) {
		t.Errorf("%d of %d runs found the folder busy", busy, len(running))
	}
	checkWhole(t, out)
}
