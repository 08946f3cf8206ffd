package swap

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file that is written and closed, but never reaches the disk, bars Commit.
func TestLostOnTheWayToTheDisk(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	w := begin(t, out)
	if err := errors.Join(writeFile(w, "run.json", "old"), w.Commit()); err != nil {
		t.Fatal(err)
	}
	w = begin(t, out)
	f, err := w.Create("vans/lost.html")
	if err != nil {
		t.Fatal(err)
	}
	f.(*file).under.Close() // so that it can't be synced
	if err := f.Close(); err != nil {
		t.Fatalf("Close: %v; with nothing left in the buffer it can't know", err)
	}
	for i := range 3 * filesInBatch {
		if err := writeFile(w, fmt.Sprintf("vans/%d.html", i), "new"); err != nil {
			t.Fatal(err)
		}
	}
	for range 2 {
		if err := w.Commit(); !errors.Is(err, os.ErrClosed) || !strings.Contains(err.Error(), "vans/lost.html") {
			t.Fatalf("Commit: %v, want vans/lost.html", err)
		}
	}
	if err := w.Abort(); err != nil {
		t.Fatal(err)
	}
	if text, err := os.ReadFile(filepath.Join(out, "run.json")); err != nil || string(text) != "old" {
		t.Errorf("old run.json: %q, %v", text, err)
	}
	wantBeside(t, filepath.Dir(out), ".reports.lock", "reports")
}
