package synth

import (
	"strconv"

	"github.com/vanwright/vanwright/data"
)

// dampPoints are the points that a survey of a body reads, in the order of the
// walk.
func dampPoints(b data.Body) []string {
	switch b {
	case data.RisingRoof:
		return risingRoofPoints
	case data.PanelVan:
		return panelVanPoints
	case data.Overcab:
		return overcabPoints
	}
	return coachPoints
}

var (
	risingRoofPoints = []string{"nearside-window-low", "offside-window-low", "roof-front-high", "floor-door-low"}
	panelVanPoints   = []string{"nearside-window-low", "offside-window-low", "nearside-arch-low",
		"roof-rooflight-high", "rear-nearside-low", "rear-offside-low", "floor-washroom-low"}
	coachPoints = []string{"nearside-front-low", "nearside-window-low", "nearside-middle-low",
		"nearside-rear-low", "nearside-rear-high", "rear-nearside-low", "rear-nearside-high",
		"rear-offside-low", "offside-rear-high", "offside-rear-low", "offside-window-low",
		"offside-front-low", "roof-rooflight-high", "floor-washroom-low"}
	overcabPoints = append([]string{"overcab-nearside-low", "overcab-centre-low", "overcab-centre-high",
		"overcab-offside-low"}, coachPoints...)
)

// leak is a place where water gets in, the points it wets most first, and how
// often a van of 15 years and grade 3 has it.
type leak struct {
	risk   float64
	points []string
}

// leaks lists the ways in. The over-cab pod and the rear corners are the worst.
var leaks = []leak{
	{0.16, []string{"overcab-offside-low", "overcab-centre-low"}},
	{0.16, []string{"overcab-nearside-low", "overcab-centre-low"}},
	{0.08, []string{"overcab-centre-high"}},
	{0.12, []string{"rear-offside-low", "offside-rear-low", "offside-rear-high"}},
	{0.12, []string{"rear-nearside-low", "nearside-rear-low", "nearside-rear-high"}},
	{0.06, []string{"rear-nearside-high", "nearside-rear-high"}},
	{0.09, []string{"roof-rooflight-high"}},
	{0.06, []string{"nearside-window-low", "nearside-middle-low"}},
	{0.06, []string{"offside-window-low"}},
	{0.05, []string{"floor-washroom-low"}},
	{0.03, []string{"nearside-front-low"}},
	{0.03, []string{"nearside-arch-low", "floor-door-low"}},
	{0.04, []string{"roof-front-high"}},
}

// damp surveys the body with a meter: 9 to 14 percent where it is dry, and more
// round each leak.
func (e *examiner) damp() {
	if !e.looks(0.95) {
		return
	}
	points := dampPoints(e.van.Body)
	var wet [20]float64
	for _, l := range leaks {
		if !e.fails(l.risk) {
			continue
		}
		rise := mul(e.span(4, 13), exp(mul(0.3, e.normal())))
		for _, p := range l.points {
			for i, q := range points {
				if p == q {
					wet[i] = max(wet[i], rise)
				}
			}
			rise = mul(rise, e.span(0.35, 0.7))
		}
	}
	dry := 10 + mul(0.12, min(15, e.age)) + mul(0.6, e.normal())
	for i, p := range points {
		if e.looks(0.97) {
			percent := dry + wet[i] + mul(0.9, e.normal())
			e.measured("damp", p, strconv.Itoa(min(45, max(6, whole(percent)))), "percent")
		}
	}
}
