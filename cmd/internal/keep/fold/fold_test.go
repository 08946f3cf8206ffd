package fold

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

var day = data.NewDate(2026, 3, 31)

func yardOf(t *testing.T, files map[string]string) string {
	t.Helper()
	yard := t.TempDir()
	for name, text := range files {
		file := filepath.Join(yard, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o750); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	return yard
}

// filesIn reads a yard; of a zip it gives the files within as NAME.zip!file.
func filesIn(t *testing.T, yard string) map[string]string {
	t.Helper()
	got := map[string]string{}
	err := fs.WalkDir(os.DirFS(yard), ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := os.ReadFile(filepath.Join(yard, name))
		if !strings.HasPrefix(name, "folded-") {
			got[name] = string(text)
			return err
		}
		z, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
		if err != nil {
			return err
		}
		for _, f := range z.File {
			r, err := f.Open()
			if err != nil {
				return err
			}
			text, err := io.ReadAll(r)
			if err != nil {
				return err
			}
			got[name+"!"+f.Name] = string(text)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

var (
	before = map[string]string{
		"vans.csv": "old", "yard.xlsx": "book", "notes.txt": "mine",
		"slips/a/slip.csv": "a", "slips/a/vans.csv": "a", "slips/b.zip": "b", "slips/c/slip.csv": "later",
	}
	changes = Changes{
		Write:  map[string][]byte{"vans.csv": []byte("new"), "readings.csv": []byte("new"), "slips/p/slip.csv": []byte("photos")},
		Remove: []string{"slips/a", "slips/b.zip", "yard.xlsx"},
		Keep:   []string{"vans.csv", "yard.xlsx", "slips/a", "slips/b.zip"},
	}
	after = map[string]string{
		"vans.csv": "new", "readings.csv": "new", "notes.txt": "mine", "slips/c/slip.csv": "later", "slips/p/slip.csv": "photos",
		"folded-2026-03-31.zip!vans.csv": "old", "folded-2026-03-31.zip!yard.xlsx": "book",
		"folded-2026-03-31.zip!slips/a/slip.csv": "a", "folded-2026-03-31.zip!slips/a/vans.csv": "a", "folded-2026-03-31.zip!slips/b.zip": "b",
	}
)

func TestYardIsChangedAsAWhole(t *testing.T) {
	yard := yardOf(t, before)
	kept, err := Apply(yard, day, changes)
	if err != nil || kept != "folded-2026-03-31.zip" {
		t.Fatalf("%s, %v", kept, err)
	}
	if diff := cmp.Diff(filesIn(t, yard), after); diff != "" {
		t.Errorf("(-got +want)\n%s", diff)
	}
	if kept, err = Apply(yard, day, Changes{Keep: []string{"vans.csv"}}); err != nil || kept != "folded-2026-03-31.2.zip" {
		t.Errorf("a second fold of the day: %s, %v", kept, err)
	}
}

// A fold that is killed after any of its steps is either gone on with or was never
// begun; in between nobody may read the yard.
func TestFoldKilledAfterEachStep(t *testing.T) {
	for k := 0; ; k++ {
		yard := yardOf(t, before)
		root, err := os.OpenRoot(yard)
		if err != nil {
			t.Fatal(err)
		}
		j, _, err := begin(root, day, changes)
		if err != nil {
			t.Fatal(err)
		}
		steps := j.steps(root)
		for _, step := range steps[:k] {
			if err := step(); err != nil {
				t.Fatal(err)
			}
		}
		unfinished := k < len(steps)-1 // the last only clears away
		_, err = data.Load(t.Context(), os.DirFS(yard), data.LoadOptions{})
		if errors.Is(err, data.ErrHalfFolded) != unfinished {
			t.Errorf("after %d steps: %v", k, err)
		}
		if found, err := Finish(yard); err != nil || found != unfinished {
			t.Errorf("after %d steps: found %t, %v", k, found, err)
		}
		if diff := cmp.Diff(filesIn(t, yard), after); diff != "" {
			t.Errorf("after %d steps (-got +want)\n%s", k, diff)
		}
		root.Close()
		if k == len(steps) {
			return
		}
	}
}

// One that is killed before its journal stands leaves the yard as it was.
func TestFoldKilledBeforeItsJournalStands(t *testing.T) {
	yard := yardOf(t, before)
	for _, name := range []string{partName(0), partName(4)} {
		if err := os.WriteFile(filepath.Join(yard, name), []byte("half"), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := data.Load(t.Context(), os.DirFS(yard), data.LoadOptions{}); errors.Is(err, data.ErrHalfFolded) {
		t.Error(err)
	}
	if found, err := Finish(yard); err != nil || found {
		t.Errorf("found %t, %v", found, err)
	}
	if got := filesIn(t, yard); !maps.Equal(got, before) {
		t.Errorf("the yard is %v", got)
	}
}

func TestTwoFoldsAtOnce(t *testing.T) {
	yard := yardOf(t, before)
	unlock, err := Lock(yard)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Lock(yard); err == nil || !strings.Contains(err.Error(), "another fold") {
		t.Errorf("a second: %v", err)
	}
	unlock()
	if unlock, err = Lock(yard); err != nil {
		t.Fatal(err)
	}
	unlock()
}
