// Package daypage makes the page on which a technician says how the day's jobs went.
//
// In go the jobs that the plan gives one person; out comes one HTML file for a
// phone that needs no network. Each tap is a row of progress.csv, what was found
// is a reading, and all of it ends in one slip for the yard.
//
//	err := daypage.Write(w, daypage.Page{Technician: "Una Marl", Jobs: jobs, …})
package daypage

import (
	"cmp"
	"embed"
	"io"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/offline"
	"github.com/vanwright/vanwright/data"
)

//go:embed page.html day.css day.js
var files embed.FS

var page = offline.Load(files, "day.css", "news.js", "reading.js", "day.js")

// Page is what a technician's page shows.
type Page struct {
	Technician string
	AsOf       data.Date
	Jobs       []Job // in the order of the plan
	Vans       []Van // in hand, by stock_id: any of them may have a job that is not planned
	Books      *data.Books
	List       string // where the printed list is, from this page
	Find       string // where the page that finds a van is, from this page; blank for none
}

// Job is one job on the technician's list.
type Job struct {
	StockID string   `json:"stock_id"`
	Job     string   `json:"job"`
	Title   string   `json:"title"`
	Places  string   `json:"places"`
	Bay     string   `json:"bay"`
	Day     string   `json:"day"`   // on which it is planned to begin: 2026-03-09
	From    string   `json:"from"`  // 08:00
	Hours   string   `json:"hours"` // left by the plan
	Spent   string   `json:"spent"` // so far; blank: none
	State   string   `json:"state"` // of progress.csv
	Parts   []string `json:"parts"`
	Caution string   `json:"caution"`
	Again   []Again  `json:"again"` // what is to be read again after it
}

// Again is a reading that a job is to change.
type Again struct {
	Checkpoint string `json:"checkpoint"`
	Position   string `json:"position"`
	Title      string `json:"title"`
	Unit       string `json:"unit"`
	Was        string `json:"was"`
}

// Van is a van in hand.
type Van struct {
	StockID string `json:"stock_id"`
	Reg     string `json:"reg"`
	Name    string `json:"name"`
	Card    string `json:"card"` // where its job card is, from this page; may be blank
}

// point is a checkpoint at which something may be found.
type point struct {
	offline.Measure
	Code      string           `json:"code"`
	Title     string           `json:"title"`
	Positions []offline.Choice `json:"positions"`
}

// known is what the script reads.
type known struct {
	Technician string           `json:"technician"`
	AsOf       string           `json:"asOf"`
	Jobs       []Job            `json:"jobs"`
	Vans       []Van            `json:"vans"`
	Labour     []offline.Choice `json:"labour"`
	Points     []point          `json:"points"`
}

// Write makes the page. The same page gives the same bytes.
func Write(w io.Writer, p Page) error {
	k := known{Technician: p.Technician, AsOf: p.AsOf.String(), Jobs: p.Jobs, Vans: p.Vans}
	for _, j := range p.Books.Labour {
		k.Labour = append(k.Labour, offline.Choice{Word: j.Code, Title: j.Title})
	}
	// People look for a job by its title; the rows of labour.csv have no order.
	slices.SortFunc(k.Labour, func(a, b offline.Choice) int {
		return cmp.Or(strings.Compare(a.Title, b.Title), strings.Compare(a.Word, b.Word))
	})
	for _, c := range p.Books.Checkpoints {
		k.Points = append(k.Points, point{offline.MeasureOf(&c), c.Code, c.Title, offline.Titled(c.Positions)})
	}
	return page.Write(w, struct {
		offline.Kit
		Page
		Book     known
		Verdicts []offline.Choice
	}{page.Kit, p, k, offline.Verdicts})
}
