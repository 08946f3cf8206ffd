package hedonic

import (
	"math"
	"slices"
	"sort"
)

const (
	treeDepth = 5  // questions that a tree asks of a row at most
	treeBins  = 32 // values of an input that a question can tell apart, with the unknown
	leastLeaf = 4  // rows, by their weight, behind each answer
	// leafDoubt is the weight, in rows, of an answer of nothing that each answer
	// is averaged with.
	leafDoubt = 4
)

// tree asks questions of a row's inputs; nodes[0] is the first.
type tree []node

// node is a question, or an answer where left is 0.
type node struct {
	input       int
	at          float64 // up to here goes left
	unknownLeft bool
	left, right int32
	answer      float64 // in log price
}

func (t tree) of(x []float64) float64 {
	n := &t[0]
	for n.left != 0 {
		v := x[n.input]
		if v <= n.at || n.unknownLeft && math.IsNaN(v) {
			n = &t[n.left]
		} else {
			n = &t[n.right]
		}
	}
	return n.answer
}

// binned is the rows with each input in a few bins: bin 0 is the unknown, bin b
// holds values up to cuts[b-1] and the last those above.
type binned struct {
	cuts [][]float64
	bins [][]uint8 // by input, then row
}

func newBinned(rows []restRow) *binned {
	inputs := len(rows[0].x)
	b := &binned{make([][]float64, inputs), make([][]uint8, inputs)}
	for j := range inputs {
		var known []float64
		for i := range rows {
			if v := rows[i].x[j]; !math.IsNaN(v) {
				known = append(known, v)
			}
		}
		slices.Sort(known)
		b.cuts[j] = cutsOf(known)
		b.bins[j] = make([]uint8, len(rows))
		for i := range rows {
			if v := rows[i].x[j]; !math.IsNaN(v) {
				b.bins[j][i] = uint8(1 + sort.SearchFloat64s(b.cuts[j], v))
			}
		}
	}
	return b
}

// cutsOf places cuts between values, at even shares of the rows.
func cutsOf(sorted []float64) []float64 {
	distinct := slices.Compact(slices.Clone(sorted))
	var cuts []float64
	if len(distinct) < treeBins {
		for i := 1; i < len(distinct); i++ {
			cuts = append(cuts, (distinct[i-1]+distinct[i])/2)
		}
		return cuts
	}
	for k := 1; k < treeBins-1; k++ {
		cuts = append(cuts, quantileSorted(sorted, float64(k)/(treeBins-1)))
	}
	return slices.Compact(cuts)
}

// grower grows one ensemble from the rows that it sees.
type grower struct {
	b      *binned
	rows   []restRow
	left   []float64 // error still left of each row
	number int       // among the ensembles
	seen   []int32   // rows; each tree puts them in another order and back
	unseen []int32
	errs   []bin   // of each row that is seen, for the tree in hand
	room   []int32 // for parting rows
	trees  []tree
}

func (b *binned) grower(rows []restRow, keep float64, number int) *grower {
	g := &grower{b: b, rows: rows, left: make([]float64, len(rows)), number: number, errs: make([]bin, len(rows))}
	for i := range rows {
		g.left[i] = rows[i].err + (1-keep)*rows[i].model
		if sees(number, i) && rows[i].weight > 0 {
			g.seen = append(g.seen, int32(i))
		} else {
			g.unseen = append(g.unseen, int32(i))
		}
	}
	g.room = make([]int32, 2*len(g.seen))
	return g
}

// grow adds a tree and takes its answers off what is left.
func (g *grower) grow() {
	for _, i := range g.seen {
		w := g.rows[i].weight
		g.errs[i] = bin{w, w * g.left[i]}
	}
	t := make(tree, 1, 1<<(treeDepth+1))
	rows := g.room[:len(g.seen)]
	copy(rows, g.seen)
	g.split(&t, 0, rows, treeDepth)
	g.trees = append(g.trees, slices.Clone(t))
	for _, i := range g.unseen {
		g.left[i] -= t.of(g.rows[i].x)
	}
}

// bin sums the weights and weighted errors of rows.
type bin struct{ weight, sum float64 }

func (b bin) worth() float64 { return square(b.sum) / (b.weight + leafDoubt) }

func (b bin) plus(c bin) bin  { return bin{b.weight + c.weight, b.sum + c.sum} }
func (b bin) minus(c bin) bin { return bin{b.weight - c.weight, b.sum - c.sum} }

// split makes node n of t the best question about its rows, or their answer, which
// is taken off what is left of them. rows come back in another order.
func (g *grower) split(t *tree, n int32, rows []int32, depth int) {
	var all bin
	for _, i := range rows {
		all = all.plus(g.errs[i])
	}
	answer := restRate * all.sum / (all.weight + leafDoubt)
	q, at, ok := node{}, 0, false
	if depth > 0 && all.weight >= 2*leastLeaf {
		q, at, ok = g.question(rows, all)
	}
	if !ok {
		(*t)[n].answer = answer
		for _, i := range rows {
			g.left[i] -= answer
		}
		return
	}
	first := g.part(rows, q, at)
	q.left, q.right = int32(len(*t)), int32(len(*t)+1)
	(*t)[n] = q
	*t = append(*t, node{}, node{})
	g.split(t, q.left, rows[:first], depth-1)
	g.split(t, q.right, rows[first:], depth-1)
}

// part puts the rows that go left first, each side in its order, and counts them.
func (g *grower) part(rows []int32, q node, at int) (left int) {
	right := g.room[len(g.seen):len(g.seen)]
	binOf := g.b.bins[q.input]
	for _, i := range rows {
		if b := int(binOf[i]); b == 0 && q.unknownLeft || b > 0 && b <= at {
			rows[left] = i
			left++
		} else {
			right = append(right, i)
		}
	}
	copy(rows[left:], right)
	return left
}

// question finds the input and the cut that part rows best, and the last bin that
// goes left.
func (g *grower) question(rows []int32, all bin) (q node, at int, ok bool) {
	least := 1e-9 * (1 + all.worth())
	most := all.worth() + least
	var pair [2][treeBins + 1]bin
	for j, cuts := range g.b.cuts {
		if j%2 == 0 {
			g.addUp(&pair, rows, j)
		}
		bins := &pair[j%2]
		unknown := bins[0]
		var left bin
		for c := range cuts {
			if c > 0 && bins[c+1] == (bin{}) {
				continue // parts the rows as the cut before did
			}
			left = left.plus(bins[c+1])
			for _, unknownLeft := range []bool{false, true} {
				l := left
				if unknownLeft {
					if unknown.weight == 0 {
						continue
					}
					l = l.plus(unknown)
				}
				r := all.minus(l)
				if l.weight < leastLeaf || r.weight < leastLeaf {
					continue
				}
				if worth := l.worth() + r.worth(); worth > most {
					most, ok = worth, true
					q, at = node{input: j, at: cuts[c], unknownLeft: unknownLeft}, c+1
				}
			}
		}
	}
	return q, at, ok
}

// addUp sums rows by the bins of input j and of the next: two at a time, since the
// sum of a bin has to wait for the one before it.
func (g *grower) addUp(pair *[2][treeBins + 1]bin, rows []int32, j int) {
	clear(pair[0][:])
	clear(pair[1][:])
	one := g.b.bins[j]
	two := g.b.bins[min(j+1, len(g.b.bins)-1)]
	for _, i := range rows {
		e, b, c := g.errs[i], &pair[0][one[i]], &pair[1][two[i]]
		b.weight += e.weight
		b.sum += e.sum
		c.weight += e.weight
		c.sum += e.sum
	}
}
