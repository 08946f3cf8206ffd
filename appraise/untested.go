package appraise

import (
	"cmp"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// The ages between which the book's chances of a hidden defect are
// interpolated, in a straight line; outside them the nearer figure holds.
const (
	riskNewYears = 2.0
	riskOldYears = 15.0
)

// chanceAt returns the chance, 0 to 1, that an untested point hides a defect.
func chanceAt(c *data.Checkpoint, age float64) float64 {
	t := min(max((age-riskNewYears)/(riskOldYears-riskNewYears), 0), 1)
	return (c.RiskNewPct + t*(c.RiskOldPct-c.RiskNewPct)) / 100
}

// applies reports whether a point is on this van: always where the book names
// no equipment, else where the van has any of it or is of that body.
func applies(c *data.Checkpoint, van *data.Van) bool {
	if len(c.Fitted) == 0 {
		return true
	}
	return slices.ContainsFunc(c.Fitted, func(word string) bool {
		return van.Has(word) || string(van.Body) == word
	})
}

// untested lists every point of the book that applies to the van and was not
// read, in the order of the book, with the chance that it hides a defect. A point that was read at some
// of its places carries the share that is left: wheels count one by one, damp
// by the sides of the body.
func (in *inspection) untested(findings []Finding) []Untested {
	read := make(map[string][]string, len(findings)) // checkpoint: positions read
	for i := range findings {
		if f := &findings[i]; f.Verdict > data.Untested {
			read[f.Code] = append(read[f.Code], f.Position)
		}
	}
	age := in.van.AgeYears(in.asOf)
	out := make([]Untested, 0, len(in.books.Checkpoints))
	for i := range in.books.Checkpoints {
		c := &in.books.Checkpoints[i]
		if !applies(c, &in.van) || in.answered(c.Code, read) {
			continue
		}
		places, left := in.unread(c, read[c.Code])
		if left == 0 {
			continue
		}
		u := Untested{
			Checkpoint: c.Code, Title: c.Title, System: c.System, Places: places,
			Chance: chanceAt(c, age) * left,
			Job:    in.have(c.RiskJob, c.Job),
		}
		out = append(out, u)
	}
	return out
}

// answered reports whether another fact makes a point needless: the keys are
// counted in vans.csv, and a van has a spare wheel or a repair kit, not both.
func (in *inspection) answered(code string, read map[string][]string) bool {
	switch code {
	case keysCount:
		return in.van.Keys.Known
	case tyreRepairKit:
		return len(read[spareWheel]) > 0 || slices.Contains(read[tyreTread], spare)
	case spareWheel:
		return len(read[tyreRepairKit]) > 0
	}
	return false
}

// UntestedSystem is a system with points that were not tested.
type UntestedSystem struct {
	System string
	Points []Untested // that may hide something, the likeliest to do so first
	Chance float64    // of the points together: how many hidden defects are to be expected
}

// UntestedBySystem gathers the points that may hide a defect by system, the
// system in which most are to be expected first. Points whose chance is nothing,
// and that no system has, are left out.
func UntestedBySystem(points []Untested) []UntestedSystem {
	var out []UntestedSystem
	var counts []int
	systemOf := make([]int, len(points))
	for k := range points {
		u := &points[k]
		systemOf[k] = -1
		if u.Chance <= 0 || u.System == "" {
			continue
		}
		i := slices.IndexFunc(out, func(s UntestedSystem) bool { return s.System == u.System })
		if i < 0 {
			i = len(out)
			out, counts = append(out, UntestedSystem{System: u.System}), append(counts, 0)
		}
		systemOf[k] = i
		counts[i]++
		out[i].Chance += u.Chance
	}
	room := make([]Untested, len(points))
	for i, n := range counts {
		out[i].Points, room = room[:0:n], room[n:]
	}
	for k, i := range systemOf {
		if i >= 0 {
			out[i].Points = append(out[i].Points, points[k])
		}
	}
	for i := range out {
		slices.SortStableFunc(out[i].Points, func(a, b Untested) int {
			return cmp.Or(cmp.Compare(b.Chance, a.Chance), cmp.Compare(a.Checkpoint, b.Checkpoint))
		})
	}
	slices.SortFunc(out, func(a, b UntestedSystem) int {
		return cmp.Or(cmp.Compare(b.Chance, a.Chance), cmp.Compare(a.System, b.System))
	})
	return out
}

// unread returns the places of a checkpoint that were not read and their share
// of all its places on this van; no places and 1 where none was.
func (in *inspection) unread(c *data.Checkpoint, read []string) (places []string, share float64) {
	if len(read) == 0 {
		return nil, 1
	}
	all := in.expected(c)
	if len(all) == 0 {
		return nil, 0
	}
	for _, want := range all {
		if !slices.ContainsFunc(read, func(r string) bool { return r == want || placeGroup(c, r) == want }) {
			places = append(places, want)
		}
	}
	return places, float64(len(places)) / float64(len(all))
}

// expected returns the places at which a van of this kind should be read.
// No inspector reads every damp point of the book, so damp counts by side; twin wheels
// count only on an axle that has them, the spare never.
func (in *inspection) expected(c *data.Checkpoint) []string {
	var all []string
	for _, position := range c.Positions {
		if axle, _, twin, ok := wheel(position); ok && twin != in.hasTwins(axle) {
			continue
		}
		group := placeGroup(c, position)
		if group == spare || !in.hasSide(group) {
			continue
		}
		if !slices.Contains(all, group) {
			all = append(all, group)
		}
	}
	slices.Sort(all)
	return all
}

func placeGroup(c *data.Checkpoint, position string) string {
	if c.Code != damp {
		return position
	}
	side, _, _ := strings.Cut(position, "-")
	return side
}
