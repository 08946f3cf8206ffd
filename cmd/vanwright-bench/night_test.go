package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

func TestNightTimesAProgram(t *testing.T) {
	program, err := exec.LookPath("true")
	if err != nil {
		t.Skip("no program that does nothing:", err)
	}
	yard := t.TempDir()
	if err := os.WriteFile(filepath.Join(yard, "bays.csv"), []byte("bay,kind\nOne,ramp\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := runNight(context.Background(), nightOptions{yard: yard, program: program, asOf: "2026-03-09", bid: "V1", times: 2}, &out); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 2 || rows[1][1] != "2" {
		t.Fatalf("got %v, %v; want a header and one line about 2 rows", rows, err)
	}
	for _, column := range []int{3, 4, 7} { // run_seconds, run_over_plain, bid_seconds
		if x, err := strconv.ParseFloat(rows[1][column], 64); err != nil || x < 0 {
			t.Errorf("%s is %q", rows[0][column], rows[1][column])
		}
	}
}

func TestNightSaysWhatFailed(t *testing.T) {
	program, err := exec.LookPath("false")
	if err != nil {
		t.Skip("no program that fails:", err)
	}
	err = runNight(context.Background(), nightOptions{yard: t.TempDir(), program: program, times: 1}, &bytes.Buffer{})
	if err == nil || !strings.Contains(err.Error(), "run: exit status 1") {
		t.Errorf("got %v, want that run failed", err)
	}
}
