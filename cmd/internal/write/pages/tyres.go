package pages

import (
	"cmp"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// tyrePlan is the wheels seen from above, front at the top, each with its tread
// and age in words beside it.
type tyrePlan struct {
	Label  string
	Height int
	Wheels []wheel
}

type wheel struct {
	X, Y  int
	Class string
	Lines []tyreText
}

// tyreText is a line of text beside a wheel.
type tyreText struct {
	X, Y   int
	Anchor string
	Text   string
}

const wheelW, wheelH = 26, 62

// seats are where the wheels stand; the text of a wheel runs outwards.
var seats = []struct {
	position, title string
	x, y            int
	left, twin      bool
}{
	{"nearside-front", "Nearside front", 112, 6, true, false},
	{"offside-front", "Offside front", 222, 6, false, false},
	{"nearside-rear", "Nearside rear", 112, 156, true, false},
	{"offside-rear", "Offside rear", 222, 156, false, false},
	{"nearside-rear-outer", "Nearside outer", 112, 156, true, true},
	{"nearside-rear-inner", "Nearside inner", 142, 244, true, true},
	{"offside-rear-outer", "Offside outer", 222, 156, false, true},
	{"offside-rear-inner", "Offside inner", 192, 244, false, true},
	{"spare", "Spare", 167, 340, false, false},
}

// tyres draws what was read of the tyres; nil where nothing was.
func (s *report) tyres(a appraise.Assessment) *tyrePlan {
	t := &tyrePlan{}
	of := appraise.Finding.OfTyre
	if !slices.ContainsFunc(a.Findings, of) {
		return nil
	}
	twins := slices.ContainsFunc(a.Findings, func(f appraise.Finding) bool {
		return of(f) && (strings.HasSuffix(f.Position, "-inner") || strings.HasSuffix(f.Position, "-outer"))
	})
	var said []string
	for _, seat := range seats {
		var tread, age, code string
		var words []string
		worst, read := data.NoVerdict, false
		for _, f := range a.Findings {
			if f.Position != seat.position || !of(f) {
				continue
			}
			read = true
			worst = max(worst, f.Verdict)
			if f.Value == "" {
				continue
			}
			switch {
			case f.IsTread():
				tread = f.Value + " mm tread"
			case f.IsTyreCode():
				code = "code " + f.Value
				if old, known := appraise.TyreAge(f.Value, s.AsOf); known {
					age = old
				} else {
					age = "age unknown"
				}
			}
		}
		if !read {
			if seat.twin || seat.position == "spare" || twins && strings.HasSuffix(seat.position, "-rear") {
				continue
			}
		}
		w := wheel{X: seat.x, Y: seat.y, Class: "tyre-" + cmp.Or(worst.String(), "untested")}
		line := tyreText{X: seat.x - 8, Y: seat.y + 12, Anchor: "end"}
		if !seat.left {
			line.X, line.Anchor = seat.x+wheelW+8, "start"
		}
		for _, text := range []string{seat.title, tread, age, code, cmp.Or(worst.String(), "not read")} {
			if text != "" {
				line.Text = text
				w.Lines = append(w.Lines, line)
				words = append(words, text)
				line.Y += 16
			}
		}
		t.Wheels = append(t.Wheels, w)
		t.Height = max(t.Height, seat.y+wheelH+8, line.Y-10)
		said = append(said, strings.Join(words, ", "))
	}
	t.Label = "Tyres from above, front at the top. " + strings.Join(said, ". ")
	return t
}
