package main

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A monitor reads the line of run --json. nightly/README.md lists its fields; what the
// line says must be what the reports say.
func TestRunEndsWithOneLineOfJSON(t *testing.T) {
	yard := usualYard().with(files{"bays.csv": "", "progress.csv": "stock_id,job,state\nNONE,valet,done\n"}).write(t)
	out := filepath.Join(filepath.Dir(yard), "reports")
	status, stdout, stderr := commandLine("run", "--yard", yard, "--out", out, "--as-of", "2026-03-09", "--json", schedulesTried)
	if status != exitDone {
		t.Fatalf("exit status %d\n%s", status, stderr)
	}
	if strings.Count(stdout, "\n") != 1 || !strings.HasSuffix(stdout, "\n") {
		t.Fatalf("not one line: %q", stdout)
	}
	var line map[string]any
	if err := json.Unmarshal([]byte(stdout), &line); err != nil {
		t.Fatal(err)
	}

	_, table, found := strings.Cut(nightlyFile(t, "README.md"), "| field of the line | holds |")
	if !found {
		t.Fatal("nightly/README.md has no table of the line's fields")
	}
	table, _, _ = strings.Cut(table, "\n\n")
	var told []string
	for _, row := range strings.Split(table, "\n") {
		if cells := strings.Split(row, "|"); len(cells) > 2 {
			for _, name := range regexp.MustCompile("`([a-z_]+)`").FindAllStringSubmatch(cells[1], -1) {
				told = append(told, name[1])
			}
		}
	}
	slices.Sort(told)
	if diff := cmp.Diff(slices.Sorted(maps.Keys(line)), told); diff != "" {
		t.Errorf("fields of the line (-got +README):\n%s", diff)
	}

	var run struct {
		Inputs   []struct{ Read, Accepted, Rejected float64 }
		Warnings []string
	}
	text, err := os.ReadFile(filepath.Join(out, "run.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &run); err != nil {
		t.Fatal(err)
	}
	var read, accepted, rejected float64
	for _, in := range run.Inputs {
		read, accepted, rejected = read+in.Read, accepted+in.Accepted, rejected+in.Rejected
	}
	if rejected != 1 {
		t.Errorf("%v rows are rejected, want the one of progress.csv", rejected)
	}
	if len(run.Warnings) == 0 {
		t.Errorf("run.json warns of %v; this yard has no bays", run.Warnings)
	}
	bids := 0
	for _, row := range readTable(t, filepath.Join(out, "bids.csv")) {
		if row["max_bid"] != "" {
			bids++
		}
	}
	profit := ""
	for _, row := range readTable(t, filepath.Join(out, "margin-totals.csv")) {
		if row["by"] == "all" && row["state"] == "in-hand" {
			profit = row["profit"]
		}
	}
	for field, want := range map[string]any{
		"as_of": "2026-03-09", "reports": out, "rows_read": read, "rows_accepted": accepted, "rows_rejected": rejected, "warnings": float64(len(run.Warnings)),
		"vans": float64(len(readTable(t, filepath.Join(out, "papers.csv")))), "bids": float64(bids), "profit_in_hand": profit,
	} {
		if line[field] != want {
			t.Errorf("%s is %v, want %v", field, line[field], want)
		}
	}

	// A run that fails prints no line: its status and standard error tell.
	status, stdout, stderr = commandLine("run", "--yard", yard, "--out", out, "--as-of", "2026-03-09", "--json", "--strict")
	if status != exitRejected || stdout != "" || !strings.Contains(stderr, "vanwright: 1 row was rejected") {
		t.Errorf("with --strict: exit status %d, %q, %q", status, stdout, stderr)
	}
}

func TestKeepThatCanNotBeMeant(t *testing.T) {
	yard := usualYard().write(t)
	out := filepath.Join(filepath.Dir(yard), "reports")
	for flag, want := range map[string]int{"-1": exitUsage, "99999": exitUsage, "two": exitUsage} {
		if status, _, stderr := commandLine("run", "--yard", yard, "--out", out, "--keep", flag); status != want {
			t.Errorf("--keep %s: exit status %d, want %d\n%s", flag, status, want, stderr)
		}
	}
	t.Setenv("VANWRIGHT_KEEP", "-1")
	if status, _, stderr := commandLine("run", "--yard", yard, "--out", out); status != exitFailed || !strings.Contains(stderr, "setting keep is -1") {
		t.Errorf("VANWRIGHT_KEEP=-1: exit status %d\n%s", status, stderr)
	}
}
