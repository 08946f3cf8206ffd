// Package yardzip keeps the input files that a set of reports was made from.
//
// In go a yard's folder and the inputs that a run has read; out comes one archive,
// yard.zip, with those files as they are, byte for byte. Restore lays them out
// again as a yard. Only what the run read is in it, and the same files make the
// same archive.
package yardzip

import (
	"archive/zip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"syscall"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/data"
)

// File is the name of the archive in a set of reports.
const File = "yard.zip"

// SettingsFile is the name of the settings in the archive, whichever file they
// were read from: a yard that is laid out again has them in force.
const SettingsFile = policyfile.Usual

// Yard is what is kept of a yard.
type Yard struct {
	Files    fs.FS // the yard's folder
	Inputs   []data.InputFile
	Settings []byte // the text in force; nil for none
}

// whole are the folders whose files are kept one and all: pictures are no inputs
// with rows, and belong to what was read.
var whole = []string{data.SlipsFolder, "photos"}

// Write writes the archive. changed names the files that no longer are what the
// run has read, because somebody saved them meanwhile: the archive has the later.
func (y Yard) Write(w io.Writer) (changed []string, err error) {
	names, digests, err := y.names()
	if err != nil {
		return nil, err
	}
	archive := zip.NewWriter(w)
	for _, name := range names {
		digest, err := y.add(archive, name)
		if err != nil {
			return nil, fmt.Errorf("keep %q: %w", name, err)
		}
		if known := digests[name]; known != "" && known != digest {
			changed = append(changed, name)
		}
	}
	if y.Settings != nil {
		f, err := archive.CreateHeader(&zip.FileHeader{Name: SettingsFile, Method: zip.Deflate})
		if err != nil {
			return nil, err
		}
		if _, err := f.Write(y.Settings); err != nil {
			return nil, err
		}
	}
	return changed, archive.Close()
}

// names lists the files to keep, and the digests of those that have one.
func (y Yard) names() (names []string, digests map[string]string, err error) {
	digests = map[string]string{}
	for _, in := range y.Inputs {
		name, err := y.fileOf(in.Name)
		switch {
		case err != nil:
			return nil, nil, err
		case name == "" || name == SettingsFile:
			continue
		case name == in.Name:
			digests[name] = in.SHA256
		}
		names = append(names, name)
	}
	for _, folder := range whole {
		err := fs.WalkDir(y.Files, folder, func(name string, e fs.DirEntry, err error) error {
			switch {
			case errors.Is(err, fs.ErrNotExist) && name == folder:
				return nil
			case err != nil:
				return err
			case e.Type().IsRegular():
				names = append(names, name)
			}
			return nil
		})
		if err != nil {
			return nil, nil, err
		}
	}
	slices.Sort(names)
	return slices.Compact(names), digests, nil
}

// fileOf returns the file that an input stands in: yard.xlsx of yard.xlsx/vans. It
// is blank where there is none, as for settings from elsewhere.
func (y Yard) fileOf(input string) (string, error) {
	for name := input; name != "."; name = path.Dir(name) {
		info, err := fs.Stat(y.Files, name)
		if err == nil && info.Mode().IsRegular() {
			return name, nil
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) && !isBelowFile(err) {
			return "", err
		}
	}
	return "", nil
}

// isBelowFile reports whether a name could not be looked at because a part of it
// is a file, as in yard.xlsx/vans.
func isBelowFile(err error) bool { return errors.Is(err, syscall.ENOTDIR) }

// add copies a file and returns its digest.
func (y Yard) add(archive *zip.Writer, name string) (string, error) {
	from, err := y.Files.Open(name)
	if err != nil {
		return "", err
	}
	defer from.Close()
	to, err := archive.CreateHeader(&zip.FileHeader{Name: name, Method: method(name)})
	if err != nil {
		return "", err
	}
	digest := sha256.New()
	_, err = io.Copy(io.MultiWriter(to, digest), from)
	return fmt.Sprintf("%x", digest.Sum(nil)), err
}

// packed are the endings of files that do not get smaller.
var packed = []string{".zip", ".xlsx", ".jpg", ".jpeg", ".png"}

func method(name string) uint16 {
	if slices.Contains(packed, strings.ToLower(path.Ext(name))) {
		return zip.Store
	}
	return zip.Deflate
}
