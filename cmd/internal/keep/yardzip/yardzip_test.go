package yardzip

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

func input(name, text string) data.InputFile {
	return data.InputFile{Name: name, SHA256: fmt.Sprintf("%x", sha256.Sum256([]byte(text)))}
}

// onDisk lays a yard out, since a name below a file is an error of the system's.
func onDisk(t *testing.T, files map[string]string) fs.FS {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		file := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o750); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return root.FS()
}

func TestYardComesBackAsItWas(t *testing.T) {
	yard := Yard{
		Files: onDisk(t, map[string]string{
			"vans.csv": "stock_id\nA1\n", "yard.xlsx": "PK", "notes.txt": "mine", "policy.yaml": "not in force",
			"slips/a/slip.csv": "slip\na\n", "slips/a/photos/1.jpg": "\xff\xd8", "slips/b.zip": "PK", "photos/2.jpg": "\xff\xd8",
		}),
		Inputs: []data.InputFile{
			input("vans.csv", "stock_id\nA1\n"), {Name: "yard.xlsx/readings"}, {Name: "yard.xlsx/sales"},
			{Name: "slips/a/slip.csv"}, {Name: "slips/b/slip.csv"}, input("other.yaml", "in force"),
		},
		Settings: []byte("in force"),
	}
	var archives [2]bytes.Buffer
	for i := range archives {
		if changed, err := yard.Write(&archives[i]); err != nil || changed != nil {
			t.Fatalf("changed %v, %v", changed, err)
		}
	}
	if !bytes.Equal(archives[0].Bytes(), archives[1].Bytes()) {
		t.Error("not the same bytes")
	}
	out := filepath.Join(t.TempDir(), "deep", "restored")
	n, err := Restore(bytes.NewReader(archives[0].Bytes()), int64(archives[0].Len()), out)
	if err != nil || n != 7 {
		t.Fatalf("%d files, %v", n, err)
	}
	want := map[string]string{
		"vans.csv": "stock_id\nA1\n", "yard.xlsx": "PK", "policy.yaml": "in force",
		"slips/a/slip.csv": "slip\na\n", "slips/a/photos/1.jpg": "\xff\xd8", "slips/b.zip": "PK",
		"photos/2.jpg": "\xff\xd8",
	}
	if diff := cmp.Diff(filesIn(t, out), want); diff != "" {
		t.Errorf("(-got +want)\n%s", diff)
	}
}

func filesIn(t *testing.T, dir string) map[string]string {
	t.Helper()
	got := map[string]string{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			var text []byte
			text, err = os.ReadFile(filepath.Join(dir, name))
			got[name] = string(text)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestFileSavedDuringTheRunIsSaid(t *testing.T) {
	yard := Yard{Files: fstest.MapFS{"vans.csv": {Data: []byte("later")}}, Inputs: []data.InputFile{input("vans.csv", "earlier")}}
	changed, err := yard.Write(new(bytes.Buffer))
	if err != nil || len(changed) != 1 || changed[0] != "vans.csv" {
		t.Errorf("changed %v, %v", changed, err)
	}
}

// An archive that somebody made by hand writes nothing outside the folder.
func TestNamesThatLeadOutAreRefused(t *testing.T) {
	for _, name := range []string{"../x", "/x", "a/../../x", `a\..\..\x`, "vans/", "./x", ""} {
		t.Run(name, func(t *testing.T) {
			var archive bytes.Buffer
			z := zip.NewWriter(&archive)
			if _, err := z.CreateRaw(&zip.FileHeader{Name: name}); err != nil {
				t.Skip(err)
			}
			if err := z.Close(); err != nil {
				t.Fatal(err)
			}
			parent := t.TempDir()
			_, err := Restore(bytes.NewReader(archive.Bytes()), int64(archive.Len()), filepath.Join(parent, "out"))
			left := filesIn(t, parent)
			if name == `a\..\..\x` && filepath.Separator == '/' { // a file of that name, within
				if err != nil || len(left) != 1 {
					t.Errorf("%v, %v", left, err)
				}
				return
			}
			if err == nil || len(left) > 0 {
				t.Errorf("left %v, %v", left, err)
			}
		})
	}
	link := new(bytes.Buffer)
	z := zip.NewWriter(link)
	h := &zip.FileHeader{Name: "vans.csv"}
	h.SetMode(fs.ModeSymlink | 0o777)
	f, err := z.CreateHeader(h)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write([]byte("/etc/passwd")); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(bytes.NewReader(link.Bytes()), int64(link.Len()), filepath.Join(t.TempDir(), "out")); err == nil {
		t.Error("a link was laid out")
	}
}
