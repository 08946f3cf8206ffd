package data

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// SlipsFolder is the folder of a yard in which its slips stand.
const SlipsFolder = "slips"

// Slip is one piece of news that was read: a zip or a folder in SlipsFolder with
// slip.csv, rows of any of the yard's tables, and photos.
type Slip struct {
	ID   string
	Made time.Time
	By   string
	Name string // as positions have it: slips/A1
	File string // what stands in the yard: slips/A1.zip, or slips/A1 for a folder
}

// slip is a slip with what it holds.
type slip struct {
	Slip
	inputs  []InputFile // of slip.csv
	tables  map[string][]byte
	photos  map[string]photoFile // by their path in the slip
	strays  []Reject             // of files in it that are not read
	refused string               // why none of its rows may be used; blank: they may
}

// maxSlipTables bounds the tables of all slips of a yard together, which are
// held in memory until they are read.
const maxSlipTables = 64 << 20

// slipsOf are the slips of a yard, and what is to be said about those that are
// not read.
type slipsOf struct {
	slips    []*slip // in the order in which they count: by the time they were made, then by id
	copies   []Slip  // of slips that stand there twice
	unread   []Reject
	warnings []string
}

// readSlips opens the slips of a yard. A slip that cannot be read is one reject;
// one that stands there twice is read once; one made after the as-of day is not
// read yet.
func readSlips(ctx context.Context, fsys fs.FS, asOf Date) (*slipsOf, error) {
	out := &slipsOf{}
	entries, err := fs.ReadDir(fsys, SlipsFolder)
	if errors.Is(err, fs.ErrNotExist) {
		return out, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s is not a folder of slips that can be read: %w", SlipsFolder, err)
	}
	held := 0
	for _, e := range entries {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		name := path.Join(SlipsFolder, e.Name())
		if strings.HasPrefix(e.Name(), ".") {
			continue
		}
		s, err := openSlip(fsys, name, e)
		if err == nil {
			if held += s.size(); held > maxSlipTables {
				err = fmt.Errorf("slips of at most %d MiB of tables in a yard; fold those that there are", maxSlipTables>>20)
			}
		}
		if err != nil {
			out.unread = append(out.unread, wholeFile(name, "slip.unreadable", "a slip: "+err.Error()))
			continue
		}
		out.slips = append(out.slips, s)
	}
	slices.SortFunc(out.slips, func(a, b *slip) int {
		return cmp.Or(a.Made.Compare(b.Made), strings.Compare(a.ID, b.ID), strings.Compare(a.Name, b.Name))
	})
	out.onceEach()
	out.notYet(asOf)
	return out, out.foldedBefore(fsys)
}

func (s *slip) size() int {
	n := 0
	for _, table := range s.tables {
		n += len(table)
	}
	return n
}

// onceEach takes out slips whose id stands there already: copies of one file are
// said, and another slip under the same id is a reject.
func (o *slipsOf) onceEach() {
	first := map[string]*slip{}
	o.slips = slices.DeleteFunc(o.slips, func(s *slip) bool {
		known := first[s.ID]
		switch {
		case known == nil:
			first[s.ID] = s
			return false
		case known.saysTheSame(s):
			o.copies = append(o.copies, s.Slip)
			o.warnings = append(o.warnings, fmt.Sprintf("%s is the slip %s once more, and was not read again", shownName(s.File), shownName(known.File)))
		default:
			o.unread = append(o.unread, wholeFile(s.File, "slip.twice",
				fmt.Sprintf("an id of its own; %s is the slip %s already and says something else", shownName(known.File), s.ID)))
		}
		return true
	})
}

// saysTheSame reports whether two slips hold the same.
func (s *slip) saysTheSame(other *slip) bool {
	if len(s.tables) != len(other.tables) || len(s.photos) != len(other.photos) || !s.Made.Equal(other.Made) {
		return false
	}
	for name, table := range s.tables {
		if string(other.tables[name]) != string(table) {
			return false
		}
	}
	for name, photo := range s.photos {
		if other.photos[name].size != photo.size {
			return false
		}
	}
	return true
}

// notYet takes out slips that were made after the as-of day.
func (o *slipsOf) notYet(asOf Date) {
	o.slips = slices.DeleteFunc(o.slips, func(s *slip) bool {
		made := DateOf(s.Made)
		if asOf == 0 || made <= asOf {
			return false
		}
		o.warnings = append(o.warnings, fmt.Sprintf("%s was made on %s, after the as-of date %s, and was not read yet", shownName(s.File), made, asOf))
		return true
	})
}

// rawSlip is the row of slip.csv as it was read.
type rawSlip struct {
	Slip string `csv:"slip" need:"yes"`
	Made string `csv:"made" need:"yes"`
	By   string `csv:"by"`
}

// parseSlip checks the row of slip.csv.
func parseSlip(raw *rawSlip, c *cells, _ Source) Slip {
	s := Slip{ID: strings.Clone(trim(raw.Slip)), By: c.name("by", raw.By)}
	if !isSlipID(s.ID) {
		c.refuse("slip", raw.Slip, "slip.form", "8 to 64 letters, digits and hyphens")
	}
	var err error
	if s.Made, err = time.Parse(time.RFC3339, trim(raw.Made)); err != nil || s.Made.Year() < firstYear || s.Made.Year() > lastYear {
		c.refuse("made", raw.Made, "made.form", "a time with its offset such as 2026-03-09T17:05:00+00:00")
	}
	return s
}

func isSlipID(s string) bool {
	for i := range len(s) {
		b := s[i]
		if !(b >= 'A' && b <= 'Z' || b >= 'a' && b <= 'z' || b >= '0' && b <= '9' || b == '-') {
			return false
		}
	}
	return len(s) >= 8 && len(s) <= 64
}

// openSlip opens what stands under a name in SlipsFolder.
func openSlip(fsys fs.FS, name string, e fs.DirEntry) (*slip, error) {
	var files *slipFiles
	var err error
	s := &slip{Slip: Slip{Name: name, File: name}}
	switch {
	case shownName(name) != name:
		return nil, errors.New("its name has characters that cannot be shown")
	case e.Type()&fs.ModeSymlink != 0:
		return nil, errors.New("it is a link; put the slip itself there")
	case e.IsDir():
		files, err = folderFiles(fsys, name)
	case strings.EqualFold(path.Ext(name), ".zip"):
		s.Name = strings.TrimSuffix(name, path.Ext(name))
		files, err = zipFiles(fsys, name)
	default:
		return nil, errors.New("it is neither a zip nor a folder")
	}
	if err != nil {
		return nil, err
	}
	s.tables, s.photos = files.tables, files.photos
	for _, stray := range files.strays {
		s.strays = append(s.strays, wholeFile(s.Name+"/"+stray, "file.unread", "a table of the yard, or a picture in photos; this file is not read"))
	}
	return s, s.readSlipCSV()
}

// readSlipCSV reads the one row of slip.csv.
func (s *slip) readSlipCSV() error {
	raw, ok := s.tables[slipTable]
	if !ok {
		return errors.New("it has no slip.csv")
	}
	delete(s.tables, slipTable)
	f, err := s.file(slipTable, raw)
	if err != nil {
		return err
	}
	t, err := readTable(context.Background(), f, columnsOf[rawSlip](), tableOptions{workers: 1}, parseSlip)
	if err != nil {
		return err
	}
	rows := slices.Concat(t.records...)
	switch {
	case len(t.rejects) > 0:
		return errors.New(t.rejects[0].String())
	case len(rows) != 1:
		return fmt.Errorf("%s has %d rows; expected one", f.name, len(rows))
	}
	s.ID, s.Made, s.By = rows[0].ID, rows[0].Made, rows[0].By
	f.digest()
	t.input.SHA256 = f.input.SHA256
	s.inputs = []InputFile{t.input}
	return nil
}

// slipTable is the table that makes a slip.
const slipTable = "slip.csv"

// file is a table of the slip, as the yard's own would be read.
func (s *slip) file(table string, raw []byte) (*file, error) {
	name := s.Name + "/" + table
	text, err := csvtable.Decode(raw)
	if err != nil {
		return nil, fmt.Errorf("%s %w", name, err)
	}
	return &file{Text: text, name: name, raw: raw, input: InputFile{Name: name, Size: int64(len(raw))}}, nil
}
