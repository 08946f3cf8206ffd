package pricepath

// worthMoving is the gain in pounds below which two prices count as equal.
const worthMoving = 1e-6

// Plan is the best path and what to expect of it.
type Plan struct {
	// Ladder has a step for each change of price, the first on day 0.
	Ladder []Step
	Outcome
}

// Solver solves problems one after another in the same memory. The zero value
// is ready; it is not for use by several goroutines at once.
type Solver struct {
	chance []float64 // [day][price]: of a sale on the day
	stand  []float64 // [day][price]: value of keeping the price to the horizon
	last   []float64 // [day][price]: chance to stay unsold from day to the block's end
	first  []float64 // [day][price]: the same from the block's start to day
	free   []float64 // [day][price]: value when the price may move
	best   []int     // [day]: the price to move to, if any
	move   []bool    // [day][price]: whether moving beats staying
}

// Solve finds the plan with the largest expected profit. See Solver.Solve.
func Solve(p Problem) (*Plan, error) {
	var s Solver
	return s.Solve(p)
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
	outcome, err := p.follow(ladder)
	if err != nil {
		return nil, err
	}
	return &Plan{Ladder: ladder, Outcome: outcome}, nil
}

// load asks for every chance once.
func (s *Solver) load(p *Problem) error {
	n := len(p.Prices)
	s.chance = sized(s.chance, p.Days*n)
	for day := range p.Days {
		for q := range n {
			c, err := p.chance(day, q)
			if err != nil {
				return err
			}
			s.chance[day*n+q] = c
		}
	}
	return nil
}

// values fills the tables backwards.
func (s *Solver) values(p *Problem) {
	n, days, hold := len(p.Prices), p.Days, max(1, p.RepriceDays)
	s.stand = sized(s.stand, (days+1)*n)
	s.free = sized(s.free, (days+1)*n)
	s.first = sized(s.first, (days+1)*n)
	s.last = sized(s.last, (days+1)*n)
	s.best = sized(s.best, days)
	s.move = sized(s.move, days*n)
	s.windows(n, days, hold)
	for q := range n {
		s.stand[days*n+q] = p.Salvage
		s.free[days*n+q] = p.Salvage
	}
	for day := days - 1; day >= 0; day-- {
		chance := s.chance[day*n : (day+1)*n]
		stand, standNext := s.stand[day*n:(day+1)*n], s.stand[(day+1)*n:(day+2)*n]
		for q, c := range chance {
			stand[q] = c*p.Proceeds[q] - p.HoldingPerDay + (1-c)*standNext[q]
		}
		best, top := 0, s.fresh(day, 0, n, days, hold)
		for q := 1; q < n; q++ {
			if v := s.fresh(day, q, n, days, hold); v > top+worthMoving {
				best, top = q, v
			}
		}
		s.best[day] = best
		free, freeNext := s.free[day*n:(day+1)*n], s.free[(day+1)*n:(day+2)*n]
		move := s.move[day*n : (day+1)*n]
		for q, c := range chance {
			stay := c*p.Proceeds[q] - p.HoldingPerDay + (1-c)*freeNext[q]
			move[q] = q != best && top > stay+worthMoving
			free[q] = max(stay, top)
		}
	}
}

// fresh is the value of setting price q on a day, to stand for hold days.
func (s *Solver) fresh(day, q, n, days, hold int) float64 {
	v := s.stand[day*n+q]
	if end := day + hold; end < days {
		v += s.unsold(day, end, q, n, hold) * (s.free[end*n+q] - s.stand[end*n+q])
	}
	return v
}

// windows prepares the chances of staying unsold over any hold days.
func (s *Solver) windows(n, days, hold int) {
	for q := range n {
		s.last[days*n+q], s.first[days*n+q] = 1, 1
	}
	for day := range days {
		for q := range n {
			if day%hold == 0 {
				s.first[day*n+q] = 1
			}
			stay := s.first[day*n+q] * (1 - s.chance[day*n+q])
			s.first[(day+1)*n+q] = stay
		}
	}
	for day := days - 1; day >= 0; day-- {
		for q := range n {
			stay := 1 - s.chance[day*n+q]
			if (day+1)%hold != 0 {
				stay *= s.last[(day+1)*n+q]
			}
			s.last[day*n+q] = stay
		}
	}
}

// unsold is the chance that q leaves the item unsold from day to end = day+hold:
// the rest of day's block times the start of end's block.
func (s *Solver) unsold(day, end, q, n, hold int) float64 {
	u := s.last[day*n+q]
	if day%hold != 0 {
		u *= s.first[end*n+q]
	}
	return u
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
		if !s.move[day*n+price] {
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

// sized returns a slice of n values, old memory where it is large enough. What
// it holds is rubbish.
func sized[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n)
	}
	return old[:n]
}
