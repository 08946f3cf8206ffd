package hedonic

import (
	"slices"
)

// A term is one group of columns whose coefficients share a prior variance:
// the levels of a factor, the slope of a numeric, the bends of a curve, or a
// product of these.
type term struct {
	main bool

	factors []int // indexes of the factors whose joint level picks the column
	slopes  []int // indexes of the numerics that multiply the column
	curve   int   // index of the numeric whose bends these are, or -1
	missing int   // index of the numeric whose absence this marks, or -1
	knots   []float64
	joint   []map[[2]int32]int32 // joint[i] pairs the level so far with the code of factors[i+1]
	first   int                  // first column
	count   int                  // number of columns
}

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
		if !e.known[t.curve] {
			return
		}
		for k, knot := range t.knots {
			if v := e.z[t.curve] - knot; v > 0 {
				s.add(t.first+k, v)
			}
		}
		return
	case t.missing >= 0:
		if !e.known[t.missing] {
			s.add(t.first, 1)
		}
		return
	}
	x := 1.0
	for _, j := range t.slopes {
		x *= e.z[j]
	}
	if x == 0 {
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
	return level
}

// learnLevels gives each joint level among the rows a column, in order of
// first sight.
func (t *term) learnLevels(enc *encoder, rows []encoded) {
	t.count = 1
	if len(t.factors) == 0 {
		return
	}
	t.count = enc.factorLevels(t.factors[0])
	for i := 1; i < len(t.factors); i++ {
		t.joint = append(t.joint, map[[2]int32]int32{})
	}
	for _, e := range rows {
		level := e.codes[t.factors[0]]
		for i, m := range t.joint {
			code := e.codes[t.factors[i+1]]
			if level == noLevel || code == noLevel {
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
	}
	if n := len(t.joint); n > 0 {
		t.count = len(t.joint[n-1])
	}
}

func plainTerm() term { return term{curve: -1, missing: -1} }

// learnDesign lists the terms that the features allow and the rows fill.
func learnDesign(enc *encoder, rows []encoded) *design {
	d := &design{columns: 1}
	add := func(t term) {
		t.main = true
		if t.count == 0 {
			t.learnLevels(enc, rows)
		}
		t.first = d.columns
		d.columns += t.count
		d.terms = append(d.terms, t)
	}
	for j, n := range enc.spec.Numerics {
		t := plainTerm()
		t.slopes = []int{j}
		add(t)
		if slices.ContainsFunc(rows, func(e encoded) bool { return !e.known[j] }) {
			t := plainTerm()
			t.missing, t.count = j, 1
			add(t)
		}
		if !n.Curve {
			continue
		}
		if knots := curveKnots(rows, j); len(knots) > 0 {
			t := plainTerm()
			t.curve, t.knots, t.count = j, knots, len(knots)
			add(t)
		}
	}
	for f := range enc.factors() {
		if enc.factorLevels(f) == 0 || f >= len(enc.levels) && enc.factorLevels(f) < 3 {
			continue
		}
		t := plainTerm()
		t.factors = []int{f}
		add(t)
	}
	return d
}

// maxKnots bounds the bends of a curve. Their heights are shrunk together, so
// a few more than needed do no harm.
const maxKnots = 10

// curveKnots places knots at evenly spaced quantiles of the known scores.
// With coefficients that share a normal prior, lines that start at the knots
// make a penalised spline: D. Ruppert, M. P. Wand and R. J. Carroll,
// Semiparametric Regression (2003), from memory.
func curveKnots(rows []encoded, j int) []float64 {
	var z []float64
	for _, e := range rows {
		if e.known[j] {
			z = append(z, e.z[j])
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
