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
type keys struct {
	lines map[[2]string]int // of accepted rows
	// settled, where set, is told of every row with a key.
	settled func(value string, line int, accepted bool)
}

// settle takes one row. fits says that nothing else is wrong with it. Where its
// key stands above already, that is one more bad cell.
func (k *keys) settle(key rowKey, line int, fits bool) (bad badCell, duplicate bool) {
	if key.value == "" {
		return badCell{}, false
	}
	first, duplicate := k.lines[key.words]
	switch {
	case duplicate:
		bad = badCell{key.column, key.value, key.column + ".duplicate",
			fmt.Sprintf("a %s that stands once; line %d holds it already", key.column, first)}
	case fits:
		k.lines[key.words] = line
	}
	if k.settled != nil {
		k.settled(key.value, line, fits && !duplicate)
	}
	return bad, duplicate
}
