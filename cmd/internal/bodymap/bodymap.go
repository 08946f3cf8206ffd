// Package bodymap says where the points of a damp survey lie on a drawing of
// the body laid flat.
//
// In go the positions that were read or can be read; out comes where each lies,
// as the report draws it and the condition form too. The body's panels lie as if
// its walls were folded outwards: the roof in the middle, the nearside on the
// left, the offside on the right, the front above and the rear below, the floor
// apart. A wall's top is next to the roof.
//
//	m := bodymap.Lay([]string{"nearside-front-low", "roof-middle-high"})
package bodymap

import (
	"slices"
	"strings"
)

// Sizes of the drawing, in its own units.
const (
	Width = 360
	CellW = 38
	CellH = 24

	panelGap  = 10
	panelHead = 16 // the room of a panel's title
)

// Map is the body laid flat.
type Map struct {
	Height int
	Panels []Panel
}

// Panel is one side of the body.
type Panel struct {
	Side, Title    string
	TitleX, TitleY int
	Cells          []Cell
}

// Cell is one point of a panel.
type Cell struct {
	Position    string // SIDE-PLACE-HEIGHT, as it was given or as it would be read
	Column, Row int    // in the panel, from 0
	X, Y        int    // its upper left corner
}

// face is how one side is laid out: its places along one axis and its heights
// along the other.
type face struct {
	side, title string
	places      []string // always drawn
	extra       []string // drawn where they were given
	heights     []string // in drawing order
	across      bool     // places run across the page, heights down
}

var (
	lengthways = []string{"front", "middle", "rear"}
	crossways  = []string{"nearside", "centre", "offside"}
	upwards    = []string{"low", "middle", "high"}
	downwards  = []string{"high", "middle", "low"}
)

var faces = map[string]face{
	"front":    {"front", "Front", crossways, nil, upwards, true},
	"overcab":  {"overcab", "Overcab", crossways, nil, upwards, true},
	"nearside": {"nearside", "Nearside", lengthways, []string{"door", "window", "arch", "locker"}, upwards, false},
	"roof":     {"roof", "Roof", lengthways, []string{"rooflight", "aerial"}, []string{"high"}, false},
	"offside":  {"offside", "Offside", lengthways, []string{"door", "window", "arch", "locker"}, downwards, false},
	"rear":     {"rear", "Rear", crossways, []string{"window"}, downwards, true},
	"floor":    {"floor", "Floor", lengthways, []string{"door", "washroom"}, []string{"low"}, false},
}

// Side is the part of a position before its first hyphen.
func Side(position string) string {
	side, _, _ := strings.Cut(position, "-")
	return side
}

// Lay places the panels: front, overcab where a position is there, then the
// sides about the roof, rear and floor. A position of no known side is left out.
func Lay(positions []string) Map {
	given := map[string][]string{}
	for _, p := range positions {
		given[Side(p)] = append(given[Side(p)], p)
	}
	const third = 3 * CellW
	middle := third + panelGap - 1
	var m Map
	y := 0
	column := func(side string) {
		p, h := draw(faces[side], given[side], middle, y)
		m.Panels = append(m.Panels, p)
		y += h + panelGap
	}
	column("front")
	if len(given["overcab"]) > 0 {
		column("overcab")
	}
	tallest := 0
	for i, side := range []string{"nearside", "roof", "offside"} {
		p, h := draw(faces[side], given[side], i*middle, y)
		if side == "roof" {
			p.centre(middle, third)
		}
		m.Panels = append(m.Panels, p)
		tallest = max(tallest, h)
	}
	y += tallest + panelGap
	column("rear")
	p, h := draw(faces["floor"], given["floor"], middle, y)
	p.centre(middle, third)
	m.Panels = append(m.Panels, p)
	m.Height = y + h
	return m
}

// centre moves a panel that is narrower than its column to the middle of it.
func (p *Panel) centre(x, width int) {
	columns := 0
	for _, c := range p.Cells {
		columns = max(columns, c.Column+1)
	}
	by := (width - columns*CellW) / 2
	for i := range p.Cells {
		p.Cells[i].X += by
	}
	p.TitleX = x + by
}

// Columns that fit: beside other panels, and in a panel that has the page's
// width to its right.
const (
	columnsBeside = 3
	columnsAlone  = 6
)

// draw lays one face out at x, y and returns it with its height. A position
// whose place or height the face does not know gets a row or column of its own,
// and what does not fit across is wrapped.
func draw(f face, given []string, x, y int) (Panel, int) {
	p := Panel{Side: f.side, Title: f.title, TitleX: x, TitleY: y + 12}
	places, heights := slices.Clone(f.places), slices.Clone(f.heights)
	at := map[string]string{}
	for _, position := range given {
		place, height := split(position)
		if !slices.Contains(places, place) {
			places = append(places, place)
		}
		if !slices.Contains(heights, height) {
			heights = append(heights, height)
		}
		at[place+"/"+height] = position
	}
	order := slices.Concat(f.places[:len(f.places)-1], f.extra, f.places[len(f.places)-1:])
	slices.SortStableFunc(places, func(a, b string) int { return rank(order, a) - rank(order, b) })
	rows := 0
	for i, place := range places {
		for k, height := range heights {
			position, wasGiven := at[place+"/"+height]
			if !wasGiven {
				if !slices.Contains(f.places, place) {
					continue
				}
				position = f.side + "-" + place + "-" + height
			}
			wraps := (len(heights)-1)/columnsBeside + 1
			c := Cell{Position: position, Column: k % columnsBeside, Row: i*wraps + k/columnsBeside}
			if f.across {
				c.Column, c.Row = i%columnsAlone, k+i/columnsAlone*len(heights)
			}
			rows = max(rows, c.Row+1)
			c.X, c.Y = x+c.Column*CellW, y+panelHead+c.Row*CellH
			p.Cells = append(p.Cells, c)
		}
	}
	return p, panelHead + rows*CellH
}

func rank(order []string, word string) int {
	if i := slices.Index(order, word); i >= 0 {
		return i
	}
	return len(order)
}

// split takes place and height out of SIDE-PLACE-HEIGHT.
func split(position string) (place, height string) {
	_, rest, _ := strings.Cut(position, "-")
	if i := strings.LastIndexByte(rest, '-'); i >= 0 {
		return rest[:i], rest[i+1:]
	}
	return rest, ""
}
