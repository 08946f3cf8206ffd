package swap

import (
	"io"
	"os"
	"path/filepath"
	"testing"
)

func TestCarryTakesAFileOver(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	set := func(names map[string]string, carried ...string) {
		t.Helper()
		w, err := Begin(out)
		if err != nil {
			t.Fatal(err)
		}
		defer w.Abort()
		for name, text := range names {
			f, err := w.Create(name)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := io.WriteString(f, text); err != nil {
				t.Fatal(err)
			}
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
		}
		for _, name := range carried {
			if ok, err := w.Carry(name); err != nil || !ok {
				t.Errorf("%s: %t, %v", name, ok, err)
			}
		}
		if ok, err := w.Carry("photos/none.jpg"); ok || err != nil {
			t.Errorf("what is not there: %t, %v", ok, err)
		}
		if _, err := w.Carry("../secret"); err == nil {
			t.Error("a name that leads out is taken")
		}
		if err := w.Commit(); err != nil {
			t.Fatal(err)
		}
	}
	if w, err := Begin(out); err != nil {
		t.Fatal(err)
	} else {
		if ok, err := w.Carry("index.html"); ok || err != nil {
			t.Errorf("without an old set: %t, %v", ok, err)
		}
		w.Abort()
	}
	set(map[string]string{"run.json": "{}", "photos/a.jpg": "picture"})
	for range 2 { // each night anew
		set(map[string]string{"run.json": "{}"}, "photos/a.jpg")
		if text, err := os.ReadFile(filepath.Join(out, "photos", "a.jpg")); err != nil || string(text) != "picture" {
			t.Errorf("it is now %q, %v", text, err)
		}
	}
	set(map[string]string{"run.json": "{}"})
	if _, err := os.Stat(filepath.Join(out, "photos")); !os.IsNotExist(err) {
		t.Errorf("what was not carried is still there: %v", err)
	}
}
