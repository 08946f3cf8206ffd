package rcpsp_test

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/vanwright/vanwright/prep/schedule/psplib"
	"github.com/vanwright/vanwright/prep/schedule/rcpsp"
)

// library is where the instances of PSPLIB (Kolisch and Sprecher, European
// Journal of Operational Research 96, 1997) lie on machines that have them,
// with a table of the best known makespans. They are not part of the project.
const library = "../../../../shared/checks/fetched/psplib"

type instance struct {
	name    string
	project rcpsp.Project
	best    int // smallest known makespan
	lower   int // largest known lower bound
}

func readLibrary(t testing.TB, set string) []instance {
	f, err := os.Open(filepath.Join(library, "bestknown.csv"))
	if err != nil {
		t.Skipf("no PSPLIB instances here: %v", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []instance
	for _, row := range rows[1:] {
		if row[0] != set {
			continue
		}
		in := instance{name: row[1]}
		if in.lower, err = strconv.Atoi(row[3]); err != nil {
			t.Fatal(err)
		}
		if in.best, err = strconv.Atoi(row[4]); err != nil {
			t.Fatal(err)
		}
		in.project = readInstance(t, filepath.Join(library, set, row[1]+".sm"))
		out = append(out, in)
	}
	return out
}

func readInstance(t testing.TB, path string) rcpsp.Project {
	f, err := os.Open(path)
	if err != nil {
		t.Skipf("no such PSPLIB instance here: %v", err)
	}
	defer f.Close()
	p, err := psplib.Read(f, path)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestLibraryMakespansAreNearTheBestKnown(t *testing.T) {
	for _, c := range []struct {
		set       string
		schedules int
		most      float64 // mean percent above the best known
	}{
		{"j30", 1_000, 0.50},
		{"j60", 1_000, 1.90},
		{"j30", 5_000, 0.20},
		{"j60", 5_000, 1.00},
	} {
		t.Run(c.set+" at "+strconv.Itoa(c.schedules), func(t *testing.T) {
			if testing.Short() && c.schedules > 1_000 {
				t.Skip("many schedules")
			}
			instances := readLibrary(t, c.set)
			sum, hits := 0.0, 0
			for _, in := range instances {
				got, err := rcpsp.Solve(context.Background(), in.project, rcpsp.Options{Schedules: c.schedules, Seed: 1})
				if err != nil {
					t.Fatalf("%s: %v", in.name, err)
				}
				if err := rcpsp.Verify(in.project, got); err != nil {
					t.Fatalf("%s: %v", in.name, err)
				}
				if got.Schedules > c.schedules {
					t.Errorf("%s: %d schedules", in.name, got.Schedules)
				}
				if got.Makespan < in.lower {
					t.Errorf("%s: makespan %d is below the best known bound %d", in.name, got.Makespan, in.lower)
				}
				if got.LowerBound > in.best {
					t.Errorf("%s: lower bound %d is above the best known makespan %d", in.name, got.LowerBound, in.best)
				}
				sum += 100 * float64(got.Makespan-in.best) / float64(in.best)
				if got.Makespan <= in.best {
					hits++
				}
			}
			mean := sum / float64(len(instances))
			t.Logf("%.3f %% above the best known, which %d of %d reach", mean, hits, len(instances))
			if mean > c.most {
				t.Errorf("%.3f %% above the best known, more than %.2f %%", mean, c.most)
			}
		})
	}
}

// BenchmarkSolve is the speed of the whole search, bounds included.
func BenchmarkSolve(b *testing.B) {
	for _, name := range []string{"j30/j3013_1", "j60/j6013_1"} {
		b.Run(name, func(b *testing.B) {
			p := readInstance(b, filepath.Join(library, name+".sm"))
			made := 0
			for b.Loop() {
				got, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: 50_000, Seed: 1})
				if err != nil {
					b.Fatal(err)
				}
				made += got.Schedules
			}
			b.ReportMetric(float64(made)/b.Elapsed().Seconds(), "schedules/s")
		})
	}
}
