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
	"sync"
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
	// Workers is the most files that are read at once, and the most pieces of
	// each; 0 or less means one for each processor. The result does not depend
	// on it.
	Workers int
	// MaxRejects is the most rows that may be rejected; with more, Load stops
	// and names the file that has most of them. 0 or less: no limit.
	MaxRejects int
	// Unsold leaves out what is told of vans that were sold and of vans that
	// are not in vans.csv: their rows of readings.csv and documents.csv are
	// passed over unread, and counted as skipped. So are digests of files. What
	// is read of the other vans is the same.
	Unsold bool
	// LatestSold is how many of the vans sold last are not left out all the same:
	// those whose record teaches (see LatestSold).
	LatestSold int
	// LatestSales is how many sales are wanted, the latest by the day on which
	// they were listed, and all those listed from SalesSince on, where that is
	// known; more may be read. 0 or less: all.
	LatestSales int
	SalesSince  Date
}

// yardFiles are the tables of a yard in the order of the contract, with what it
// means that an optional one is missing.
var yardFiles = []struct{ name, absence string }{
	{"vans.csv", ""},
	{"readings.csv", "there is no condition report of any van"},
	{"documents.csv", "no papers are known of any van"},
	{"sales.csv", "prices come from guide in vans.csv, or are left blank with a reason"},
	{"team.csv", "a default team is assumed"},
	{"bays.csv", "default bays are assumed"},
	{"absence.csv", "nobody is away, bank holidays apart"},
	{"progress.csv", "no job has been begun"},
	{"orders.csv", ""}, // most yards keep neither of the two
	{"costs.csv", ""},
	{"labour.csv", ""}, // the built-in books are complete, so nothing is missing
	{"parts.csv", ""},
	{"checkpoints.csv", ""},
	{"handover.csv", ""},
}

// Load reads every table of a yard. The yard is whole: each row of each file is
// a record or a Reject, and Load fails rather than return counts that do not
// add up. Its error is one sentence, or one a line where several files lack
// columns.
func Load(ctx context.Context, fsys fs.FS, o LoadOptions) (*Yard, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, noYard(err)
	}
	tables, err := findTables(fsys, entries, !o.Unsold)
	if err != nil {
		return nil, err
	}
	books, err := loadBooks(ctx, tables)
	if err != nil {
		return nil, err
	}
	l := &loader{tables: tables, o: o, y: &Yard{Books: books.Books}}
	if err := l.vans(ctx); err != nil {
		return nil, err
	}
	if err := l.rest(ctx); err != nil {
		var many *tooManyRejects
		if errors.As(err, &many) {
			err = many // of several files the first
		}
		return nil, err
	}
	return l.finish(books, entries)
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
	o      LoadOptions
	y      *Yard
	index  *vanIndex
	parts  [10]loadedTable // one for each of the first yardFiles
}

// loadedTable is what a table gives beside its records.
type loadedTable struct {
	present  bool
	input    InputFile
	rejects  []Reject
	warnings []string
}

func loaded[T any](t table[T]) loadedTable {
	return loadedTable{true, t.input, t.rejects, t.warnings}
}

// options are those of every table.
func (l *loader) options() tableOptions {
	return tableOptions{asOf: l.o.AsOf, workers: l.o.Workers, maxRejects: l.o.MaxRejects}
}

// optionsOfVans are those of a table that is taken apart by vans.
func (l *loader) optionsOfVans() tableOptions {
	o := l.options()
	o.inPieces = true
	return o
}

// optionsOfCondition are those of a table of readings or papers.
func (l *loader) optionsOfCondition() tableOptions {
	o := l.optionsOfVans()
	if l.o.Unsold {
		ids := l.unsold()
		o.passOver = func(h header, body []byte) func(start, end int) bool {
			lines := newVanLines(h, ids)
			return func(start, end int) bool { return lines.others(body[start:end]) }
		}
	}
	return o
}

// open reads the text of a table; f is nil where there is no such file.
func (l *loader) open(name string) (f *file, err error) {
	f, err = l.tables.read(name, !l.o.Unsold)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return f, err
}

// load reads one optional table; present is false where there is no such file.
func load[R, T any](ctx context.Context, l *loader, name string, o tableOptions, parse rowParser[R, T]) (t table[T], present bool, err error) {
	f, err := l.open(name)
	if err != nil || f == nil {
		return t, false, err
	}
	t, err = readTable(ctx, f, o, parse)
	t.source = f
	return t, true, err
}

// vans reads vans.csv, which the other tables are checked against.
func (l *loader) vans(ctx context.Context) error {
	parse, index := parseVans()
	l.index = index
	o := l.options()
	o.settled = index.note
	t, present, err := load(ctx, l, yardFiles[0].name, o, parse)
	if err != nil {
		return err
	}
	if !present {
		return l.tables.noVans()
	}
	l.y.Vans, l.parts[0] = t.records, loaded(t)
	return nil
}

// unsold lists the stock_ids of vans that are not sold, or were sold among the
// last ones that are wanted, in lower case.
func (l *loader) unsold() map[string]bool {
	ids := map[string]bool{}
	since := LatestSold(l.y.Vans, l.o.LatestSold)
	for i := range l.y.Vans {
		if v := &l.y.Vans[i]; v.Status != Sold || !since.IsZero() && v.SoldOn >= since {
			ids[strings.ToLower(v.StockID)] = true
		}
	}
	return ids
}

// LatestSold is the day from which on the n vans sold last were sold, or all of
// them where there are fewer; those of one day belong together. It is unknown
// where n is 0 or none was sold.
func LatestSold(vans []Van, n int) Date {
	var days []Date
	for i := range vans {
		if vans[i].Status == Sold && !vans[i].SoldOn.IsZero() {
			days = append(days, vans[i].SoldOn)
		}
	}
	if n <= 0 || len(days) == 0 {
		return 0
	}
	slices.Sort(days)
	return days[max(0, len(days)-n)]
}

// rest reads the other tables side by side. Each task writes to its own fields,
// so that their order of finishing shows nowhere.
func (l *loader) rest(ctx context.Context) error {
	tasks := []func() error{
		func() error { return l.sales(ctx, 3) }, // which somebody may wait for
		func() error { return l.readings(ctx, 1) },
		func() error { return l.documents(ctx, 2) },
		func() error { // absences name technicians
			if err := into(ctx, l, 4, parseTeam(), &l.y.Team); err != nil {
				return err
			}
			return into(ctx, l, 6, parseAbsences(l.y.Team), &l.y.Absences)
		},
		func() error { return into(ctx, l, 5, parseBays(), &l.y.Bays) },
		func() error { return l.progress(ctx, 7) },
		func() error { return into(ctx, l, 8, parseOrders(l.index, l.y.Books), &l.y.Orders) },
		func() (err error) {
			l.y.Costs, err = intoVans(ctx, l, 9, l.optionsOfVans(), parseCosts(l.index), func(c *Cost) string { return c.StockID })
			return err
		},
	}
	return inParallel(l.o.Workers, tasks)
}

// into reads the table of a file into records.
func into[R, T any](ctx context.Context, l *loader, file int, parse rowParser[R, T], records *[]T) error {
	t, present, err := load(ctx, l, yardFiles[file].name, l.options(), parse)
	if err != nil || !present {
		return err
	}
	*records, l.parts[file] = t.records, loaded(t)
	return nil
}

// intoVans reads the table of a file into the records of each van.
func intoVans[R, T any](ctx context.Context, l *loader, file int, o tableOptions, parse rowParser[R, T], stockID func(*T) string) (map[string][]T, error) {
	t, present, err := load(ctx, l, yardFiles[file].name, o, parse)
	if err != nil || !present {
		return nil, err
	}
	l.parts[file] = loaded(t)
	return mapByVan(t.pieces, stockID), nil
}

func (l *loader) readings(ctx context.Context, file int) error {
	p := readingParser{vans: l.index, books: l.y.Books}
	t, present, err := load(ctx, l, yardFiles[file].name, l.optionsOfCondition(), p.parse)
	if err != nil || !present {
		return err
	}
	var twice []twiceRead
	l.y.Readings, twice = groupReadings(t.pieces, l.o.Workers)
	if err := t.rejectTwice(twice); err != nil {
		return err
	}
	l.parts[file] = loaded(t)
	return nil
}

func (l *loader) documents(ctx context.Context, file int) (err error) {
	l.y.Documents, err = intoVans(ctx, l, file, l.optionsOfCondition(), parseDocuments(l.index), func(d *Document) string { return d.StockID })
	return err
}

func (l *loader) sales(ctx context.Context, file int) error {
	f, err := l.open(yardFiles[file].name)
	if err != nil || f == nil {
		return err
	}
	t, err := latestSales(ctx, f, l.options(), l.o.LatestSales, l.o.SalesSince)
	if err != nil {
		return err
	}
	l.y.Sales, l.parts[file] = t.records, loaded(t)
	return nil
}

func (l *loader) progress(ctx context.Context, file int) (err error) {
	l.y.Progress, err = intoVans(ctx, l, file, l.optionsOfVans(), parseProgress(l.index, l.y.Books), func(p *Progress) string { return p.StockID })
	if err != nil {
		return err
	}
	l.y.ProgressHistory = map[string][]Progress{}
	for id, rows := range l.y.Progress {
		last, earlier := lastWords(rows)
		l.y.Progress[id] = last
		if len(earlier) > 0 {
			l.y.ProgressHistory[id] = earlier
		}
	}
	return nil
}

// inParallel runs tasks on at most the given number of goroutines and joins
// their errors in the order of the tasks.
func inParallel(workers int, tasks []func() error) error {
	errs := make([]error, len(tasks))
	slots := make(chan struct{}, workersOr(workers))
	var wg sync.WaitGroup
	for i, task := range tasks {
		slots <- struct{}{}
		wg.Go(func() {
			errs[i] = task()
			<-slots
		})
	}
	wg.Wait()
	return errors.Join(errs...)
}

// finish puts together what the tables gave, in the order of the contract, and
// checks that every row is accounted for.
func (l *loader) finish(books loadedBooks, entries []fs.DirEntry) (*Yard, error) {
	y := l.y
	for i, p := range l.parts {
		if !p.present {
			if absence := yardFiles[i].absence; absence != "" {
				y.Warnings = append(y.Warnings, fmt.Sprintf("%s is missing: %s", yardFiles[i].name, absence))
			}
			continue
		}
		slices.SortStableFunc(p.rejects, func(a, b Reject) int { return cmp.Compare(a.Line, b.Line) })
		y.Inputs = append(y.Inputs, p.input)
		y.Rejects = append(y.Rejects, p.rejects...)
		y.Warnings = append(y.Warnings, p.warnings...)
	}
	y.Inputs = append(y.Inputs, books.inputs...)
	y.Warnings = append(y.Warnings, books.warnings...)
	y.Warnings = append(y.Warnings, strayFiles(entries)...)
	y.Warnings = append(y.Warnings, l.tables.notRead...)
	y.refused, y.folded = l.index.rejected, l.index.folded
	y.index = make(map[string]int, len(y.Vans))
	for i, v := range y.Vans {
		y.index[v.StockID] = i
	}
	if err := withinLimit(y.Rejects, l.o.MaxRejects); err != nil {
		return nil, err
	}
	return y, y.account(l.tables)
}

// account refuses a yard in which a row was lost or used twice.
func (y *Yard) account(t *tables) error {
	kept := map[string]int{
		"vans.csv": len(y.Vans), "sales.csv": len(y.Sales), "team.csv": len(y.Team), "bays.csv": len(y.Bays),
		"absence.csv": len(y.Absences), "labour.csv": len(y.Books.Labour), "parts.csv": len(y.Books.Parts),
		"checkpoints.csv": len(y.Books.Checkpoints), "handover.csv": len(y.Books.Handover),
		"readings.csv": total(y.Readings), "documents.csv": total(y.Documents), "progress.csv": total(y.Progress) + total(y.ProgressHistory),
		"orders.csv": len(y.Orders), "costs.csv": total(y.Costs),
	}
	rejected := map[string]int{}
	for _, r := range y.Rejects {
		rejected[r.File]++
	}
	for _, in := range y.Inputs {
		kept := kept[t.tableOf(in.Name)]
		if in.Read != in.Accepted+in.Rejected+in.Skipped || in.Accepted != kept || in.Rejected != rejected[in.Name] {
			return fmt.Errorf("%s: rows do not add up: read %d, accepted %d of which %d are kept, rejected %d of which %d are listed, skipped %d",
				in.Name, in.Read, in.Accepted, kept, in.Rejected, rejected[in.Name], in.Skipped)
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

// tableEndings are how the files end in which people keep tables. Of
// workbooks, .xlsx is read, and its sheets are looked at one by one.
var tableEndings = []string{".csv", ".tsv", ".xls", ".xlsm", ".xlsb", ".ods"}

// strayFiles warns of tables whose name is none of the contract's, since a
// misspelt name is as good as a missing file.
func strayFiles(entries []fs.DirEntry) []string {
	names := make([]string, len(yardFiles))
	for i, f := range yardFiles {
		names[i] = f.name
	}
	var out []string
	for _, e := range entries {
		if slices.Contains(tableEndings, strings.ToLower(path.Ext(e.Name()))) && !slices.Contains(names, e.Name()) {
			w := fmt.Sprintf("%s is not a file that is read", shownName(e.Name()))
			if near := nearest(e.Name(), names); near != "" {
				w += fmt.Sprintf("; did you mean %q?", near)
			}
			out = append(out, w)
		}
	}
	return out
}
