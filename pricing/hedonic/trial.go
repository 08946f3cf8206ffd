package hedonic

import "math"

// trial is a fit in progress: rows, the design chosen so far, and its solution.
// It keeps the design's columns of every row, so it is for samples and not for
// the largest tables.
type trial struct {
	enc     *encoder
	design  *design
	comp    components
	sol     *solution
	rows    []fitted
	lines   []sparse // design row of each of rows
	sums    *normal  // of lines by the weights of rows; nil since either changed
	spread  float64  // robust variance of y
	scatter scatter
}

// newTrial fits rows: first with the features alone while gross errors are
// found and set aside, then with the products of features that the data bear.
func newTrial(enc *encoder, rows []fitted) (*trial, error) {
	t := &trial{enc: enc, rows: rows}
	ys := make([]float64, len(rows))
	for i, r := range rows {
		ys[i] = r.y
	}
	t.spread = max(square(spreadOf(ys)), noiseFloor)
	t.design = learnDesign(enc, rows)
	t.comp = startComponents(t.design, t.spread)
	t.draw()
	for _, steps := range []int{0, varianceSteps} {
		if err := t.estimate(steps); err != nil {
			return nil, err
		}
		t.doubt()
	}
	if err := t.estimate(varianceSteps); err != nil {
		return nil, err
	}
	if err := t.interact(); err != nil {
		return nil, err
	}
	t.doubt()
	if err := t.estimate(varianceSteps); err != nil {
		return nil, err
	}
	t.learnScatter()
	return t, nil
}

// draw fills lines from the design.
func (t *trial) draw() {
	t.sums = nil
	t.lines = make([]sparse, len(t.rows))
	var line sparse
	for i := range t.rows {
		t.design.row(t.rows[i].e, &line)
		t.lines[i] = line.clone()
	}
}

func (t *trial) estimate(steps int) (err error) {
	if t.sums == nil {
		t.sums = newNormal(t.design.columns)
		for i := range t.rows {
			t.sums.add(&t.lines[i], t.rows[i].y, t.rows[i].weight)
		}
	}
	t.comp, t.sol, err = t.design.estimate(t.sums, t.comp, t.spread, steps)
	return err
}

// leftOut returns, for each row, its error in log when the row itself is left
// out of the fit (the variances kept), and that error's standard deviation.
func (t *trial) leftOut() (errs, sds []float64) {
	errs, sds = make([]float64, len(t.rows)), make([]float64, len(t.rows))
	for i, r := range t.rows {
		errs[i], sds[i] = leaveOut(t.sol, t.comp, t.scatter, r, &t.lines[i])
	}
	return errs, sds
}

func leaveOut(sol *solution, comp components, sc scatter, r fitted, line *sparse) (err, sd float64) {
	q := sol.quadratic(line)
	rest := max(1-r.weight*q, 1e-9)
	// Leaving the row out raises x'Cx from q to q/(1-wq).
	return (r.y - sol.dot(line)) / rest, math.Sqrt(comp.noise * (sc.of(line)/r.base + q/rest))
}
