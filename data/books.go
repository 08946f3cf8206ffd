package data

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// Books are the four books a run works from, each built in or the yard's own.
type Books struct {
	Checkpoints []Checkpoint
	Labour      []LabourJob
	Parts       []Part
	Handover    []HandoverStep

	checkpoint map[string]int
	job        map[string]int
	part       map[string]int
}

// Checkpoint returns the checkpoint of a code, a blank one where the book has
// none. It is the book's own and must not be changed.
func (b *Books) Checkpoint(code string) (*Checkpoint, bool) {
	i, ok := b.checkpoint[code]
	if !ok {
		return &Checkpoint{}, false
	}
	return &b.Checkpoints[i], true
}

// Job returns the labour job of a code, a blank one where the book has none. It
// is the book's own and must not be changed.
func (b *Books) Job(code string) (*LabourJob, bool) {
	i, ok := b.job[code]
	if !ok {
		return &LabourJob{}, false
	}
	return &b.Labour[i], true
}

// Part returns the part of a code.
func (b *Books) Part(code string) (Part, bool) {
	i, ok := b.part[code]
	if !ok {
		return Part{}, false
	}
	return b.Parts[i], true
}

// WithParts returns books whose parts are what change makes of them; the code of
// a part stays. b is not changed.
func (b *Books) WithParts(change func(Part) Part) *Books {
	changed := *b
	changed.Parts = make([]Part, len(b.Parts))
	for i, p := range b.Parts {
		changed.Parts[i] = change(p)
	}
	return &changed
}

//go:embed books/*.csv
var builtIn embed.FS

// BookFiles are the names of the four books.
var BookFiles = []string{"labour.csv", "parts.csv", "checkpoints.csv", "handover.csv"}

// BuiltInBooks returns the four books that the program brings along, as files
// to be written out and edited.
func BuiltInBooks() fs.FS {
	books, err := fs.Sub(builtIn, "books")
	if err != nil {
		panic(err) // only for a malformed path
	}
	return books
}

// bookFile is one book as read, the yard's own or built in.
type bookFile[T any] struct {
	records  []T
	header   csvtable.Header
	own      bool
	input    InputFile
	warnings []string
}

// readBook reads the yard's own book, or the built-in one where it has none.
// Rows that cannot be used are errors: a price worked out from half a book
// would look like any other price.
func readBook[R, T any](ctx context.Context, yard *tables, name string, parse rowParser[R, T]) (bookFile[T], error) {
	f, err := yard.read(name)
	if errors.Is(err, fs.ErrNotExist) {
		return readBuiltIn(ctx, name, parse)
	}
	if err != nil {
		return bookFile[T]{}, err
	}
	return readBookFile(ctx, f, name, true, parse)
}

// readBuiltIn reads a book that the program brings along.
func readBuiltIn[R, T any](ctx context.Context, name string, parse rowParser[R, T]) (bookFile[T], error) {
	f, err := readFile(builtIn, "books/"+name, builtInName(name), Columns(name))
	if err != nil {
		return bookFile[T]{}, err
	}
	return readBookFile(ctx, f, name, false, parse)
}

func readBookFile[R, T any](ctx context.Context, f *file, name string, own bool, parse rowParser[R, T]) (bookFile[T], error) {
	t, err := readTable(ctx, f, Columns(name), tableOptions{maxRejects: maxRejectsOfABook}, parse)
	if many := (*tooManyRejects)(nil); errors.As(err, &many) {
		return bookFile[T]{}, fmt.Errorf("%s\nand more than %d more", many.first, many.limit)
	}
	if err != nil {
		return bookFile[T]{}, err
	}
	problems := make([]string, len(t.rejects))
	for i, r := range t.rejects {
		problems[i] = r.String()
	}
	if own && t.input.Read == 0 {
		problems = append(problems, f.name+" holds no rows; remove it to use the built-in book")
	}
	if own {
		f.digest()
		t.input.SHA256 = f.input.SHA256
	}
	return bookFile[T]{slices.Concat(t.records...), t.header, own, t.input, t.warnings}, problemList(problems)
}

// builtInName is the Source.File of a built-in book's rows.
func builtInName(name string) string { return "built-in " + name }

// LoadBooks returns the four books of a yard: a file of its own replaces the
// built-in book of that name. A row that cannot be used, or that refers to a
// job, part or equipment word that does not exist, is an error that names file,
// line and word.
//
// A yard's checkpoints.csv or labour.csv may leave out the columns that the
// program brings beyond the plain ones, such as positions or absorbs. For a
// code that the built-in book has too, they then hold what stands there.
func LoadBooks(fsys fs.FS) (*Books, error) {
	tables, err := findTables(fsys, false)
	if err != nil {
		return nil, err
	}
	books, err := loadBooks(context.Background(), tables)
	if err != nil {
		return nil, err
	}
	return books.Books, nil
}

// loadedBooks are the books and what was read to get them.
type loadedBooks struct {
	*Books
	inputs   []InputFile
	warnings []string
}

func loadBooks(ctx context.Context, yard *tables) (loadedBooks, error) {
	labour, errL := readBook(ctx, yard, "labour.csv", parseLabourJob)
	parts, errP := readBook(ctx, yard, "parts.csv", parsePart)
	checkpoints, errC := readBook(ctx, yard, "checkpoints.csv", parseCheckpoint)
	handover, errH := readBook(ctx, yard, "handover.csv", parseHandoverStep)
	if err := errors.Join(errL, errP, errC, errH); err != nil {
		return loadedBooks{}, err
	}
	if err := inherit(ctx, &labour, &checkpoints); err != nil {
		return loadedBooks{}, err
	}
	books, err := NewBooks(checkpoints.records, labour.records, parts.records, handover.records)
	if err != nil {
		return loadedBooks{}, err
	}
	out := loadedBooks{Books: books}
	note := func(own bool, in InputFile, warnings []string) {
		if own {
			out.inputs = append(out.inputs, in)
			out.warnings = append(out.warnings, warnings...)
		}
	}
	note(labour.own, labour.input, labour.warnings)
	note(parts.own, parts.input, parts.warnings)
	note(checkpoints.own, checkpoints.input, checkpoints.warnings)
	note(handover.own, handover.input, handover.warnings)
	return out, nil
}

// inherit fills the columns that a yard's own book lacks from the built-in row
// of the same code. Jobs that the yard's labour book does not have are left
// out.
func inherit(ctx context.Context, labour *bookFile[LabourJob], checkpoints *bookFile[Checkpoint]) error {
	jobs := map[string]bool{}
	for _, j := range labour.records {
		jobs[j.Code] = true
	}
	if labour.own {
		ours, err := readBuiltIn(ctx, "labour.csv", parseLabourJob)
		if err != nil {
			return err
		}
		has := labour.header.Has
		for i := range labour.records {
			j := &labour.records[i]
			k := slices.IndexFunc(ours.records, func(o LabourJob) bool { return o.Code == j.Code })
			if k < 0 {
				continue
			}
			o := ours.records[k]
			fill(!has("absorbs"), &j.Absorbs, slices.DeleteFunc(o.Absorbs, func(code string) bool { return !jobs[code] }))
			fill(!has("per"), &j.Per, o.Per)
			fill(!has("touches"), &j.Touches, o.Touches)
			fill(!has("proves"), &j.Proves, o.Proves)
			fill(!has("without_proof"), &j.WithoutProof, o.WithoutProof)
		}
	}
	if !checkpoints.own {
		return nil
	}
	ours, err := readBuiltIn(ctx, "checkpoints.csv", parseCheckpoint)
	if err != nil {
		return err
	}
	has := checkpoints.header.Has
	for i := range checkpoints.records {
		p := &checkpoints.records[i]
		k := slices.IndexFunc(ours.records, func(o Checkpoint) bool { return o.Code == p.Code })
		if k < 0 {
			continue
		}
		o := ours.records[k]
		keepJob := func(code string) string {
			if jobs[code] {
				return code
			}
			return ""
		}
		fill(!has("positions"), &p.Positions, o.Positions)
		fill(!has("fitted"), &p.Fitted, o.Fitted)
		fill(!has("zone"), &p.Zone, o.Zone)
		fill(!has("worn_job"), &p.WornJob, keepJob(o.WornJob))
		fill(!has("system"), &p.System, o.System)
		fill(!has("risk_new_pct"), &p.RiskNewPct, o.RiskNewPct)
		fill(!has("risk_old_pct"), &p.RiskOldPct, o.RiskOldPct)
		fill(!has("risk_job"), &p.RiskJob, keepJob(o.RiskJob))
		fill(!has("how"), &p.How, o.How)
		fill(!has("caution"), &p.Caution, o.Caution)
		fill(!has("least"), &p.Least, o.Least)
		fill(!has("most"), &p.Most, o.Most)
		fill(!has("minutes"), &p.Minutes, o.Minutes)
	}
	return nil
}

func fill[T any](absent bool, to *T, from T) {
	if absent {
		*to = from
	}
}

// checkpointCodes lists the codes of the checkpoint book.
func (b *Books) checkpointCodes() []string {
	out := make([]string, len(b.Checkpoints))
	for i, c := range b.Checkpoints {
		out[i] = c.Code
	}
	return out
}

// partCodes lists the codes of the parts book.
func (b *Books) partCodes() []string {
	out := make([]string, len(b.Parts))
	for i, t := range b.Parts {
		out[i] = t.Code
	}
	return out
}

// jobCodes lists the codes of the labour book.
func (b *Books) jobCodes() []string {
	out := make([]string, len(b.Labour))
	for i, j := range b.Labour {
		out[i] = j.Code
	}
	return out
}
