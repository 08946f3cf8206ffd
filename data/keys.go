package data

import "fmt"

// rowKey is what a row must be alone with among the accepted rows of its table,
// and the cell that is to blame where it is not. A blank value: it has no key.
type rowKey struct {
	column, value string
	words         [2]string
}

// keys settles which rows of a table are used where two have the same key: the
// first that has nothing else wrong with it. Rows must come in their order.
//
// Most tables stand in the order of their first word. As long as they do, only
// the rows just above with the same first word can have the same key, and no
// map is needed, which would take longer than the rest of reading.
type keys struct {
	// settled, where set, is told of every row with a key.
	settled func(value string, line int, accepted bool)

	rows  int               // how many are likely to come
	taken []takenKey        // of accepted rows
	lines map[[2]string]int // the same, once the first words are out of order
}

// takenKey is the key of an accepted row.
type takenKey struct {
	words [2]string
	line  int
}

// settle takes one row. fits says that nothing else is wrong with it. Where its
// key stands above already, that is one more bad cell.
func (k *keys) settle(key rowKey, line int, fits bool) (bad badCell, duplicate bool) {
	if key.value == "" {
		return badCell{}, false
	}
	first, duplicate := k.find(key.words)
	switch {
	case duplicate:
		bad = badCell{key.column, key.value, key.column + ".duplicate",
			fmt.Sprintf("a %s that stands once; line %d holds it already", key.column, first)}
	case fits:
		k.take(key.words, line)
	}
	if k.settled != nil {
		k.settled(key.value, line, fits && !duplicate)
	}
	return bad, duplicate
}

// longestRun is how many rows with the same first word are looked at one by
// one.
const longestRun = 64

// find returns the line of the accepted row that has a key.
func (k *keys) find(words [2]string) (line int, found bool) {
	if k.lines != nil {
		line, found = k.lines[words]
		return line, found
	}
	for i := len(k.taken) - 1; i >= 0; i-- {
		t := &k.taken[i]
		switch {
		case t.words == words:
			return t.line, true
		case t.words[0] < words[0]:
			return 0, false
		case t.words[0] > words[0] || len(k.taken)-i == longestRun:
			k.toMap()
			return k.find(words)
		}
	}
	return 0, false
}

func (k *keys) take(words [2]string, line int) {
	if k.lines != nil {
		k.lines[words] = line
		return
	}
	if k.taken == nil {
		k.taken = make([]takenKey, 0, k.rows)
	}
	k.taken = append(k.taken, takenKey{words, line})
}

func (k *keys) toMap() {
	k.lines = make(map[[2]string]int, max(k.rows, len(k.taken)))
	for _, t := range k.taken {
		k.lines[t.words] = t.line
	}
	k.taken = nil
}
