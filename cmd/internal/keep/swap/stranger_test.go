package swap

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// What somebody put among the reports is not deleted with them.
func TestFileOfSomebodysStopsTheRun(t *testing.T) {
	for _, name := range []string{"notes.txt", "vans/notes.txt", ".hidden", "mine/deep/letter.odt"} {
		t.Run(name, func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "reports")
			commitSet(t, out, 1)
			mustWrite(t, filepath.Join(out, name), "mine")
			_, err := Begin(out)
			if want := (StrangerError{out, filepath.FromSlash(name)}); !errors.Is(err, want) {
				t.Fatalf("Begin: %v, want %v", err, want)
			}
			if text, err := os.ReadFile(filepath.Join(out, name)); err != nil || string(text) != "mine" {
				t.Errorf("the file: %q, %v", text, err)
			}
			if err := os.Remove(filepath.Join(out, name)); err != nil {
				t.Fatal(err)
			}
			commitSet(t, out, 2)
			wantSet(t, out, 2)
		})
	}
}

func TestFileOfSomebodysPutThereDuringTheRunStopsIt(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	commitSet(t, out, 1)
	w := begin(t, out)
	if err := writeSet(w, 2); err != nil {
		t.Fatal(err)
	}
	mustWrite(t, filepath.Join(out, "notes.txt"), "mine")
	var stranger StrangerError
	if err := w.Commit(); !errors.As(err, &stranger) {
		t.Fatalf("Commit: %v", err)
	}
	if err := w.Abort(); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(out, "notes.txt")); err != nil {
		t.Fatal(err)
	}
	wantSet(t, out, 1)
}

// What is dropped where somebody only looked stops no run.
func TestDroppingsOfProgramsStopNoRun(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	commitSet(t, out, 1)
	for _, name := range []string{".DS_Store", "vans/Thumbs.db", "desktop.ini", "margin/~$margin.xlsx", "margin/.~lock.margin.xlsx#", ".nfs0000000000000001"} {
		mustWrite(t, filepath.Join(out, name), "")
	}
	commitSet(t, out, 2)
	wantSet(t, out, 2)
}

// A kept set in which somebody put a file stays, and is said; the others go.
func TestFileOfSomebodysInAKeptSet(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	keep := Keep{Sets: 1, Day: func(fs.FS) string { return "2026-03-09" }}
	commitKeeping(t, out, 1, keep)
	commitKeeping(t, out, 2, keep)
	mine := filepath.Join(out+".kept", "2026-03-09", "notes.txt")
	mustWrite(t, mine, "mine")
	w := beginKeeping(t, out, keep)
	if err := errors.Join(writeSet(w, 3), w.Commit()); err != nil {
		t.Fatal(err)
	}
	var stranger StrangerError
	if !errors.As(w.Leftover(), &stranger) || stranger.Name != "notes.txt" {
		t.Errorf("left over: %v", w.Leftover())
	}
	if _, err := os.Stat(mine); err != nil {
		t.Error(err)
	}
	if sets, err := Kept(out); err != nil || len(sets) != 2 {
		t.Errorf("kept: %v, %v", sets, err)
	}
	if err := os.Remove(mine); err != nil {
		t.Fatal(err)
	}
	commitKeeping(t, out, 4, keep)
	wantKept(t, out, 3)
}

// A night with a clock that was years ahead leaves a set of that day among the kept
// ones. It goes before any real one.
func TestKeptSetOfTheFutureGoesFirst(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	keep := Keep{Sets: 2, Day: dayOfRunJSON}
	days := []string{"2026-03-09", "2099-01-01", "2026-03-10", "2026-03-11", "2026-03-12"}
	want := map[string][]string{ // what is kept beside the set of that day
		"2099-01-01": {"2026-03-09"},
		"2026-03-10": {"2099-01-01", "2026-03-09"},
		"2026-03-11": {"2026-03-10", "2026-03-09"},
		"2026-03-12": {"2026-03-11", "2026-03-10"},
	}
	for _, day := range days {
		w := beginKeeping(t, out, keep)
		if err := errors.Join(writeFile(w, "run.json", day), w.Commit(), w.Leftover()); err != nil {
			t.Fatal(err)
		}
		sets, err := Kept(out)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, set := range sets {
			got = append(got, set.Day)
		}
		if len(got) != len(want[day]) {
			t.Fatalf("beside %s: %v, want %v", day, got, want[day])
		}
		for i := range got {
			if got[i] != want[day][i] {
				t.Fatalf("beside %s: %v, want %v", day, got, want[day])
			}
		}
	}
}

// Two machines on one share whose locks do not reach each other: the lock file is
// taken away between the two. Whatever the order of their steps, at each moment the
// reports are one whole set, and a run that did not replace them says so.
func TestTwoMachinesWithoutACommonLock(t *testing.T) {
	for _, c := range []struct {
		name  string
		steps string // a and b begin, A and B write, 1 and 2 commit: each in turn
		want  int    // generation at the end
		fails string
	}{
		{"one after the other", "aA1bB2", 3, ""},
		{"the second begins while the first writes", "abAB12", 3, "A1"},
		{"the second begins when the first has written", "aAb1B2", 3, "1"},
		{"the second is done before the first commits", "aAbB21", 3, "1"},
		{"the second begins, the first gives up, the second goes on", "aAbB12", 3, "1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "reports")
			commitSet(t, out, 1)
			var a, b *Writing
			failed := ""
			for _, step := range c.steps {
				var err error
				switch step {
				case 'a':
					a, err = Begin(out)
				case 'b':
					os.Remove(filepath.Join(filepath.Dir(out), ".reports.lock"))
					b, err = Begin(out)
				case 'A':
					err = writeSet(a, 2)
				case 'B':
					err = writeSet(b, 3)
				case '1':
					if err = a.Commit(); err != nil {
						err = errors.Join(err, a.Abort())
					}
				case '2':
					if err = b.Commit(); err != nil {
						err = errors.Join(err, b.Abort())
					}
				}
				if err != nil {
					failed += string(step)
				}
				if _, err := readSet(out); err != nil {
					t.Fatalf("after step %c: %v", step, err)
				}
			}
			wantSet(t, out, c.want)
			if failed != c.fails {
				t.Errorf("failed at %q, want %q", failed, c.fails)
			}
			commitSet(t, out, 4)
			wantSet(t, out, 4)
		})
	}
}

// Two machines on a share whose locks do not reach each other left a set without its
// marker, which stopped every run after.
func TestSetThatLostItsMarkerIsClearedAway(t *testing.T) {
	for name, mine := range map[string]bool{"ours alone": false, "with a file of somebody's": true} {
		t.Run(name, func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "reports")
			commitSet(t, out, 1)
			left := filepath.Join(filepath.Dir(out), ".reports.vanwright-new")
			if err := os.CopyFS(left, os.DirFS(out)); err != nil {
				t.Fatal(err)
			}
			if err := os.Remove(filepath.Join(left, marker)); err != nil {
				t.Fatal(err)
			}
			if mine {
				mustWrite(t, filepath.Join(left, "notes.txt"), "mine")
				for range 2 { // the second try is no bolder
					var stranger StrangerError
					if _, err := Begin(out); !errors.As(err, &stranger) {
						t.Fatalf("Begin: %v", err)
					}
				}
				if text, err := os.ReadFile(filepath.Join(left, "notes.txt")); err != nil || string(text) != "mine" {
					t.Errorf("the file: %q, %v", text, err)
				}
				return
			}
			commitSet(t, out, 2)
			wantSet(t, out, 2)
			if _, err := os.Stat(left); !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("it is still there: %v", err)
			}
		})
	}
}
