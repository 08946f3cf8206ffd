package bodymap

import (
	"testing"

	"pgregory.net/rapid"
)

func cells(m Map) map[string]Cell {
	out := map[string]Cell{}
	for _, p := range m.Panels {
		for _, c := range p.Cells {
			out[c.Position] = c
		}
	}
	return out
}

func TestAWallsTopIsNextToTheRoof(t *testing.T) {
	at := cells(Lay(nil))
	roof := at["roof-middle-high"]
	for _, tt := range []struct{ high, low string }{
		{"nearside-middle-high", "nearside-middle-low"}, {"offside-middle-high", "offside-middle-low"},
		{"front-centre-high", "front-centre-low"}, {"rear-centre-high", "rear-centre-low"},
	} {
		if far := func(name string) int {
			c := at[name]
			return (c.X-roof.X)*(c.X-roof.X) + (c.Y-roof.Y)*(c.Y-roof.Y)
		}; far(tt.high) >= far(tt.low) {
			t.Errorf("%s is not nearer to the roof than %s", tt.high, tt.low)
		}
	}
}

// Every position of a known side has one cell inside the drawing, and no two
// share one.
func TestPositionsHaveCellsOfTheirOwn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := rapid.SampledFrom([]string{"front", "overcab", "nearside", "roof", "offside", "rear", "floor"})
		word := rapid.SampledFrom([]string{"front", "middle", "rear", "door", "washroom", "under-the-seat", "nearside", "bed", "stove", "sink"})
		height := rapid.SampledFrom([]string{"low", "middle", "high", "knee", "top"})
		var positions []string
		for range rapid.IntRange(0, 12).Draw(t, "positions") {
			positions = append(positions, side.Draw(t, "side")+"-"+word.Draw(t, "place")+"-"+height.Draw(t, "height"))
		}
		m := Lay(positions)
		at := cells(m)
		type corner struct{ x, y int }
		taken := map[corner]string{}
		for name, c := range at {
			if c.X < 0 || c.X+CellW > Width || c.Y < 0 || c.Y+CellH > m.Height {
				t.Errorf("%s lies outside: %+v", name, c)
			}
			if other, ok := taken[corner{c.X, c.Y}]; ok {
				t.Errorf("%s and %s share a cell", name, other)
			}
			taken[corner{c.X, c.Y}] = name
		}
		for _, p := range positions {
			if _, ok := at[p]; !ok {
				t.Errorf("%s has no cell", p)
			}
		}
	})
}
