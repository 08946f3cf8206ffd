package hedonic

import (
	"errors"

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

// solution is a ridge fit: beta minimises the weighted squares plus the sum of
// penalty times coefficient squared. inverse is (X'WX + diag(penalty))^-1.
type solution struct {
	beta    []float64
	inverse *mat.SymDense
	rss     float64 // weighted residual sum of squares, without the penalty
}

func (n *normal) solve(penalty []float64) (*solution, error) {
	m := mat.NewSymDense(n.p, append([]float64(nil), n.xtx...))
	for i, v := range penalty {
		m.SetSym(i, i, m.At(i, i)+v)
	}
	var chol mat.Cholesky
	if !chol.Factorize(m) {
		return nil, errSingular
	}
	beta := mat.NewVecDense(n.p, nil)
	if err := chol.SolveVecTo(beta, mat.NewVecDense(n.p, n.xty)); err != nil {
		var condition mat.Condition
		if !errors.As(err, &condition) {
			return nil, errSingular
		}
	}
	inverse := mat.NewSymDense(n.p, nil)
	if err := chol.InverseTo(inverse); err != nil {
		var condition mat.Condition
		if !errors.As(err, &condition) {
			return nil, errSingular
		}
	}
	s := &solution{beta: beta.RawVector().Data, inverse: inverse}
	// From X'Wy = (X'WX + P) beta: rss = y'Wy - beta'X'Wy - beta'P beta.
	s.rss = n.yty
	for i, b := range s.beta {
		s.rss -= b*n.xty[i] + penalty[i]*b*b
	}
	s.rss = max(s.rss, 0)
	return s, nil
}

// quadratic is x'(X'WX + P)^-1 x.
func (s *solution) quadratic(x *sparse) float64 {
	raw := s.inverse.RawSymmetric()
	sum := 0.0
	for a, ca := range x.cols {
		line := raw.Data[int(ca)*raw.Stride:]
		sum += line[ca] * x.vals[a] * x.vals[a]
		for b := a + 1; b < len(x.cols); b++ {
			sum += 2 * line[x.cols[b]] * x.vals[a] * x.vals[b]
		}
	}
	return max(sum, 0)
}

func (s *solution) dot(x *sparse) float64 {
	sum := 0.0
	for a, c := range x.cols {
		sum += s.beta[c] * x.vals[a]
	}
	return sum
}
