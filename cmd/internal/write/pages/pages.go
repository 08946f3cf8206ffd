// Package pages writes everything that people read: self-contained HTML files,
// without network, build step or clock.
//
// In goes one value, a *night.Result, and what changed since the reports before;
// out come files through a function that opens them by name. The same input
// gives the same bytes. A page never works
// anything out that a CSV report would have to agree with: it shows figures
// that the Result holds, sums of them, and differences between two of them.
package pages

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"sync"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
)

// page is one file to write: its name, its template, and what fills it in.
// view is called once, perhaps on another goroutine.
type page struct {
	name     string // with slashes, below the reports folder
	template string
	view     func() any
}

// Write writes all pages of a run. create opens a file below the reports
// folder, for several callers at once; names use slashes. changes are those of
// changes.csv. It stops at the first error.
func Write(create func(name string) (io.WriteCloser, error), r *night.Result, changes []tables.Change) error {
	s := newReport(r, changes)
	pages := []page{
		{"index.html", "front", func() any { return s.front() }},
		{"workshop/index.html", "workshop", func() any { return s.workshop() }},
		{"workshop/board.html", "board", func() any { return s.board() }},
		{"margin/index.html", "margin", func() any { return s.margin() }},
		{"margin/lookback.html", "lookback", func() any { return s.lookBack() }},
		{"margin/wanted.html", "wanted", func() any { return s.wanted() }},
		{"find.html", "find", func() any { return s.find() }},
		{"sources.html", "sources", func() any { return s.sources() }},
	}
	for i := range r.Workshop.Team {
		t := r.Workshop.Team[i]
		pages = append(pages, page{s.technicianFile[t.Name], "technician", func() any { return s.technician(t) }})
	}
	for i := range r.Vans {
		if v := &r.Vans[i]; s.hasPage(v.StockID) {
			pages = append(pages, s.vanPages(v)...)
		}
	}
	for _, b := range s.booklets {
		pages = append(pages, page{b.file, "booklet", func() any { return s.booklet(b) }})
	}
	return write(create, pages)
}

// vanPages lists the pages of one van.
func (s *report) vanPages(v *night.Van) []page {
	pages := []page{{s.vanFile(v.StockID, ""), "van", func() any { return s.van(v) }}}
	if v.Status.InHand() {
		pages = append(pages,
			page{s.vanFile(v.StockID, handoverEnd), "handover", func() any { return s.handover(v) }},
			page{s.vanFile(v.StockID, jobCardEnd), "jobcard", func() any { return s.jobCard(v) }})
	}
	if v.Status == data.Ready {
		pages = append(pages, page{s.vanFile(v.StockID, cardEnd), "forecourt", func() any { return s.forecourt(v) }})
	}
	if v.Status == data.Offered && v.Bid != nil {
		pages = append(pages,
			page{s.vanFile(v.StockID, bidEnd), "bid", func() any { return s.bid(v) }},
			page{s.vanFile(v.StockID, offerEnd), "offer", func() any { return s.offer(v) }})
	}
	return pages
}

// write fills pages in and writes them, on all processors. The error is that of
// the first page that could not be made; none is begun after one.
func write(create func(name string) (io.WriteCloser, error), pages []page) error {
	return parallel.Each(context.Background(), 0, len(pages), func(i int) error {
		return pages[i].make(create)
	})
}

// room is what pages are filled in in, one after another: without it, the pages of
// the demo take 55 MB of memory in place of 37, and a tenth more processor time.
var room = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// make fills one page in and writes it.
func (p page) make(create func(name string) (io.WriteCloser, error)) error {
	filled := room.Get().(*bytes.Buffer)
	defer room.Put(filled)
	filled.Reset()
	if err := templates.ExecuteTemplate(filled, p.template, p.view()); err != nil {
		return fmt.Errorf("fill in page %s: %w", p.name, err)
	}
	return writeFile(create, p.name, filled.Bytes())
}

func writeFile(create func(name string) (io.WriteCloser, error), name string, content []byte) error {
	f, err := create(name)
	if err != nil {
		return fmt.Errorf("create page %s: %w", name, err)
	}
	_, err = f.Write(content)
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		return fmt.Errorf("write page %s: %w", name, err)
	}
	return nil
}
