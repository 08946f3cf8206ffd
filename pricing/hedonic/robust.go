package hedonic

import "math"

const (
	// Standard scores at which doubt about a price starts and is complete. A
	// clean normal table loses nothing to speak of; a misplaced decimal point
	// is some twenty standard deviations out.
	doubtFrom, doubtFull = 3.5, 6
	// smallestDoubt is the error in log below which no price is doubted.
	smallestDoubt = 0.02
)

// doubt sets the weight of each row by how far its price lies from what the
// other rows say. The error is that of the row left out: a wrong price alone in
// its level would otherwise pull its own effect onto itself and look sound. The
// errors are scaled by their own median size, since the noise variance is at
// first inflated by the very errors looked for.
func (t *trial) doubt() {
	errs, sds := t.leftOut()
	sizes := make([]float64, len(errs))
	for i := range errs {
		sizes[i] = math.Abs(errs[i]) / sds[i]
	}
	unit := 1.4826 * median(sizes)
	t.sums = nil
	for i := range t.rows {
		score := math.Abs(errs[i]) / max(unit*sds[i], smallestDoubt/doubtFrom)
		t.rows[i].weight = t.rows[i].base * trust(score)
	}
}

// trust is 1 for small standard scores and falls to 0 for gross ones.
func trust(t float64) float64 {
	switch {
	case t <= doubtFrom:
		return 1
	case t >= doubtFull:
		return 0
	}
	return square((doubtFull - t) / (doubtFull - doubtFrom))
}
