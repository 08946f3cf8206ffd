package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem/memfs"
)

func TestYardsAreFound(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"b/yard/vans.csv", "a/yard/vans.csv", "a/old/x", ".hidden/yard/x", "file"} {
		writeFile(t, filepath.Join(dir, name), "")
	}
	list := filepath.Join(dir, "list")
	writeFile(t, list, "\ufeff# ours\n"+dir+"/b/yard/\r\n\n  "+dir+"/a/yard\n")
	twice := filepath.Join(dir, "twice")
	writeFile(t, twice, dir+"/a/yard\n"+dir+"/a/yard\n")
	memfs.Write("memfs://found/b/vans.csv", nil)
	memfs.Write("memfs://found/a/vans.csv", nil)
	memfs.Write("memfs://found/a/sales.csv", nil)
	memfs.Write("memfs://found/a/slips/s1/slip.csv", nil)
	memfs.Write("memfs://found/a/slips/s2.zip", nil)
	for _, tt := range []struct {
		name  string
		o     options
		want  string // names and paths, less the folder
		fails string
	}{
		{"a folder", options{Yards: dir}, "a=/a b=/b", ""},
		{"a pattern", options{Yards: dir + "/*/yard"}, "a/yard=/a/yard b/yard=/b/yard", ""},
		{"a list", options{List: list}, "/a/yard=/a/yard /b/yard/=/b/yard", ""},
		{"a store", options{Yards: "memfs://found/"}, "a=memfs://found/a b=memfs://found/b", ""},
		{"a pattern in a store", options{Yards: "memfs://fou*/a"}, "found/a=memfs://found/a", ""},
		{"with the reports of each", options{Yards: dir, Reports: "/r"}, "a=/a,/r/a b=/b,/r/b", ""},
		{"a folder that is not there", options{Yards: dir + "/none"}, "", "no such file"},
		{"a folder of nothing", options{Yards: dir + "/a/old"}, "", "no yards in"},
		{"a yard twice", options{List: twice}, "", "stands twice"},
		{"a store that is not known", options{Yards: "ftp://x"}, "", "ftp"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.o.Shards = 1
			yards, err := findYards(t.Context(), tt.o)
			if tt.fails != "" {
				if err == nil || !strings.Contains(err.Error(), tt.fails) {
					t.Errorf("error is %v, want %s", err, tt.fails)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, y := range yards {
				one := y.Name + "=" + y.Path
				if y.Reports != "" {
					one += "," + y.Reports
				}
				got = append(got, strings.ReplaceAll(one, dir, ""))
			}
			if s := strings.Join(got, " "); s != tt.want {
				t.Errorf("found %s, want %s", s, tt.want)
			}
		})
	}
}

func TestShardsAreEvenAndInOrder(t *testing.T) {
	dir := t.TempDir()
	for i := range 10 {
		writeFile(t, filepath.Join(dir, fmt.Sprint(i), "vans.csv"), "")
	}
	yards, err := findYards(t.Context(), options{Yards: dir, Shards: 3})
	if err != nil {
		t.Fatal(err)
	}
	var got []int
	for _, y := range yards {
		got = append(got, y.Shard)
	}
	if fmt.Sprint(got) != "[0 0 0 0 1 1 1 2 2 2]" {
		t.Errorf("shards are %v", got)
	}
}

// A group in a store gives the bytes that it gives in a folder.
func TestAGroupInAStore(t *testing.T) {
	yards := madeUpGroup(t)
	local := filepath.Join(t.TempDir(), "out")
	reports := filepath.Join(t.TempDir(), "reports")
	runYards(t, yards, reports, "2026-03-06")
	costGroup(t, options{Yards: yards, Reports: reports, Out: local, AsOf: "2026-03-09", Shards: 1})
	for from, to := range map[string]string{yards: "memfs://group/yards", reports: "memfs://group/reports"} {
		err := filepath.WalkDir(from, func(file string, e os.DirEntry, err error) error {
			if err != nil || e.IsDir() {
				return err
			}
			text, err := os.ReadFile(file)
			memfs.Write(to+strings.TrimPrefix(file, from), text)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	costGroup(t, options{Yards: "memfs://group/yards", Reports: "memfs://group/reports", Out: "memfs://group/out", AsOf: "2026-03-09", Shards: 1})
	files, err := filepath.Glob(local + "/*")
	if err != nil || len(files) < 23 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	store := memfs.New(t.Context())
	for _, file := range files {
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		got, err := filesystem.Read(t.Context(), store, "memfs://group/out/"+filepath.Base(file))
		if err != nil {
			t.Error(err)
			continue
		}
		// Messages name the yard where it is.
		got = bytes.ReplaceAll(got, []byte("memfs://group/yards"), []byte(yards))
		if d := firstDifference(got, want); d != "" {
			t.Errorf("%s: %s", filepath.Base(file), d)
		}
	}
}

func TestOptionsThatCannotBe(t *testing.T) {
	dir := t.TempDir()
	full := filepath.Join(dir, "full")
	writeFile(t, filepath.Join(full, "x"), "")
	good := options{Yards: dir, Out: filepath.Join(t.TempDir(), "out"), AsOf: "9/3/2026", Shards: 1}
	if err := good.check(t.Context()); err != nil || good.AsOf != "2026-03-09" {
		t.Errorf("good options: %v, as of %s", err, good.AsOf)
	}
	for _, tt := range []struct {
		name   string
		change func(*options)
		words  string
		usage  bool
	}{
		{"no yards", func(o *options) { o.Yards = "" }, "--yards", true},
		{"yards and a list", func(o *options) { o.List = "x" }, "--list", true},
		{"no folder for the reports", func(o *options) { o.Out = "" }, "--out", true},
		{"no day", func(o *options) { o.AsOf = "" }, "--as-of", true},
		{"a day that is none", func(o *options) { o.AsOf = "soon" }, `"soon"`, true},
		{"no shard", func(o *options) { o.Shards = 0 }, "--shards", true},
		{"workers below none", func(o *options) { o.Workers = -1 }, "--workers", true},
		{"reports on top of others", func(o *options) { o.Yards, o.Out = "/srv/yards", full }, "not empty", false},
		{"reports among the yards", func(o *options) { o.Out = filepath.Join(dir, "out") }, "among the yards", false},
		{"settings that are not there", func(o *options) { o.Config = filepath.Join(dir, "none") }, "read settings", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			o := good
			tt.change(&o)
			err := o.check(t.Context())
			var usage usageError
			if err == nil || !strings.Contains(err.Error(), tt.words) || errors.As(err, &usage) != tt.usage {
				t.Errorf("error is %v, want %s", err, tt.words)
			}
		})
	}
}

// The slips of a yard in a store are fetched under the names that they have there.
func TestSlipsAreFetched(t *testing.T) {
	want := []string{"slips/s1/photos/1.jpg", "slips/s1/slip.csv", "slips/s2.zip", "vans.csv"}
	for _, name := range append(want, "elsewhere/deep/x.csv") {
		memfs.Write("memfs://slips/a/"+name, []byte(name))
	}
	dir, clear, err := fetch(t.Context(), "memfs://slips/a", usualFiles(), yardFiles...)
	if err != nil {
		t.Fatal(err)
	}
	defer clear()
	var got []string
	err = fs.WalkDir(os.DirFS(dir), ".", func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			text, _ := os.ReadFile(filepath.Join(dir, name))
			if string(text) != name {
				t.Errorf("%s holds %q", name, text)
			}
			got = append(got, name)
		}
		return err
	})
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("fetched %v, %v; want %v", got, err, want)
	}
}
