package hedonic

import (
	"cmp"
	"iter"
	"math"
	"slices"
)

// A term is one group of columns whose coefficients share a prior variance:
// the levels of a factor, the slope of a numeric, the bends of a curve, or a
// product of these.
type term struct {
	factors []int // indexes of the factors whose joint level picks the column
	slopes  []int // indexes of the numerics that multiply the column
	curve   int   // index of the numeric whose bends these are, or -1
	missing int   // index of the numeric whose absence this marks, or -1
	knots   []float64
	joint   []map[[2]int32]int32 // joint[i] pairs the level so far with the code of factors[i+1]
	column  []int32              // joint level to column less first; noLevel where left to the levels above
	first   int                  // first column
	count   int                  // number of columns
}

// product says whether t multiplies features rather than standing for one.
func (t *term) product() bool { return len(t.factors)+len(t.slopes) > 1 }

// design lists the terms and gives a row its few non-zero columns. Column 0 is
// the intercept.
type design struct {
	terms   []term
	columns int
}

// sparse is a row of the design: ascending columns and their values. unseen
// lists the terms whose level the fit never saw, with the square of what would
// have multiplied it.
type sparse struct {
	cols   []int32
	vals   []float64
	unseen []unseen
}

type unseen struct {
	term   int
	square float64
}

func (s *sparse) add(col int, v float64) {
	s.cols = append(s.cols, int32(col))
	s.vals = append(s.vals, v)
}

// clone copies a row into no more room than it needs.
func (s *sparse) clone() sparse {
	return sparse{slices.Clone(s.cols), slices.Clone(s.vals), slices.Clone(s.unseen)}
}

func (s *sparse) reset() {
	s.cols, s.vals, s.unseen = s.cols[:0], s.vals[:0], s.unseen[:0]
}

// row fills s with the non-zero columns of e.
func (d *design) row(e encoded, s *sparse) {
	s.cols, s.vals, s.unseen = append(s.cols[:0], 0), append(s.vals[:0], 1), s.unseen[:0]
	for i := range d.terms {
		d.terms[i].columnsOf(i, e, s)
	}
}

func (t *term) columnsOf(index int, e encoded, s *sparse) {
	switch {
	case t.curve >= 0:
		if math.IsNaN(e.z[t.curve]) {
			return
		}
		for k, knot := range t.knots {
			if v := e.z[t.curve] - knot; v > 0 {
				s.add(t.first+k, v)
			}
		}
		return
	case t.missing >= 0:
		if math.IsNaN(e.z[t.missing]) {
			s.add(t.first, 1)
		}
		return
	}
	x := 1.0
	for _, j := range t.slopes {
		x *= e.z[j]
	}
	if x == 0 || math.IsNaN(x) { // an unknown numeric stands at its middle
		return
	}
	level := t.level(e)
	if level == noLevel {
		s.unseen = append(s.unseen, unseen{index, x * x})
		return
	}
	s.add(t.first+int(level), x)
}

// level is the joint level of e in t's factors: 0 where t has none.
func (t *term) level(e encoded) int32 {
	if len(t.factors) == 0 {
		return 0
	}
	level := e.codes[t.factors[0]]
	for i, m := range t.joint {
		if level == noLevel {
			return noLevel
		}
		next, ok := m[[2]int32{level, e.codes[t.factors[i+1]]}]
		if !ok || e.codes[t.factors[i+1]] == noLevel {
			return noLevel
		}
		level = next
	}
	if level == noLevel || int(level) >= len(t.column) {
		return noLevel
	}
	return t.column[level]
}

// learnLevels gives each joint level among the rows a column, in order of
// first sight. Beyond most levels those with the fewest rows get none.
func (t *term) learnLevels(rows iter.Seq[encoded], most int) {
	t.count, t.joint, t.column = 1, nil, nil
	if len(t.factors) == 0 {
		return
	}
	for i := 1; i < len(t.factors); i++ {
		t.joint = append(t.joint, map[[2]int32]int32{})
	}
	var seen []int // rows of each joint level
	for e := range rows {
		level := e.codes[t.factors[0]]
		for i, m := range t.joint {
			code := e.codes[t.factors[i+1]]
			if level == noLevel || code == noLevel {
				level = noLevel
				break
			}
			key := [2]int32{level, code}
			next, ok := m[key]
			if !ok {
				next = int32(len(m))
				m[key] = next
			}
			level = next
		}
		if level != noLevel {
			seen = append(seen, make([]int, max(0, int(level)+1-len(seen)))...)
			seen[level]++
		}
	}
	t.number(seen, most)
}

// number gives columns to the levels with the most rows.
func (t *term) number(seen []int, most int) {
	byRows := make([]int32, len(seen))
	for l := range byRows {
		byRows[l] = int32(l)
	}
	slices.SortStableFunc(byRows, func(a, b int32) int { return cmp.Compare(seen[b], seen[a]) })
	t.column = make([]int32, len(seen))
	t.count = 0
	for _, l := range byRows {
		t.column[l] = noLevel
		if t.count < most && seen[l] > 0 {
			t.column[l] = int32(t.count)
			t.count++
		}
	}
}

func plainTerm() term { return term{curve: -1, missing: -1} }

// Levels of one factor beyond which the rarest are left to the levels above
// them: for the factor with the most levels, and for each other. A table of n
// rows gives at most n/2 of them a column.
const (
	mostLevels  = 2000
	otherLevels = 400
	fewLevels   = 40
)

// learnDesign lists the terms of the features alone.
func learnDesign(enc *encoder, rows []fitted) *design {
	d := &design{columns: 1}
	for j, n := range enc.spec.Numerics {
		t := plainTerm()
		t.slopes, t.count = []int{j}, 1
		d.add(t)
		if slices.ContainsFunc(rows, func(r fitted) bool { return math.IsNaN(r.e.z[j]) }) {
			t := plainTerm()
			t.missing, t.count = j, 1
			d.add(t)
		}
		if !n.Curve {
			continue
		}
		if knots := curveKnots(rows, j); len(knots) > 0 {
			t := plainTerm()
			t.curve, t.knots, t.count = j, knots, len(knots)
			d.add(t)
		}
	}
	for f := range enc.factors() {
		if f >= len(enc.levels) && enc.factorLevels(f) < 3 {
			continue // two steps are a line already
		}
		t := plainTerm()
		t.factors = []int{f}
		d.add(t)
	}
	d.learnLevels(enc, encodedOf(rows), len(rows))
	return d
}

func (d *design) add(t term) {
	t.first = d.columns
	d.columns += t.count
	d.terms = append(d.terms, t)
}

// learnLevels gives the terms the levels that the n rows hold.
func (d *design) learnLevels(enc *encoder, rows iter.Seq[encoded], n int) {
	widest := -1
	for f := range enc.factors() {
		if widest < 0 || enc.factorLevels(f) > enc.factorLevels(widest) {
			widest = f
		}
	}
	d.columns = 1
	for i := range d.terms {
		t := &d.terms[i]
		if len(t.factors) > 0 {
			most := otherLevels
			if slices.Contains(t.factors, widest) {
				most = mostLevels
			}
			t.learnLevels(rows, min(most, max(fewLevels, n/2)))
		}
		t.first = d.columns
		d.columns += t.count
	}
}

func encodedOf(rows []fitted) iter.Seq[encoded] {
	return func(yield func(encoded) bool) {
		for _, r := range rows {
			if !yield(r.e) {
				return
			}
		}
	}
}

// maxKnots bounds the bends of a curve. Their heights are shrunk together, so
// a few more than needed do no harm.
const maxKnots = 8

// curveKnots places knots at evenly spaced quantiles of the known scores.
// With coefficients that share a normal prior, lines that start at the knots
// make a penalised spline: D. Ruppert, M. P. Wand and R. J. Carroll,
// Semiparametric Regression (2003), from memory.
func curveKnots(rows []fitted, j int) []float64 {
	var z []float64
	for _, r := range rows {
		if !math.IsNaN(r.e.z[j]) {
			z = append(z, r.e.z[j])
		}
	}
	slices.Sort(z)
	want := min(maxKnots, len(z)/6)
	var knots []float64
	for k := 1; k <= want; k++ {
		knots = append(knots, quantileSorted(z, float64(k)/float64(want+1)))
	}
	knots = slices.Compact(knots)
	return slices.DeleteFunc(knots, func(v float64) bool { return v >= z[len(z)-1] || v <= z[0] })
}

// keep returns the design and its components with only the terms that hold.
func (d *design) keep(c components, hold func(i int) bool) (*design, components) {
	out := &design{columns: 1}
	oc := components{noise: c.noise}
	for i, t := range d.terms {
		if hold(i) {
			t.first = out.columns
			out.columns += t.count
			out.terms = append(out.terms, t)
			oc.term = append(oc.term, c.term[i])
			oc.determined = append(oc.determined, c.determined[i])
		}
	}
	return out, oc
}
