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
	"strings"
	"testing"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/demo"
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

// TestKilledRunLeavesReportsWhole kills runs on the demo yard at random
// moments. After each the reports must be one whole set: every report that
// run.json names is there with as many rows as it says.
func TestKilledRunLeavesReportsWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("kills a dozen runs")
	}
	dir := t.TempDir()
	yard, out := filepath.Join(dir, "yard"), filepath.Join(dir, "reports")
	if err := demo.Write(yard); err != nil {
		t.Fatal(err)
	}
	run := func(asOf string) *exec.Cmd {
		return vanwright(t, "run", "--yard", yard, "--out", out, "--as-of", asOf, "--quiet")
	}
	began := time.Now()
	if text, err := run("2026-03-09").CombinedOutput(); err != nil {
		t.Fatalf("first run: %v\n%s", err, text)
	}
	whole := time.Since(began)
	killed := 0
	for i := range 12 {
		cmd := run([]string{"2026-03-10", "2026-03-11"}[i%2])
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(time.Duration(rand.Int64N(int64(whole*5/4))), func() { cmd.Process.Kill() })
		if err := cmd.Wait(); err != nil {
			killed++
		}
		checkWhole(t, out)
	}
	if killed == 0 {
		t.Error("no run was killed: the test showed nothing")
	}
}

// checkWhole reads run.json and counts what it names.
func checkWhole(t *testing.T, out string) {
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
}

// TestSecondRunStops holds the folder by a stopped run and starts another.
func TestSecondRunStops(t *testing.T) {
	dir := t.TempDir()
	yard, out := filepath.Join(dir, "yard"), filepath.Join(dir, "reports")
	if err := demo.Write(yard); err != nil {
		t.Fatal(err)
	}
	// Ten at once: some may find the folder free again, but none may fail for
	// another reason, and what stands in the end is whole.
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
