package synth

import "math/rand/v2"

// Draws is a stream of random numbers for one van and one table.
type Draws struct{ pcg rand.PCG }

// The tables that have streams of their own, so that a change in one table
// leaves the others as they were.
const (
	streamVan = iota + 1
	streamReadings
	streamPapers
	streamSale
	streamWorkshop
)

// NewDraws returns the stream of a seed, a table and a row. Streams of
// neighbouring rows have nothing to do with each other.
func NewDraws(seed int64, table, row int) *Draws {
	d := new(Draws)
	d.reset(seed, table, row)
	return d
}

func (d *Draws) reset(seed int64, table, row int) {
	d.pcg.Seed(scramble(uint64(seed)+uint64(table)<<56), scramble(uint64(row)+uint64(table)<<48))
}

// scramble is the output step of SplitMix64 (Steele, Lea and Flood 2014, from
// memory): nearby numbers in, distant numbers out.
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// uniform returns a number in [0, 1).
func (d *Draws) uniform() float64 { return float64(d.pcg.Uint64()>>11) / (1 << 53) }

// span returns a number in [lo, hi).
func (d *Draws) span(lo, hi float64) float64 { return lo + mul(hi-lo, d.uniform()) }

// between returns a whole number from lo to hi, both included.
func (d *Draws) between(lo, hi int) int {
	return lo + int(mul(d.uniform(), float64(hi-lo+1)))
}

// chance is true with probability p.
func (d *Draws) chance(p float64) bool { return d.uniform() < p }

// normal returns a number of mean 0 and standard deviation 1: the sum of twelve
// uniform ones, less six. Its far tails stop at ±6, which no table here shows,
// and it is exact on every machine, which the usual methods are not.
func (d *Draws) normal() float64 {
	var sum uint64
	for range 6 {
		u := d.pcg.Uint64()
		sum += u>>32 + u&0xffffffff
	}
	return mul(float64(sum), 1.0/(1<<32)) - 6
}

// weighted returns an index of weights, in proportion to them.
func (d *Draws) weighted(weights ...float64) int {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	at := mul(total, d.uniform())
	for i, w := range weights {
		if at -= w; at < 0 {
			return i
		}
	}
	return len(weights) - 1
}

func pick[T any](d *Draws, from []T) T { return from[d.between(0, len(from)-1)] }
