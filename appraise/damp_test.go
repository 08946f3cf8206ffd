package appraise

import (
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
// no source. Two points are a unit of labour: the book's README, a patch about a
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
			[]string{"damp-second-reading@offside-rear-low"}},
		{"a lone high point that was high a year ago is believed",
			append(dampAt("offside-rear-low", 28, "offside-rear-middle", 12), before(read(damp, "offside-rear-low", 26))),
			[]string{"offside-rear-low: damp-local-repair rising"},
			[]string{"damp-dry@offside-rear-low ×0.5", "damp-local-repair@offside-rear-low ×0.5", "damp-reseal@offside-rear-low ×0.5"}},
		{"two neighbours are one area",
			dampAt("offside-rear-low", 22, "offside-rear-middle", 21),
			[]string{"offside-rear: damp-reseal"},
			[]string{"damp-dry@offside-rear", "damp-reseal@offside-rear"}},
		{"a watched neighbour bears a high one out but is no work itself",
			dampAt("offside-rear-low", 22, "offside-rear-middle", 16),
			[]string{"offside-rear: damp-reseal"},
			[]string{"damp-dry@offside-rear ×0.5", "damp-reseal@offside-rear ×0.5", "damp-second-reading@offside-rear"}},
		{"the repair band",
			dampAt("offside-rear-low", 25, "offside-rear-middle", 21),
			[]string{"offside-rear: damp-local-repair"},
			[]string{"damp-dry@offside-rear", "damp-local-repair@offside-rear", "damp-reseal@offside-rear"}},
		{"the structural band",
			dampAt("offside-rear-low", 30, "offside-rear-middle", 21),
			[]string{"offside-rear: damp-panel-repair"},
			[]string{"damp-dry@offside-rear", "damp-panel-repair@offside-rear", "damp-refit@offside-rear", "damp-reseal@offside-rear"}},
		{"four points in the repair band are a panel",
			dampAt("front-nearside-low", 26, "front-nearside-middle", 26, "front-centre-low", 27, "front-centre-middle", 25),
			[]string{"front: damp-panel-repair"},
			[]string{"damp-dry@front ×2.0", "damp-panel-repair@front ×2.0", "damp-refit@front ×2.0", "damp-reseal@front ×2.0"}},
		{"front and rear of a side do not touch",
			dampAt("nearside-front-low", 22, "nearside-rear-low", 22),
			[]string{"nearside-front-low: damp-second-reading lone", "nearside-rear-low: damp-second-reading lone"},
			[]string{"damp-second-reading@nearside-front-low", "damp-second-reading@nearside-rear-low"}},
		{"two sides are two areas",
			dampAt("offside-rear-low", 22, "offside-rear-middle", 22, "nearside-rear-low", 22, "nearside-rear-middle", 22),
			[]string{"nearside-rear: damp-reseal", "offside-rear: damp-reseal"},
			[]string{"damp-dry@nearside-rear", "damp-dry@offside-rear", "damp-reseal@nearside-rear", "damp-reseal@offside-rear"}},
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
		found = found || n.Serious && strings.Contains(n.Text, "rising: roof-front-high was 14 % on 2025-03-02")
	}
	if !found {
		t.Errorf("no serious note of rising damp: %v", a.Notes)
	}
	steady := assess(t, plainVan(), append(dampAt("roof-front-high", 18.5), before(read(damp, "roof-front-high", 18))), nil)
	if steady.Damp[0].Rising {
		t.Error("half a point is a meter's noise, not a rise")
	}
}

// The money that a lone reading may cost is not lost: it is carried as a risk.
func TestALoneReadingIsARisk(t *testing.T) {
	a := assess(t, plainVan(), dampAt("offside-rear-low", 32, "offside-rear-middle", 10), nil)
	for _, u := range a.Untested {
		if u.Checkpoint == damp && len(u.Places) == 1 && u.Places[0] == "offside-rear-low" {
			if u.Chance != loneChance || u.Job != dampPanelRepair {
				t.Errorf("got %v of %s, want %v of %s", u.Chance, u.Job, loneChance, dampPanelRepair)
			}
			return
		}
	}
	t.Error("the lone reading carries no risk")
}

func TestDampThatMeetsAtACorner(t *testing.T) {
	a := assess(t, plainVan(), dampAt(
		"offside-rear-low", 24, "offside-rear-middle", 22, "rear-offside-low", 23, "rear-offside-middle", 21,
		"nearside-front-low", 24, "nearside-front-middle", 22), nil)
	var got []string
	for _, n := range a.Notes {
		got = append(got, n.Text)
	}
	if want := []string{"The damp at offside-rear and at rear-offside meets at a corner: look for one leak."}; !cmp.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestAPointCondemnedWithoutAPercentStillAsksForWork(t *testing.T) {
	a := assess(t, plainVan(), []data.Reading{said(damp, "floor-rear-low", data.Defect, "board gives way")}, nil)
	if got, want := jobsOf(withoutPapers(a.Requests)), []string{"damp-local-repair@floor-rear-low ×0.5"}; !cmp.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
