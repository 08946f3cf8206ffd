package swap

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// keepThree keeps three sets, all of one day.
var keepThree = Keep{Sets: 3, Day: func(fs.FS) string { return "2026-03-09" }}

func beginKeeping(t *testing.T, out string, keep Keep) *Writing {
	t.Helper()
	w, err := BeginKeeping(out, keep)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Abort() })
	return w
}

// commitKeeping runs a whole generation; old sets are kept.
func commitKeeping(t *testing.T, out string, generation int, keep Keep) {
	t.Helper()
	w := beginKeeping(t, out, keep)
	if err := errors.Join(writeSet(w, generation), w.Commit(), w.Leftover()); err != nil {
		t.Fatal(err)
	}
}

// wantKept fails the test unless exactly these generations are kept, the newest
// first, each whole.
func wantKept(t *testing.T, out string, want ...int) {
	t.Helper()
	if diff := cmp.Diff(keptGenerations(t, out), want); diff != "" {
		t.Fatalf("generations kept (-got +want):\n%s", diff)
	}
}

func keptGenerations(t *testing.T, out string) []int {
	t.Helper()
	sets, err := Kept(out)
	if err != nil {
		t.Fatal(err)
	}
	var got []int
	for _, set := range sets {
		generation, err := readSet(set.Path)
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, generation)
	}
	return got
}

// wantKeptWhole looks at what a kill has left: one generation after the other
// is kept without a gap, up to the last or the last but one before the reports
// that stand. More than three may stand until a run comes to its end.
func wantKeptWhole(t *testing.T, out string, stands int) {
	t.Helper()
	got := keptGenerations(t, out)
	for i, generation := range got {
		if i == 0 && generation != stands-1 && generation != stands-2 || i > 0 && generation != got[i-1]-1 {
			t.Fatalf("generation %d stands and %v are kept", stands, got)
		}
	}
}

// dayOfRunJSON takes the day of a set from its run.json, which holds a day here.
func dayOfRunJSON(set fs.FS) string {
	text, _ := fs.ReadFile(set, "run.json")
	return string(text)
}

// commitDay replaces the reports by a set whose run.json says the day.
func commitDay(t *testing.T, out, day string, sets int) {
	t.Helper()
	w := beginKeeping(t, out, Keep{Sets: sets, Day: dayOfRunJSON})
	if err := errors.Join(writeFile(w, "run.json", day), w.Commit(), w.Leftover()); err != nil {
		t.Fatal(err)
	}
}

func TestReplacedSetsAreKeptByDay(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "reports")
	for _, step := range []struct {
		why  string
		day  string
		sets int
		want []string // names under reports.kept, as the system sorts them
	}{
		{"a first run has nothing to keep", "2026-03-09", 2, nil},
		{"the set before is kept under its day", "2026-03-10", 2, []string{"2026-03-09"}},
		{"", "2026-03-10", 2, []string{"2026-03-09", "2026-03-10"}},
		{"the next set of the day has a number, and the oldest goes", "2026-03-10", 2, []string{"2026-03-10", "2026-03-10.2"}},
		{"a number is not given twice", "2026-03-11", 2, []string{"2026-03-10.2", "2026-03-10.3"}},
		{"without keeping, nothing is added and nothing goes", "2026-03-12", 0, []string{"2026-03-10.2", "2026-03-10.3"}},
		{"a smaller number takes more away", "2026-03-13", 1, []string{"2026-03-12"}},
		{"a set of an earlier day is not the newest, whenever it was made", "2026-03-01", 2, []string{"2026-03-12", "2026-03-13"}},
		{"", "2026-03-14", 2, []string{"2026-03-12", "2026-03-13"}},
		{"a set that gives no day is older than all", "no day", 3, []string{"2026-03-12", "2026-03-13", "2026-03-14"}},
		{"", "2026-03-15", 9, []string{"2026-03-12", "2026-03-13", "2026-03-14", "undated"}},
		{"", "2026-03-16", 4, []string{"2026-03-12", "2026-03-13", "2026-03-14", "2026-03-15"}},
	} {
		commitDay(t, out, step.day, step.sets)
		if got, err := os.ReadFile(filepath.Join(out, "run.json")); err != nil || string(got) != step.day {
			t.Fatalf("the reports are of %q, %v, want %s", got, err, step.day)
		}
		kept := filepath.Join(parent, "reports.kept")
		if step.want == nil {
			wantBeside(t, parent, ".reports.lock", "reports")
			continue
		}
		wantBeside(t, parent, ".reports.lock", "reports", "reports.kept")
		if wantBeside(t, kept, step.want...); t.Failed() {
			t.Fatal(step.why)
		}
		for _, name := range step.want {
			day, _, _ := strings.Cut(name, ".")
			if got := dayOfRunJSON(os.DirFS(filepath.Join(kept, name))); got != day && day != undated {
				t.Errorf("%s holds the set of %s", name, got)
			}
			if _, err := os.Stat(filepath.Join(kept, name, marker)); err != nil {
				t.Error(err)
			}
		}
	}
}

func TestKeptListsTheNewestFirst(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	for range 12 {
		commitDay(t, out, "2026-03-09", 20)
	}
	commitDay(t, out, "2026-03-10", 20)
	commitDay(t, out, "2026-03-11", 20)
	sets, err := Kept(out)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, set := range sets {
		got = append(got, filepath.Base(set.Path))
	}
	want := []string{
		"2026-03-10", "2026-03-09.12", "2026-03-09.11", "2026-03-09.10", "2026-03-09.9", "2026-03-09.8",
		"2026-03-09.7", "2026-03-09.6", "2026-03-09.5", "2026-03-09.4", "2026-03-09.3", "2026-03-09.2", "2026-03-09",
	}
	if diff := cmp.Diff(got, want); diff != "" {
		t.Errorf("-got +want:\n%s", diff)
	}
	if sets, err := Kept(filepath.Join(t.TempDir(), "reports")); err != nil || sets != nil {
		t.Errorf("kept of no reports: %v, %v", sets, err)
	}
}

// What a user puts among the kept sets stays there and counts as none of them.
func TestForeignThingsAmongTheKeptStay(t *testing.T) {
	parent := t.TempDir()
	out, kept := filepath.Join(parent, "reports"), filepath.Join(parent, "reports.kept")
	elsewhere := filepath.Join(parent, "elsewhere")
	mustWrite(t, filepath.Join(elsewhere, marker), "")
	mustWrite(t, filepath.Join(kept, "2026-03-01", "letter.txt"), "dear customer")
	mustWrite(t, filepath.Join(kept, "2026-03-02"), "a file")
	mustWrite(t, filepath.Join(kept, "2026-03-03 for the accountant", marker), "")
	mustWrite(t, filepath.Join(kept, "2026-03-04.01", marker), "")
	mustWrite(t, filepath.Join(kept, "notes.txt"), "mine")
	symlink(t, elsewhere, filepath.Join(kept, "2026-03-05"))
	for range 3 {
		commitDay(t, out, "2026-03-02", 1)
	}
	wantBeside(t, kept, "2026-03-01", "2026-03-02", "2026-03-02.3", "2026-03-03 for the accountant", "2026-03-04.01", "2026-03-05", "notes.txt")
	if _, err := os.Stat(filepath.Join(elsewhere, marker)); err != nil {
		t.Error(err)
	}
	if text, err := os.ReadFile(filepath.Join(kept, "2026-03-01", "letter.txt")); err != nil || string(text) != "dear customer" {
		t.Errorf("the letter: %q, %v", text, err)
	}
}

func TestWhatIsInTheWayOfKeepingStopsTheRunAtOnce(t *testing.T) {
	for _, name := range []string{"a file", "a link"} {
		t.Run(name, func(t *testing.T) {
			parent := t.TempDir()
			out, kept := filepath.Join(parent, "reports"), filepath.Join(parent, "reports.kept")
			if name == "a file" {
				mustWrite(t, kept, "mine")
			} else {
				symlink(t, t.TempDir(), kept)
			}
			if _, err := BeginKeeping(out, keepThree); err == nil || !strings.Contains(err.Error(), kept+" is in the way") {
				t.Fatalf("BeginKeeping: %v", err)
			}
			commitSet(t, out, 1) // who keeps nothing is not hindered
		})
	}
}

// A run that is killed after the swap leaves the set that it replaced beside
// the reports; the next run keeps it, if it keeps any.
func TestNextRunKeepsWhatAKilledOneDidNot(t *testing.T) {
	for _, where := range []string{"new", "old"} {
		for _, keep := range []Keep{keepThree, {}} {
			parent := t.TempDir()
			out := filepath.Join(parent, "reports")
			commitSet(t, out, 1)
			p, err := locate(out)
			if err != nil {
				t.Fatal(err)
			}
			mustRename(t, out, p.beside(".vanwright-"+where))
			fresh := unfinishedSet(t, 2)
			mustRename(t, fresh, out)

			if err := beginKeeping(t, out, keep).Abort(); err != nil {
				t.Fatal(err)
			}
			wantSet(t, out, 2)
			if keep.Sets == 0 {
				wantBeside(t, parent, ".reports.lock", "reports")
				continue
			}
			wantBeside(t, parent, ".reports.lock", "reports", "reports.kept")
			wantKept(t, out, 1)
		}
	}
}

// unfinishedSet writes a set as it is at the moment before it takes its place.
func unfinishedSet(t *testing.T, generation int) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "set")
	commitSet(t, path, generation)
	mustRename(t, filepath.Join(path, marker), filepath.Join(path, unfinished))
	return path
}
