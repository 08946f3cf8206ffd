package data

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// Bounds of a slip. A day's news with a dozen photos is far below them; what is
// above is no slip, or one that would harm.
const (
	MaxSlipBytes  = 32 << 20 // of the zip
	maxSlipFiles  = 1_000
	maxTableBytes = 8 << 20 // of one table, unpacked
)

// slipFiles are the files of a slip.
type slipFiles struct {
	tables map[string][]byte    // by the name of the table, slip.csv among them
	photos map[string]photoFile // by their path in the slip, as in photos/1.jpg
	strays []string             // files that are not read
	total  int                  // of the tables
}

func newSlipFiles() *slipFiles {
	return &slipFiles{tables: map[string][]byte{}, photos: map[string]photoFile{}}
}

// add takes one file. read gives its content.
func (s *slipFiles) add(name string, size int64, sum uint32, open func() (io.ReadCloser, error)) error {
	dir, base := path.Split(name)
	switch {
	case isLitter(name):
	case dir == photosFolder+"/":
		if size > MaxPictureBytes {
			return fmt.Errorf("its %s has more than %d MiB", name, MaxPictureBytes>>20)
		}
		s.photos[name] = photoFile{size, sum, open}
	case dir == "" && (base == slipTable || slices.Contains(Tables(), base) && !slices.Contains(BookFiles, base)):
		r, err := open()
		if err != nil {
			return fmt.Errorf("its %s cannot be read: %w", name, err)
		}
		raw, err := io.ReadAll(io.LimitReader(r, maxTableBytes+1))
		if err = errors.Join(err, r.Close()); err != nil {
			return fmt.Errorf("its %s cannot be read: %w", name, err)
		}
		if s.total += len(raw); len(raw) > maxTableBytes || s.total > 2*maxTableBytes {
			return fmt.Errorf("its tables have more than %d MiB; put them into the yard itself", maxTableBytes>>20)
		}
		s.tables[base] = raw
	default:
		s.strays = append(s.strays, shownName(name))
	}
	return nil
}

// photosFolder is the folder of a slip, or of the yard, that holds pictures.
const photosFolder = "photos"

// isLitter reports whether a file is one that systems leave everywhere.
func isLitter(name string) bool {
	base := path.Base(name)
	return strings.HasPrefix(name, "__MACOSX/") || strings.HasPrefix(base, ".") || strings.EqualFold(base, "Thumbs.db") || strings.EqualFold(base, "desktop.ini")
}

// folderFiles reads a slip that is a folder.
func folderFiles(fsys fs.FS, dir string) (*slipFiles, error) {
	out := newSlipFiles()
	count := 0
	err := fs.WalkDir(fsys, dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil || name == dir {
			return err
		}
		inside := strings.TrimPrefix(name, dir+"/")
		if count++; count > maxSlipFiles {
			return fmt.Errorf("it has more than %d files", maxSlipFiles)
		}
		switch {
		case e.Type()&fs.ModeSymlink != 0:
			return fmt.Errorf("its %s is a link", shownName(inside))
		case e.IsDir() && (inside == photosFolder || isLitter(inside)):
			return nil
		case e.IsDir():
			out.strays = append(out.strays, shownName(inside))
			return fs.SkipDir
		case !e.Type().IsRegular():
			return fmt.Errorf("its %s is not a plain file", shownName(inside))
		}
		info, err := e.Info()
		if err != nil {
			return err
		}
		return out.add(inside, info.Size(), 0, func() (io.ReadCloser, error) { return fsys.Open(name) })
	})
	return out, err
}

// zipFiles reads a slip that is a zip. Photos are not unpacked.
func zipFiles(fsys fs.FS, name string) (*slipFiles, error) {
	archive, size, err := openArchive(fsys, name)
	if err != nil {
		return nil, err
	}
	defer archive.Close()
	z, err := zip.NewReader(archive, size)
	if err != nil {
		return nil, fmt.Errorf("it is cut short or damaged; send it again (%w)", err)
	}
	if len(z.File) > maxSlipFiles {
		return nil, fmt.Errorf("it has more than %d files", maxSlipFiles)
	}
	top := commonFolder(z.File)
	out := newSlipFiles()
	seen := map[string]bool{}
	for _, part := range z.File {
		inside := strings.TrimPrefix(part.Name, top)
		if inside == "" || strings.HasSuffix(inside, "/") && fs.ValidPath(strings.TrimSuffix(inside, "/")) && part.Mode().IsDir() {
			continue
		}
		folded := strings.ToLower(inside)
		switch {
		case !fs.ValidPath(inside) || strings.ContainsAny(inside, `\:`):
			return nil, fmt.Errorf("it has a file whose name leads out of it, %q", part.Name)
		case !part.Mode().IsRegular():
			return nil, fmt.Errorf("its %s is a link, or no plain file", shownName(inside))
		case part.Flags&1 != 0:
			return nil, errors.New("it is locked with a password")
		case seen[folded]:
			return nil, fmt.Errorf("it has %s twice", shownName(inside))
		}
		seen[folded] = true
		open := part.Open
		if strings.HasPrefix(inside, photosFolder+"/") { // opened when somebody wants to see it
			whole := part.Name
			open = func() (io.ReadCloser, error) { return openInZip(fsys, name, whole) }
		}
		if err := out.add(inside, int64(min(part.UncompressedSize64, 1<<40)), part.CRC32, open); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// commonFolder is the folder, with its stroke, that all files of an archive
// stand in, as where somebody packed a folder; blank where slip.csv stands
// outside of any.
func commonFolder(files []*zip.File) string {
	top := ""
	for _, f := range files {
		folder, rest, _ := strings.Cut(f.Name, "/")
		if isLitter(f.Name) {
			continue
		}
		if rest == "" && !strings.HasSuffix(f.Name, "/") || top != "" && top != folder || folder == photosFolder || !fs.ValidPath(folder) {
			return ""
		}
		top = folder
	}
	if top == "" {
		return ""
	}
	return top + "/"
}

// holdsSlip reports whether a zip that stands somewhere else is a slip.
func holdsSlip(fsys fs.FS, name string) bool {
	files, err := zipFiles(fsys, name)
	return err == nil && files.tables[slipTable] != nil
}

// archive is a zip that is open.
type archive interface {
	io.ReaderAt
	io.Closer
}

// openArchive opens a zip that is not too large.
func openArchive(fsys fs.FS, name string) (archive, int64, error) {
	if info, err := fs.Stat(fsys, name); err == nil && !info.Mode().IsRegular() { // a pipe would hang
		return nil, 0, errors.New("it is not a plain file")
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, 0, err
	}
	info, err := f.Stat()
	if err == nil && info.Size() > MaxSlipBytes {
		err = fmt.Errorf("it is larger than %d MiB", MaxSlipBytes>>20)
	}
	if err != nil {
		return nil, 0, errors.Join(err, f.Close())
	}
	if at, ok := f.(archive); ok {
		return at, info.Size(), nil
	}
	raw, err := io.ReadAll(io.LimitReader(f, MaxSlipBytes))
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, 0, err
	}
	return memory{bytes.NewReader(raw)}, int64(len(raw)), nil
}

// memory is an archive that was read into memory.
type memory struct{ *bytes.Reader }

// Close implements io.Closer.
func (memory) Close() error { return nil }

// openInZip opens one file of a zip for itself.
func openInZip(fsys fs.FS, name, inside string) (io.ReadCloser, error) {
	archive, size, err := openArchive(fsys, name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	z, err := zip.NewReader(archive, size)
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", name, err), archive.Close())
	}
	f, err := z.Open(inside)
	if err != nil {
		return nil, errors.Join(err, archive.Close())
	}
	return &inZip{f, archive}, nil
}

// inZip is a file of a zip that is closed with it.
type inZip struct {
	io.ReadCloser
	archive io.Closer
}

// Close implements io.Closer.
func (f *inZip) Close() error { return errors.Join(f.ReadCloser.Close(), f.archive.Close()) }
