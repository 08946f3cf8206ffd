package synth

import (
	"errors"
	"fmt"

	"github.com/vanwright/vanwright/data"
)

// maxRows keeps marks and numbers unique and a slip of the finger from filling
// a disk.
const maxRows = 10_000_000

// Spec says what yard to make up.
type Spec struct {
	Vans    int       // all vans, those sold included
	Sales   int       // rows of sales.csv
	InHand  int       // vans owned, preparing or ready; NewSpec gives one in 40
	Offered int       // vans offered; NewSpec gives one in 100
	Seed    int64     // same seed, same yard
	AsOf    data.Date // the day on which the yard is seen
}

// NewSpec returns a Spec with the usual shares in hand and offered: 500 and 200
// of 20,000 vans. A yard below 800 vans has up to 20 in hand and up to 8
// offered.
func NewSpec(vans, sales int, seed int64, asOf data.Date) Spec {
	return Spec{
		Vans: vans, Sales: sales, Seed: seed, AsOf: asOf,
		InHand:  max(vans/40, min(20, vans/2)),
		Offered: max(vans/100, min(8, vans/5)),
	}
}

// Validate says what is wrong with a Spec, in one line for each field.
func (s Spec) Validate() error {
	var errs []error
	if s.Vans < 1 || s.Vans > maxRows {
		errs = append(errs, fmt.Errorf("vans is %d; expected 1 to %d", s.Vans, maxRows))
	}
	if s.Sales < 0 || s.Sales > maxRows {
		errs = append(errs, fmt.Errorf("sales is %d; expected 0 to %d", s.Sales, maxRows))
	}
	if s.InHand < 0 || s.Offered < 0 || s.InHand+s.Offered > s.Vans {
		errs = append(errs, fmt.Errorf("%d in hand and %d offered are not among %d vans", s.InHand, s.Offered, s.Vans))
	}
	if s.AsOf < data.NewDate(2010, 1, 1) || s.AsOf > data.NewDate(2040, 1, 1) {
		errs = append(errs, fmt.Errorf("the as-of date is %q; expected one from 2010 to 2040", s.AsOf))
	}
	return errors.Join(errs...)
}
