package form

import (
	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/bodymap"
	"github.com/vanwright/vanwright/data"
)

// bodyMap is the body laid flat, as the reports draw it.
type bodyMap struct {
	Width  int     `json:"width"`
	Height int     `json:"height"`
	CellW  int     `json:"cellW"`
	CellH  int     `json:"cellH"`
	Panels []panel `json:"panels"`
}

type panel struct {
	Side   string     `json:"side"`
	Title  string     `json:"title"`
	Hint   string     `json:"hint"` // how it is seen
	TitleX int        `json:"titleX"`
	TitleY int        `json:"titleY"`
	Cells  []bodyCell `json:"cells"`
}

type bodyCell struct {
	Position string `json:"position"`
	Column   int    `json:"column"`
	Row      int    `json:"row"`
	X        int    `json:"x"`
	Y        int    `json:"y"`
}

// seen says how a side is held: a wall's top is next to the roof.
var seen = map[string]string{
	"nearside": "low on the left, front above", "offside": "low on the right, front above",
	"front": "low above, nearside on the left", "overcab": "low above, nearside on the left",
	"rear": "low below, nearside on the left", "roof": "front above", "floor": "front above",
}

func newBodyMap(positions []string) bodyMap {
	laid := bodymap.Lay(positions)
	m := bodyMap{Width: bodymap.Width, Height: laid.Height, CellW: bodymap.CellW, CellH: bodymap.CellH}
	for _, p := range laid.Panels {
		out := panel{Side: p.Side, Title: p.Title, Hint: seen[p.Side], TitleX: p.TitleX, TitleY: p.TitleY}
		for _, c := range p.Cells {
			out.Cells = append(out.Cells, bodyCell{c.Position, c.Column, c.Row, c.X, c.Y})
		}
		m.Panels = append(m.Panels, out)
	}
	return m
}

// band is a range of damp readings with the pattern that the reports draw it in.
type band struct {
	Class string   `json:"class"`
	From  *float64 `json:"from"` // percent; nil: from nothing
}

func bands(books *data.Books, policy data.Policy) []band {
	b := appraise.DampBandsOf(books, &policy)
	return []band{{"band-structural", &b.Structural}, {"band-high", &b.High}, {"band-watch", &b.Watch}, {"band-dry", nil}}
}
