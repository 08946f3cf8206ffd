package prep

import (
	"math"
	"slices"
	"sort"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

// gridStep is the width in pounds of the cells in which a cost's distribution
// is held, and mostCells how many there may be; what would lie beyond is put
// into the last.
const (
	gridStep  = 20.0
	mostCells = 1500
)

// Spread is the distribution of a cost: the chances of floor, floor + gridStep
// and so on, each spread evenly over its cell.
type Spread struct {
	floor float64   // pounds, the middle of the first cell
	below []float64 // chance of a cost in the cells up to and with this one
}

// certain reports whether the cost is one figure.
func (s Spread) certain() bool { return len(s.below) == 1 }

// Quantile returns the pounds that are not exceeded with chance p.
func (s Spread) Quantile(p float64) float64 {
	if s.certain() {
		return s.floor
	}
	k := sort.Search(len(s.below)-1, func(k int) bool { return s.below[k] >= p })
	under := 0.0
	if k > 0 {
		under = s.below[k-1]
	}
	share := 0.5
	if mass := s.below[k] - under; mass > 0 {
		share = (p - under) / mass
	}
	return s.floor + (float64(k)-0.5+share)*gridStep
}

// ChanceWithin returns the chance that the cost is no more than pounds.
func (s Spread) ChanceWithin(pounds float64) float64 {
	if s.certain() {
		if pounds >= s.floor {
			return 1
		}
		return 0
	}
	at := (pounds-s.floor)/gridStep + 0.5
	if at <= 0 {
		return 0
	}
	k := int(at)
	if k >= len(s.below) {
		return 1
	}
	under := 0.0
	if k > 0 {
		under = s.below[k-1]
	}
	return under + (at-float64(k))*(s.below[k]-under)
}

// masses are the chances of the cells.
func (s Spread) masses() masses {
	m := make(masses, len(s.below))
	under := 0.0
	for k, upTo := range s.below {
		m[k] = upTo - under
		under = upTo
	}
	return m
}

// with is the cost with an independent defect more.
func (s Spread) with(chance, pounds float64) Spread {
	if chance <= 0 {
		return s
	}
	return s.masses().add(chance, pounds).spread(s.floor)
}

// without is the cost without a defect that add put into it: the same sum undone
// cell by cell, from below. It is not ok where the defect is likelier than not,
// as errors would grow from cell to cell. Where the defect was correlated with
// others, it is taken out as if it had not been.
func (s Spread) without(chance, pounds float64) (rest Spread, ok bool) {
	if chance >= 0.5 {
		return Spread{}, false
	}
	m := s.masses()
	at := pounds / gridStep
	low := int(at)
	high := at - float64(low)
	for k := range m {
		stays := 1 - chance
		if low == 0 {
			stays += chance * (1 - high)
		} else if k >= low {
			m[k] -= chance * (1 - high) * m[k-low]
		}
		if k > low {
			m[k] -= chance * high * m[k-low-1]
		}
		m[k] = max(m[k]/stays, 0)
	}
	return m.trim().spread(s.floor), true
}

// masses are the chances of 0, 1, 2, … cells.
type masses []float64

// spread turns masses above a floor into a Spread.
func (m masses) spread(floor float64) Spread {
	s := Spread{floor: floor, below: make([]float64, len(m))}
	sum := 0.0
	for i, v := range m {
		sum += v
		s.below[i] = sum
	}
	for i := range s.below {
		s.below[i] /= sum
	}
	return s
}

// gammaMasses is a gamma distribution of a mean and standard deviation in
// pounds, cell by cell.
func gammaMasses(mean, sd float64) masses {
	shape := (mean / sd) * (mean / sd)
	g := distuv.Gamma{Alpha: shape, Beta: mean / (sd * sd)}
	cells := min(int((mean+6*sd)/gridStep)+2, mostCells)
	m := make(masses, cells)
	under := 0.0
	for k := range m {
		upTo := g.CDF((float64(k) + 0.5) * gridStep)
		m[k] = upTo - under
		under = upTo
	}
	m[cells-1] += 1 - under
	return m.trim()
}

// defect is something that costs pounds with a chance, or nothing.
type defect struct{ chance, pounds float64 }

// add puts an independent defect on top of m in place, in the room behind m where
// that suffices: a share of each cell's chance moves up by the defect's cost. A
// cost between two cells goes to both.
func (m masses) add(chance, pounds float64) masses {
	at := pounds / gridStep
	low := int(at)
	high := at - float64(low)
	cells := max(len(m), min(len(m)+low+1, mostCells))
	m = slices.Grow(m, cells-len(m))
	clear(m[len(m):cells])
	m = m[:cells]
	last := len(m) - 1
	for k := last; k >= 0; k-- {
		moved := m[k] * chance
		if moved == 0 {
			continue
		}
		m[k] -= moved
		m[min(k+low, last)] += moved * (1 - high)
		m[min(k+low+1, last)] += moved * high
	}
	return m.trim()
}

// trim drops cells at the end that can't matter.
func (m masses) trim() masses {
	const nothing = 1e-9
	for len(m) > 1 && m[len(m)-1] < nothing {
		m[len(m)-2] += m[len(m)-1]
		m = m[:len(m)-1]
	}
	return m
}

// blank returns n cells without a chance, in m's place where that suffices.
func (m masses) blank(n int) masses {
	m = slices.Grow(m[:0], n)[:n]
	clear(m)
	return m
}

// plus is the sum of two independent costs, laid out in room.
func (m masses) plus(other, room masses) masses {
	sum := room.blank(min(len(m)+len(other)-1, mostCells))
	last := len(sum) - 1
	for i, a := range m {
		if a == 0 {
			continue
		}
		within := min(len(other), len(sum)-i)
		floats.AddScaled(sum[i:i+within], a, other[:within])
		for _, b := range other[within:] {
			sum[last] += a * b
		}
	}
	return sum.trim()
}

// workings are what costs are added up in, one van after another.
type workings struct{ sum, next, one, all masses }

var workingsOf = sync.Pool{New: func() any { return new(workings) }}

// add puts an independent cost on top of the sum so far. The cost may lie in w.
func (w *workings) add(cost masses) {
	w.next = w.sum.plus(cost, w.next)
	w.sum, w.next = w.next, w.sum
}

// neglect are the nodes and weights of a five-point Gauss-Hermite rule for a
// standard normal: how well or badly one system of a van was kept. Abramowitz
// and Stegun table 25.10, from memory; checked in the tests by its moments.
var neglect = [...]struct{ at, weight float64 }{
	{-2.8569700138728056, 0.011257411327720689},
	{-1.3556261799742659, 0.22207592200561264},
	{0, 0.53333333333333333},
	{1.3556261799742659, 0.22207592200561264},
	{2.8569700138728056, 0.011257411327720689},
}

// hidden is the cost of the defects that one system may hide: independent given
// how the system was kept, and so correlated over all vans. The chance of a
// defect given a state z of the system is that of a normal variable with
// correlation ρ to it: Φ((Φ⁻¹(q) + √ρ z) / √(1−ρ)), the one-factor model. It is
// laid out in w.
func (w *workings) hidden(defects []defect, correlation float64) masses {
	z := make([]float64, len(defects))
	for i, d := range defects {
		z[i] = distuv.UnitNormal.Quantile(d.chance) / math.Sqrt(1-correlation)
	}
	pull := math.Sqrt(correlation / (1 - correlation))
	all := w.all[:0]
	for _, node := range neglect {
		m := append(w.one[:0], 1)
		for i, d := range defects {
			m = m.add(distuv.UnitNormal.CDF(z[i]+pull*node.at), d.pounds)
		}
		for len(all) < len(m) {
			all = append(all, 0)
		}
		for k, v := range m {
			all[k] += node.weight * v
		}
		w.one = m
	}
	w.all = all
	return all
}
