package pages

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// The body's panels are laid flat as if its walls were folded outwards: the
// roof in the middle, the nearside on the left, the offside on the right, the
// front above and the rear below, the floor apart. A wall's top is next to the
// roof.

const (
	cellW, cellH = 38, 24
	panelGap     = 10
	panelHead    = 16
)

// dampPoint is the checkpoint of a moisture meter's readings.
const dampPoint = "damp"

// structuralPct is where a moisture reading points to the structure: the top
// band of the trade's meters (secondary sources; see the damp checkpoint).
const structuralPct = 30

type dampMap struct {
	Label  string
	Height int
	Panels []panel
	Bands  []dampBand
}

type panel struct {
	Title          string
	TitleX, TitleY int
	Cells          []dampCell
}

type dampCell struct {
	drawnCell
	Title string
	Drawn template.HTML
}

// drawnCell is what is seen of a cell, alike on many vans.
type drawnCell struct {
	X, Y, TextX, TextY int
	Class, Text        string
}

// dampBand explains one pattern.
type dampBand struct{ Class, Text string }

// face is how one side of the body is laid out: its places along one axis and
// its heights along the other.
type face struct {
	side, title string
	places      []string // always drawn
	extra       []string // drawn where they were read
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

// dampMap draws the damp readings; nil where there are none.
func (s *site) dampMap(a appraise.Assessment) *dampMap {
	read := map[string][]appraise.Finding{} // by side
	n, worst := 0, appraise.Finding{}
	worstPct := -1.0
	for _, f := range a.Findings {
		if f.Code != dampPoint {
			continue
		}
		side, _, _ := strings.Cut(f.Position, "-")
		read[side] = append(read[side], f)
		n++
		if pct, err := strconv.ParseFloat(f.Value, 64); err == nil && pct > worstPct {
			worstPct, worst = pct, f
		}
	}
	if n == 0 {
		return nil
	}
	m := &dampMap{Label: fmt.Sprintf("Damp map of the body laid flat: %s read", count(n, "point"))}
	if worstPct >= 0 {
		m.Label += fmt.Sprintf(", the highest %s %% at %s", worst.Value, spaced(worst.Position))
	}
	book, _ := s.Yard.Books.Checkpoint(dampPoint)
	watch, high := book.WornAt.Or(15), book.DefectAt.Or(20)
	m.Bands = []dampBand{
		{"band-dry", fmt.Sprintf("below %g %%: dry", watch)},
		{"band-watch", fmt.Sprintf("%g to %g %%: watch", watch, high)},
		{"band-high", fmt.Sprintf("%g to %d %%: high", high, structuralPct)},
		{"band-structural", fmt.Sprintf("%d %% or more: structure", structuralPct)},
		{"band-unread", "not read"},
	}
	class := func(f appraise.Finding) string {
		pct, err := strconv.ParseFloat(f.Value, 64)
		switch {
		case err != nil && f.Verdict > data.Sound:
			return "band-high"
		case err != nil:
			return "band-unread"
		case pct >= structuralPct:
			return "band-structural"
		case pct >= high:
			return "band-high"
		case pct >= watch:
			return "band-watch"
		}
		return "band-dry"
	}
	m.lay(read, class)
	for _, p := range m.Panels {
		for i := range p.Cells {
			p.Cells[i].Drawn = s.cells.of(p.Cells[i].drawnCell)
		}
	}
	return m
}

// lay places the panels: front, overcab, then the sides about the roof, rear
// and floor.
func (m *dampMap) lay(read map[string][]appraise.Finding, class func(appraise.Finding) string) {
	const third = 3 * cellW
	middle := third + panelGap - 1
	y := 0
	column := func(side string) {
		if side == "overcab" && len(read[side]) == 0 {
			return
		}
		p, h := draw(faces[side], read[side], middle, y, class)
		m.Panels = append(m.Panels, p)
		y += h + panelGap
	}
	column("front")
	column("overcab")
	tallest := 0
	for i, side := range []string{"nearside", "roof", "offside"} {
		p, h := draw(faces[side], read[side], i*middle, y, class)
		if side == "roof" {
			p.centre(middle, third)
		}
		m.Panels = append(m.Panels, p)
		tallest = max(tallest, h)
	}
	y += tallest + panelGap
	column("rear")
	p, h := draw(faces["floor"], read["floor"], middle, y, class)
	p.centre(middle, third)
	m.Panels = append(m.Panels, p)
	m.Height = y + h
}

// centre moves a panel that is one cell wide to the middle of its column.
func (p *panel) centre(x, width int) {
	by := (width - cellW) / 2
	for i := range p.Cells {
		p.Cells[i].X += by
		p.Cells[i].TextX += by
	}
	p.TitleX = x + by
}

// draw lays one face out at x, y and returns it with its height. A reading
// whose place or height the face does not know gets a row of its own.
func draw(f face, read []appraise.Finding, x, y int, class func(appraise.Finding) string) (panel, int) {
	p := panel{Title: f.title, TitleX: x, TitleY: y + 12}
	places, heights := slices.Clone(f.places), slices.Clone(f.heights)
	at := map[string]appraise.Finding{}
	for _, r := range read {
		place, height := splitPoint(r.Position)
		if !slices.Contains(places, place) {
			places = append(places, place)
		}
		if !slices.Contains(heights, height) {
			heights = append(heights, height)
		}
		at[place+"/"+height] = r
	}
	order := slices.Concat(f.places[:len(f.places)-1], f.extra, f.places[len(f.places)-1:])
	slices.SortStableFunc(places, func(a, b string) int { return rankIn(order, a) - rankIn(order, b) })
	rows := 0
	for i, place := range places {
		for k, height := range heights {
			r, wasRead := at[place+"/"+height]
			if !wasRead && !slices.Contains(f.places, place) {
				continue
			}
			col, row := k, i
			if f.across {
				col, row = i, k
			}
			rows = max(rows, row+1)
			c := dampCell{Title: spaced(f.side + " " + place + " " + height + ": not read")}
			c.X, c.Y, c.Class, c.Text = x+col*cellW, y+panelHead+row*cellH, "band-unread", "–"
			c.TextX, c.TextY = c.X+cellW/2, c.Y+cellH/2+5
			if wasRead {
				c.Class = class(r)
				c.Text = shortValue(r.Value)
				c.Title = fmt.Sprintf("%s: %s %%, %s (%s)", spaced(r.Position), r.Value, r.Verdict, r.Source)
			}
			p.Cells = append(p.Cells, c)
		}
	}
	return p, panelHead + rows*cellH
}

// shortValue is a percent that fits its cell.
func shortValue(value string) string {
	if value == "" {
		return "?"
	}
	return value[:min(len(value), 5)]
}

func rankIn(order []string, word string) int {
	if i := slices.Index(order, word); i >= 0 {
		return i
	}
	return len(order)
}

// splitPoint takes place and height out of SIDE-PLACE-HEIGHT.
func splitPoint(position string) (place, height string) {
	_, rest, _ := strings.Cut(position, "-")
	if i := strings.LastIndexByte(rest, '-'); i >= 0 {
		return rest[:i], rest[i+1:]
	}
	return rest, ""
}
