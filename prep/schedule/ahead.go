package schedule

import "fmt"

// Ahead works out what comes of orders of work where tasks turn out
// as a problem says: each is done in its turn by whoever can finish it first. It keeps its memory
// between orders and must not be shared between goroutines.
type Ahead struct{ d *decoder }

// NewAhead returns an error where the future makes no sense.
func NewAhead(future Problem, objective Objective) (*Ahead, error) {
	if err := future.Check(); err != nil {
		return nil, fmt.Errorf("schedule: %w", err)
	}
	return &Ahead{newDecoder(compile(future), objective)}, nil
}

// Run returns the value of an order, in which each task comes after those that it waits for, and where it puts the tasks; the
// slice is overwritten by the next run.
func (a *Ahead) Run(order []int) (value int, at []Assignment) {
	a.d.decode(order, nil)
	return a.d.value, a.d.place
}

// By returns the tasks by a key, the lowest first, each after those that it waits for.
func (a *Ahead) By(key []int) []int { return a.d.topological(key) }

// Orders puts the tasks of a problem into orders. It never changes.
type Orders struct{ m *model }

// NewOrders expects a problem that Check has found sound.
func NewOrders(p Problem) *Orders { return &Orders{compile(p)} }

// By returns the tasks by a key, the lowest first, each after those that it waits
// for.
func (o *Orders) By(key []int) []int { return o.m.topological(key) }
