package swap

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"github.com/gofrs/flock"
)

// ErrBusy is the error of a Begin while another run writes the same folder.
var ErrBusy = errors.New("another run is writing the reports there: wait until it is done")

// ErrForeign is the error where the folder for reports holds something that
// vanwright did not write.
var ErrForeign = errors.New("the folder holds files that vanwright did not write: name a new or an empty one for the reports")

// Writing is a new set of reports on its way. Its methods may be called from
// several goroutines.
type Writing struct {
	place    place
	keep     Keep
	hadOld   bool
	leftover error
	lock     *flock.Flock
	exchange func(a, b string) error // replaced in tests
	syncer   *syncer

	mu      sync.Mutex
	root    *os.Root    // the new folder
	self    fs.FileInfo // of the new folder
	folders map[string]bool
	names   []string // of the files that were created
	open    map[*file]bool
	failed  error // the first failure; it bars Create and Commit
	over    bool  // committed or aborted
}

// Begin starts a new set of reports for the folder out, which is made with the
// folders above it if need be. It takes the folder's lock, or returns ErrBusy at
// once, and clears away what killed runs left. Refused are a file, a folder that
// holds anything but reports of ours (ErrForeign, StrangerError), and a folder that is, lies in
// or lies around one of the inputs. A symbolic link out is followed; the link
// stays and the folder that it leads to is replaced.
//
// The caller ends the Writing by Commit or Abort.
func Begin(out string, inputs ...string) (*Writing, error) {
	return BeginKeeping(out, Keep{}, inputs...)
}

// BeginKeeping is Begin of a set whose Commit keeps the set that it replaces,
// and the ones before it, as keep says.
func BeginKeeping(out string, keep Keep, inputs ...string) (*Writing, error) {
	p, err := locate(out)
	if err != nil {
		return nil, err
	}
	for _, input := range inputs {
		if err := p.apartFrom(input); err != nil {
			return nil, err
		}
	}
	if keep.Sets > 0 {
		if err := p.keptIsFree(); err != nil {
			return nil, err
		}
	}
	if err := os.MkdirAll(filepath.Dir(p.out), folderMode); err != nil {
		return nil, fmt.Errorf("make the folder that holds %s: %w", out, err)
	}
	lock := flock.New(p.lock(), flock.SetPermissions(fileMode))
	held, err := lock.TryLock()
	if err != nil {
		return nil, fmt.Errorf("%s cannot be replaced, because its parent folder cannot be written: %w", out, err)
	}
	if !held {
		return nil, fmt.Errorf("%s: %w", out, ErrBusy)
	}
	w := &Writing{
		place:    p,
		keep:     keep,
		lock:     lock,
		exchange: exchange,
		syncer:   newSyncer(),
		folders:  map[string]bool{".": true},
		open:     map[*file]bool{},
	}
	if err := w.start(); err != nil {
		return nil, errors.Join(err, lock.Close())
	}
	return w, nil
}

// start settles the past and makes the new folder with its marker.
func (w *Writing) start() error {
	if err := w.place.settle(w.keep); err != nil {
		return err
	}
	found, err := look(w.place.out)
	if err != nil {
		return err
	}
	w.hadOld = found.ours()
	if found == whole {
		if err := strangers(w.place.out, w.place.named); err != nil {
			return err
		}
	}
	if err := os.Mkdir(w.place.new(), folderMode); err != nil {
		return fmt.Errorf("begin new reports beside %s: %w", w.place.named, err)
	}
	if err := w.mark(); err != nil {
		return errors.Join(fmt.Errorf("begin new reports: %w", err), w.close(), vacate(w.place.new()))
	}
	return nil
}

func (w *Writing) mark() (err error) {
	if w.root, err = os.OpenRoot(w.place.new()); err != nil {
		return err
	}
	if w.self, err = w.root.Stat("."); err != nil {
		return err
	}
	f, err := w.create(unfinished)
	if err != nil {
		return err
	}
	w.names = nil
	_, err = io.WriteString(f, markerText)
	// On the disk before anything else, so that what a power cut leaves is
	// known to be ours.
	return errors.Join(err, f.Close(), w.syncer.wait())
}

// Old returns the folder of the reports that stand now, or "" where there are
// none. It may be read until Commit.
func (w *Writing) Old() string {
	if !w.hadOld {
		return ""
	}
	return w.place.out
}

// Create makes a file of the new set and the folders on the way to it. The name
// is relative, with forward slashes, as in vans/KX21.html, and new; one that
// leads out of the folder is an error. The file is buffered; its Close sends it
// through to the disk, and Commit waits until it is there. A file is for one
// goroutine at a time.
//
// Any error of Create, Write or Close bars what follows, so that a set with a
// gap can't replace a whole one.
func (w *Writing) Create(name string) (io.WriteCloser, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.over {
		return nil, errOver
	}
	if w.failed != nil {
		return nil, w.failed
	}
	if name == marker || name == unfinished || name == listing {
		err := fmt.Errorf("report %q: %w", name, fs.ErrExist)
		w.noteFailure(err)
		return nil, err
	}
	f, err := w.create(name)
	if err != nil {
		err = fmt.Errorf("report %q: %w", name, err)
		w.noteFailure(err)
		return nil, err
	}
	return f, nil
}

func (w *Writing) create(name string) (*file, error) {
	local := filepath.FromSlash(name)
	if !fs.ValidPath(name) || !filepath.IsLocal(local) {
		return nil, errors.New("not a name for a file within the folder")
	}
	if err := w.makeFolder(filepath.Dir(local)); err != nil {
		return nil, err
	}
	under, err := w.root.OpenFile(local, os.O_WRONLY|os.O_CREATE|os.O_EXCL, fileMode)
	if err != nil {
		return nil, err
	}
	f := newFile(w, name, under)
	w.open[f] = true
	w.names = append(w.names, name)
	return f, nil
}

// makeFolder makes a folder of the new set and those on the way to it.
func (w *Writing) makeFolder(dir string) error {
	if w.folders[dir] {
		return nil
	}
	if err := w.root.MkdirAll(dir, folderMode); err != nil {
		return err
	}
	for ; !w.folders[dir]; dir = filepath.Dir(dir) {
		w.folders[dir] = true
	}
	return nil
}

var errOver = errors.New("this set of reports is already committed or aborted")

// Abort gives the new set up and deletes it; the old one stands as before. It
// does nothing after Commit has replaced the reports, so it may be deferred.
func (w *Writing) Abort() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.over {
		return nil
	}
	w.over = true
	for f := range w.open {
		f.under.Close()
	}
	w.syncer.wait() // its error changes nothing: the files are deleted
	err := w.close()
	if w.stillOurs() == nil {
		err = errors.Join(err, vacate(w.place.new()))
	}
	return errors.Join(err, w.lock.Close())
}

// stillOurs is an error where another run has put its own folder in the place of the
// new one. The lock keeps runs apart on one machine; see Shares.
func (w *Writing) stillOurs() error {
	info, err := os.Lstat(w.place.new())
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err != nil || !os.SameFile(info, w.self) {
		return fmt.Errorf("%s: %w", w.place.named, errTaken)
	}
	return nil
}

var errTaken = errors.New("another run, perhaps on another machine, took the place of this one")

func (w *Writing) close() error {
	if w.root == nil {
		return nil
	}
	root := w.root
	w.root = nil
	return root.Close()
}

// noteFailure keeps the first failure. The caller holds mu.
func (w *Writing) noteFailure(err error) {
	if w.failed == nil {
		w.failed = err
	}
}
