package hedonic

import (
	"math"
	"slices"
)

// encoder turns rows into standard scores and level codes. It is learned once
// from the rows of a fit and never changes afterwards.
type encoder struct {
	spec   Spec
	scales []scale   // one for each numeric
	levels []levels  // one for each category
	steps  []stepped // numerics with few distinct values, used as factors too
}

// encoded is a row as the design sees it.
type encoded struct {
	z     []float64 // standard score of each numeric; NaN where unknown
	codes []int32   // level of each factor: the categories, then the stepped numerics; noLevel if unknown or unseen
}

const noLevel int32 = -1

// maxScore bounds standard scores: a mistyped numeric must not swing a line.
const maxScore = 8

// scale maps a numeric to a standard score.
type scale struct{ centre, spread float64 }

func (s scale) score(v float64) float64 {
	return max(-maxScore, min(maxScore, (v-s.centre)/s.spread))
}

// learnScale takes the median and the quartile range, which a few gross errors
// can't move, and falls back on the whole range where the quartiles agree.
func learnScale(sorted []float64) scale {
	if len(sorted) == 0 {
		return scale{0, 1}
	}
	centre := quantileSorted(sorted, 0.5)
	spread := (quantileSorted(sorted, 0.75) - quantileSorted(sorted, 0.25)) / 1.349
	if whole := sorted[len(sorted)-1] - sorted[0]; spread < 1e-3*whole {
		spread = whole / 2
	}
	if !(spread > 1e-12*(1+math.Abs(centre))) {
		spread = 1 + math.Abs(centre)
	}
	return scale{centre, spread}
}

// levels numbers the levels of one category in the order of first sight.
type levels struct {
	parent int // index of the parent category, or -1
	code   map[levelKey]int32
}

type levelKey struct {
	parent int32
	name   string
}

// stepped is a numeric that takes few values, such as a count of doors.
type stepped struct {
	numeric int
	values  []float64 // ascending
}

// maxSteps is the largest number of distinct values at which a numeric is also
// tried as a factor, and minStepRows the mean number of rows for each of them.
const (
	maxSteps    = 8
	minStepRows = 4
)

// learnEncoder takes scales and steps from the first rows that order lists, and
// the levels of the categories from all.
func learnEncoder(rows []Row, order []int32, spec Spec) *encoder {
	e := &encoder{spec: spec}
	for j := range spec.Numerics {
		var known []float64
		for _, at := range order[:min(len(order), sampleRows)] {
			if v := rows[at].Numerics[j]; !math.IsNaN(v) {
				known = append(known, v)
			}
		}
		slices.Sort(known)
		e.scales = append(e.scales, learnScale(known))
		distinct := slices.Compact(slices.Clone(known))
		if n := len(distinct); n >= 2 && n <= maxSteps && n*minStepRows <= len(known) {
			e.steps = append(e.steps, stepped{j, distinct})
		}
	}
	for _, c := range spec.Categories {
		parent := slices.IndexFunc(spec.Categories, func(p Category) bool { return c.Within != "" && p.Name == c.Within })
		e.levels = append(e.levels, levels{parent: parent, code: map[levelKey]int32{}})
	}
	codes := make([]int32, len(e.levels))
	for _, at := range order {
		for k := range e.levels {
			codes[k] = e.levels[k].learn(rows[at].Categories[k], codes)
		}
	}
	return e
}

func (l *levels) key(name string, codes []int32) levelKey {
	if l.parent < 0 {
		return levelKey{noLevel, name}
	}
	return levelKey{codes[l.parent], name}
}

func (l *levels) learn(name string, codes []int32) int32 {
	if name == "" {
		return noLevel
	}
	key := l.key(name, codes)
	c, ok := l.code[key]
	if !ok {
		c = int32(len(l.code))
		l.code[key] = c
	}
	return c
}

func (l *levels) find(name string, codes []int32) int32 {
	if c, ok := l.code[l.key(name, codes)]; ok && name != "" {
		return c
	}
	return noLevel
}

// factors is the number of level codes that an encoded row carries.
func (e *encoder) factors() int { return len(e.levels) + len(e.steps) }

// factorLevels is the number of levels of factor f.
func (e *encoder) factorLevels(f int) int {
	if f < len(e.levels) {
		return len(e.levels[f].code)
	}
	return len(e.steps[f-len(e.levels)].values)
}

func (e *encoder) newEncoded() encoded {
	return encoded{make([]float64, len(e.scales)), make([]int32, e.factors())}
}

// encode fills dst from r.
func (e *encoder) encode(r Row, dst encoded) {
	for j, v := range r.Numerics {
		dst.z[j] = v
		if !math.IsNaN(v) {
			dst.z[j] = e.scales[j].score(v)
		}
	}
	for k := range e.levels {
		dst.codes[k] = e.levels[k].find(r.Categories[k], dst.codes)
	}
	for s, st := range e.steps {
		code := noLevel
		if at, ok := slices.BinarySearch(st.values, r.Numerics[st.numeric]); ok {
			code = int32(at)
		}
		dst.codes[len(e.levels)+s] = code
	}
}

// quantileSorted interpolates linearly between the order statistics of an
// ascending slice; p is from 0 to 1.
func quantileSorted(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	low := int(at)
	if low+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[low] + (at-float64(low))*(sorted[low+1]-sorted[low])
}
