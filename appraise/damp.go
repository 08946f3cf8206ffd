package appraise

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// Labour jobs for damp, in the order of what they cost.
const (
	dampSecondReading = "damp-second-reading"
	dampDry           = "damp-dry"
	dampReseal        = "damp-reseal"
	dampLocalRepair   = "damp-local-repair"
	dampPanelRepair   = "damp-panel-repair"
	dampRefit         = "damp-refit"
)

// pointsPerUnit is how many high points make one unit of the labour book's damp
// jobs, which speak of an area: about a metre of wall. It is linear without a
// least size so that two areas which grow into one never get cheaper. Common
// practice, no source.
const pointsPerUnit = 2.0

// wideArea is how many points at the repair band or above turn a local repair
// into a panel. Common practice, no source.
const wideArea = 4

// risingBy is the rise in percentage points that is more than a meter's noise.
// Common practice, no source.
const risingBy = 1.0

// dampPoint is one place on the body with its latest percent.
type dampPoint struct {
	position string
	side     string
	place    string
	height   string
	percent  float64
	source   data.Source
	takenOn  data.Date
	rose     bool
	repeated bool // high on an earlier day too
	before   float64
	beforeOn data.Date
}

// dampPoints adds the damp readings, by position, to an empty slice.
func (in *inspection) dampPoints(out []dampPoint) []dampPoint {
	high := in.bands.High
	first, end := in.run(damp)
	out = slices.Grow(out, end-first)
	for _, p := range in.points[first:end] {
		x, ok := number(p.Reading)
		if !ok {
			continue
		}
		d := dampPoint{position: p.Position, percent: x, source: p.Source, takenOn: p.TakenOn}
		d.side, d.place, d.height = splitPoint(p.Position)
		for i := range p.older {
			r := &p.older[i]
			old, ok := number(r)
			if !ok || r.TakenOn == p.TakenOn {
				continue
			}
			if d.beforeOn == 0 {
				d.before, d.beforeOn = old, r.TakenOn
				d.rose = x-old >= risingBy
			}
			d.repeated = d.repeated || old >= high
		}
		out = append(out, d)
	}
	return out
}

// splitPoint takes SIDE-PLACE-HEIGHT apart. A place may have words of its own;
// the height is the last word.
func splitPoint(position string) (side, place, height string) {
	side, rest, _ := strings.Cut(position, "-")
	if i := strings.LastIndexByte(rest, '-'); i >= 0 {
		return side, rest[:i], rest[i+1:]
	}
	return side, rest, ""
}

// along orders the words of a position on their axis; a word that is no
// position on an axis, such as window, is next to all of them.
var along = map[string]int{
	"front": 0, "middle": 1, "rear": 2,
	"nearside": 0, "centre": 1, "offside": 2,
	"low": 0, "high": 2,
}

// neighbours reports whether two points of one side touch: at most one step
// apart in each direction.
func neighbours(a, b dampPoint) bool {
	return a.side == b.side && near(a.place, b.place) && near(a.height, b.height)
}

func near(a, b string) bool {
	x, okA := along[a]
	y, okB := along[b]
	return a == b || !okA || !okB || max(x-y, y-x) <= 1
}

// dampAreas groups the points that are not dry with their neighbours.
func (in *inspection) dampAreas() []DampArea {
	points := in.damp
	watch := in.bands.Watch
	seen := make([]bool, len(points))
	var areas []DampArea
	for i := range points {
		if seen[i] || points[i].percent < watch {
			continue
		}
		group := []dampPoint{points[i]}
		seen[i] = true
		for k := 0; k < len(group); k++ {
			for j := range points {
				if !seen[j] && points[j].percent >= watch && neighbours(group[k], points[j]) {
					seen[j] = true
					group = append(group, points[j])
				}
			}
		}
		areas = append(areas, in.dampArea(group, points))
	}
	slices.SortFunc(areas, func(a, b DampArea) int {
		return cmp.Or(cmp.Compare(a.Side, b.Side), slices.Compare(a.Points, b.Points))
	})
	nameAreas(areas)
	return areas
}

// dampArea chooses what one group of points needs.
func (in *inspection) dampArea(group, all []dampPoint) DampArea {
	bands := in.bands
	watch, high := bands.Watch, bands.High
	a := DampArea{Side: group[0].side}
	var highs, repairs int
	var repeated bool
	var rise string
	for _, p := range group {
		a.Points = append(a.Points, p.position)
		a.WorstPercent = max(a.WorstPercent, p.percent)
		if p.percent >= high {
			highs++
		}
		if p.percent >= bands.Repair {
			repairs++
		}
		repeated = repeated || p.repeated && p.percent >= high
		if p.rose {
			a.Rising = true
			rise = fmt.Sprintf("; rising: %s was %s on %s", p.position, percent(p.before), p.beforeOn)
		}
	}
	slices.Sort(a.Points)
	a.HighPoints = highs
	dry := 0
	for _, p := range all {
		if p.position != group[0].position && neighbours(p, group[0]) && p.percent < watch {
			dry++
		}
	}
	// One point of the group, high, with nothing but dry or unread places round
	// it: wait for a second reading before money is spent on it.
	a.Lone = len(group) == 1 && highs == 1 && !repeated
	worst := percent(a.WorstPercent)
	switch {
	case highs == 0:
		c, _ := in.books.Checkpoint(damp)
		a.Remedy = in.have(c.WornJob)
		a.Reason = fmt.Sprintf("worst %s is below %s: read it again and watch it at the next service", worst, percent(high))
	case a.Lone:
		a.Remedy = in.have(dampSecondReading)
		around := fmt.Sprintf("beside %d dry %s", dry, plural(dry, "neighbour", "neighbours"))
		if dry == 0 {
			around = "with no neighbour read"
		}
		a.Reason = fmt.Sprintf("a lone %s %s: read it and the places round it again before money is spent", worst, around)
	case a.WorstPercent >= bands.Structural:
		a.Remedy = in.have(dampPanelRepair, dampLocalRepair, dampReseal)
		a.Reason = fmt.Sprintf("worst %s is at or above %s: the structure is likely wet", worst, percent(bands.Structural))
	case repairs >= wideArea:
		a.Remedy = in.have(dampPanelRepair, dampLocalRepair, dampReseal)
		a.Reason = fmt.Sprintf("%d points are at or above %s: too wide for a local repair", repairs, percent(bands.Repair))
	case a.WorstPercent >= bands.Repair:
		a.Remedy = in.have(dampLocalRepair, dampReseal)
		a.Reason = fmt.Sprintf("worst %s is at or above %s: moisture has got in and needs a repair", worst, percent(bands.Repair))
	default:
		a.Remedy = in.have(dampReseal, dampDry)
		a.Reason = fmt.Sprintf("worst %s is at or above %s: dry and reseal", worst, percent(high))
	}
	a.Reason += rise
	return a
}

func percent(x float64) string { return quantity(x, "percent", 0) }

// nameAreas gives each area a place for its jobs: the words that all its points
// share, or its first point where another area would get the same name.
func nameAreas(areas []DampArea) {
	taken := map[string]int{}
	for i := range areas {
		areas[i].Place = sharedWords(areas[i].Points)
		taken[areas[i].Place]++
	}
	for i := range areas {
		if taken[areas[i].Place] > 1 {
			areas[i].Place = areas[i].Points[0]
		}
	}
}

func sharedWords(points []string) string {
	words := strings.Split(points[0], "-")
	for _, p := range points[1:] {
		other := strings.Split(p, "-")
		for i := range words {
			if i >= len(other) || other[i] != words[i] {
				words[i] = ""
			}
		}
	}
	words = slices.DeleteFunc(words, func(w string) bool { return w == "" })
	return strings.Join(words, "-")
}

// setDampJobs lets the findings of an area name the job chosen for it.
func (a *Assessment) setDampJobs() {
	for i, f := range a.Findings {
		if f.Code != damp {
			continue
		}
		for _, area := range a.Damp {
			if slices.Contains(area.Points, f.Position) {
				a.Findings[i].Job = area.Remedy
			}
		}
	}
}

// dampRequests asks for the jobs of every area: the remedy, and with it the drying,
// resealing and refitting that belong to it.
func (in *inspection) dampRequests(findings []Finding, areas []DampArea) []JobRequest {
	byPoint := map[string]Finding{}
	for _, f := range findings {
		if f.Code == damp {
			byPoint[f.Position] = f
		}
	}
	with := map[string][]string{
		dampReseal:      {dampDry},
		dampLocalRepair: {dampDry, dampReseal},
		dampPanelRepair: {dampDry, dampReseal, dampRefit},
	}
	book, _ := in.books.Checkpoint(damp)
	var out []JobRequest
	covered := map[string]bool{}
	for _, a := range areas {
		var on data.Date
		var source data.Source
		for _, p := range a.Points {
			f := byPoint[p]
			covered[p] = true
			on = max(on, f.TakenOn)
			if source == (data.Source{}) || cmp.Compare(f.Source.Line, source.Line) < 0 {
				source = f.Source
			}
		}
		if a.Remedy == "" {
			continue
		}
		units := 1.0
		if a.HighPoints > 0 && !a.Lone {
			units = float64(a.HighPoints) / pointsPerUnit
		}
		ground := fmt.Sprintf("damp at %s: %s", strings.Join(a.Points, ", "), a.Reason)
		for _, job := range append([]string{a.Remedy}, with[a.Remedy]...) {
			if in.have(job) != "" {
				out = append(out, JobRequest{Job: job, Place: a.Place, Units: units, Because: ground, AskedOn: on, Source: source})
			}
		}
		if edge := in.have(book.WornJob); edge != "" && edge != a.Remedy && a.HighPoints < len(a.Points) {
			out = append(out, JobRequest{Job: edge, Place: a.Place, Units: 1, AskedOn: on, Source: source,
				Because: fmt.Sprintf("damp at %s fades out in watched points: find its edge before work begins", a.Place)})
		}
	}
	// A point that an inspector condemned without a percent, or against a dry
	// one, is in no area; the book's own job answers it.
	for _, position := range slices.Sorted(maps.Keys(byPoint)) {
		f := byPoint[position]
		if !covered[position] && asks(f.Verdict) && f.Job != "" {
			out = append(out, JobRequest{Job: f.Job, Place: position, Units: 1 / pointsPerUnit, Because: because(f), AskedOn: f.TakenOn, Source: f.Source})
		}
	}
	return out
}
