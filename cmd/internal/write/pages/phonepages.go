package pages

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/daypage"
	"github.com/vanwright/vanwright/cmd/internal/deskpage"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
	"github.com/vanwright/vanwright/prep"
)

// dayEnd is the end of the file name of a technician's page for the phone.
const dayEnd = "-day"

// deskFile is the office's page.
const deskFile = "desk.html"

// dayFile names a technician's page for the phone.
func (s *report) dayFile(technician string) string {
	return strings.TrimSuffix(s.technicianFile[technician], ".html") + dayEnd + ".html"
}

// WritePhonePages writes the pages on which people say what happened: the desk,
// and each technician's day. create is as for Write. It stops at the first error.
func WritePhonePages(create func(name string) (io.WriteCloser, error), r *night.Result) error {
	pages := newReport(r, nil).phonePages()
	return parallel.Each(context.Background(), 0, len(pages), func(i int) error { return pages[i].make(create) })
}

// phonePages are the pages on which people say what happened.
func (s *report) phonePages() []phonePage {
	pages := []phonePage{{deskFile, func(w io.Writer) error { return deskpage.Write(w, s.desk()) }}}
	for _, t := range s.Workshop.Team {
		pages = append(pages, phonePage{s.dayFile(t.Name), func(w io.Writer) error { return daypage.Write(w, s.day(t)) }})
	}
	return pages
}

// phonePage is a page that another package writes.
type phonePage struct {
	name  string
	write func(io.Writer) error
}

func (p phonePage) make(create func(name string) (io.WriteCloser, error)) error {
	var b bytes.Buffer
	if err := p.write(&b); err != nil {
		return fmt.Errorf("fill in page %s: %w", p.name, err)
	}
	return writeFile(create, p.name, b.Bytes())
}

// day gathers the jobs that the plan gives one technician, each at its first
// start.
func (s *report) day(t data.Technician) daypage.Page {
	p := daypage.Page{
		Technician: t.Name, AsOf: s.AsOf, Books: s.Yard.Books,
		List: strings.TrimPrefix(s.technicianFile[t.Name], "workshop/"), Find: "../find.html",
	}
	seen := map[jobKey]bool{}
	for _, b := range s.Plan.Blocks {
		k := jobKey{b.StockID, b.Job}
		v, ok := s.Find(b.StockID)
		if b.Technician != t.Name || seen[k] || !ok {
			continue
		}
		seen[k] = true
		p.Jobs = append(p.Jobs, s.dayJob(v, b))
	}
	for i := range s.Vans {
		if v := &s.Vans[i]; v.Status.InHand() {
			in := daypage.Van{StockID: v.StockID, Reg: v.Reg, Name: v.Maker + " " + v.Model}
			if s.hasPage(v.StockID) {
				in.Card = "../" + s.vanFile(v.StockID, jobCardEnd)
			}
			p.Vans = append(p.Vans, in)
		}
	}
	return p
}

func (s *report) dayJob(v *night.Van, b prep.Block) daypage.Job {
	out := daypage.Job{
		StockID: b.StockID, Job: b.Job, Title: b.Title, Bay: b.Bay, Day: data.DateOf(b.Start).String(), From: b.Start.Format("15:04"),
		Hours: b.Hours.String(), State: string(data.JobOpen),
	}
	i := slices.IndexFunc(v.Jobs, func(j prep.Job) bool { return j.Code == b.Job })
	if i < 0 {
		return out
	}
	j := v.Jobs[i]
	out.Places, out.Parts, out.Caution, out.State = data.Titles(j.Places), s.partsOf(j), j.Caution, string(j.State)
	out.Hours = plainHours(j.HoursLeft)
	if j.HoursSpent.IsPositive() {
		out.Spent = plainHours(j.HoursSpent)
	}
	for _, f := range toReadAgain(v, j) {
		title := f.Title
		if f.Position != "" {
			title += ", " + data.Title(f.Position)
		}
		out.Again = append(out.Again, daypage.Again{Checkpoint: f.Code, Position: f.Position, Title: title, Unit: f.Unit, Was: data.WithUnit(f.Value, f.Unit)})
	}
	return out
}

// plainHours writes hours as progress.csv has them: 1.25, 2.
func plainHours(h data.Money) string {
	text := data.FormatMoney(h)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// squareOf is what the square of a job card says: the address of the job on the
// page of the technician it is planned for, or, where the dealer's address is not
// set or it is not planned yet, the stock number and the job, which every technician's page
// reads.
func (s *report) squareOf(v *night.Van, j prep.Job) string {
	b, planned := s.firstStart[jobKey{v.StockID, j.Code}]
	if s.Policy.OpenAt == "" || !planned || s.technicianFile[b.Technician] == "" {
		return v.StockID + "," + j.Code
	}
	at := url.URL{Path: s.dayFile(b.Technician), Fragment: v.StockID + "/" + j.Code}
	return strings.TrimSuffix(s.Policy.OpenAt, "/") + "/" + at.String()
}

// desk gathers the vans to which something may happen, and what is on order.
func (s *report) desk() deskpage.Page {
	p := deskpage.Page{AsOf: s.AsOf, Books: s.Yard.Books, Front: "index.html", Find: "find.html"}
	for i := range s.Vans {
		v := &s.Vans[i]
		if v.Status == data.Sold && (!v.DeliveredOn.IsZero() || v.SoldOn.IsZero() || v.SoldOn < s.AsOf.AddMonths(-deskMonths)) {
			continue
		}
		line := deskpage.Van{StockID: v.StockID, Reg: v.Reg, Name: v.Maker + " " + v.Model, Status: string(v.Status), Asking: known(v.Asking), Finance: known(v.FinanceOwed)}
		if v.Bid != nil && v.Bid.Known {
			line.StandIn = data.FormatMoney(v.Bid.StandIn)
		}
		p.Vans = append(p.Vans, line)
	}
	for _, o := range s.Yard.Orders {
		if !o.ArrivedOn.IsZero() {
			continue
		}
		title := o.Part
		if part, ok := s.Yard.Books.Part(o.Part); ok {
			title = part.Title
		}
		p.Orders = append(p.Orders, deskpage.Order{
			Part: o.Part, Title: title, StockID: o.StockID, Quantity: strconv.Itoa(o.Quantity),
			OrderedOn: dateCell(o.OrderedOn), DueOn: dateCell(o.DueOn), UnitCost: known(o.UnitCost), Supplier: o.Supplier,
		})
	}
	return p
}

// deskMonths is how long a sold van that was not handed over stays on the desk.
const deskMonths = 3

// known writes an amount as a table does; blank where it is not known.
func known(m data.Opt[data.Money]) string {
	if !m.Known {
		return ""
	}
	return data.FormatMoney(m.Value)
}

func dateCell(d data.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}
