package swap

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Keep says what becomes of the sets that are replaced. Its zero value deletes
// them.
type Keep struct {
	// Sets is how many replaced sets are kept: the newest, by day and then by
	// the order in which they were replaced. One of a later day than the set that
	// stands, from a night when the clock was wrong, goes before all others: it would
	// take the place of a real one for ever. With 0 none is added, and none
	// that was kept before is deleted.
	Sets int
	// Day returns the day that a set is of, as in 2026-03-09. Anything else,
	// and a nil Day, makes a set undated, and older than all others.
	Day func(set fs.FS) string
}

// KeptSet is a replaced set of reports that was kept.
type KeptSet struct {
	Path string // links resolved
	Day  string // as in 2026-03-09; blank where it is not known
	no   int    // 1 for the first set of its day that was kept, 2 for the next
}

// undated stands for the day in the name of a set that gives none.
const undated = "undated"

// kept is the folder that holds the sets that are kept.
func (p place) kept() string { return p.out + ".kept" }

// Kept lists the sets that were kept of the reports called out, the newest
// first. What else stands in their folder is passed over.
func Kept(out string) ([]KeptSet, error) {
	p, err := locate(out)
	if err != nil {
		return nil, err
	}
	return p.keptSets(whole)
}

// keptSets lists the sets among the kept ones that stand so, the newest first.
func (p place) keptSets(stand standing) ([]KeptSet, error) {
	entries, err := os.ReadDir(p.kept())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("look at the reports that were kept: %w", err)
	}
	var sets []KeptSet
	for _, entry := range entries {
		set, ok := parseKept(entry.Name())
		if !ok {
			continue
		}
		set.Path = filepath.Join(p.kept(), entry.Name())
		if found, err := look(set.Path); err == nil && found == stand {
			sets = append(sets, set)
		}
	}
	slices.SortFunc(sets, func(a, b KeptSet) int {
		return cmp.Or(cmp.Compare(b.Day, a.Day), cmp.Compare(b.no, a.no))
	})
	return sets, nil
}

// name is the inverse of parseKept: 2026-03-09, then 2026-03-09.2 and so on.
func (k KeptSet) name() string {
	name := cmp.Or(k.Day, undated)
	if k.no > 1 {
		name += "." + strconv.Itoa(k.no)
	}
	return name
}

func parseKept(name string) (KeptSet, bool) {
	day, number, _ := strings.Cut(name, ".")
	set := KeptSet{Day: knownDay(day), no: 1}
	if number != "" {
		set.no, _ = strconv.Atoi(number)
	}
	return set, set.name() == name && set.no > 0
}

// knownDay returns a day that is one, and blank for anything else.
func knownDay(day string) string {
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		return ""
	}
	return day
}

// makeKept makes the folder for the sets that are kept. A link in its place is
// refused like a file: what is moved into it must stay on the same disk.
func (p place) makeKept() error {
	if err := os.Mkdir(p.kept(), folderMode); err == nil || !errors.Is(err, fs.ErrExist) {
		return err
	}
	return p.keptIsFree()
}

// keptIsFree reports as an error what stands in the place of that folder.
func (p place) keptIsFree() error {
	info, err := os.Lstat(p.kept())
	if errors.Is(err, fs.ErrNotExist) || err == nil && info.IsDir() {
		return nil
	}
	return errors.Join(fmt.Errorf("%s is in the way of the reports to be kept: move it elsewhere", p.kept()), err)
}

// keep moves a replaced set, which stands whole at from, to the sets that are
// kept. One rename does it, so that what has the name of a kept set is whole.
func (p place) keep(from string, keep Keep) error {
	set := KeptSet{no: 1}
	var err error
	if set.Day, err = p.dayOf(from, keep); err != nil {
		return err
	}
	if err := p.makeKept(); err != nil {
		return err
	}
	names, err := os.ReadDir(p.kept())
	if err != nil {
		return err
	}
	for _, entry := range names {
		// A number is not given again, so that the highest of a day is the newest.
		if other, ok := parseKept(entry.Name()); ok && other.Day == set.Day {
			set.no = max(set.no, other.no+1)
		}
	}
	if err := os.Rename(from, filepath.Join(p.kept(), set.name())); err != nil {
		return err
	}
	return errors.Join(syncDir(p.kept()), syncDir(filepath.Dir(p.out)))
}

// prune deletes the sets beyond the newest that are to be kept, the oldest
// first. Each is marked, and moved to the name that promises nothing, before it
// is deleted: a kill on the way leaves it to the next prune or to settle.
func (p place) prune(keep Keep) error {
	marked, err := p.keptSets(partial)
	if err != nil {
		return err
	}
	sets, err := p.keptSets(whole)
	if err != nil {
		return err
	}
	if now, err := p.dayOf(p.out, keep); err != nil {
		return err
	} else if now != "" {
		ahead := func(set KeptSet) bool { return set.Day > now }
		future := slices.DeleteFunc(slices.Clone(sets), func(set KeptSet) bool { return !ahead(set) })
		sets = append(slices.DeleteFunc(sets, ahead), future...)
	}
	surplus := sets[min(keep.Sets, len(sets)):]
	var left error // sets that can't go because somebody's file is in them
	for _, set := range slices.Backward(slices.Concat(surplus, marked)) {
		if err := strangers(set.Path, set.Path); err != nil {
			left = errors.Join(left, err)
			continue
		}
		if err := remark(set.Path, marker, unfinished); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		if err := os.Rename(set.Path, p.new()); err != nil {
			return err
		}
		if err := vacate(p.new()); err != nil {
			return err
		}
	}
	return left
}

// dayOf returns the day of the set at path; blank where it has none.
func (p place) dayOf(path string, keep Keep) (day string, err error) {
	if keep.Day == nil {
		return "", nil
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return "", err
	}
	day = knownDay(keep.Day(root.FS()))
	return day, root.Close() // Windows renames no open folder
}
