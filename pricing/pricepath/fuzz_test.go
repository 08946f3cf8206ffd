package pricepath

import (
	"encoding/binary"
	"errors"
	"math"
	"testing"
)

// FuzzSolve makes a problem of any bits. It is refused as ErrBadProblem, or its
// plan keeps the rules: prices stand as long as they must, chances ascend within
// [0, 1], and no single price of the grid brings more.
func FuzzSolve(f *testing.F) {
	bits := func(figures ...float64) (b []byte) {
		for _, v := range figures {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		return b
	}
	f.Add([]byte{}, byte(3), byte(30), byte(7), byte(0), byte(0), false)
	f.Add(bits(9, 25_000, 30_000, 24_000, 31_000, 25_000, 32_000, 26_000, 0.05, 0.04, 0.02), byte(2), byte(60), byte(28), byte(1), byte(9), false)
	f.Add(bits(0, -1e12, -1e12, -5, 1e12, 0, -1e12, 1, 0, 1, 0), byte(2), byte(12), byte(0), byte(200), byte(255), true)
	f.Add(bits(1, 2, 1, 1e12, 1+1e-16, 1e12, 1e-300, 1), byte(1), byte(5), byte(2), byte(1), byte(3), false)
	f.Add(bits(math.NaN(), math.Inf(1), 5), byte(0), byte(1), byte(1), byte(0), byte(0), true)
	f.Fuzz(func(t *testing.T, raw []byte, more, days, reprice, standing, free byte, anyChance bool) {
		next := func(otherwise float64) float64 {
			if len(raw) < 8 {
				return otherwise
			}
			v := math.Float64frombits(binary.LittleEndian.Uint64(raw))
			raw = raw[8:]
			return v
		}
		p := Problem{HoldingPerDay: next(5), Salvage: next(900), Days: int(days), RepriceDays: int(reprice)}
		n := 1 + int(more)%8
		for i := range n {
			p.Prices = append(p.Prices, next(1000+100*float64(i)))
			p.Proceeds = append(p.Proceeds, next(900+100*float64(i)))
		}
		chance := make([][]float64, p.Days)
		for day := range chance {
			for q := range n {
				c := next(0.02 * float64(n-q))
				if !anyChance { // a chance, whatever the bits are
					if c = math.Abs(math.Mod(c, 1)); math.IsNaN(c) {
						c = 1
					}
				}
				chance[day] = append(chance[day], c)
			}
		}
		p.Chance = Table(chance)
		if standing%2 == 1 {
			p.Standing = &Standing{Price: int(standing / 2), FreeIn: int(free)}
		}
		plan, err := Solve(p)
		if err != nil {
			if !errors.Is(err, ErrBadProblem) {
				t.Fatalf("error %v", err)
			}
			return
		}
		if l := plan.Ladder; len(l) == 0 || l[0].Day != 0 || l[len(l)-1].Day >= p.Days || p.Standing != nil && p.Standing.FreeIn > 0 && l[0].Index != p.Standing.Price {
			t.Fatalf("ladder %v over %d days, standing %+v", l, p.Days, p.Standing)
		}
		checkLadder(t, &p, plan)
		last := 0.0
		for day, sold := range plan.Sold {
			if !(sold >= last && sold <= 1) || day == 0 && sold != 0 {
				t.Fatalf("sold by day %d with chance %v, the day before %v", day, sold, last)
			}
			last = sold
		}
		if !(plan.ExpectedDays >= 0 && plan.ExpectedDays <= float64(p.Days)) {
			t.Fatalf("%v days expected of %d", plan.ExpectedDays, p.Days)
		}
		// Sums of products of amounts up to 1e12 over some hundred days.
		size := float64(p.Days)*p.HoldingPerDay + math.Abs(p.Salvage)
		for _, v := range p.Proceeds {
			size = max(size, math.Abs(v))
		}
		slack := 1e-6*float64(p.Days+1) + 1e-11*size
		if math.IsNaN(plan.Profit) || math.Abs(plan.Profit) > 3*size+slack {
			t.Fatalf("profit %v among amounts of %v", plan.Profit, size)
		}
		if p.Standing != nil {
			return // one price of the grid may be barred
		}
		for q := range p.Prices {
			still, err := Fixed(p, q)
			if err != nil {
				t.Fatal(err)
			}
			if still.Profit > plan.Profit+slack {
				t.Fatalf("asking %v throughout brings %v, the plan %v", p.Prices[q], still.Profit, plan.Profit)
			}
		}
	})
}
