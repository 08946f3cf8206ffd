package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem"
)

// lateStore is a store in memory with the rules of an object store at its worst: a
// file is there once its writer was closed with its context alive, whole, and is read
// from then on; nothing can be renamed or appended to; and a list may lack what was
// written, until settle is called. (The rules are from memory: those that object
// stores had before their lists became consistent.)
type lateStore struct {
	mu     sync.Mutex
	files  map[string][]byte
	listed map[string]bool
	writes map[string]int // how often each was written
	fail   func(file string, written int) error
}

var late = &lateStore{}

func init() {
	filesystem.Register("late", func(context.Context) filesystem.Interface { return late })
}

// empty begins anew.
func (s *lateStore) empty() {
	s.files, s.listed, s.writes, s.fail = map[string][]byte{}, map[string]bool{}, map[string]int{}, nil
}

// settle has the lists show what there is.
func (s *lateStore) settle() {
	for file := range s.files {
		s.listed[file] = true
	}
}

func (s *lateStore) Close() error { return nil }

func (s *lateStore) List(_ context.Context, glob string) ([]string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	var found []string
	for file := range s.files {
		if ok, err := filesystem.Match(glob, file); err != nil {
			return nil, err
		} else if ok && s.listed[file] {
			found = append(found, file)
		}
	}
	slices.Sort(found)
	return found, nil
}

func (s *lateStore) OpenRead(_ context.Context, file string) (io.ReadCloser, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	text, ok := s.files[file]
	if !ok {
		return nil, fmt.Errorf("%s: %w", file, os.ErrNotExist)
	}
	return io.NopCloser(bytes.NewReader(text)), nil
}

func (s *lateStore) Size(_ context.Context, file string) (int64, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	text, ok := s.files[file]
	if !ok {
		return 0, fmt.Errorf("%s: %w", file, os.ErrNotExist)
	}
	return int64(len(text)), nil
}

func (s *lateStore) OpenWrite(ctx context.Context, file string) (io.WriteCloser, error) {
	return &lateFile{store: s, ctx: ctx, name: file}, nil
}

// lateFile is an object on its way.
type lateFile struct {
	store *lateStore
	ctx   context.Context
	name  string
	text  bytes.Buffer
}

func (f *lateFile) Write(p []byte) (int, error) {
	if f.store.fail != nil {
		if err := f.store.fail(f.name, f.text.Len()); err != nil {
			return 0, err
		}
	}
	return f.text.Write(p)
}

func (f *lateFile) Close() error {
	if err := f.ctx.Err(); err != nil {
		return err
	}
	f.store.mu.Lock()
	defer f.store.mu.Unlock()
	f.store.files[f.name] = bytes.Clone(f.text.Bytes())
	f.store.writes[f.name]++
	return nil
}

// load puts a folder into the store. Files that unlisted names are there, and in no
// list.
func (s *lateStore) load(t *testing.T, dir, at string, unlisted ...string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(file string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := os.ReadFile(file)
		name := at + filepath.ToSlash(strings.TrimPrefix(file, dir))
		s.files[name], s.listed[name] = text, !slices.Contains(unlisted, filepath.Base(file))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestAStoreWithoutRenamesAndWithLateLists costs a group in such a store, some tables of
// which are in no list yet. What group.json names is there at once, and is what a folder
// gives.
func TestAStoreWithoutRenamesAndWithLateLists(t *testing.T) {
	late.empty()
	yards, local := madeUpGroup(t), filepath.Join(t.TempDir(), "out")
	costGroup(t, options{Yards: yards, Out: local, AsOf: "2026-03-09", Shards: 1})
	late.load(t, yards, "late://group/yards", "progress.csv", "team.csv")
	o := options{Yards: "late://group/yards", Out: "late://group/out", AsOf: "2026-03-09", Shards: 1}
	costGroup(t, o)

	var g group
	if err := json.Unmarshal(late.files["late://group/out/group.json"], &g); err != nil {
		t.Fatal(err)
	}
	if len(g.Outputs) < 22 {
		t.Errorf("group.json names %d files", len(g.Outputs))
	}
	for _, w := range g.Outputs {
		want, err := os.ReadFile(filepath.Join(local, w.Name))
		if err != nil {
			t.Fatal(err)
		}
		got := bytes.ReplaceAll(late.files["late://group/out/"+w.Name], []byte("late://group/yards"), []byte(yards))
		if d := firstDifference(got, want); d != "" {
			t.Errorf("%s: %s", w.Name, d)
		}
	}
	for file, n := range late.writes {
		if n != 1 {
			t.Errorf("%s was written %d times", file, n)
		}
	}
	t.Run("a set that is in no list is not written over", func(t *testing.T) {
		if err := o.check(t.Context()); err == nil || !strings.Contains(err.Error(), "is not empty") {
			t.Errorf("error is %v", err)
		}
	})
}

// TestAWriteThatBreaksOffLeavesNothing has the store fail in the middle of one report.
func TestAWriteThatBreaksOffLeavesNothing(t *testing.T) {
	late.empty()
	late.load(t, madeUpGroup(t), "late://broken/yards")
	late.fail = func(file string, written int) error {
		if strings.HasSuffix(file, "/margin.csv") && written > 0 {
			return fmt.Errorf("the store is away")
		}
		return nil
	}
	var said bytes.Buffer
	err := run(t.Context(), options{Yards: "late://broken/yards", Out: "late://broken/out", AsOf: "2026-03-09", Shards: 1}, &said, &said)
	if err == nil || !strings.Contains(err.Error(), "late://broken/out/margin.csv") || !strings.Contains(err.Error(), "the store is away") {
		t.Errorf("error is %v", err)
	}
	for _, name := range []string{"margin.csv", closing} {
		if _, ok := late.files["late://broken/out/"+name]; ok {
			t.Errorf("%s is there", name)
		}
	}
}
