package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"cloud.google.com/go/storage"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem"
	_ "github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem/gcs"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/data"
)

// Files hold cost prices and vehicle identities: they are for their owner and
// the owner's group, as those of vanwright run.
const (
	fileMode   = 0o640
	folderMode = 0o750
)

// yardFiles are where the files of a yard stand in it: tables, slips, and what is in
// a slip that is a folder.
var yardFiles = []string{"*", "slips/*", "slips/*/*", "slips/*/photos/*"}

// usualFiles are those that a yard may hold under a name that is known. They are asked
// for by name where a store does not list them: its list may be late, and a yard costed
// without its sales would look whole.
func usualFiles() []string {
	return append(data.Tables(), data.FoldedSlips, data.FoldJournal, policyfile.Usual)
}

// fetch returns a local folder with the files that a path holds by the patterns and by
// name, and what clears it away. For a local path that is the path itself.
func fetch(ctx context.Context, from string, usual []string, patterns ...string) (dir string, clear func(), err error) {
	if !remote(from) {
		return from, func() {}, nil
	}
	store, err := filesystem.New(ctx, from)
	if err != nil {
		return "", nil, err
	}
	defer store.Close()
	if dir, err = os.MkdirTemp("", "vanwright-yard-"); err != nil {
		return "", nil, err
	}
	clear = func() { _ = os.RemoveAll(dir) }
	for _, pattern := range patterns {
		if err := fetchAll(ctx, store, from, pattern, dir); err != nil {
			clear()
			return "", nil, err
		}
	}
	for _, name := range usual {
		file, to := from+"/"+name, filepath.Join(dir, name)
		if _, err := os.Stat(to); err == nil {
			continue
		}
		if err := fetchFile(ctx, store, file, to); err != nil && !absent(err) {
			clear()
			return "", nil, fmt.Errorf("fetch %s: %w", file, err)
		}
	}
	return dir, clear, nil
}

// absent reports whether a store said that it has no such file.
func absent(err error) bool {
	return errors.Is(err, os.ErrNotExist) || errors.Is(err, storage.ErrObjectNotExist)
}

// fetchAll fetches the files of one pattern under the names that they have below
// from.
func fetchAll(ctx context.Context, store filesystem.Interface, from, pattern, dir string) error {
	files, err := store.List(ctx, from+"/"+pattern)
	if err != nil {
		return fmt.Errorf("list %s: %w", from, err)
	}
	for _, file := range files {
		name := filepath.FromSlash(strings.TrimPrefix(file, from+"/"))
		if !filepath.IsLocal(name) || strings.Count(file, "/") != strings.Count(from+"/"+pattern, "/") {
			continue // a store whose * takes in slashes lists it by a later pattern
		}
		if err := fetchFile(ctx, store, file, filepath.Join(dir, name)); err != nil {
			return fmt.Errorf("fetch %s: %w", file, err)
		}
	}
	return nil
}

func fetchFile(ctx context.Context, store filesystem.Interface, from, to string) error {
	r, err := store.OpenRead(ctx, from)
	if err != nil {
		return err
	}
	defer r.Close()
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return err
	}
	w, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(w, r)
	return errors.Join(err, w.Close())
}

// put writes a file as a whole or not at all: a store keeps what was closed
// without an error, and a local file gets its name once it is on the disk. The
// runner may call it twice for the same file, which then is the same twice.
func put(ctx context.Context, file string, write func(io.Writer) error) error {
	if remote(file) {
		return putRemote(ctx, file, write)
	}
	dir := filepath.Dir(file)
	if err := os.MkdirAll(dir, folderMode); err != nil {
		return err
	}
	unfinished, err := os.CreateTemp(dir, part)
	if err != nil {
		return err
	}
	err = write(unfinished)
	err = errors.Join(err, unfinished.Chmod(fileMode))
	err = errors.Join(err, unfinished.Sync())
	err = errors.Join(err, unfinished.Close())
	if err == nil {
		err = os.Rename(unfinished.Name(), file)
	}
	if err != nil {
		_ = os.Remove(unfinished.Name())
		return fmt.Errorf("write %s: %w", file, err)
	}
	return nil
}

// part begins the name of a file that is being written.
const part = ".part-"

// clearParts removes what workers left that were killed while they wrote. A worker that
// was given up and still writes then fails, as it should.
func clearParts(dir string) error {
	if remote(dir) {
		return nil // a store shows nothing of a file that was not closed
	}
	entries, err := os.ReadDir(dir)
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), part) {
			err = errors.Join(err, os.Remove(filepath.Join(dir, e.Name())))
		}
	}
	return err
}

func putRemote(ctx context.Context, file string, write func(io.Writer) error) error {
	store, err := filesystem.New(ctx, file)
	if err != nil {
		return err
	}
	defer store.Close()
	// Cancelling before Close is how an object half written is given up.
	ctx, giveUp := context.WithCancel(ctx)
	defer giveUp()
	w, err := store.OpenWrite(ctx, file)
	if err != nil {
		return fmt.Errorf("write %s: %w", file, err)
	}
	if err := write(w); err != nil {
		giveUp()
		return errors.Join(fmt.Errorf("write %s: %w", file, err), w.Close())
	}
	if err := w.Close(); err != nil {
		return fmt.Errorf("write %s: %w", file, err)
	}
	return nil
}

// read reads a whole file of either sort of path.
func read(ctx context.Context, file string) ([]byte, error) {
	if !remote(file) {
		return os.ReadFile(file)
	}
	store, err := filesystem.New(ctx, file)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	return filesystem.Read(ctx, store, file)
}

// requireEmpty refuses a folder that holds anything, since a set of reports of
// two runs would be of neither. A store whose list is late is asked for the closing
// file by name.
func requireEmpty(ctx context.Context, dir string) error {
	var names []string
	if remote(dir) {
		store, err := filesystem.New(ctx, dir)
		if err != nil {
			return err
		}
		defer store.Close()
		if names, err = store.List(ctx, dir+"/*"); err != nil {
			return fmt.Errorf("look at %s: %w", dir, err)
		}
		if r, err := store.OpenRead(ctx, join(dir, closing)); err == nil {
			names = append(names, closing)
			_ = r.Close() // nothing was read
		} else if !absent(err) {
			return fmt.Errorf("look at %s: %w", dir, err)
		}
	} else {
		entries, err := os.ReadDir(dir)
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("look at %s: %w", dir, err)
		}
		for _, e := range entries {
			names = append(names, e.Name())
		}
	}
	if len(names) > 0 {
		return fmt.Errorf("%s is not empty: name a new folder for each run, such as one of the day", dir)
	}
	return nil
}
