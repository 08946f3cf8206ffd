package pages

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

type handoverPage struct {
	Frame
	ID, Name, Reg, VIN, Mileage string
	Season                      string
	Back                        link
	Walk                        []walkPart
	Papers                      []paperLine
	ToFollow                    []string
	Keys                        []string
	Steps                       string
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

type paperLine struct{ What, Dated, Ends, Evidence, From string }

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

func (s *site) handover(v *night.Van) handoverPage {
	p := handoverPage{
		Frame: s.frame("Handover of "+v.StockID, "../", ""), ID: v.StockID, Name: nameOf(v.Van), Reg: v.Reg, VIN: v.VIN,
		Mileage: number(v.Mileage) + " miles", Season: seasonOf(s.AsOf), Back: s.vanLink("../", v.StockID),
	}
	var steps []*data.HandoverStep
	for i := range s.Yard.Books.Handover {
		if h := &s.Yard.Books.Handover[i]; shown(h, v.Van, p.Season) {
			steps = append(steps, h)
		}
	}
	slices.SortStableFunc(steps, func(a, b *data.HandoverStep) int { return cmp.Compare(a.Order, b.Order) })
	for i, h := range steps {
		name := walkPlace(h)
		if len(p.Walk) == 0 || p.Walk[len(p.Walk)-1].Name != name {
			p.Walk = append(p.Walk, walkPart{Name: name})
		}
		part := &p.Walk[len(p.Walk)-1]
		part.Steps = append(part.Steps, walkStep{h, i + 1})
	}
	p.Steps = count(len(steps), "step")
	for _, d := range slices.SortedStableFunc(slices.Values(s.Yard.Documents[v.StockID]), comparePapers) {
		what := data.Heading(d.Kind)
		if len(d.Covers) > 0 {
			what += ": " + data.Titles(d.Covers)
		}
		switch d.Held {
		case "yes":
			line := paperLine{What: what, Evidence: d.Evidence, From: d.Source.String()}
			if !d.Dated.IsZero() {
				line.Dated = day(d.Dated)
			}
			if !d.Expires.IsZero() {
				line.Ends = day(d.Expires)
			}
			p.Papers = append(p.Papers, line)
		case "promised":
			p.ToFollow = append(p.ToFollow, what)
		}
	}
	if v.Keys.Known {
		for i := range min(v.Keys.Value, 20) {
			p.Keys = append(p.Keys, fmt.Sprintf("Key %d of %d", i+1, v.Keys.Value))
		}
	}
	return p
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
