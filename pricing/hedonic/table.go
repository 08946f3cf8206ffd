package hedonic

import (
	"cmp"
	"math"
	"slices"
)

// table holds the rows of a fit, encoded, in an order that depends on what the
// rows hold and not on how they came. It takes some hundred bytes a row.
type table struct {
	enc    *encoder
	index  []int32   // of each row in the rows given to Fit
	z      []float64 // standard scores, row by row
	codes  []int32   // factor levels, row by row
	y      []float64 // log target less centre
	base   []float64 // weight as given
	weight []float64 // weight after doubt about gross errors
}

// fitted is one row of a fit.
type fitted struct {
	e            encoded
	y            float64
	base, weight float64
}

// say is how much r counts among the rows that intervals are learned from:
// weak evidence and doubted prices count for less, and none for more than one.
func (r fitted) say() float64 { return r.weight / max(r.base, 1) }

func (t *table) len() int { return len(t.y) }

func (t *table) encoded(i int) encoded {
	nz, nc := len(t.enc.scales), t.enc.factors()
	return encoded{t.z[i*nz : (i+1)*nz], t.codes[i*nc : (i+1)*nc]}
}

func (t *table) row(i int) fitted {
	return fitted{t.encoded(i), t.y[i], t.base[i], t.weight[i]}
}

// head is the first n rows: by the order of the table a fair sample.
func (t *table) head(n int) []fitted {
	out := make([]fitted, n)
	for i := range out {
		out[i] = t.row(i)
	}
	return out
}

// newTable encodes the rows that order lists, and returns the median log price
// that it takes off.
func newTable(enc *encoder, rows []Row, order []int32) (*table, float64) {
	n := len(order)
	t := &table{
		enc: enc, index: order,
		z: make([]float64, n*len(enc.scales)), codes: make([]int32, n*enc.factors()),
		y: make([]float64, n), base: make([]float64, n), weight: make([]float64, n),
	}
	for i, at := range order {
		r := rows[at]
		enc.encode(r, t.encoded(i))
		t.y[i], t.base[i], t.weight[i] = math.Log(r.Target), r.Weight, r.Weight
	}
	centre := median(t.y)
	for i := range t.y {
		t.y[i] -= centre
	}
	return t, centre
}

// canonicalOrder lists the rows of weight above zero by a hash of what they
// hold. Equal tables in any order then give equal fits, and any stretch of the
// list is a sample drawn without regard to how the table was sorted.
func canonicalOrder(rows []Row) []int32 {
	type hashed struct {
		hash  uint64
		index int32
	}
	var all []hashed
	for i, r := range rows {
		if r.Weight > 0 {
			all = append(all, hashed{hashRow(r), int32(i)})
		}
	}
	slices.SortFunc(all, func(a, b hashed) int {
		return cmp.Or(cmp.Compare(a.hash, b.hash), cmp.Compare(a.index, b.index))
	})
	order := make([]int32, len(all))
	for i, h := range all {
		order[i] = h.index
	}
	return order
}

// hashRow is FNV-1a with a last stir, since near rows must not stay near.
func hashRow(r Row) uint64 {
	h := uint64(14695981039346656037)
	byte64 := func(b byte) { h = (h ^ uint64(b)) * 1099511628211 }
	number := func(v float64) {
		bits := math.Float64bits(v)
		if math.IsNaN(v) {
			bits = math.MaxUint64
		}
		for range 8 {
			byte64(byte(bits))
			bits >>= 8
		}
	}
	for _, v := range r.Numerics {
		number(v)
	}
	for _, s := range r.Categories {
		for i := range len(s) {
			byte64(s[i])
		}
		byte64(0)
	}
	number(r.Target)
	number(r.Weight)
	h ^= h >> 33
	h *= 0xff51afd7ed558ccd
	h ^= h >> 33
	return h
}
