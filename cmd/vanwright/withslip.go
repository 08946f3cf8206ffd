package main

import (
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/vanwright/vanwright/data"
)

// withSlip is a yard's folder with one more slip in its folder of slips, which
// need not be there.
type withSlip struct {
	base fs.FS
	name string // of the slip's file
	slip io.ReaderAt
	size int64
}

func (w withSlip) path() string { return path.Join(data.SlipsFolder, w.name) }

// Open opens a file of the yard, or the slip.
func (w withSlip) Open(name string) (fs.File, error) {
	if name == w.path() {
		return &slipFile{SectionReader: io.NewSectionReader(w.slip, 0, w.size), about: w.about()}, nil
	}
	return w.base.Open(name)
}

// ReadDir lists a folder of the yard, with the slip where it belongs.
func (w withSlip) ReadDir(name string) ([]fs.DirEntry, error) {
	entries, err := fs.ReadDir(w.base, name)
	var more fs.FileInfo
	switch name {
	case ".":
		if !slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return e.Name() == data.SlipsFolder }) {
			more = slipInfo{name: data.SlipsFolder, mode: fs.ModeDir | 0o750}
		}
	case data.SlipsFolder:
		more, err = w.about(), nil // the folder need not be there
	}
	if err != nil || more == nil {
		return entries, err
	}
	entries = append(slices.Clone(entries), fs.FileInfoToDirEntry(more))
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return entries, nil
}

// Stat tells of a file of the yard, or of the slip.
func (w withSlip) Stat(name string) (fs.FileInfo, error) {
	if name == w.path() {
		return w.about(), nil
	}
	info, err := fs.Stat(w.base, name)
	if err != nil && name == data.SlipsFolder {
		return slipInfo{name: name, mode: fs.ModeDir | 0o750}, nil
	}
	return info, err
}

func (w withSlip) about() slipInfo { return slipInfo{name: w.name, size: w.size, mode: 0o640} }

type slipFile struct {
	*io.SectionReader
	about slipInfo
}

func (f *slipFile) Stat() (fs.FileInfo, error) { return f.about, nil }
func (f *slipFile) Close() error               { return nil }

type slipInfo struct {
	name string
	size int64
	mode fs.FileMode
}

func (i slipInfo) Name() string      { return i.name }
func (i slipInfo) Size() int64       { return i.size }
func (i slipInfo) Mode() fs.FileMode { return i.mode }
func (slipInfo) ModTime() time.Time  { return time.Time{} }
func (i slipInfo) IsDir() bool       { return i.mode.IsDir() }
func (slipInfo) Sys() any            { return nil }
