package hedonic

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

var errSingular = errors.New("the penalised normal equations can't be solved")

// normal gathers X'WX, X'Wy and y'Wy row by row, so that a fit needs memory for
// the columns and not for the rows.
type normal struct {
	p      int
	xtx    []float64 // p by p, upper triangle
	xty    []float64
	yty    float64
	weight float64 // sum of weights
}

func newNormal(p int) *normal {
	return &normal{p: p, xtx: make([]float64, p*p), xty: make([]float64, p)}
}

func (n *normal) add(s *sparse, y, w float64) {
	if w == 0 {
		return
	}
	for a, ca := range s.cols {
		v := w * s.vals[a]
		line := n.xtx[int(ca)*n.p : (int(ca)+1)*n.p]
		for b := a; b < len(s.cols); b++ {
			line[s.cols[b]] += v * s.vals[b]
		}
		n.xty[ca] += v * y
	}
	n.yty += w * y * y
	n.weight += w
}

func (n *normal) at(i, j int) float64 { return n.xtx[min(i, j)*n.p+max(i, j)] }

// span is a run of columns of which no row has more than one: the levels of one
// factor.
type span struct{ first, count int }

func (s span) has(col int) bool { return col >= s.first && col < s.first+s.count }

// solution is a ridge fit: beta minimises the weighted squares plus the sum of
// penalty times coefficient squared. With C = (X'WX + diag(penalty))^-1 the
// covariance of beta is the noise variance times C.
//
// The columns of the span form a diagonal block D of the equations, so they are
// eliminated first and C is kept in parts: hundreds of levels then cost no more
// than their number.
type solution struct {
	beta     []float64
	diagonal []float64 // of C
	rss      float64   // weighted residual sum of squares, without the penalty

	block   span
	pivot   []float64     // diagonal of D
	cross   *mat.Dense    // D^-1 times the block's part of X'WX beside the rest
	rest    []int         // columns outside the block
	place   []int         // column to its place in rest
	inverse *mat.SymDense // of the equations of the rest
}

func (n *normal) solve(penalty []float64, block span) (*solution, error) {
	s := &solution{block: block, beta: make([]float64, n.p), diagonal: make([]float64, n.p), place: make([]int, n.p)}
	for c := range n.p {
		if !block.has(c) {
			s.place[c] = len(s.rest)
			s.rest = append(s.rest, c)
		}
	}
	r := len(s.rest)
	m := mat.NewSymDense(r, nil)
	right := make([]float64, r)
	for i, a := range s.rest {
		for j := i; j < r; j++ {
			m.SetSym(i, j, n.at(a, s.rest[j]))
		}
		m.SetSym(i, i, m.At(i, i)+penalty[a])
		right[i] = n.xty[a]
	}
	s.eliminate(n, penalty, m, right)
	// lapack64 itself, since mat.Cholesky estimates a condition number at each
	// of the hundred or so solutions of a fit.
	chol, ok := lapack64.Potrf(m.RawSymmetric())
	if !ok {
		return nil, errSingular
	}
	lapack64.Potrs(chol, blas64.General{Rows: r, Cols: 1, Data: right, Stride: 1})
	if _, ok = lapack64.Potri(chol); !ok {
		return nil, errSingular
	}
	s.inverse = m
	s.substitute(n, right)
	// From X'Wy = (X'WX + P) beta: rss = y'Wy - beta'X'Wy - beta'P beta.
	s.rss = n.yty
	for i, b := range s.beta {
		if math.IsNaN(b) || math.IsInf(b, 0) {
			return nil, errSingular
		}
		s.rss -= b*n.xty[i] + penalty[i]*b*b
	}
	s.rss = max(s.rss, 0)
	return s, nil
}

// eliminate takes the block's part off the equations of the rest.
func (s *solution) eliminate(n *normal, penalty []float64, m *mat.SymDense, right []float64) {
	if s.block.count == 0 {
		return
	}
	s.cross = mat.NewDense(s.block.count, len(s.rest), nil)
	raw := m.RawSymmetric()
	var filled []int
	for l := range s.block.count {
		c := s.block.first + l
		d := n.xtx[c*n.p+c] + penalty[c]
		s.pivot = append(s.pivot, d)
		filled = filled[:0]
		line := s.cross.RawRowView(l)
		for i, a := range s.rest {
			if v := n.at(a, c); v != 0 {
				line[i] = v / d
				filled = append(filled, i)
			}
		}
		for x, i := range filled {
			right[i] -= line[i] * n.xty[c]
			upper := raw.Data[i*raw.Stride:]
			for _, j := range filled[x:] {
				upper[j] -= line[i] * line[j] * d
			}
		}
	}
}

// substitute fills beta and the diagonal of C from the solution of the rest.
func (s *solution) substitute(n *normal, rest []float64) {
	for i, a := range s.rest {
		s.beta[a] = rest[i]
		s.diagonal[a] = s.inverse.At(i, i)
	}
	for l, d := range s.pivot {
		c := s.block.first + l
		line := s.cross.RawRowView(l)
		s.beta[c] = n.xty[c] / d
		for i, v := range line {
			s.beta[c] -= v * rest[i]
		}
		s.diagonal[c] = 1/d + s.form(line)
	}
}

// form is v'C v over the rest of the columns, by the half of v or so that is not
// zero. Four lines are added up side by side, each in its own order, since a sum
// has to wait for the one before it.
func (s *solution) form(v []float64) float64 {
	var atRoom [256]int32
	var room [256]float64 // on the stack: a large fit asks a hundred thousand times
	at, x := atRoom[:0], room[:0]
	for i, y := range v {
		if y != 0 {
			at, x = append(at, int32(i)), append(x, y)
		}
	}
	x = x[:len(at)]
	raw := s.inverse.RawSymmetric()
	line := func(a int) []float64 { return raw.Data[int(at[a])*raw.Stride:][:len(v)] }
	sum, a := 0.0, 0
	for ; a+4 <= len(x); a += 4 {
		l0, l1, l2, l3 := line(a), line(a+1), line(a+2), line(a+3)
		i0, i1, i2, i3 := at[a], at[a+1], at[a+2], at[a+3]
		x0, x1, x2, x3 := x[a], x[a+1], x[a+2], x[a+3]
		p0 := l0[i0]*x0/2 + l0[i1]*x1 + l0[i2]*x2 + l0[i3]*x3
		p1 := l1[i1]*x1/2 + l1[i2]*x2 + l1[i3]*x3
		p2 := l2[i2]*x2/2 + l2[i3]*x3
		p3 := l3[i3] * x3 / 2
		for b := a + 4; b < len(x); b++ {
			i, y := at[b], x[b]
			p0 += l0[i] * y
			p1 += l1[i] * y
			p2 += l2[i] * y
			p3 += l3[i] * y
		}
		sum += 2 * x0 * p0
		sum += 2 * x1 * p1
		sum += 2 * x2 * p2
		sum += 2 * x3 * p3
	}
	for ; a < len(x); a++ {
		l := line(a)
		part := l[at[a]] * x[a] / 2
		for b := a + 1; b < len(x); b++ {
			part += l[at[b]] * x[b]
		}
		sum += 2 * x[a] * part
	}
	return max(sum, 0)
}

// quadratic is x'C x.
func (s *solution) quadratic(x *sparse) float64 {
	for a, c := range x.cols {
		if s.block.has(int(c)) {
			return s.throughBlock(x, a)
		}
	}
	raw := s.inverse.RawSymmetric()
	sum := 0.0
	for a, ca := range x.cols {
		line := raw.Data[s.place[ca]*raw.Stride:]
		part := line[s.place[ca]] * x.vals[a] / 2
		for b := a + 1; b < len(x.cols); b++ {
			part += line[s.place[x.cols[b]]] * x.vals[b]
		}
		sum += 2 * x.vals[a] * part
	}
	return max(sum, 0)
}

// throughBlock is x'C x where x touches the block, first at entry a.
func (s *solution) throughBlock(x *sparse, a int) float64 {
	var room [256]float64 // on the stack: a large fit asks a hundred thousand times
	v := room[:]
	if len(s.rest) > len(room) {
		v = make([]float64, len(s.rest))
	}
	v = v[:len(s.rest)]
	sum := 0.0
	for ; a < len(x.cols) && s.block.has(int(x.cols[a])); a++ {
		l := int(x.cols[a]) - s.block.first
		sum += square(x.vals[a]) / s.pivot[l]
		for i, c := range s.cross.RawRowView(l) {
			v[i] -= c * x.vals[a]
		}
	}
	for b, c := range x.cols {
		if !s.block.has(int(c)) {
			v[s.place[c]] += x.vals[b]
		}
	}
	return sum + s.form(v)
}

func (s *solution) dot(x *sparse) float64 {
	sum := 0.0
	for a, c := range x.cols {
		sum += s.beta[c] * x.vals[a]
	}
	return sum
}
