package appraise

import (
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// along orders the words of a position on their axis; a word that is no
// position on an axis, such as window, is next to all of them.
var along = map[string]int{
	"front": 0, "middle": 1, "rear": 2,
	"nearside": 0, "centre": 1, "offside": 2,
	"low": 0, "high": 2,
}

func near(a, b string) bool {
	x, okA := along[a]
	y, okB := along[b]
	return a == b || !okA || !okB || max(x-y, y-x) <= 1
}

// neighbours reports whether two points touch. On one side that is at most one
// step apart in each direction. Points of two sides touch where the sides meet:
// both lie at the edge between them, at the same place along the roof or the
// floor, and at most one step apart in height along a corner.
func neighbours(a, b dampPoint) bool {
	if a.side == b.side {
		return near(a.place, b.place) && near(a.height, b.height)
	}
	return meets(a, b) || meets(b, a)
}

// meets reports whether two points of different sides touch, a's side being the
// one that is looked for.
func meets(a, b dampPoint) bool {
	switch a.side {
	case "nearside", "offside":
		switch b.side {
		case "front", "rear":
			return a.place == b.side && b.place == a.side && near(a.height, b.height)
		case "roof":
			return a.height == "high" && a.place == b.place
		case "floor":
			return a.height == "low" && a.place == b.place
		case "overcab": // it rests on the wall's front top corner
			return a.place == "front" && a.height == "high" && b.place == a.side
		}
	case "front", "rear":
		switch b.side {
		case "roof":
			return a.height == "high" && b.place == a.side
		case "floor":
			return a.height == "low" && b.place == a.side
		case "overcab":
			return a.side == "front" && a.height == "high" && b.height == "low" && a.place == b.place
		}
	case "overcab":
		return b.side == "roof" && b.place == "front" && a.height == "high"
	}
	return false
}

// likelyLeak reports whether a point is where motorhomes leak first: over the cab
// or at a corner of the roof. Common practice, no source.
func likelyLeak(p dampPoint) bool {
	ends := []string{"front", "rear", "nearside", "offside"}
	return p.side == "overcab" || p.height == "high" && slices.Contains(ends, p.place)
}

// placeAt takes a position apart.
func placeAt(position string) (p dampPoint) {
	p.position = position
	p.side, p.place, p.height = splitPoint(position)
	return p
}

// unreadNeighbours lists the points of the book that touch one and were not read.
func (in *inspection) unreadNeighbours(p dampPoint) []string {
	if !known(p) {
		return nil
	}
	c, _ := in.books.Checkpoint(damp)
	var out []string
	for _, position := range c.Positions {
		other := placeAt(position)
		if position == p.position || !in.hasSide(other.side) || !neighbours(p, other) || !known(other) {
			continue
		}
		if !slices.ContainsFunc(in.damp, func(read dampPoint) bool { return read.position == position }) {
			out = append(out, position)
		}
	}
	return out
}

// known reports whether a point's place has its place on an axis: a window or a
// locker is next to everything, and so no neighbour to be sent to.
func known(p dampPoint) bool {
	_, ok := along[p.place]
	return ok
}

// hasSide reports whether the body has a side at all.
func (in *inspection) hasSide(side string) bool {
	return side != "overcab" || in.van.Body == data.Overcab
}

// dampRead returns how many of the book's damp points of this body were read, and
// how many there are.
func (in *inspection) dampRead() (read, of int) {
	c, _ := in.books.Checkpoint(damp)
	for _, position := range c.Positions {
		if in.hasSide(placeAt(position).side) {
			of++
		}
	}
	return len(in.damp), max(of, len(in.damp))
}

// sidesOf returns the sides of some points, sorted.
func sidesOf(points []string) []string {
	var out []string
	for _, p := range points {
		side, _, _ := strings.Cut(p, "-")
		if !slices.Contains(out, side) {
			out = append(out, side)
		}
	}
	slices.Sort(out)
	return out
}
