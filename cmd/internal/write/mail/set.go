package mail

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/attention"
)

// Set is what a digest takes from one set of reports.
type Set struct {
	AsOf     data.Date
	vans     map[string]*van
	things   []attention.Thing // to do, by rank
	inputs   []input
	rejects  []rejects // the most rows first
	warnings []string
	workshop string         // which part of it is a default; blank where none
	waiting  map[string]int // jobs that wait for parts, by van
	moved    []string       // causes of jobs that people were told of and that moved
	lacks    []lack         // what the set does not have, in the order of tables
	reasons  map[reason]int // of rejects, each with its place among them as they were read
}

// van is one van as the reports have it. What they leave blank is unknown.
type van struct {
	id, name string
	page     string // below the reports folder; blank for none
	status   data.Status
	days     int // in stock
	basis    string
	price    amount // of margin.csv: sold, expected or advised, by basis
	cost     amount // less the VAT that comes back
	profit   amount
	target   amount
	parts    [len(components)]amount // of the profit, as components names them
	advised  amount
	bid      amount
	queued   bool
	ready    data.Date
	promised data.Date
	flags    []string
	soldOn   data.Date
}

// lack is a table that is not there or, with columns, does not have those.
type lack struct {
	file    string
	columns []string
}

type amount = data.Opt[data.Money]

// components are the columns of margin.csv that take from the price on the way
// to profit.
var components = [...]string{"vat", "cost", "prep", "warranty", "holding", "selling"}

type input struct {
	Name                     string
	Read, Accepted, Rejected int
}

// rejects are the rows of a file that were rejected for the same reason.
type rejects struct {
	reason
	line string // of the first
	rows int
}

type reason struct{ file, column, expected string }

// Read reads a set of reports. Without a run.json that can be read it is an
// error, and so is a table that run.json names and that is not there: then the
// set is not whole.
func Read(reports fs.FS) (*Set, error) {
	s := &Set{vans: map[string]*van{}, waiting: map[string]int{}, reasons: map[reason]int{}}
	text, err := fs.ReadFile(reports, "run.json")
	if err != nil {
		return nil, err
	}
	var run struct {
		AsOf     string   `json:"as_of"`
		Inputs   []input  `json:"inputs"`
		Warnings []string `json:"warnings"`
		Plan     struct{ Workshop string }
		Outputs  []struct{ Name string }
	}
	if err := json.Unmarshal(text, &run); err != nil {
		return nil, fmt.Errorf("read run.json: %w", err)
	}
	if s.AsOf, err = data.ParseDate(run.AsOf); err != nil {
		return nil, fmt.Errorf("read run.json: as_of is %q; expected %w", run.AsOf, err)
	}
	s.inputs, s.warnings, s.workshop = run.Inputs, run.Warnings, plain(run.Plan.Workshop)
	named := map[string]bool{}
	for _, out := range run.Outputs {
		named[out.Name] = true
	}
	for _, t := range tables {
		switch err := s.readTable(reports, t); {
		case errors.Is(err, fs.ErrNotExist) && !named[t.file]:
			s.lacks = append(s.lacks, lack{file: t.file})
		case err != nil:
			return nil, fmt.Errorf("read %s: %w", t.file, err)
		}
	}
	for _, v := range s.vans {
		if page := "vans/" + v.id + ".html"; wellFormed.MatchString(v.id) && exists(reports, page) {
			v.page = page
		}
	}
	s.readMoves(reports)
	slices.SortStableFunc(s.rejects, func(a, b rejects) int { return cmp.Compare(b.rows, a.rows) })
	return s, nil
}

// readMoves takes the causes of moved jobs, where changes.csv says them.
func (s *Set) readMoves(reports fs.FS) {
	f, err := reports.Open("changes.csv")
	if err != nil {
		return
	}
	defer f.Close()
	records, err := csvout.ReadBack(f)
	if err != nil {
		return
	}
	seen := map[[2]string]bool{}
	for _, r := range records {
		what, job, _ := strings.Cut(r.Get("what"), ":")
		key := [2]string{r.Get("stock_id"), job}
		if cause := plain(r.Get("cause")); cause != "" && strings.HasPrefix(what, "schedule.") && !seen[key] {
			seen[key] = true
			s.moved = append(s.moved, cause)
		}
	}
}

// wellFormed is what a stock_id looks like.
var wellFormed = regexp.MustCompile(`^[A-Za-z0-9-]{1,20}$`)

func exists(reports fs.FS, name string) bool {
	_, err := fs.Stat(reports, name)
	return err == nil
}

// item is a line of the van.
func (v *van) item(text string) Item { return Item{v.id, v.name, text, v.page} }

// report is a table of the reports: what is taken from it, and by what.
type report struct {
	file    string
	columns []string
	row     func(*Set, csvout.Record)
}

// The order matters: margin.csv and bids.csv say which vans there are, and the
// status that the one gives stands over the other's.
var tables = []report{
	{"papers.csv", []string{"stock_id"}, func(s *Set, r csvout.Record) { s.van(r).name = name(r) }},
	{"stock-book.csv", []string{"stock_id", "sold_on"}, func(s *Set, r csvout.Record) {
		v := s.van(r)
		v.soldOn = day(r, "sold_on")
		if v.name == "" {
			v.name = name(r)
		}
	}},
	{"realised-vans.csv", []string{"stock_id", "sold_on"}, func(s *Set, r csvout.Record) { s.van(r).soldOn = day(r, "sold_on") }},
	{"bids.csv", []string{"stock_id", "max_bid"}, func(s *Set, r csvout.Record) {
		v := s.van(r)
		v.status, v.bid = data.Offered, money(r, "max_bid")
	}},
	{"margin.csv", append([]string{"stock_id", "status", "days_held", "price", "price_basis", "profit", "target_profit", "flags"}, components[:]...), func(s *Set, r csvout.Record) {
		v := s.van(r)
		if status := data.Status(r.Get("status")); slices.Contains(data.Statuses, status) {
			v.status = status
		}
		v.basis = r.Get("price_basis")
		v.days, _ = strconv.Atoi(r.Get("days_held"))
		v.price, v.cost = money(r, "price"), money(r, "cost")
		v.profit, v.target = money(r, "profit"), money(r, "target_profit")
		for i, c := range components {
			v.parts[i] = money(r, c)
		}
		v.flags = list(r, "flags")
	}},
	{"prices.csv", []string{"stock_id", "price"}, func(s *Set, r csvout.Record) { s.van(r).advised = money(r, "price") }},
	{"queue.csv", []string{"stock_id", "ready_on", "promised_on"}, func(s *Set, r csvout.Record) {
		v := s.van(r)
		v.queued, v.ready, v.promised = true, day(r, "ready_on"), day(r, "promised_on")
	}},
	{"attention.csv", []string{"stock_id", "kind", "what", "due", "pounds", "pounds_mean", "who"}, func(s *Set, r csvout.Record) {
		s.things = append(s.things, attention.Thing{
			StockID: plain(r.Get("stock_id")), Kind: attention.Kind(r.Get("kind")), What: plain(r.Get("what")),
			Due: day(r, "due"), Pounds: money(r, "pounds"), Meaning: plain(r.Get("pounds_mean")), Who: plain(r.Get("who")),
		})
	}},
	{"jobs.csv", []string{"stock_id", "state"}, func(s *Set, r csvout.Record) {
		if data.JobState(r.Get("state")) == data.JobAwaitingParts {
			s.waiting[s.van(r).id]++
		}
	}},
	{"rejects.csv", []string{"file", "line", "column", "expected"}, func(s *Set, r csvout.Record) {
		why := reason{plain(r.Get("file")), plain(r.Get("column")), plain(r.Get("expected"))}
		i, known := s.reasons[why]
		if !known {
			i = len(s.rejects)
			s.reasons[why] = i
			s.rejects = append(s.rejects, rejects{reason: why, line: plain(r.Get("line"))})
		}
		s.rejects[i].rows++
	}},
}

// readTable takes a table's rows into the set and notes the columns that it
// does not have.
func (s *Set) readTable(reports fs.FS, t report) error {
	f, err := reports.Open(t.file)
	if err != nil {
		return err
	}
	defer f.Close()
	records, err := csvout.ReadBack(f)
	if err != nil || len(records) == 0 {
		return err
	}
	var missing []string
	for _, column := range t.columns {
		if !records[0].Has(column) {
			missing = append(missing, column)
		}
	}
	if len(missing) > 0 {
		s.lacks = append(s.lacks, lack{t.file, missing})
	}
	for _, r := range records {
		t.row(s, r)
	}
	return nil
}

// has reports whether the set had the table, and the column if one is named.
func (s *Set) has(file, column string) bool {
	return !slices.ContainsFunc(s.lacks, func(l lack) bool {
		return l.file == file && (len(l.columns) == 0 || slices.Contains(l.columns, column))
	})
}

// van returns the van that a row is of, which it makes if need be.
func (s *Set) van(r csvout.Record) *van {
	id := plain(r.Get("stock_id"))
	v := s.vans[id]
	if v == nil {
		v = &van{id: id}
		s.vans[id] = v
	}
	return v
}

// ids lists the vans that have a status, by stock_id. One without stands in a
// table that says too little to tell anything of it.
func (s *Set) ids() []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(s.vans)), func(id string) bool { return s.vans[id].status == "" })
}

// find returns a van that has a status, or nil.
func (s *Set) find(id string) *van {
	if s == nil || s.vans[id] == nil || s.vans[id].status == "" {
		return nil
	}
	return s.vans[id]
}

func name(r csvout.Record) string {
	return strings.TrimSpace(plain(r.Get("maker")) + " " + plain(r.Get("model")))
}

// money reads an amount; a cell that holds none is unknown.
func money(r csvout.Record, column string) amount {
	m, err := data.ParseMoney(r.Get(column))
	if err != nil {
		return amount{}
	}
	return data.Some(m)
}

func day(r csvout.Record, column string) data.Date {
	d, _ := data.ParseDate(r.Get(column))
	return d
}

func list(r csvout.Record, column string) []string {
	var words []string
	for word := range strings.SplitSeq(r.Get(column), ";") {
		if word = plain(word); word != "" {
			words = append(words, word)
		}
	}
	return words
}
