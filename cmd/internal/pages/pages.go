// Package pages writes everything that people read: self-contained HTML files,
// without network, build step or clock.
//
// In goes one value, a *batch.Result, and what changed since the reports before;
// out come files through a function that opens them by name. The same input
// gives the same bytes. A page never works
// anything out that a CSV report would have to agree with: it shows figures
// that the Result holds, sums of them, and differences between two of them.
package pages

import (
	"bytes"
	"fmt"
	"io"
	"runtime"
	"sync"

	"github.com/vanwright/vanwright/cmd/internal/batch"
	"github.com/vanwright/vanwright/cmd/internal/reports"
	"github.com/vanwright/vanwright/data"
)

// page is one file to write: its name, its template, and what fills it in.
// view is called once, perhaps on another goroutine.
type page struct {
	name     string // with slashes, below the reports folder
	template string
	view     func() any
}

// Write writes all pages of a run. create opens a file below the reports
// folder; names use slashes. changes are those of changes.csv. It stops at the
// first error.
func Write(create func(name string) (io.WriteCloser, error), r *batch.Result, changes []reports.Change) error {
	s := newSite(r, changes)
	pages := []page{
		{"index.html", "front", func() any { return s.front() }},
		{"workshop/index.html", "workshop", func() any { return s.workshop() }},
		{"margin/index.html", "margin", func() any { return s.margin() }},
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
	return write(create, pages)
}

// vanPages lists the pages of one van.
func (s *site) vanPages(v *batch.Van) []page {
	pages := []page{{s.vanFile(v.StockID, ""), "van", func() any { return s.van(v) }}}
	if v.Status.InHand() {
		pages = append(pages,
			page{s.vanFile(v.StockID, handoverEnd), "handover", func() any { return s.handover(v) }},
			page{s.vanFile(v.StockID, jobCardEnd), "jobcard", func() any { return s.jobCard(v) }})
	}
	if v.Status == data.Offered && v.Bid != nil {
		pages = append(pages,
			page{s.vanFile(v.StockID, bidEnd), "bid", func() any { return s.bid(v) }},
			page{s.vanFile(v.StockID, offerEnd), "offer", func() any { return s.offer(v) }})
	}
	return pages
}

// inFlight is how many pages are filled in before they are written in order.
const inFlight = 64

// write fills pages in on all processors and writes them in order.
func write(create func(name string) (io.WriteCloser, error), pages []page) error {
	var filled [inFlight]bytes.Buffer
	var errs [inFlight]error
	for len(pages) > 0 {
		now := pages[:min(inFlight, len(pages))]
		pages = pages[len(now):]
		var wg sync.WaitGroup
		next := make(chan int)
		for range min(runtime.GOMAXPROCS(0), len(now)) {
			wg.Go(func() {
				for i := range next {
					filled[i].Reset()
					errs[i] = templates.ExecuteTemplate(&filled[i], now[i].template, now[i].view())
				}
			})
		}
		for i := range now {
			next <- i
		}
		close(next)
		wg.Wait()
		for i, p := range now {
			if errs[i] != nil {
				return fmt.Errorf("fill in page %s: %w", p.name, errs[i])
			}
			if err := writeFile(create, p.name, filled[i].Bytes()); err != nil {
				return err
			}
		}
	}
	return nil
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
