package data

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync/atomic"

	"github.com/vanwright/vanwright/data/internal/csvtable"
	"github.com/vanwright/vanwright/data/parallel"
)

// ErrNoYard and ErrNoVans are the two ways in which there is nothing to read.
// The caller knows the folder's name and puts it in front.
var (
	ErrNoYard = errors.New("the yard folder cannot be read")
	ErrNoVans = errors.New("the yard has no vans.csv, the one file that is required")
)

// LoadOptions say how a yard is to be read.
type LoadOptions struct {
	// AsOf is the day on which the reports are made. What has happened, such
	// as a sale, must not lie after it. Zero: no such check.
	AsOf Date
	// Workers is the most tables that are read at once, and the most spans of
	// each; 0 or less means one for each processor. The result does not depend
	// on it.
	Workers int
	// MaxRejects is the most rows that may be rejected; with more, Load stops
	// and names the file that has most of them. 0 or less: no limit.
	MaxRejects int
	// Wanted, where set, says of the vans of the yard whether readings and papers
	// of each are wanted. Rows about others are passed over unread and counted as
	// skipped, and no digests are taken of the files. What is read of the wanted
	// vans is the same.
	Wanted func(vans []Van) func(*Van) bool
	// Admitted, where set, is called when nothing that was found in large tables
	// speaks against holding them in memory.
	Admitted func()

	scanAll bool // every table is looked through first, however small
}

// Load reads every table of a yard. The yard is whole: each row of each file is
// a record or a Reject, and Load fails rather than return counts that do not
// add up. A yard that is half folded is refused, and one whose slips are folded
// meanwhile is read again. Its error is one sentence, or one a line where several
// files lack columns.
func Load(ctx context.Context, fsys fs.FS, o LoadOptions) (*Yard, error) {
	l, err := whileUnfolded(fsys, func() (*loader, error) { return load(ctx, fsys, o) })
	if err != nil {
		return nil, err
	}
	return l.y, nil
}

// load is Load, with what was kept on the way.
func load(ctx context.Context, fsys fs.FS, o LoadOptions) (*loader, error) {
	tables, err := findTables(fsys, o.Wanted == nil)
	if err != nil {
		return nil, err
	}
	books, err := loadBooks(ctx, tables)
	if err != nil {
		return nil, err
	}
	slips, err := readSlips(ctx, fsys, o.AsOf)
	if err != nil {
		return nil, err
	}
	l := &loader{tables: tables, slips: slips, o: o, y: &Yard{Books: books.Books}, read: map[string]*tableResult{}, cut: map[string]bool{}}
	l.large = l.isLarge()
	for _, t := range yardTables {
		l.read[t.name] = &tableResult{}
	}
	if err := l.admit(ctx); err != nil {
		return nil, err
	}
	if err := l.vans(ctx); err != nil {
		return nil, l.whyTooMany(ctx, err)
	}
	if l.large && o.Wanted != nil { // which rows are wanted, is known once vans.csv was read
		if err := l.admitOthers(ctx, &tally{limit: o.MaxRejects}, l.index); err != nil {
			return nil, err
		}
	}
	if o.Admitted != nil {
		o.Admitted()
	}
	if err := l.rest(ctx); err != nil {
		return nil, l.whyTooMany(ctx, err)
	}
	return l, l.finish(books)
}

// admit looks through large tables before any of them is held.
func (l *loader) admit(ctx context.Context) error {
	if !l.large {
		return nil
	}
	t := &tally{limit: l.o.MaxRejects}
	ix, err := l.admitVans(ctx, t)
	if err != nil || l.o.Wanted != nil {
		return err
	}
	return l.admitOthers(ctx, t, ix)
}

// whyTooMany is what to say where the tables, read side by side, had too many rejects
// together: it counts them again, one table after another, so that the words are the
// same in every run. Other errors come back as they are.
func (l *loader) whyTooMany(ctx context.Context, err error) error {
	var many *tooManyRejects
	switch {
	case !errors.Is(err, errTooManyInAll):
		if errors.As(err, &many) {
			return many // of several files the first
		}
		return err
	case ctx.Err() != nil:
		return ctx.Err()
	}
	t := &tally{limit: l.o.MaxRejects}
	l.again = true
	if l.index == nil {
		_, err = l.admitVans(ctx, t)
	} else {
		for _, r := range l.read["vans.csv"].rejects {
			if err := t.add(r.File, r); err != nil {
				return err
			}
		}
		err = l.admitOthers(ctx, t, l.index)
	}
	if err == nil {
		err = t.tooMany()
	}
	return err
}

// noYard drops the operation and path of a file error: the path is "." here
// and means nothing to the reader.
func noYard(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return fmt.Errorf("%w: %w", ErrNoYard, err)
}

// loader gathers what the tables of a yard give.
type loader struct {
	tables *tables
	slips  *slipsOf
	o      LoadOptions
	y      *Yard
	index  *vanIndex
	read   map[string]*tableResult // by the name of the table
	told   map[string]*vanState    // vans of which slips speak, by stock_id in lower case
	large  bool                    // tables are looked through before they are held
	held   atomic.Int64            // rejects that are held, of all tables together
	again  bool                    // there are too many of them: they are counted again
	cut    map[string]bool         // tables with lines that are too long to be rows
}

// tableResult is what a table, in all its sources, gives beside its records.
type tableResult struct {
	inputs   []InputFile
	rejects  []Reject
	warnings []string
	replaced []Source // accepted rows of which a later source said more
}

// options are those of every table.
func (l *loader) options() tableOptions {
	o := tableOptions{asOf: l.o.AsOf, workers: l.o.Workers, maxRejects: l.o.MaxRejects}
	if !l.again {
		o.held = &l.held
	}
	return o
}

// wantedOnly are the options of a table of which only the rows of some vans may
// be wanted.
func (l *loader) wantedOnly() tableOptions {
	o := l.options()
	if l.o.Wanted == nil {
		return o
	}
	ids := map[string]bool{}
	wanted := l.o.Wanted(l.y.Vans)
	for i := range l.y.Vans {
		if v := &l.y.Vans[i]; wanted(v) {
			ids[strings.ToLower(v.StockID)] = true
		}
	}
	o.unwanted = func(h csvtable.Header) func(line []byte) bool { return newVanLines(h, ids).others }
	return o
}

// sourcesOf reads a table from each of its sources, the yard's own first and then
// the slips in the order in which they count; none where there is no such table.
func sourcesOf[R, T any](ctx context.Context, l *loader, name string, o tableOptions, parse rowParser[R, T]) ([]*table[T], error) {
	own, err := ownTable(ctx, l, name, o, parse)
	if err != nil {
		return nil, err
	}
	fromSlips, err := slipTables(ctx, l, name, Columns(name), o, func(*slip) rowParser[R, T] { return parse })
	return append(own, fromSlips...), err
}

// ownTable reads the yard's own table of a name; none where it has none.
func ownTable[R, T any](ctx context.Context, l *loader, name string, o tableOptions, parse rowParser[R, T]) ([]*table[T], error) {
	f, err := l.own(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var t *table[T]
	err = parallel.Do(ctx, l.o.Workers, func() (err error) {
		t, err = readTable(ctx, f, Columns(name), o, parse)
		return err
	}, func() error {
		f.digest()
		return nil
	})
	if err != nil {
		return nil, err
	}
	t.input.SHA256 = f.input.SHA256
	return []*table[T]{t}, nil
}

// own is the yard's own table of a name.
func (l *loader) own(name string) (*file, error) {
	if l.cut[name] {
		return readCut(l.tables.fsys, name)
	}
	return l.tables.read(name)
}

// slipTables reads the tables of a name that stand in slips, in the order in
// which these count. One that is no table, or lacks a column, is one reject.
func slipTables[R, T any](ctx context.Context, l *loader, name string, columns []Column, o tableOptions, parse func(*slip) rowParser[R, T]) ([]*table[T], error) {
	var holding []*slip
	for _, s := range l.slips.slips {
		if s.tables[name] != nil {
			holding = append(holding, s)
		}
	}
	out := make([]*table[T], len(holding))
	err := parallel.Each(ctx, o.workers, len(out), func(i int) (err error) {
		s, o := holding[i], o
		o.workers, o.refused = 1, s.refused
		f, err := s.file(name, s.tables[name])
		if err == nil {
			if out[i], err = readTable(ctx, f, columns, o, parse(s)); err == nil {
				f.digest()
				out[i].input.SHA256 = f.input.SHA256
				return nil
			}
		}
		if errors.Is(err, errTooManyInAll) || ctx.Err() != nil {
			return err
		}
		whole := s.Name + "/" + name
		expected, _ := strings.CutPrefix(err.Error(), whole+" ")
		out[i] = &table[T]{
			file:    &file{name: whole},
			input:   InputFile{Name: whole, Size: int64(len(s.tables[name])), SHA256: digestOf(s.tables[name]), Read: 1, Rejected: 1},
			rejects: []Reject{wholeFile(whole, "file.header", "a table; this file "+expected)},
		}
		return nil
	})
	return out, err
}

// note keeps what the sources of a table gave beside their records, when all is
// settled.
func note[T any](l *loader, name string, sources []*table[T]) {
	r := l.read[name]
	for _, t := range sources {
		slices.SortStableFunc(t.rejects, func(a, b Reject) int { return a.Line - b.Line })
		r.inputs = append(r.inputs, t.input)
		r.rejects = append(r.rejects, t.rejects...)
		r.warnings = append(r.warnings, t.warnings...)
		r.replaced = append(r.replaced, t.replaced...)
	}
}

// rest reads the other tables side by side. Each task writes to its own fields,
// so that their order of finishing shows nowhere. Rows are put in an order of
// their own, so that the order in which somebody keeps them decides nothing.
func (l *loader) rest(ctx context.Context) error {
	y := l.y
	return parallel.Do(ctx, l.o.Workers,
		func() error { return l.readings(ctx) },
		func() (err error) {
			y.Documents, err = ofVans(ctx, l, "documents.csv", l.wantedOnly(), parseDocuments(l.index), func(d *Document) string { return d.StockID }, compareDocuments)
			return err
		},
		func() (err error) {
			y.Sales, err = ofYard(ctx, l, "sales.csv", parseSale, saleKey, func(a, b Sale) int { return strings.Compare(a.SaleID, b.SaleID) })
			return err
		},
		func() (err error) { // absences name technicians
			if y.Team, err = l.team(ctx); err != nil {
				return err
			}
			y.Absences, err = ofYard(ctx, l, "absence.csv", parseAbsences(y.Team), absenceKey, compareAbsences)
			return err
		},
		func() (err error) {
			y.Bays, err = ofYard(ctx, l, "bays.csv", parseBay, bayKey, func(a, b Bay) int { return strings.Compare(a.Name, b.Name) })
			return err
		},
		func() error { return l.progress(ctx) },
		func() (err error) {
			y.Orders, err = ofYard(ctx, l, "orders.csv", parseOrders(l.index, y.Books), orderKey, compareOrders)
			return err
		},
		func() error { return l.photos(ctx) },
		func() (err error) {
			y.Costs, err = ofVans(ctx, l, "costs.csv", l.options(), parseCosts(l.index), func(c *Cost) string { return c.StockID }, compareCosts)
			return err
		},
	)
}

// ofYard reads a table whose records are the yard's.
func ofYard[R, T any](ctx context.Context, l *loader, name string, parse rowParser[R, T], key uniqueKey[T], order func(a, b T) int) ([]T, error) {
	sources, err := sourcesOf(ctx, l, name, l.options(), parse)
	if err != nil {
		return nil, err
	}
	records := key.apart(sources)
	slices.SortStableFunc(records, order)
	note(l, name, sources)
	return records, nil
}

// ofVans reads a table whose records are those of vans, and of which any number
// may say the same.
func ofVans[R, T any](ctx context.Context, l *loader, name string, o tableOptions, parse rowParser[R, T], stockID func(*T) string, order func(a, b T) int) (map[string][]T, error) {
	sources, err := sourcesOf(ctx, l, name, o, parse)
	if err != nil {
		return nil, err
	}
	var pieces [][]T
	for _, t := range sources {
		pieces = append(pieces, t.records...)
	}
	ids, groups := byVan(pieces, stockID)
	out := make(map[string][]T, len(ids))
	for i, id := range ids {
		slices.SortStableFunc(groups[i], order)
		out[id] = groups[i]
	}
	note(l, name, sources)
	return out, nil
}

func (l *loader) team(ctx context.Context) ([]Technician, error) {
	return ofYard(ctx, l, "team.csv", parseTechnician, technicianKey, func(a, b Technician) int { return strings.Compare(a.Name, b.Name) })
}

func (l *loader) readings(ctx context.Context) error {
	sources, err := sourcesOf(ctx, l, "readings.csv", l.wantedOnly(), readingParser{vans: l.index, books: l.y.Books}.parse)
	if err != nil {
		return err
	}
	l.y.Readings, err = groupReadings(ctx, sources, l.o.Workers)
	note(l, "readings.csv", sources)
	return err
}

func (l *loader) progress(ctx context.Context) error {
	asRead := func(a, b Progress) int { return 0 }
	rows, err := ofVans(ctx, l, "progress.csv", l.options(), parseProgress(l.index, l.y.Books), func(p *Progress) string { return p.StockID }, asRead)
	if err != nil {
		return err
	}
	l.y.Progress, l.y.ProgressHistory = rows, map[string][]Progress{}
	for id, said := range rows {
		last, earlier := lastWords(said)
		l.y.Progress[id] = last
		if len(earlier) > 0 {
			l.y.ProgressHistory[id] = earlier
		}
	}
	return nil
}

// photos reads the photos.csv of the yard and of its slips. A picture that no row
// speaks of belongs to no van.
func (l *loader) photos(ctx context.Context) error {
	o := l.options()
	own, err := ownTable(ctx, l, photosTable, o, parsePhotos(l.index, l.y.Books, "", ownPictures(l.tables.fsys)))
	if err != nil {
		return err
	}
	fromSlips, err := slipTables(ctx, l, photosTable, Columns(photosTable), o, func(s *slip) rowParser[rawPhoto, Photo] {
		return parsePhotos(l.index, l.y.Books, s.Name, s.photos)
	})
	if err != nil {
		return err
	}
	sources := append(own, fromSlips...)
	rows := map[Source]string{}
	for _, t := range sources {
		t.rowTexts(func(p *Photo) Source { return p.Source }, rows)
	}
	l.y.Photos = photoKey.apart(sources)
	for i := range l.y.Photos {
		l.y.Photos[i].row = rows[l.y.Photos[i].Source]
	}
	slices.SortStableFunc(l.y.Photos, comparePhotos)
	note(l, photosTable, sources)
	return nil
}

// finish puts together what the tables gave, in the order of yardTables, and
// checks that every row is accounted for.
func (l *loader) finish(books loadedBooks) error {
	y := l.y
	for _, t := range yardTables {
		r := l.read[t.name]
		if len(r.inputs) == 0 && t.absence != "" {
			y.Warnings = append(y.Warnings, fmt.Sprintf("%s is missing: %s", t.name, t.absence))
		}
		y.Inputs = append(y.Inputs, r.inputs...)
		y.Rejects = append(y.Rejects, r.rejects...)
		y.Warnings = append(y.Warnings, r.warnings...)
	}
	y.Inputs = append(y.Inputs, books.inputs...)
	y.Warnings = append(y.Warnings, books.warnings...)
	unread := slices.Concat(l.tables.unread, l.slips.unread)
	for _, s := range l.slips.slips {
		y.Slips = append(y.Slips, s.Slip)
		y.Inputs = append(y.Inputs, s.inputs...)
		unread = append(unread, s.strays...)
	}
	y.Warnings = append(y.Warnings, l.slips.warnings...)
	for _, r := range unread {
		y.Inputs = append(y.Inputs, InputFile{Name: r.File, Read: 1, Rejected: 1})
		y.Rejects = append(y.Rejects, r)
	}
	y.Warnings = append(y.Warnings, l.tables.otherSheets...)
	y.vans = l.index
	y.places = make(map[string]int, len(y.Vans))
	for i, v := range y.Vans {
		y.places[v.StockID] = i
	}
	if err := withinLimit(y.Rejects, l.o.MaxRejects); err != nil {
		return err
	}
	if err := l.account(); err != nil {
		return err
	}
	y.addSoldVans()
	return nil
}

// account refuses a yard in which a row was lost or used twice.
func (l *loader) account() error {
	y := l.y
	kept := map[string]int{
		"vans.csv": len(y.Vans), "sales.csv": len(y.Sales), "team.csv": len(y.Team), "bays.csv": len(y.Bays), "absence.csv": len(y.Absences),
		"readings.csv": readingsKept(y.Readings), "documents.csv": total(y.Documents),
		"progress.csv": total(y.Progress) + total(y.ProgressHistory), "orders.csv": len(y.Orders), "costs.csv": total(y.Costs), "photos.csv": len(y.Photos),
	}
	rejected := map[string]int{}
	for _, r := range y.Rejects {
		rejected[r.File]++
	}
	for _, in := range y.Inputs {
		if in.Read != in.Accepted+in.Rejected+in.Skipped || in.Rejected != rejected[in.Name] {
			return fmt.Errorf("%s: rows do not add up: read %d, accepted %d, rejected %d of which %d are listed, skipped %d",
				in.Name, in.Read, in.Accepted, in.Rejected, rejected[in.Name], in.Skipped)
		}
	}
	for name, n := range kept {
		accepted, r := 0, l.read[name]
		for _, in := range r.inputs {
			accepted += in.Accepted
		}
		if accepted != n+len(r.replaced) {
			return fmt.Errorf("%s: rows do not add up: accepted %d, of which %d are kept and %d are history", name, accepted, n, len(r.replaced))
		}
	}
	return nil
}

func total[T any](byVan map[string][]T) int {
	n := 0
	for _, records := range byVan {
		n += len(records)
	}
	return n
}

// readingsKept counts readings of accepted rows.
func readingsKept(byVan map[string][]Reading) int {
	n := 0
	for _, rs := range byVan {
		for i := range rs {
			if rs[i].Refused == "" {
				n++
			}
		}
	}
	return n
}
