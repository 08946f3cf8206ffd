package data

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

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
	p.add(at, "column %q: %q is not in %s%s", column, code, book, DidYouMean(code, codes))
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
			p.missing(j.Source, "parts", use.Part, "parts.csv", p.books.partCodes())
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

// problemList makes one error of many sentences; nil of none.
func problemList(problems []string) error {
	const most = 3
	if len(problems) == 0 {
		return nil
	}
	if more := len(problems) - most; more > 0 {
		problems = append(problems[:most:most], fmt.Sprintf("and %d more", more))
	}
	return errors.New(strings.Join(problems, "\n"))
}
