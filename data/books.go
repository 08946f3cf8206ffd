package data

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// LoadBooks returns the four books of a yard: a file of its own replaces the
// built-in book of that name. A row that cannot be used, or that refers to a
// job, part or equipment word that does not exist, is an error that names file,
// line and word.
//
// A yard's checkpoints.csv or labour.csv may leave out the columns that the
// program brings beyond the plain ones, such as positions or absorbs. For a
// code that the built-in book has too, they then hold what stands there.
func LoadBooks(fsys fs.FS) (*Books, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, noYard(err)
	}
	tables, err := findTables(fsys, entries, true)
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
	if labour.own && !labour.header.has("absorbs") || labour.own && !labour.header.has("per") {
		ours, err := readBook(ctx, &tables{fsys: builtIn}, "labour.csv", parseLabourJob)
		if err != nil {
			return err
		}
		for i := range labour.records {
			j := &labour.records[i]
			k := slices.IndexFunc(ours.records, func(o LabourJob) bool { return o.Code == j.Code })
			if k < 0 {
				continue
			}
			if !labour.header.has("absorbs") {
				j.Absorbs = slices.DeleteFunc(ours.records[k].Absorbs, func(code string) bool { return !jobs[code] })
			}
			if !labour.header.has("per") {
				j.Per = ours.records[k].Per
			}
		}
	}
	if !checkpoints.own {
		return nil
	}
	ours, err := readBook(ctx, &tables{fsys: builtIn}, "checkpoints.csv", parseCheckpoint)
	if err != nil {
		return err
	}
	has := checkpoints.header.has
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
	}
	return nil
}

func fill[T any](absent bool, to *T, from T) {
	if absent {
		*to = from
	}
}

// NewBooks joins four books, and refuses codes that stand twice, references to
// what no book holds, limits out of order, and jobs that come after or absorb
// each other in a circle.
func NewBooks(checkpoints []Checkpoint, labour []LabourJob, parts []Part, handover []HandoverStep) (*Books, error) {
	b := &Books{
		Checkpoints: checkpoints, Labour: labour, Parts: parts, Handover: handover,
		checkpoint: map[string]int{}, job: map[string]int{}, part: map[string]int{},
	}
	p := &bookProblems{books: b}
	for i, c := range checkpoints {
		p.index(b.checkpoint, "checkpoint", c.Code, i, c.Source, func(j int) Source { return checkpoints[j].Source })
	}
	for i, j := range labour {
		p.index(b.job, "job", j.Code, i, j.Source, func(k int) Source { return labour[k].Source })
	}
	for i, t := range parts {
		p.index(b.part, "part", t.Code, i, t.Source, func(k int) Source { return parts[k].Source })
	}
	for _, c := range checkpoints {
		p.checkpoint(c)
	}
	for _, j := range labour {
		p.labourJob(j)
	}
	p.steps()
	if len(p.found) == 0 { // a circle is only worth naming among jobs that exist
		p.circle("after", func(j LabourJob) []string { return j.After })
		p.circle("absorbs", func(j LabourJob) []string { return j.Absorbs })
	}
	if err := problemList(p.found); err != nil {
		return nil, err
	}
	return b, nil
}

// checkpointCodes lists the codes of the checkpoint book.
func (b *Books) checkpointCodes() []string {
	out := make([]string, len(b.Checkpoints))
	for i, c := range b.Checkpoints {
		out[i] = c.Code
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

// bookProblems gathers what is wrong with a set of books.
type bookProblems struct {
	books *Books
	found []string
}

func (p *bookProblems) add(at Source, format string, args ...any) {
	place := at.String()
	if place == "" {
		place = "books"
	}
	p.found = append(p.found, place+": "+fmt.Sprintf(format, args...))
}

func (p *bookProblems) index(to map[string]int, what, code string, i int, at Source, where func(int) Source) {
	if first, ok := to[code]; ok {
		p.add(at, "%s %q stands twice; first on line %d", what, code, where(first).Line)
		return
	}
	to[code] = i
}

// job refuses the name of a job that the labour book does not hold.
func (p *bookProblems) job(at Source, column, code string) {
	if _, ok := p.books.job[code]; code != "" && !ok {
		p.missing(at, column, code, "labour.csv", p.books.jobCodes())
	}
}

func (p *bookProblems) missing(at Source, column, code, book string, codes []string) {
	near := ""
	if n := nearest(code, codes); n != "" {
		near = fmt.Sprintf("; did you mean %q?", n)
	}
	p.add(at, "column %q: %q is not in %s%s", column, code, book, near)
}

func (p *bookProblems) checkpoint(c Checkpoint) {
	p.job(c.Source, "job", c.Job)
	p.job(c.Source, "worn_job", c.WornJob)
	p.job(c.Source, "risk_job", c.RiskJob)
	for _, word := range c.Fitted {
		p.equipment(c.Source, "fitted", word)
	}
	var last Opt[float64]
	for _, l := range []Opt[float64]{c.WornAt, c.DefectAt, c.UnsafeAt} {
		if l.Known && last.Known && (c.HighBad && l.Value < last.Value || !c.HighBad && l.Value > last.Value) {
			p.add(c.Source, "limits of %q run against their direction: %v then %v", c.Code, last.Value, l.Value)
		}
		if l.Known {
			last = l
		}
	}
}

func (p *bookProblems) labourJob(j LabourJob) {
	for _, code := range j.After {
		p.job(j.Source, "after", code)
	}
	for _, code := range j.Absorbs {
		p.job(j.Source, "absorbs", code)
	}
	for _, use := range j.Parts {
		if _, ok := p.books.part[use.Part]; !ok {
			codes := make([]string, len(p.books.Parts))
			for i, t := range p.books.Parts {
				codes[i] = t.Code
			}
			p.missing(j.Source, "parts", use.Part, "parts.csv", codes)
		}
	}
	if !(j.HoursLow <= j.HoursLikely && j.HoursLikely <= j.HoursHigh) {
		p.add(j.Source, "hours of %q are out of order: %v, %v, %v", j.Code, j.HoursLow, j.HoursLikely, j.HoursHigh)
	}
}

// steps refuses a handover step that stands twice for the same equipment.
func (p *bookProblems) steps() {
	first := map[[2]string]int{}
	for _, s := range p.books.Handover {
		p.equipment(s.Source, "equipment", s.Equipment)
		key := [2]string{s.Equipment, s.Step}
		if line, ok := first[key]; ok {
			p.add(s.Source, "step %q of %q stands twice; first on line %d", s.Step, s.Equipment, line)
			continue
		}
		first[key] = s.Source.Line
	}
}

func (p *bookProblems) equipment(at Source, column, word string) {
	if word != "" && !slices.Contains(EquipmentWords, word) {
		p.missing(at, column, word, "the equipment words", EquipmentWords)
	}
}

// circle names the first circle of jobs that follow each other, as a → b → a.
// It walks jobs in the order of the book, so that the same book gives the same
// sentence.
func (p *bookProblems) circle(column string, next func(LabourJob) []string) {
	const (
		unseen = iota
		onPath
		done
	)
	state := make([]int, len(p.books.Labour))
	var path []int
	var walk func(i int) bool
	walk = func(i int) bool {
		state[i] = onPath
		path = append(path, i)
		for _, code := range next(p.books.Labour[i]) {
			k := p.books.job[code]
			switch state[k] {
			case onPath:
				var names []string
				for _, at := range path[slices.Index(path, k):] {
					names = append(names, p.books.Labour[at].Code)
				}
				names = append(names, p.books.Labour[k].Code)
				p.add(p.books.Labour[k].Source, "column %q: jobs go round in a circle: %s", column, strings.Join(names, " → "))
				return true
			case unseen:
				if walk(k) {
					return true
				}
			}
		}
		path = path[:len(path)-1]
		state[i] = done
		return false
	}
	for i := range state {
		if state[i] == unseen && walk(i) {
			return
		}
	}
}
