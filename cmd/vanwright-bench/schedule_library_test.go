package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// fetched is the folder of public data that is not part of the project. The
// environment variable VANWRIGHT_CHECKS names the folder that holds it.
func fetched(t *testing.T, name string) string {
	t.Helper()
	checks := os.Getenv("VANWRIGHT_CHECKS")
	if checks == "" {
		t.Skip("VANWRIGHT_CHECKS names no folder of public instances")
	}
	path := filepath.Join(checks, "fetched", name)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("no public instances there: %v", err)
	}
	return path
}

// makespans runs the command over a folder and returns the rows by instance.
func makespans(t *testing.T, dir string, schedules int) map[string][]string {
	t.Helper()
	var out bytes.Buffer
	if err := runSchedule(context.Background(), scheduleOptions{dir: dir, schedules: schedules, seed: 1}, &out); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	found := map[string][]string{}
	for _, row := range rows[1:] {
		found[row[0]] = row
	}
	return found
}

func number(t *testing.T, text string) int {
	t.Helper()
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// The instances and the best known makespans are those of PSPLIB (Kolisch and
// Sprecher, European Journal of Operational Research 96, 1997).
func TestLibraryMakespansAreNearTheBestKnown(t *testing.T) {
	library := fetched(t, "psplib")
	f, err := os.Open(filepath.Join(library, "bestknown.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	best, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		set       string
		schedules int
		most      float64 // mean percent above the best known
	}{
		{"j30", 1_000, 0.50},
		{"j60", 1_000, 1.90},
		{"j30", 5_000, 0.10},
		{"j60", 5_000, 1.00},
	} {
		t.Run(c.set+" at "+strconv.Itoa(c.schedules), func(t *testing.T) {
			if testing.Short() && c.schedules > 1_000 {
				t.Skip("many schedules")
			}
			found := makespans(t, filepath.Join(library, c.set), c.schedules)
			sum, instances := 0.0, 0
			for _, row := range best[1:] {
				if row[0] != c.set {
					continue
				}
				got := found[row[1]]
				if got == nil {
					t.Fatalf("%s is not there", row[1])
				}
				makespan, bound := number(t, got[1]), number(t, got[2])
				lower, known := number(t, row[3]), number(t, row[4])
				if makespan < lower || bound > known || number(t, got[3]) > c.schedules {
					t.Errorf("%v: best known %d, its bound %d", got, known, lower)
				}
				sum += 100 * float64(makespan-known) / float64(known)
				instances++
			}
			t.Logf("%.3f %% above the best known of %d", sum/float64(instances), instances)
			if mean := sum / float64(instances); mean > c.most {
				t.Errorf("%.3f %% above the best known, more than %.2f %%", mean, c.most)
			}
		})
	}
}

// FT06 and FT10 of Fisher and Thompson; the optima 55 and 930 are those given
// in instances.json of the JSPLIB collection (github.com/tamy0612/JSPLIB).
func TestJobShopsAreReadAndSolved(t *testing.T) {
	found := makespans(t, "testdata/jobshop", 2_000)
	if got := number(t, found["ft06"][1]); got != 55 {
		t.Errorf("FT06: makespan %d, the optimum is 55", got)
	}
	if got := number(t, found["ft10"][1]); got < 930 || got > 1_000 {
		t.Errorf("FT10: makespan %d, the optimum is 930", got)
	}
}
