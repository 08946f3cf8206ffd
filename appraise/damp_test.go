package appraise

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

// dampAt builds damp readings from position and percent in turn.
func dampAt(pairs ...any) (out []data.Reading) {
	for i := 0; i < len(pairs); i += 2 {
		var x float64
		switch v := pairs[i+1].(type) {
		case int:
			x = float64(v)
		case float64:
			x = v
		}
		out = append(out, read(damp, pairs[i].(string), x))
	}
	return out
}

// before moves a reading a year back.
func before(r data.Reading) data.Reading {
	r.TakenOn = r.TakenOn.AddDays(-365)
	return r
}

// Bands [15, 20) watch, [20, 25) reseal, [25, 30) repair, from 30 structural: the
// tables of caravanhospital.com, motorhomehabitationservice.com and openvan.camp.
// A lone reading weighs as local, several in a line as a seam: common practice,
// no source. Two points are a unit of labour: the README, a patch about a
// metre wide.
func TestDampAreas(t *testing.T) {
	tests := []struct {
		name     string
		readings []data.Reading
		areas    []string // place: remedy
		jobs     []string
	}{
		{"all dry", dampAt("offside-rear-low", 12, "offside-rear-middle", 14.9), nil, nil},
		{"watched",
			dampAt("offside-rear-low", 16, "offside-rear-middle", 12),
			[]string{"offside-rear-low: damp-second-reading"},
			[]string{"damp-second-reading@offside-rear-low"}},
		{"a lone high point among dry ones is read again first",
			dampAt("offside-rear-low", 28, "offside-rear-middle", 12, "offside-middle-low", 11),
			[]string{"offside-rear-low: damp-second-reading lone"},
			[]string{"damp-dry@offside-rear-low ×0.3", "damp-recheck@offside-rear-low ×0.3", "damp-local-repair@offside-rear-low ×0.3", "damp-reseal@offside-rear-low ×0.3", "damp-second-reading@offside-rear-low"}},
		{"a lone high point that was high a year ago is believed",
			append(dampAt("offside-rear-low", 28, "offside-rear-middle", 12), before(read(damp, "offside-rear-low", 26))),
			[]string{"offside-rear-low: damp-local-repair rising"},
			[]string{"damp-dry@offside-rear-low ×0.5", "damp-recheck@offside-rear-low ×0.5", "damp-local-repair@offside-rear-low ×0.5", "damp-reseal@offside-rear-low ×0.5"}},
		{"two neighbours are one area",
			dampAt("offside-rear-low", 22, "offside-rear-middle", 21),
			[]string{"offside-rear: damp-reseal"},
			[]string{"damp-dry@offside-rear", "damp-recheck@offside-rear", "damp-reseal@offside-rear"}},
		{"a watched neighbour bears a high one out but is no work itself",
			dampAt("offside-rear-low", 22, "offside-rear-middle", 16),
			[]string{"offside-rear: damp-reseal"},
			[]string{"damp-dry@offside-rear ×0.5", "damp-recheck@offside-rear ×0.5", "damp-reseal@offside-rear ×0.5", "damp-second-reading@offside-rear"}},
		{"the repair band",
			dampAt("offside-rear-low", 25, "offside-rear-middle", 21),
			[]string{"offside-rear: damp-local-repair"},
			[]string{"damp-dry@offside-rear", "damp-recheck@offside-rear", "damp-local-repair@offside-rear", "damp-reseal@offside-rear"}},
		{"the structural band",
			dampAt("offside-rear-low", 30, "offside-rear-middle", 21),
			[]string{"offside-rear: damp-panel-repair"},
			[]string{"damp-dry@offside-rear", "damp-recheck@offside-rear", "damp-panel-repair@offside-rear", "damp-refit@offside-rear", "damp-reseal@offside-rear"}},
		{"four points in the repair band are a panel",
			dampAt("front-nearside-low", 26, "front-nearside-middle", 26, "front-centre-low", 27, "front-centre-middle", 25),
			[]string{"front: damp-panel-repair"},
			[]string{"damp-dry@front ×2.0", "damp-recheck@front ×2.0", "damp-panel-repair@front ×2.0", "damp-refit@front ×2.0", "damp-reseal@front ×2.0"}},
		{"front and rear of a side do not touch",
			dampAt("nearside-front-low", 22, "nearside-rear-low", 22),
			[]string{"nearside-front-low: damp-second-reading lone", "nearside-rear-low: damp-second-reading lone"},
			[]string{
				"damp-dry@nearside-front-low ×0.2", "damp-recheck@nearside-front-low ×0.2", "damp-dry@nearside-rear-low ×0.2", "damp-recheck@nearside-rear-low ×0.2", "damp-reseal@nearside-front-low ×0.2", "damp-reseal@nearside-rear-low ×0.2",
				"damp-second-reading@nearside-front-low", "damp-second-reading@nearside-rear-low",
			}},
		{"three faces of a rear roof corner are one area",
			dampAt("nearside-rear-high", 22, "rear-nearside-high", 23, "roof-rear-high", 21),
			[]string{"rear-high: damp-reseal"},
			[]string{"damp-dry@rear-high ×1.5", "damp-recheck@rear-high ×1.5", "damp-reseal@rear-high ×1.5"}},
		{"three faces of a floor corner are one area",
			dampAt("offside-rear-low", 22, "rear-offside-low", 23, "floor-rear-low", 31),
			[]string{"rear-low: damp-panel-repair"},
			[]string{"damp-dry@rear-low ×1.5", "damp-recheck@rear-low ×1.5", "damp-panel-repair@rear-low ×1.5", "damp-refit@rear-low ×1.5", "damp-reseal@rear-low ×1.5"}},
		{"over-cab, wall and roof meet at a corner",
			dampAt("overcab-offside-high", 26, "offside-front-high", 22, "roof-front-high", 21),
			[]string{"overcab-offside-high: damp-local-repair"},
			[]string{"damp-dry@overcab-offside-high ×1.5", "damp-recheck@overcab-offside-high ×1.5", "damp-local-repair@overcab-offside-high ×1.5", "damp-reseal@overcab-offside-high ×1.5"}},
		{"up a corner by one step, not by two",
			dampAt("nearside-rear-low", 22, "rear-nearside-middle", 22, "offside-rear-low", 22, "rear-offside-high", 22),
			[]string{"nearside-rear: damp-reseal", "offside-rear-low: damp-second-reading lone", "rear-offside-high: damp-second-reading lone"},
			[]string{
				"damp-dry@nearside-rear", "damp-recheck@nearside-rear", "damp-dry@offside-rear-low ×0.2", "damp-recheck@offside-rear-low ×0.2", "damp-dry@rear-offside-high ×0.3", "damp-recheck@rear-offside-high ×0.3",
				"damp-reseal@nearside-rear", "damp-reseal@offside-rear-low ×0.2", "damp-reseal@rear-offside-high ×0.3",
				"damp-second-reading@offside-rear-low", "damp-second-reading@rear-offside-high",
			}},
		{"two sides are two areas",
			dampAt("offside-rear-low", 22, "offside-rear-middle", 22, "nearside-rear-low", 22, "nearside-rear-middle", 22),
			[]string{"nearside-rear: damp-reseal", "offside-rear: damp-reseal"},
			[]string{"damp-dry@nearside-rear", "damp-recheck@nearside-rear", "damp-dry@offside-rear", "damp-recheck@offside-rear", "damp-reseal@nearside-rear", "damp-reseal@offside-rear"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := assess(t, plainVan(), tt.readings, nil)
			var areas []string
			for _, d := range a.Damp {
				s := d.Place + ": " + d.Remedy
				if d.Lone {
					s += " lone"
				}
				if d.Rising {
					s += " rising"
				}
				areas = append(areas, s)
			}
			if diff := cmp.Diff(tt.areas, areas); diff != "" {
				t.Errorf("areas (-want +got)\n%s", diff)
			}
			a.Requests = withoutPapers(a.Requests)
			slices.Sort(tt.jobs)
			if diff := cmp.Diff(tt.jobs, jobsOf(a.Requests, "damp")); diff != "" {
				t.Errorf("jobs (-want +got)\n%s", diff)
			}
		})
	}
}

// withoutPapers drops what missing papers ask for.
func withoutPapers(requests []JobRequest) (out []JobRequest) {
	for _, w := range requests {
		if !w.AskedOn.IsZero() {
			out = append(out, w)
		}
	}
	return out
}

func TestRisingDampIsSaid(t *testing.T) {
	a := assess(t, plainVan(), append(dampAt("roof-front-high", 18), before(read(damp, "roof-front-high", 14))), nil)
	if len(a.Damp) != 1 || !a.Damp[0].Rising {
		t.Fatalf("got %+v, want one rising area", a.Damp)
	}
	found := false
	for _, n := range a.Notes {
		found = found || n.Serious && strings.Contains(n.Text, "rising: roof front high was 14% on 2 Mar 2025")
	}
	if !found {
		t.Errorf("no serious note of rising damp: %v", a.Notes)
	}
	steady := assess(t, plainVan(), append(dampAt("roof-front-high", 18.5), before(read(damp, "roof-front-high", 18))), nil)
	if steady.Damp[0].Rising {
		t.Error("half a point is a meter's noise, not a rise")
	}
}

// A lone reading is priced by how bad it is and where: over the cab and at corners
// of the roof leaks are likeliest. Common practice, no source.
func TestALoneReadingIsPricedByHowBadAndWhere(t *testing.T) {
	tests := []struct {
		name     string
		position string
		percent  float64
		ifReal   string
		chance   float64
	}{
		{"high, low on a wall", "offside-rear-low", 20, dampReseal, 0.4},
		{"repair band", "offside-rear-low", 25, dampLocalRepair, 0.6},
		{"structural", "offside-rear-low", 30, dampPanelRepair, 0.8},
		{"high, at a roof corner of a wall", "offside-rear-high", 20, dampReseal, 0.6},
		{"high, on the roof's rear", "roof-rear-high", 22, dampReseal, 0.6},
		{"high, in the middle of a wall's top", "offside-middle-high", 22, dampReseal, 0.4},
		{"repair band, at a roof corner of the front", "front-nearside-high", 29.9, dampLocalRepair, 0.8},
		{"structural, over the cab, low", "overcab-centre-low", 30, dampPanelRepair, 0.95},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			van := plainVan()
			van.Body = data.Overcab
			a := assess(t, van, dampAt(tt.position, tt.percent), nil)
			d := a.Damp[0]
			if !d.Lone || d.Remedy != dampSecondReading || d.IfReal != tt.ifReal || d.Chance != tt.chance {
				t.Errorf("got lone %v, %s, if real %s at %v; want %s at %v", d.Lone, d.Remedy, d.IfReal, d.Chance, tt.ifReal, tt.chance)
			}
			want := tt.ifReal + "@" + tt.position + " ×" + quantity(tt.chance/2, "", 1)
			if got := jobsOf(a.Requests, tt.ifReal); len(got) != 1 || got[0] != want {
				t.Errorf("priced as %v, want %s", got, want)
			}
			for _, u := range a.Untested {
				if u.Checkpoint == damp && slices.Contains(u.Places, tt.position) {
					t.Errorf("priced a second time as untested: %+v", u)
				}
			}
		})
	}
}

func TestALoneReadingNamesTheNeighboursToRead(t *testing.T) {
	a := assess(t, plainVan(), dampAt("nearside-rear-low", 24, "nearside-rear-middle", 12, "rear-nearside-low", 11), nil)
	d := a.Damp[0]
	want := []string{"nearside-middle-low", "nearside-middle-middle", "rear-nearside-middle", "floor-rear-low"}
	if diff := cmp.Diff(want, d.Unread); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	reason := "a single reading of 24% with 2 dry points beside it: re-read it, and nearside middle low, nearside middle middle, rear nearside middle and floor rear low, before spending money; until then allowed for as real in 40% of cases"
	if d.Reason != reason {
		t.Errorf("got %q, want %q", d.Reason, reason)
	}
	if d := assess(t, plainVan(), dampAt("nearside-window-low", 24), nil).Damp[0]; !strings.Contains(d.Reason, "re-read it, and the points around it, before") {
		t.Errorf("a window is next to everything: %q", d.Reason)
	}
}

func TestDampPointsReadOfThoseThereAre(t *testing.T) {
	van := plainVan()
	a := assess(t, van, dampAt("nearside-rear-low", 12, "roof-rear-high", 10), nil)
	book, _ := builtIn(t).Checkpoint(damp)
	overcab := 0
	for _, p := range book.Positions {
		if strings.HasPrefix(p, "overcab-") {
			overcab++
		}
	}
	if a.DampRead != 2 || a.DampPoints != len(book.Positions)-overcab {
		t.Errorf("%d of %d points, want 2 of %d", a.DampRead, a.DampPoints, len(book.Positions)-overcab)
	}
	van.Body = data.Overcab
	if a = assess(t, van, nil, nil); a.DampRead != 0 || a.DampPoints != len(book.Positions) {
		t.Errorf("%d of %d points on an overcab, want 0 of %d", a.DampRead, a.DampPoints, len(book.Positions))
	}
}

func TestDampThatReachesOverACorner(t *testing.T) {
	a := assess(t, plainVan(), dampAt(
		"offside-rear-low", 24, "offside-rear-middle", 22, "rear-offside-low", 23, "rear-offside-middle", 21,
		"nearside-front-low", 24, "nearside-front-middle", 22), nil)
	var got []string
	for _, n := range a.Notes {
		got = append(got, n.Text)
	}
	if want := []string{"The damp at offside rear reaches over a corner (offside and rear): look for one leak."}; !cmp.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestAPointCondemnedWithoutAPercentStillAsksForWork(t *testing.T) {
	a := assess(t, plainVan(), []data.Reading{said(damp, "floor-rear-low", data.Defect, "board gives way")}, nil)
	if got, want := jobsOf(withoutPapers(a.Requests)), []string{"damp-local-repair@floor-rear-low ×0.5"}; !cmp.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
