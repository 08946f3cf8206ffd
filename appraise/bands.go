package appraise

import "github.com/vanwright/vanwright/data"

// DampBands are the edges of a moisture meter's bands, in percent of wood
// moisture equivalent. They are half-open: a reading at an edge is in the band
// above it.
type DampBands struct {
	Watch      float64 // below it dry, from it watched
	High       float64 // from it dried and resealed
	Repair     float64 // from it repaired
	Structural float64 // from it the structure is likely wet
}

// DampSource says where the usual edges come from: no official ones exist.
const DampSource = "no official ones exist; those of the trade differ above 20% (secondary); half-open: common practice, no source"

// usualBands are the edges where the checkpoint book and the policy say nothing
// (DampSource).
var usualBands = DampBands{Watch: 15, High: 20, Repair: 25, Structural: 30}

// DampBandsOf returns the edges in force: the policy's, which are four where it
// says anything, else the book's for the first two where it has them, else the
// usual ones.
func DampBandsOf(books *data.Books, policy *data.Policy) DampBands {
	if p := policy.DampBands; len(p) == 4 {
		return DampBands{float64(p[0]), float64(p[1]), float64(p[2]), float64(p[3])}
	}
	c, _ := books.Checkpoint(damp)
	b := usualBands
	b.High = c.DefectAt.Or(b.High)
	b.Watch = min(c.WornAt.Or(b.Watch), b.High)
	return b
}

// DampBand is where a reading stands among the bands.
type DampBand int

// The bands, the driest first.
const (
	DampDry DampBand = iota
	DampWatch
	DampHigh
	DampRepair
	DampStructural
)

// Of returns the band of a reading in percent.
func (b DampBands) Of(percent float64) DampBand {
	switch {
	case percent >= b.Structural:
		return DampStructural
	case percent >= b.Repair:
		return DampRepair
	case percent >= b.High:
		return DampHigh
	case percent >= b.Watch:
		return DampWatch
	}
	return DampDry
}
