package swap

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestForeignFolderIsRefusedAndKept(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "Documents")
	letter := filepath.Join(out, "letter.txt")
	mustWrite(t, letter, "dear customer")
	// A run.json alone proves nothing: other programs write files of that name.
	mustWrite(t, filepath.Join(out, "run.json"), "{}")

	_, err := Begin(out)
	if !errors.Is(err, ErrForeign) || !strings.Contains(err.Error(), out) {
		t.Fatalf("Begin: %v, want ErrForeign with the folder's name", err)
	}
	if text, err := os.ReadFile(letter); err != nil || string(text) != "dear customer" {
		t.Fatalf("the letter after the refusal: %q, %v", text, err)
	}
	wantBeside(t, parent, ".Documents.lock", "Documents")
}

func TestFolderFilledDuringTheRunIsRefusedAndKept(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	w := begin(t, out)
	letter := filepath.Join(out, "letter.txt")
	mustWrite(t, letter, "dear customer")
	if err := w.Commit(); !errors.Is(err, ErrForeign) {
		t.Fatalf("Commit: %v, want ErrForeign", err)
	}
	if _, err := os.Stat(letter); err != nil {
		t.Fatal(err)
	}
}

func TestFileInThePlaceOfTheFolderIsRefused(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	mustWrite(t, out, "a file")
	if _, err := Begin(out); err == nil || !strings.Contains(err.Error(), "not a folder") {
		t.Fatalf("Begin: %v", err)
	}
	if _, err := Begin(filepath.Join(out, "reports")); err == nil {
		t.Fatal("Begin in a file went through")
	}
}

func TestNoNameAndWholeDiskAreRefused(t *testing.T) {
	root := filepath.VolumeName(t.TempDir()) + string(filepath.Separator)
	for _, out := range []string{"", root} {
		if _, err := Begin(out); err == nil {
			t.Fatalf("Begin(%q) went through", out)
		}
	}
}

func TestFolderThatTouchesTheYardIsRefused(t *testing.T) {
	parent := t.TempDir()
	yard := filepath.Join(parent, "dealer", "yard")
	mustWrite(t, filepath.Join(yard, "vans.csv"), "stock_id\n")
	link := filepath.Join(parent, "link-to-yard")
	linked := os.Symlink(yard, link) == nil

	tests := []struct {
		name, out string
		refused   bool
	}{
		{"the yard itself", yard, true},
		{"in the yard", filepath.Join(yard, "reports"), true},
		{"deep in the yard, not there yet", filepath.Join(yard, "a", "b", "reports"), true},
		{"around the yard", filepath.Join(parent, "dealer"), true},
		{"the yard by another way", filepath.Join(yard, "..", "yard"), true},
		{"in the yard through a link", filepath.Join(link, "reports"), true},
		{"beside the yard", filepath.Join(parent, "dealer", "reports"), false},
		{"beside it, with a name that begins alike", filepath.Join(parent, "dealer", "yard-reports"), false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if strings.HasPrefix(tt.out, link) && !linked {
				t.Skip("symbolic links are not to be had here")
			}
			w, err := Begin(tt.out, yard)
			if err == nil {
				defer w.Abort()
			}
			if refused := err != nil; refused != tt.refused {
				t.Fatalf("Begin: %v, want refused %v", err, tt.refused)
			}
			wantBeside(t, yard, "vans.csv")
		})
	}
}

func TestWhatIsNotOursBesideTheFolderIsKept(t *testing.T) {
	for _, suffix := range []string{"new", "old"} {
		t.Run(suffix, func(t *testing.T) {
			parent := t.TempDir()
			stray := filepath.Join(parent, ".reports.vanwright-"+suffix)
			keep := filepath.Join(stray, "keep.txt")
			mustWrite(t, keep, "mine")
			if _, err := Begin(filepath.Join(parent, "reports")); err == nil || !strings.Contains(err.Error(), stray) {
				t.Fatalf("Begin: %v, want an error that names %s", err, stray)
			}
			if _, err := os.Stat(keep); err != nil {
				t.Fatal(err)
			}
		})
	}
}

func TestNamesakesBesideTheFolderAreKept(t *testing.T) {
	parent := t.TempDir()
	for _, name := range []string{".reports.vanwright-new2", ".reports-old", "reports.vanwright-new", ".reports.bak"} {
		mustWrite(t, filepath.Join(parent, name, marker), "")
	}
	commitSet(t, filepath.Join(parent, "reports"), 1)
	wantBeside(t, parent, ".reports-old", ".reports.bak", ".reports.lock", ".reports.vanwright-new2", "reports", "reports.vanwright-new")
}

func TestLinkToTheFolderStaysALink(t *testing.T) {
	parent := t.TempDir()
	shelf := filepath.Join(parent, "shelf")
	if err := os.Mkdir(shelf, 0o755); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(parent, "reports")
	// Relative, and to a folder that is not there yet.
	symlink(t, filepath.Join("shelf", "real"), out)

	for generation := range 3 {
		commitSet(t, out, generation)
		wantSet(t, filepath.Join(shelf, "real"), generation)
	}
	if info, err := os.Lstat(out); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Fatalf("the link after the runs: %v, %v", info.Mode(), err)
	}
	wantBeside(t, parent, "reports", "shelf")
	wantBeside(t, shelf, ".real.lock", "real")
}

func TestLinksThatRunInARingAreRefused(t *testing.T) {
	parent := t.TempDir()
	a, b := filepath.Join(parent, "a"), filepath.Join(parent, "b")
	symlink(t, a, b)
	symlink(t, b, a)
	if _, err := Begin(a); err == nil {
		t.Fatal("Begin went through")
	}
}

// A user who puts links into the reports must not lose what they lead to when
// the reports are replaced.
func TestLinksInTheOldFolderAreNotFollowed(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "reports")
	precious := filepath.Join(parent, "precious")
	photo := filepath.Join(precious, "photo.jpg")
	mustWrite(t, photo, "light")

	commitSet(t, out, 1)
	symlink(t, precious, filepath.Join(out, "photos"))
	symlink(t, photo, filepath.Join(out, "vans", "photo.jpg"))
	symlink(t, filepath.Join("..", "..", "precious"), filepath.Join(out, "vans", "more"))
	if err := os.Remove(filepath.Join(out, listing)); err != nil { // or the run stops
		t.Fatal(err)
	}
	commitSet(t, out, 2)

	wantSet(t, out, 2)
	if text, err := os.ReadFile(photo); err != nil || string(text) != "light" {
		t.Fatalf("the photo behind the links: %q, %v", text, err)
	}
}

// The same for a link in the place of one of our own names.
func TestLinkInThePlaceOfTheNewFolderIsNotFollowed(t *testing.T) {
	parent := t.TempDir()
	precious := filepath.Join(parent, "precious")
	mustWrite(t, filepath.Join(precious, marker), "")
	photo := filepath.Join(precious, "photo.jpg")
	mustWrite(t, photo, "light")
	symlink(t, precious, filepath.Join(parent, ".reports.vanwright-new"))
	if _, err := Begin(filepath.Join(parent, "reports")); err == nil {
		t.Fatal("Begin went through")
	}
	if _, err := os.Stat(photo); err != nil {
		t.Fatal(err)
	}
}

func TestReadOnlyParentIsSaidPlainly(t *testing.T) {
	if os.Getuid() <= 0 {
		t.Skip("modes do not bind this user: see TestReadOnlyDisk for a mount that does")
	}
	parent := t.TempDir()
	if err := os.Chmod(parent, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(parent, 0o755)
	_, err := Begin(filepath.Join(parent, "reports"))
	if err == nil || !strings.Contains(err.Error(), "cannot be written") {
		t.Fatalf("Begin: %v", err)
	}
}

func mustWrite(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func symlink(t *testing.T, target, link string) {
	t.Helper()
	if err := os.Symlink(target, link); err != nil {
		t.Skipf("symbolic links are not to be had here: %v", err)
	}
}
