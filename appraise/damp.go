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
	dampRecheck       = "damp-recheck"
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
		for i := range slices.Backward(p.older) {
			r := &p.older[i]
			old, ok := number(r)
			if !ok {
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
		return slices.Compare(a.Points, b.Points)
	})
	nameAreas(areas)
	return areas
}

// dampArea chooses what one group of points needs.
func (in *inspection) dampArea(group, all []dampPoint) DampArea {
	bands := in.bands
	watch, high := bands.Watch, bands.High
	var a DampArea
	var highs, repairs int
	var repeated bool
	var rise string
	for _, p := range group {
		a.Points = append(a.Points, p.position)
		if a.Worst == "" || p.percent > a.WorstPercent || p.percent == a.WorstPercent && p.position < a.Worst {
			a.Worst, a.WorstPercent = p.position, p.percent
		}
		if p.percent >= high {
			highs++
		}
		if p.percent >= bands.Repair {
			repairs++
		}
		repeated = repeated || p.repeated && p.percent >= high
		if p.rose {
			a.Rising = true
			rise = fmt.Sprintf("; rising: %s was %s on %s", data.Title(p.position), percent(p.before), p.beforeOn.Words())
		}
	}
	slices.Sort(a.Points)
	a.Sides = sidesOf(a.Points)
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
		a.Reason = fmt.Sprintf("highest reading %s, below %s: re-read and watch at the next service", worst, percent(high))
	case a.Lone:
		in.priceLone(&a, group[0], dry)
	case a.WorstPercent >= bands.Structural:
		a.Remedy = in.remedyAt(a.WorstPercent)
		a.Reason = fmt.Sprintf("highest reading %s, at or above %s: structure likely wet", worst, percent(bands.Structural))
	case repairs >= wideArea:
		a.Remedy = in.have(dampPanelRepair, dampLocalRepair, dampReseal)
		a.Reason = fmt.Sprintf("%d points at or above %s: too wide for a local repair", repairs, percent(bands.Repair))
	case a.WorstPercent >= bands.Repair:
		a.Remedy = in.remedyAt(a.WorstPercent)
		a.Reason = fmt.Sprintf("highest reading %s, at or above %s: water has got in and needs repair", worst, percent(bands.Repair))
	default:
		a.Remedy = in.remedyAt(a.WorstPercent)
		a.Reason = fmt.Sprintf("highest reading %s, at or above %s: dry out and reseal", worst, percent(high))
	}
	a.Reason += rise
	return a
}

// remedyAt returns the job that damp of one point needs by its band, and what it
// is for.
func (in *inspection) remedyAt(pct float64) string {
	switch in.bands.Of(pct) {
	case DampStructural:
		return in.have(dampPanelRepair, dampLocalRepair, dampReseal)
	case DampRepair:
		return in.have(dampLocalRepair, dampReseal)
	}
	return in.have(dampReseal, dampDry)
}

// loneChances are the chances that a lone high reading is a real leak and not a
// bad reading, by band: where leaks are likeliest, and elsewhere. Common
// practice, no source.
var loneChances = map[DampBand]struct{ likely, elsewhere float64 }{
	DampHigh:       {0.6, 0.4},
	DampRepair:     {0.8, 0.6},
	DampStructural: {0.95, 0.8},
}

// priceLone asks for a second reading of a lone point and its neighbours. Until
// then the point is priced at the work that it would need times the chance that
// it is real, in the bid, the margin and the plan alike.
func (in *inspection) priceLone(a *DampArea, p dampPoint, dry int) {
	a.Remedy = in.have(dampSecondReading)
	a.IfReal = in.remedyAt(p.percent)
	chances := loneChances[in.bands.Of(p.percent)]
	a.Chance = chances.elsewhere
	if likelyLeak(p) {
		a.Chance = chances.likely
	}
	a.Unread = in.unreadNeighbours(p)
	around := fmt.Sprintf("with %d dry %s beside it", dry, plural(dry, "point", "points"))
	if dry == 0 {
		around = "with no point beside it read"
	}
	read := "re-read it"
	switch {
	case len(a.Unread) > 0:
		read += ", and " + joined(titled(a.Unread))
	case !known(p):
		read += ", and the points around it"
	}
	a.Reason = fmt.Sprintf("a single reading of %s %s: %s, before spending money; until then allowed for as real in %.0f%% of cases",
		percent(p.percent), around, read, 100*a.Chance)
}

func percent(x float64) string { return quantity(x, "percent", 0) }

// nameAreas gives each area a place for its jobs: the words that all its points
// share, or its worst point where they share no more than a height or another area
// would get the same name.
func nameAreas(areas []DampArea) {
	taken := map[string]int{}
	for i := range areas {
		areas[i].Place = cmp.Or(sharedWords(areas[i].Points), areas[i].Worst)
		taken[areas[i].Place]++
	}
	for i := range areas {
		if taken[areas[i].Place] > 1 {
			areas[i].Place = areas[i].Worst
		}
	}
}

// sharedWords returns the words of the first point that all have, wherever they
// stand in them: rear-high of nearside-rear-high, rear-nearside-high and
// roof-rear-high. It is blank where that is only a height.
func sharedWords(points []string) string {
	words := strings.Split(points[0], "-")
	for _, p := range points[1:] {
		other := strings.Split(p, "-")
		words = slices.DeleteFunc(words, func(w string) bool {
			i := slices.Index(other, w)
			if i < 0 {
				return true
			}
			other = slices.Delete(other, i, i+1)
			return false
		})
	}
	if !slices.ContainsFunc(words, func(w string) bool { return w != "low" && w != "middle" && w != "high" }) {
		return ""
	}
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

// dampRequests asks for the jobs of every area: the remedy, and with it the
// resealing, drying, measuring again and refitting that belong to it.
func (in *inspection) dampRequests(findings []Finding, areas []DampArea) []JobRequest {
	byPoint := map[string]Finding{}
	for _, f := range findings {
		if f.Code == damp {
			byPoint[f.Position] = f
		}
	}
	with := map[string][]string{
		dampReseal:      {dampDry, dampRecheck},
		dampLocalRepair: {dampDry, dampRecheck, dampReseal},
		dampPanelRepair: {dampDry, dampRecheck, dampReseal, dampRefit},
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
		ground := fmt.Sprintf("damp at %s: %s", data.Titles(a.Points), a.Reason)
		ask := func(units float64, jobs ...string) {
			for _, job := range jobs {
				if in.have(job) != "" {
					out = append(out, JobRequest{Job: job, Place: a.Place, Units: units, Because: ground, AskedOn: on, Source: source})
				}
			}
		}
		units := 1.0
		switch {
		case a.Lone:
			real := a.Chance / pointsPerUnit
			ask(real, a.IfReal)
			ask(real, with[a.IfReal]...)
		case a.HighPoints > 0:
			units = float64(a.HighPoints) / pointsPerUnit
		}
		ask(units, a.Remedy)
		ask(units, with[a.Remedy]...)
		if edge := in.have(book.WornJob); edge != "" && edge != a.Remedy && a.HighPoints < len(a.Points) {
			out = append(out, JobRequest{Job: edge, Place: a.Place, Units: 1, AskedOn: on, Source: source,
				Because: fmt.Sprintf("damp at %s fades into points to watch: find its edge before work begins", data.Title(a.Place))})
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
