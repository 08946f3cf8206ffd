package pages

import (
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing/attention"
)

// Ends of the file names of a van's further pages.
const (
	jobCardEnd  = "-job-card"
	handoverEnd = "-handover"
	bidEnd      = "-bid"
	offerEnd    = "-offer"
	cardEnd     = "-forecourt-card"
)

// EverySold is the size of a yard, in vans, up to which sold vans have pages too.
const EverySold = 400

// report is one run with what several pages need of it.
type report struct {
	*night.Result
	changes        []tables.Change
	base           map[string]string // stock_id to the start of its file names
	technicianFile map[string]string // by name
	queue          map[string]prep.QueueRow
	firstStart     map[jobKey]prep.Block // first block of each job in the plan
	jobTitle       map[string]string
	jobSkill       map[string]string
	zoneRank       map[string]int
	bookletFile    map[string]string // by stock_id
	booklets       []booklet
	toDoOf         map[string][]attention.Thing // by stock_id
}

type jobKey struct{ stockID, job string }

func newReport(r *night.Result, changes []tables.Change) *report {
	s := &report{
		Result: r, changes: changes, base: map[string]string{}, technicianFile: map[string]string{},
		queue: map[string]prep.QueueRow{}, firstStart: map[jobKey]prep.Block{},
		jobTitle: map[string]string{}, jobSkill: map[string]string{}, zoneRank: map[string]int{}, toDoOf: map[string][]attention.Thing{}, bookletFile: map[string]string{},
	}
	taken := devices()
	for i := range r.Vans {
		v := &r.Vans[i]
		if v.Status != data.Sold || len(r.Vans) <= EverySold {
			s.base[v.StockID] = taken.pick(v.StockID, "", jobCardEnd, handoverEnd, bidEnd, offerEnd, cardEnd)
		}
	}
	s.nameBooklets(taken)
	taken = devices()
	taken["index"], taken["board"] = true, true
	for _, t := range r.Workshop.Team {
		s.technicianFile[t.Name] = "workshop/" + taken.pick(slug(t.Name), "", dayEnd) + ".html"
	}
	for _, q := range r.Plan.Queue {
		s.queue[q.Van.StockID] = q
	}
	for _, b := range r.Plan.Blocks {
		k := jobKey{b.StockID, b.Job}
		if _, ok := s.firstStart[k]; !ok {
			s.firstStart[k] = b
		}
	}
	for _, t := range r.ToDo {
		s.toDoOf[t.StockID] = append(s.toDoOf[t.StockID], t)
	}
	for _, j := range r.Yard.Books.Labour {
		s.jobTitle[j.Code], s.jobSkill[j.Code] = j.Title, j.Skill
	}
	for _, c := range r.Yard.Books.Checkpoints {
		if _, ok := s.zoneRank[c.Zone]; !ok {
			s.zoneRank[c.Zone] = len(s.zoneRank)
		}
	}
	return s
}

// names are the file names taken in a folder, in lower case: some disks do not
// tell A from a.
type names map[string]bool

// devices are the names that Windows keeps for devices, in any letter case and
// whatever follows the first dot: a page of the van NUL is NUL-2.html, so that
// the reports can be carried anywhere. The list is that of
// meziantou.net/reserved-filenames-on-windows-con-prn-aux-nul.htm.
func devices() names {
	n := names{"con": true, "prn": true, "aux": true, "nul": true}
	for port := range 10 {
		n[fmt.Sprintf("com%d", port)], n[fmt.Sprintf("lpt%d", port)] = true, true
	}
	return n
}

// pick takes the first of name, name-2, name-3 … that is free with every end.
func (n names) pick(name string, ends ...string) string {
	free := func(name string) bool {
		return !slices.ContainsFunc(ends, func(end string) bool { return n[strings.ToLower(name+end)] })
	}
	picked := name
	for i := 2; !free(picked); i++ {
		picked = fmt.Sprintf("%s-%d", name, i)
	}
	for _, end := range ends {
		n[strings.ToLower(picked+end)] = true
	}
	return picked
}

// slug brings a name to letters, digits and hyphens; "person" where none is
// left.
func slug(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9')
	})
	s := strings.Join(words, "-")
	if s == "" {
		return "person"
	}
	return s[:min(len(s), 40)]
}

func (s *report) hasPage(stockID string) bool { return s.base[stockID] != "" }

// vanFile names a page of a van below the reports folder.
func (s *report) vanFile(stockID, end string) string {
	return "vans/" + s.base[stockID] + end + ".html"
}

// link is a place to go to. Href is blank where there is no such page.
type link struct {
	Text string
	Href string
}

// vanLink links to a van's page from a page whose root is root.
func (s *report) vanLink(root, stockID string) link {
	l := link{Text: stockID}
	if s.hasPage(stockID) {
		l.Href = root + s.vanFile(stockID, "")
	}
	return l
}
