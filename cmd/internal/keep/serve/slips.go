package serve

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
)

// MostSlip is the largest slip that is taken, in bytes.
const MostSlip = 32 << 20

// Verdict is what the reader of a yard says of a slip.
type Verdict struct {
	ID   string   // of the slip; blank where it can't be read
	Keep bool     // whether it brings anything
	Had  bool     // whether the yard has it already, in a slip or in its tables
	Said []string // sentences for the person who hands it in
}

// Check reads a slip as a run would. It keeps nothing of it. The error is for
// what is no fault of the slip.
type Check func(ctx context.Context, slip io.ReaderAt, size int64) (Verdict, error)

// Slips is the folder of a yard in which slips are kept.
type Slips struct {
	dir   string
	check Check
	turn  sync.Mutex // one slip is put under its name at a time
}

// unfinished begins the names of slips that are still being handed in. Hidden
// files are no slips to the reader of a yard.
const unfinished = ".handing-in-"

// NewSlips takes slips into a yard's folder of them, which need not exist yet.
// What was left there by a computer that went down while a slip came in is
// removed.
func NewSlips(dir string, check Check) (*Slips, error) {
	left, err := filepath.Glob(filepath.Join(dir, unfinished+"*"))
	if err != nil {
		return nil, err
	}
	for _, name := range left {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("remove what is left of a slip: %w", err)
		}
	}
	return &Slips{dir: dir, check: check}, nil
}

// errTooLarge is a slip of more than MostSlip bytes.
var errTooLarge = errors.New("the slip is larger than 32 MB")

// take reads a slip, checks it, and keeps it under its own name if it brings
// anything. A slip is there whole or not at all, and never in place of another.
func (s *Slips) take(ctx context.Context, body io.Reader) (Verdict, error) {
	if err := os.MkdirAll(s.dir, 0o750); err != nil {
		return Verdict{}, err
	}
	temp, err := os.CreateTemp(s.dir, unfinished+"*")
	if err != nil {
		return Verdict{}, err
	}
	defer os.Remove(temp.Name())
	defer temp.Close()
	size, err := io.Copy(temp, io.LimitReader(body, MostSlip+1))
	if err != nil {
		return Verdict{}, err
	}
	if size > MostSlip {
		return Verdict{}, errTooLarge
	}
	v, err := s.check(ctx, temp, size)
	if v.Had {
		v.Said = []string{handedBefore}
	}
	if err != nil || v.Had || !v.Keep {
		return v, err
	}
	if err := errors.Join(temp.Chmod(0o640), temp.Sync()); err != nil {
		return Verdict{}, err
	}
	return s.keep(temp, v)
}

const handedBefore = "This slip was handed in before. It counts once."

// slipID is what a slip may be called, so that its name leads nowhere else.
var slipID = regexp.MustCompile(`^[A-Za-z0-9-]{8,64}$`)

func (s *Slips) keep(temp *os.File, v Verdict) (Verdict, error) {
	if !slipID.MatchString(v.ID) {
		return Verdict{}, fmt.Errorf("a slip was read whose id is %q", v.ID)
	}
	s.turn.Lock()
	defer s.turn.Unlock()
	name, err := s.named(v.ID)
	if err != nil {
		return Verdict{}, err
	}
	if name != "" {
		same, err := sameContent(temp, filepath.Join(s.dir, name))
		if err != nil {
			return Verdict{}, err
		}
		if !same {
			return Verdict{ID: v.ID, Said: []string{"Another slip with the id " + v.ID + " is in the yard already: this one was not kept."}}, nil
		}
		v.Said = []string{handedBefore}
		return v, nil
	}
	path := filepath.Join(s.dir, v.ID+".zip")
	// A link never replaces; where a disk has no links, the turn keeps other slips
	// of this server out between looking and renaming.
	if err := os.Link(temp.Name(), path); errors.Is(err, fs.ErrExist) {
		return Verdict{}, err
	} else if err != nil {
		if err := os.Rename(temp.Name(), path); err != nil {
			return Verdict{}, err
		}
	}
	return v, syncFolder(s.dir)
}

// named returns the file in which a slip of an id stands, whatever the case of
// its letters; blank where there is none.
func (s *Slips) named(id string) (string, error) {
	entries, err := os.ReadDir(s.dir)
	if err != nil {
		return "", err
	}
	for _, e := range entries {
		if strings.EqualFold(e.Name(), id+".zip") || strings.EqualFold(e.Name(), id) {
			return e.Name(), nil
		}
	}
	return "", nil
}

// sameContent compares a slip with one that was kept. A folder is another slip.
func sameContent(temp *os.File, path string) (bool, error) {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() > MostSlip {
		return false, err
	}
	kept, err := os.ReadFile(path)
	if err != nil {
		return false, err
	}
	if _, err := temp.Seek(0, io.SeekStart); err != nil {
		return false, err
	}
	fresh, err := io.ReadAll(temp)
	return bytes.Equal(kept, fresh), err
}

// syncFolder puts the names in a folder on the disk, where the system can.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) && !errors.Is(err, fs.ErrPermission) {
		return err
	}
	return nil
}
