package swap

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestMain lets the tests start themselves as other processes: see child in
// kill_test.go.
//
// The tests write some ten thousand files through to the disk, which takes
// minutes on a busy one; so they run in memory where the system offers that,
// unless TMPDIR names a place or the number of kills is raised: the long test
// is one of a real disk.
func TestMain(m *testing.M) {
	if job := os.Getenv(childJob); job != "" {
		os.Exit(child(job))
	}
	const inMemory = "/dev/shm"
	if info, err := os.Stat(inMemory); err == nil && info.IsDir() && os.Getenv("TMPDIR") == "" && os.Getenv(killCount) == "" {
		os.Setenv("TMPDIR", inMemory)
	}
	os.Exit(m.Run())
}

// filesPerSet is the size of the sets that the tests write, besides run.json.
const filesPerSet = 50

// pageText is long enough to take more than one write of the buffer.
func pageText(generation int) string {
	return strings.Repeat(fmt.Sprintf("generation %d\n", generation), 2000)
}

// writeSet writes the files of one generation, run.json last, as a run does.
func writeSet(w *Writing, generation int) error {
	for i := range filesPerSet {
		dir := []string{"", "vans/", "workshop/", "margin/"}[i%4]
		if err := writeFile(w, fmt.Sprintf("%spage-%02d.html", dir, i), pageText(generation)); err != nil {
			return err
		}
	}
	return writeFile(w, "run.json", strconv.Itoa(generation))
}

func writeFile(w *Writing, name, text string) error {
	f, err := w.Create(name)
	if err != nil {
		return err
	}
	_, err = io.WriteString(f, text)
	return errors.Join(err, f.Close())
}

// commitSet runs a whole generation.
func commitSet(t *testing.T, out string, generation int) {
	t.Helper()
	w := begin(t, out)
	if err := writeSet(w, generation); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
	if err := w.Leftover(); err != nil {
		t.Fatal(err)
	}
}

func begin(t *testing.T, out string) *Writing {
	t.Helper()
	w, err := Begin(out)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Abort() })
	return w
}

// readSet returns the generation of a whole set, and an error for a set that is
// mixed, cut short or has a file too many.
func readSet(dir string) (int, error) {
	text, err := os.ReadFile(filepath.Join(dir, "run.json"))
	if err != nil {
		return 0, err
	}
	generation, err := strconv.Atoi(string(text))
	if err != nil {
		return 0, err
	}
	pages := 0
	err = filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || entry.Name() == "run.json" || entry.Name() == marker || entry.Name() == unfinished || entry.Name() == listing {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if string(text) != pageText(generation) {
			return fmt.Errorf("%s is not of generation %d", path, generation)
		}
		pages++
		return nil
	})
	if err == nil && pages != filesPerSet {
		err = fmt.Errorf("%d pages of generation %d, want %d", pages, generation, filesPerSet)
	}
	return generation, err
}

// wantSet fails the test unless dir holds the whole of one generation.
func wantSet(t *testing.T, dir string, generation int) {
	t.Helper()
	got, err := readSet(dir)
	if err != nil {
		t.Fatal(err)
	}
	if got != generation {
		t.Fatalf("%s holds generation %d, want %d", dir, got, generation)
	}
}

// wantBeside fails the test unless exactly these names stand in the folder.
func wantBeside(t *testing.T, parent string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(parent)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if diff := cmp.Diff(got, want); diff != "" {
		t.Fatalf("in %s (-got +want):\n%s", parent, diff)
	}
}

func TestCommitReplacesTheWholeFolder(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "reports")

	w := begin(t, out)
	if got := w.Old(); got != "" {
		t.Errorf("Old of a first run is %q, want none", got)
	}
	if err := writeFile(w, "vans/GONE.html", "a van sold since"); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(out); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the folder is there before Commit: %v", err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}

	w = begin(t, out)
	if got := w.Old(); got != out {
		t.Errorf("Old is %q, want %q", got, out)
	}
	if err := writeSet(w, 2); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(w.Old(), "vans", "GONE.html")); err != nil {
		t.Errorf("the old set can't be read before Commit: %v", err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
	wantSet(t, out, 2) // also: GONE.html is gone
	wantBeside(t, parent, ".reports.lock", "reports")
	if err := w.Commit(); !errors.Is(err, errOver) {
		t.Errorf("second Commit: %v", err)
	}
	if _, err := w.Create("late.csv"); !errors.Is(err, errOver) {
		t.Errorf("Create after Commit: %v", err)
	}
	if err := w.Abort(); err != nil {
		t.Errorf("Abort after Commit: %v", err)
	}
	wantSet(t, out, 2)
}

func TestAbortLeavesTheOldFolder(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "reports")
	commitSet(t, out, 1)
	w := begin(t, out)
	if err := writeSet(w, 2); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Create("half-written.csv"); err != nil {
		t.Fatal(err)
	}
	if err := w.Abort(); err != nil {
		t.Fatal(err)
	}
	wantSet(t, out, 1)
	wantBeside(t, parent, ".reports.lock", "reports")
	commitSet(t, out, 3) // the lock is free again
	wantSet(t, out, 3)
}

func TestFoldersAboveAreMade(t *testing.T) {
	out := filepath.Join(t.TempDir(), "made", "on", "the way", "reports")
	commitSet(t, out, 1)
	wantSet(t, out, 1)
}

func TestEmptyFolderIsTaken(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "reports")
	if err := os.Mkdir(out, 0o755); err != nil {
		t.Fatal(err)
	}
	commitSet(t, out, 1)
	wantSet(t, out, 1)
	wantBeside(t, parent, ".reports.lock", "reports")
}

func TestModesAreTheLeast(t *testing.T) {
	if os.PathSeparator != '/' {
		t.Skip("modes are a matter of unix")
	}
	out := filepath.Join(t.TempDir(), "reports")
	commitSet(t, out, 1)
	err := filepath.WalkDir(out, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		most := fileMode
		if entry.IsDir() {
			most = folderMode
		}
		if got := info.Mode().Perm(); got&^most != 0 {
			t.Errorf("%s has mode %o, more than %o", path, got, most)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestCreateRefusesNamesThatLeadElsewhere(t *testing.T) {
	for _, name := range []string{
		"", ".", "..", "../x", "vans/../../x", "vans/../x", "/etc/x", "vans//x", "vans/", "./x", marker, unfinished, listing,
	} {
		t.Run(name, func(t *testing.T) {
			w := begin(t, filepath.Join(t.TempDir(), "reports"))
			if _, err := w.Create(name); err == nil {
				t.Fatalf("Create(%q) went through", name)
			}
			if err := w.Commit(); err == nil {
				t.Error("Commit after a refused name went through")
			}
		})
	}
}

func TestCreateRefusesTheSameNameTwice(t *testing.T) {
	w := begin(t, filepath.Join(t.TempDir(), "reports"))
	if err := writeFile(w, "prices.csv", "first"); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Create("prices.csv"); !errors.Is(err, fs.ErrExist) {
		t.Fatalf("second Create: %v, want fs.ErrExist", err)
	}
}

// A file whose disk fails under it stands for every error of a disk: the set
// has a gap and must not replace a whole one, even if the writer of the page
// took no notice.
func TestFailedWriteBarsCommit(t *testing.T) {
	tests := []struct {
		name string
		harm func(t *testing.T, f *file)
	}{
		{"write fails", func(t *testing.T, f *file) {
			f.under.Close()
			if _, err := f.Write(make([]byte, 2*bufferSize)); err == nil {
				t.Error("Write to a broken file went through")
			}
			f.Close()
		}},
		{"only the flush in Close fails", func(t *testing.T, f *file) {
			f.under.Close()
			if _, err := f.Write([]byte("short")); err != nil {
				t.Errorf("buffered Write: %v", err)
			}
			if err := f.Close(); err == nil {
				t.Error("Close of a broken file went through")
			}
		}},
		{"never closed", func(*testing.T, *file) {}},
		{"written after Close", func(t *testing.T, f *file) {
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			if _, err := f.WriteString("late"); err == nil {
				t.Error("WriteString after Close went through")
			}
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			parent := t.TempDir()
			out := filepath.Join(parent, "reports")
			commitSet(t, out, 1)
			w := begin(t, out)
			f, err := w.Create("bids.csv")
			if err != nil {
				t.Fatal(err)
			}
			tt.harm(t, f.(*file))
			err = w.Commit()
			if err == nil || !strings.Contains(err.Error(), "bids.csv") {
				t.Fatalf("Commit: %v, want an error that names bids.csv", err)
			}
			if _, err := w.Create("more.csv"); err == nil {
				t.Error("Create after a failure went through")
			}
			if err := w.Abort(); err != nil {
				t.Fatal(err)
			}
			wantSet(t, out, 1)
			wantBeside(t, parent, ".reports.lock", "reports")
		})
	}
}

func BenchmarkCommit(b *testing.B) {
	out := filepath.Join(b.TempDir(), "reports")
	generation := 0
	for b.Loop() {
		generation++
		w, err := Begin(out)
		if err != nil {
			b.Fatal(err)
		}
		if err := errors.Join(writeSet(w, generation), w.Commit()); err != nil {
			b.Fatal(err)
		}
	}
}
