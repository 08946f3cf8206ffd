package pricepath

import "math"

// worthMoving is the gain in pounds below which two prices count as equal.
const worthMoving = 1e-6

// Plan is the best path and what to expect of it.
type Plan struct {
	// Ladder has a step for each change of price, the first on day 0.
	Ladder []Step
	// Still is what each price of the grid earns when it never moves, in pounds.
	Still []float64
	Outcome
}

// Solver solves problems one after another in the same memory. The zero value
// is ready; it is not for use by several goroutines at once.
type Solver struct {
	chance []float64 // [day][price]: of a sale on the day
	first  []float64 // [day][price]: of staying unsold from the block's start to day
	stand  []float64 // [day][price]: value of keeping the price to the horizon
	free   []float64 // [day][price]: value when the price may move
	best   []int     // [day]: the price to move to, if any
	last   []float64 // [price]: of staying unsold from the day in hand to its block's end
	ones   []float64 // [price]
}

// Solve finds the plan with the largest expected profit, exactly, by dynamic
// programming backwards from the horizon. A price moves only where that gains
// more than a millionth of a pound, which is above the noise of rounding; among
// prices that close the lowest is taken. Errors wrap ErrBadProblem.
//
// With R days to stand, three values suffice for each day d and price q:
//
//	stand(d,q) = −h + c·g(q) + (1 − c)·stand(d+1,q)     never move again
//	fresh(d,q) = stand(d,q) + U·(free(d+R,q) − stand(d+R,q))
//	free(d,q)  = max(−h + c·g(q) + (1 − c)·free(d+1,q),  max over q' of fresh(d,q'))
//
// where U is the chance that q leaves the item unsold from d to d+R. The second
// line avoids a walk over the R days: a price that must stand does as well as one
// that stands for ever, but for what its freedom is then worth. U is a product
// over a sliding window, taken from products to the end and from the start of
// blocks of R days (van Herk's way, from memory), since dividing one running
// product by another fails as soon as a sale is certain. The whole costs a few
// operations for each day and price, however long prices stand.
func (s *Solver) Solve(p Problem) (*Plan, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	if err := s.load(&p); err != nil {
		return nil, err
	}
	s.values(&p)
	ladder := s.ladder(&p)
	still := append([]float64(nil), row(s.stand, 0, len(p.Prices))...)
	return &Plan{Ladder: ladder, Still: still, Outcome: p.follow(ladder, s.chance)}, nil
}

// load asks for every chance once, and runs the products from the start of each
// block of hold days.
func (s *Solver) load(p *Problem) error {
	n, hold := len(p.Prices), max(1, p.RepriceDays)
	s.chance = sized(s.chance, p.Days*n)
	s.first = sized(s.first, (p.Days+1)*n)
	for day, block := 0, 0; day < p.Days; day++ {
		chance, first, next := row(s.chance, day, n), row(s.first, day, n), row(s.first, day+1, n)
		if err := p.chances(day, chance); err != nil {
			return err
		}
		if block == 0 {
			for q := range first {
				first[q] = 1
			}
		}
		for q, c := range chance {
			next[q] = first[q] * (1 - c)
		}
		if block++; block == hold {
			block = 0
		}
	}
	return nil
}

// values fills the tables backwards.
func (s *Solver) values(p *Problem) {
	n, days, hold := len(p.Prices), p.Days, max(1, p.RepriceDays)
	s.stand = sized(s.stand, (days+1)*n)
	s.free = sized(s.free, (days+1)*n)
	s.last = sized(s.last, n)
	s.ones = sized(s.ones, n)
	s.best = sized(s.best, days)
	for q := range n {
		s.ones[q] = 1
		s.stand[days*n+q], s.free[days*n+q] = p.Salvage, p.Salvage
	}
	for day := days - 1; day >= 0; day-- {
		if day == days-1 || (day+1)%hold == 0 {
			copy(s.last, s.ones)
		}
		end := min(day+hold, days)
		first := row(s.first, end, n)
		if day%hold == 0 || end == days {
			// One whole block; or the horizon, where freedom is worth nothing.
			first = s.ones
		}
		best, top := s.sweep(p, day, end, first)
		s.best[day] = best
		for q, v := range row(s.free, day, n) {
			if v < top {
				s.free[day*n+q] = top
			}
		}
	}
}

// sweep fills stand for a day, and free as if the price stayed, and returns the
// price to move to with its value. It is the whole cost of a solution, hence one
// loop and not four.
func (s *Solver) sweep(p *Problem, day, end int, first []float64) (best int, top float64) {
	n, hold := len(p.Prices), p.HoldingPerDay
	chance, proceeds, last := row(s.chance, day, n), p.Proceeds[:n], s.last[:n]
	stand, standNext, standEnd := row(s.stand, day, n), row(s.stand, day+1, n), row(s.stand, end, n)
	free, freeNext, freeEnd := row(s.free, day, n), row(s.free, day+1, n), row(s.free, end, n)
	first = first[:n]
	top = math.Inf(-1)
	for q := range chance {
		keep := 1 - chance[q]
		now := chance[q]*proceeds[q] - hold
		value := now + keep*standNext[q]
		stand[q] = value
		free[q] = now + keep*freeNext[q]
		last[q] *= keep
		value += last[q] * first[q] * (freeEnd[q] - standEnd[q])
		if value > top+worthMoving {
			best, top = q, value
		}
	}
	return best, top
}

// ladder reads the path out of the tables.
func (s *Solver) ladder(p *Problem) []Step {
	n, hold := len(p.Prices), max(1, p.RepriceDays)
	price, free := s.best[0], hold
	if p.Standing != nil {
		price, free = p.Standing.Price, p.Standing.FreeIn
	}
	ladder := []Step{{Day: 0, Price: p.Prices[price], Index: price}}
	for day := free; day < p.Days; day++ {
		c := row(s.chance, day, n)[price]
		stay := c*p.Proceeds[price] - p.HoldingPerDay + (1-c)*row(s.free, day+1, n)[price]
		if s.best[day] == price || row(s.free, day, n)[price] <= stay+worthMoving {
			continue
		}
		price = s.best[day]
		step := Step{Day: day, Price: p.Prices[price], Index: price}
		if day == 0 {
			ladder[0] = step
		} else {
			ladder = append(ladder, step)
		}
		day += hold - 1
	}
	return ladder
}

// row is a day's part of a table of n prices.
func row[T any](table []T, day, n int) []T { return table[day*n:][:n] }

// sized returns a slice of n values, old memory where it is large enough. What
// it holds is rubbish.
func sized[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n)
	}
	return old[:n]
}
