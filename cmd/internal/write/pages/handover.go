package pages

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// handoverPage is what is gone through, ticked and signed when a van is handed over.
type handoverPage struct {
	layout
	ID, Name, Reg, VIN, Mileage string
	Season                      string
	Back, Booklet               link
	Stops                       []string // what forbids the handover
	Refused                     bool     // in any case: the page says why, and is no pack
	Faults                      []offerZone
	Mended, Told                []string
	Figures                     []fact
	Walk                        []walkPart
	Papers                      []paperLine
	ToFollow, Missing, History  []string
	Keys                        []string
	Steps                       string
}

// bookletPage is every step for what is fitted, for the new owner to keep.
type bookletPage struct {
	layout
	Season string
	Walk   []walkPart
}

// walkPart is the steps that are shown in one place.
type walkPart struct {
	Name  string
	Steps []walkStep
}

type walkStep struct {
	*data.HandoverStep
	Number int
}

type paperLine struct{ What, Dated, Ends, Evidence string }

// seasonOf is the season of a handover: the book's summer steps are for April
// to September, its winter steps for October to March.
func seasonOf(d data.Date) string {
	if m := d.Month(); m >= time.April && m <= time.September {
		return "summer"
	}
	return "winter"
}

// placeNames are the parts of the walk in plain words; a book's own zones are
// shown as they are spelt.
var placeNames = map[string]string{
	"outside-front": "Outside: front", "outside-offside": "Outside: offside", "outside-rear": "Outside: rear",
	"outside-nearside": "Outside: nearside", "cab": "In the cab", "inside-power": "Inside: power",
	"inside-kitchen": "Inside: kitchen and water", "inside-heating": "Inside: heating and hot water",
	"inside-washroom": "Inside: washroom", "inside-living": "Inside: living room", "inside-sleeping": "Inside: beds",
	"inside-safety": "Inside: safety", "inside-winter": "Before you lock up", "papers": "Papers and keys",
}

func (s *report) handover(v *night.Van) handoverPage {
	p := handoverPage{
		layout: s.layout("Handover "+v.StockID+" "+v.Reg, "../", ""), ID: v.StockID, Name: nameOf(v.Van), Reg: v.Reg, VIN: v.VIN,
		Mileage: number(v.Mileage) + " miles", Season: seasonOf(s.AsOf), Back: s.vanLink("../", v.StockID),
		Booklet: link{"Booklet for the new owner", "../" + s.bookletFile[v.StockID]},
		Stops:   pricing.StopsHandover(&v.Assessment, v.Jobs, s.AsOf),
	}
	p.Kind = "pack"
	p.showPhotos(v, forCustomers)
	p.Refused, p.Faults = refused(v), standing(v)
	p.Mended, p.Told, p.Figures = mended(v), disclosures(v), ownFigures(v)
	steps := s.steps(v.Van, p.Season)
	essential := slices.DeleteFunc(slices.Clone(steps), func(h *data.HandoverStep) bool { return !h.Essential })
	if len(essential) == 0 {
		essential = steps
	}
	p.Walk, p.Steps = walkOf(essential), count(len(essential), "step")
	s.packPapers(v, &p)
	if v.Keys.Known {
		for i := range min(v.Keys.Value, 20) {
			p.Keys = append(p.Keys, fmt.Sprintf("Key %d of %d", i+1, v.Keys.Value))
		}
	}
	return p
}

func (s *report) booklet(b booklet) bookletPage {
	return bookletPage{layout: s.layout("Booklet", "../", "").bare(), Season: seasonOf(s.AsOf), Walk: walkOf(b.steps)}
}

// booklet is the steps for vans that have the same fitted.
type booklet struct {
	file  string
	steps []*data.HandoverStep
}

// nameBooklets gives each van in hand the booklet for what is fitted to it; vans
// that have the same fitted share one.
func (s *report) nameBooklets(taken names) {
	files := map[string]string{}
	for i := range s.Vans {
		v := &s.Vans[i]
		if !v.Status.InHand() || !s.hasPage(v.StockID) {
			continue
		}
		steps := s.steps(v.Van, seasonOf(s.AsOf))
		var key strings.Builder
		for _, h := range steps {
			key.WriteString(h.Equipment + "/" + h.Step + " ")
		}
		file, ok := files[key.String()]
		if !ok {
			file = "vans/" + taken.pick(fmt.Sprintf("booklet-%d", len(files)+1), "") + ".html"
			files[key.String()] = file
			s.booklets = append(s.booklets, booklet{file, steps})
		}
		s.bookletFile[v.StockID] = file
	}
}

// steps lists the handover steps for what is fitted to a van at a season, in the
// order of the walk.
func (s *report) steps(v data.Van, season string) []*data.HandoverStep {
	var steps []*data.HandoverStep
	for i := range s.Yard.Books.Handover {
		if h := &s.Yard.Books.Handover[i]; shown(h, v, season) {
			steps = append(steps, h)
		}
	}
	slices.SortStableFunc(steps, func(a, b *data.HandoverStep) int { return cmp.Compare(a.Order, b.Order) })
	return steps
}

// walkOf parts steps by where they are shown, and numbers them.
func walkOf(steps []*data.HandoverStep) []walkPart {
	var out []walkPart
	for i, h := range steps {
		name := walkPlace(h)
		if len(out) == 0 || out[len(out)-1].Name != name {
			out = append(out, walkPart{Name: name})
		}
		part := &out[len(out)-1]
		part.Steps = append(part.Steps, walkStep{h, i + 1})
	}
	return out
}

// walkPlace names the part of the walk in which a step is shown.
func walkPlace(h *data.HandoverStep) string {
	return cmp.Or(placeNames[h.Zone], data.Heading(h.Zone))
}

// comparePapers puts papers in the order of their kinds, the oldest of a kind
// first. The order in which somebody typed them in means nothing to a customer.
func comparePapers(a, b data.Document) int {
	return cmp.Or(
		cmp.Compare(slices.Index(data.DocumentKinds, a.Kind), slices.Index(data.DocumentKinds, b.Kind)),
		cmp.Compare(a.Dated, b.Dated),
		slices.Compare(a.Covers, b.Covers),
		cmp.Compare(a.Evidence, b.Evidence),
		cmp.Compare(a.Expires, b.Expires),
	)
}

// shown reports whether a step is for this van at this season: its equipment
// is fitted, or is the body's own, and its season is now.
func shown(h *data.HandoverStep, v data.Van, season string) bool {
	fitted := h.Equipment == "" || v.Has(h.Equipment) || h.Equipment == string(v.Body)
	return fitted && (h.Season == "" || h.Season == season)
}
