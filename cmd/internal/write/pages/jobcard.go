package pages

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

type jobCardPage struct {
	layout
	ID, Name, Reg, VIN, Site, Mileage string
	Ready, Promised                   string
	Back                              link
	Stops                             []string // why the van is not to be driven or used
	Cautions                          []string // jobs refer to them by number
	Jobs                              []cardJob
	Done                              []string
	Hours                             string
	Opens                             bool // the squares are addresses
}

// cardJob is one job with boxes for what comes back.
type cardJob struct {
	Number, Code, Title, Places string
	When, Who, Bay, Skill       string
	Hours, Drying               string
	Because                     string
	Parts                       []string
	Caution                     string // the number of a caution above
	Retake                      []string
	QR                          *qrCode
}

func (s *report) jobCard(v *night.Van) jobCardPage {
	p := jobCardPage{
		layout: s.layout("Job card "+v.StockID+" "+v.Reg, "../", ""), ID: v.StockID, Name: nameOf(v.Van), Reg: v.Reg, VIN: v.VIN, Site: v.Site,
		Mileage: number(v.Mileage) + " miles", Back: s.vanLink("../", v.StockID),
	}
	p.Kind, p.Opens = "card", s.Policy.OpenAt != ""
	p.showPhotos(v, ofOpenJobs(v))
	if !v.ReadyOn.IsZero() {
		p.Ready = "ready " + dayAs(v.ReadyOn, "Mon 2 Jan 2006")
		if v.Status == data.Ready {
			p.Ready = "done " + dayAs(v.ReadyOn, "Mon 2 Jan 2006")
		}
	}
	if !v.PromisedOn.IsZero() {
		p.Promised = dayAs(v.PromisedOn, "Mon 2 Jan 2006")
	}
	for _, f := range v.Assessment.Stops() {
		point := f.Point()
		if !f.MendedOn.IsZero() {
			point += ": mended on " + f.MendedOn.Words() + ", to be read again"
		}
		p.Stops = append(p.Stops, point)
	}
	for _, j := range s.inWorkshopOrder(v) {
		p.Jobs = append(p.Jobs, s.cardJob(v, j, len(p.Jobs)+1, &p.Cautions))
	}
	p.Hours = hours(prep.SumsOf(v.Jobs).HoursLeft)
	for _, j := range v.Jobs {
		if j.State == data.JobDone {
			p.Done = append(p.Done, j.Title)
		}
	}
	return p
}

// inWorkshopOrder lists the open jobs by their start in the plan; those that
// could not be planned come last.
func (s *report) inWorkshopOrder(v *night.Van) []prep.Job {
	open := slices.DeleteFunc(slices.Clone(v.Jobs), func(j prep.Job) bool { return !j.Open() })
	slices.SortStableFunc(open, func(a, b prep.Job) int {
		x, planned := s.firstStart[jobKey{v.StockID, a.Code}]
		y, alsoPlanned := s.firstStart[jobKey{v.StockID, b.Code}]
		return cmp.Or(data.FalseFirst(!planned, !alsoPlanned), x.Start.Compare(y.Start))
	})
	return open
}

func (s *report) cardJob(v *night.Van, j prep.Job, n int, cautions *[]string) cardJob {
	c := cardJob{
		Number: fmt.Sprint(n), Code: j.Code, Title: j.Title, Places: data.Titles(j.Places), Skill: data.Title(j.Skill), Bay: j.Bay,
		Hours: hours(j.HoursLeft), Because: shortReasons(j.Because), Parts: s.partsOf(j), Who: j.Technician,
		Retake: retake(v, j), QR: qrOf(s.squareOf(v, j)),
	}
	if j.State != data.JobOpen && j.HoursSpent.IsPositive() {
		c.Because = data.Title(j.State) + ", " + hours(j.HoursSpent) + " spent. " + c.Because
	}
	if j.DryingHours > 0 {
		c.Drying = fmt.Sprintf("then %g hours to dry", j.DryingHours)
	}
	if b, ok := s.firstStart[jobKey{v.StockID, j.Code}]; ok {
		c.When = dayAs(data.DateOf(b.Start), "Mon 2 Jan") + " " + b.Start.Format("15:04")
		c.Who, c.Bay = b.Technician, cmp.Or(b.Bay, j.Bay)
	}
	if j.Caution != "" {
		i := slices.Index(*cautions, j.Caution)
		if i < 0 {
			i = len(*cautions)
			*cautions = append(*cautions, j.Caution)
		}
		c.Caution = fmt.Sprint(i + 1)
	}
	return c
}

// reasonsFit is how many characters of reasons a card has room for; one reason
// stands whole however long it is.
const reasonsFit = 150

// shortReasons writes the reasons that fit, and says where the others are.
func shortReasons(because []string) string {
	out := ""
	for i, b := range because {
		if i > 0 && len(out)+len(b) > reasonsFit {
			return out + "; " + count(len(because)-i, "more reason") + " on the van's page"
		}
		out = joined(out, b)
	}
	return out
}

// joined puts a semicolon between two texts.
func joined(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// retakeAtMost is how many readings a card asks for again; the van's page has the
// rest.
const retakeAtMost = 6

// toReadAgain lists the readings that a job is to change, to be read again after
// it: those whose findings ask for it, and for damp work those of its area.
func toReadAgain(v *night.Van, j prep.Job) []appraise.Finding {
	var out []appraise.Finding
	for _, f := range v.Assessment.Findings {
		asked := f.Job == j.Code && f.Verdict > data.Sound
		if f.Code == appraise.DampCheckpoint {
			asked = false
			for _, d := range v.Assessment.Damp {
				asked = asked || d.Remedy == j.Code && slices.Contains(d.Points, f.Position)
			}
		}
		if asked && f.Unit != "" && f.Value != "" {
			out = append(out, f)
		}
	}
	return out
}

// retake writes what is to be read again after a job, as far as a card has room.
func retake(v *night.Van, j prep.Job) []string {
	var out []string
	for _, f := range toReadAgain(v, j) {
		what := f.Title
		if f.Position != "" {
			what = data.Title(f.Position)
		}
		was := data.WithUnit(f.Value, f.Unit)
		if d, err := data.ParseDate(f.Value); err == nil && f.Unit == "date" {
			was = day(d)
		}
		out = append(out, fmt.Sprintf("%s (was %s)", what, was))
	}
	if n := len(out) - retakeAtMost; n > 0 {
		out = append(out[:retakeAtMost], fmt.Sprintf("and %d more, see the van's page", n))
	}
	return out
}
