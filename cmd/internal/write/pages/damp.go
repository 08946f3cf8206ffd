package pages

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/bodymap"
	"github.com/vanwright/vanwright/data"
)

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
	X, Y, TextX, TextY int
	Class, Text, Title string
}

// dampBand explains one pattern.
type dampBand struct{ Class, Text string }

// dampMap draws the damp readings; nil where there are none.
func (s *report) dampMap(a appraise.Assessment) *dampMap {
	read := map[string]appraise.Finding{} // by position
	n, worst := 0, appraise.Finding{}
	worstPct := -1.0
	for _, f := range a.Findings {
		if f.Code != appraise.DampCheckpoint {
			continue
		}
		read[f.Position] = f
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
		m.Label += fmt.Sprintf(", the highest %s%% at %s", worst.Value, data.Title(worst.Position))
	}
	bands := appraise.DampBandsOf(s.Yard.Books, &s.Policy)
	m.Bands = []dampBand{
		{"band-dry", fmt.Sprintf("below %g%%: dry", bands.Watch)},
		{"band-watch", fmt.Sprintf("%g to %g%%: watch", bands.Watch, bands.High)},
		{"band-high", fmt.Sprintf("%g to %g%%: high", bands.High, bands.Structural)},
		{"band-structural", fmt.Sprintf("%g%% or more: structure", bands.Structural)},
		{"band-unread", "not read"},
	}
	class := func(f appraise.Finding) string {
		pct, err := strconv.ParseFloat(f.Value, 64)
		switch {
		case err != nil && f.Verdict > data.Sound:
			return "band-high"
		case err != nil:
			return "band-unread"
		}
		return bandClasses[bands.Of(pct)]
	}
	m.lay(read, class)
	return m
}

// bandClasses are the patterns of the bands.
var bandClasses = map[appraise.DampBand]string{
	appraise.DampDry: "band-dry", appraise.DampWatch: "band-watch", appraise.DampHigh: "band-high",
	appraise.DampRepair: "band-high", appraise.DampStructural: "band-structural",
}

// lay places the panels, each reading in its cell.
func (m *dampMap) lay(read map[string]appraise.Finding, class func(appraise.Finding) string) {
	body := bodymap.Lay(slices.Sorted(maps.Keys(read)))
	m.Height = body.Height
	for _, side := range body.Panels {
		p := panel{Title: side.Title, TitleX: side.TitleX, TitleY: side.TitleY}
		for _, at := range side.Cells {
			c := dampCell{Title: data.Title(at.Position + ": not read")}
			c.X, c.Y, c.Class, c.Text = at.X, at.Y, "band-unread", "–"
			c.TextX, c.TextY = c.X+bodymap.CellW/2, c.Y+bodymap.CellH/2+5
			if f, ok := read[at.Position]; ok {
				c.Class = class(f)
				c.Text = shortValue(f.Value)
				c.Title = fmt.Sprintf("%s: %s%%, %s", data.Title(f.Position), f.Value, f.Verdict)
			}
			p.Cells = append(p.Cells, c)
		}
		m.Panels = append(m.Panels, p)
	}
}

// shortValue is a percent that fits its cell.
func shortValue(value string) string {
	if value == "" {
		return "?"
	}
	return value[:min(len(value), 5)]
}
