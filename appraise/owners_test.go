package appraise

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

// The books' limits are said with the side that a value equal to one is on. 1.6
// mm: MOT limit; 3 mm and 7 years: the default policy.
func TestLimitsInWords(t *testing.T) {
	policy := data.DefaultPolicy()
	tests := []struct {
		name string
		of   data.Checkpoint
		want string
	}{
		{"the policy's tread stands beside the book's", data.Checkpoint{Code: tyreTread, Unit: "mm", WornAt: data.Some(4.0), DefectAt: data.Some(2.5), UnsafeAt: data.Some(1.6)},
			"Worn below 4 mm, a defect below 3 mm, unsafe below 1.6 mm."},
		{"years are said as such", data.Checkpoint{Code: tyreCode, Unit: "code", HighBad: true, WornAt: data.Some(5.0)},
			"Worn from 5 years, a defect from 7 years."},
		{"one year is a year", data.Checkpoint{Unit: "date", HighBad: true, WornAt: data.Some(1.0)}, "Worn from 1 year."},
		{"an alarm ends on its day", data.Checkpoint{Unit: "date", HighBad: true, DefectAt: data.Some(0.0)}, "A defect on and after that day."},
		{"no limits, no words", data.Checkpoint{Unit: "V"}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := LimitsOf(&tt.of, &policy)
			if got := l.Words(); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

// What is counted reads as English, whichever side of the limit it is on.
func TestCountsReadAsEnglish(t *testing.T) {
	van := plainVan()
	for _, tt := range []struct {
		checkpoint string
		x          float64
		verdict    data.Verdict
		want       string
	}{
		{keysCount, 1, data.Defect, "1 key: at least 2 wanted"},
		{keysCount, 2, data.Sound, "2 keys: at least 2 wanted"},
		{"fault-codes", 4, data.Defect, "4 fault codes: fewer than 4 wanted"},
	} {
		r := read(tt.checkpoint, "", tt.x)
		r.Value = quantity(tt.x, "", 0)
		f := findingAt(t, assess(t, van, []data.Reading{r}, nil), tt.checkpoint, "")
		if f.Verdict != tt.verdict || f.Reason != tt.want {
			t.Errorf("%s of %v: got %v, %q; want %v, %q", tt.checkpoint, tt.x, f.Verdict, f.Reason, tt.verdict, tt.want)
		}
	}
}

func TestUntestedPointsBySystem(t *testing.T) {
	points := []Untested{
		{Checkpoint: "b", System: "gas", Chance: 0.1},
		{Checkpoint: "a", System: "gas", Chance: 0.3},
		{Checkpoint: "c", System: "water", Chance: 0.5},
		{Checkpoint: "d", System: "water"},
		{Checkpoint: "e", Chance: 0.9},
		{Checkpoint: "f", System: "body", Chance: 0.5},
		{Checkpoint: "g", System: "gas", Chance: 0.1},
	}
	type system struct {
		Name   string
		Points []string
	}
	var got []system
	for _, s := range UntestedBySystem(points) {
		of := system{Name: s.System}
		for _, p := range s.Points {
			of.Points = append(of.Points, p.Checkpoint)
		}
		got = append(got, of)
	}
	want := []system{{"body", []string{"f"}}, {"gas", []string{"a", "b", "g"}}, {"water", []string{"c"}}}
	// Gas comes to 0.5 as well, by sum; ties go by name.
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestSeriousRemarksStandOnce(t *testing.T) {
	a := Assessment{
		Findings: []Finding{
			{Checkpoint: &data.Checkpoint{Title: "Gas hose"}, Verdict: data.Unsafe, Reason: "it leaks"},
			{Checkpoint: &data.Checkpoint{Title: "Brake pad"}, Position: "nearside-front", Verdict: data.Defect},
		},
		Papers:   Papers{Provenance: []Note{{Text: "Finance is owed.", Serious: true}, {Text: "It came with 1 key."}}},
		Identity: []Note{{Text: "Finance is owed.", Serious: true}},
		Notes:    []Note{{Text: "Damp is rising.", Serious: true}, {Text: "It came with 1 key."}},
	}
	text := func(notes []Note) (out []string) {
		for _, n := range notes {
			out = append(out, n.Text)
		}
		return out
	}
	if got, want := text(a.Serious()), []string{"Gas hose, unsafe: it leaks", "Finance is owed.", "Damp is rising."}; !slices.Equal(got, want) {
		t.Errorf("serious: got %q, want %q", got, want)
	}
	if got, want := text(a.Remarks()), []string{"It came with 1 key."}; !slices.Equal(got, want) {
		t.Errorf("others: got %q, want %q", got, want)
	}
}

// The edges are half-open: a reading at one is in the band above it.
func TestDampBands(t *testing.T) {
	bands := DampBandsOf(builtIn(t), &data.Policy{})
	for percent, want := range map[float64]DampBand{
		14.9: DampDry, 15: DampWatch, 19.9: DampWatch, 20: DampHigh, 24.9: DampHigh,
		25: DampRepair, 29.9: DampRepair, 30: DampStructural, 60: DampStructural,
	} {
		if got := bands.Of(percent); got != want {
			t.Errorf("%v %%: band %d, want %d", percent, got, want)
		}
	}
}

// Codes: etyres.co.uk. Week 10 of 2020 began on 2 March.
func TestTyreAgeInWords(t *testing.T) {
	on := data.NewDate(2026, 3, 2)
	for code, want := range map[string]string{"1020": "6.0 years old", "109": "at least 26.9 years old", "1126": "", "x": ""} {
		got, known := TyreAge(code, on)
		if got != want || known != (want != "") {
			t.Errorf("%s: %q, %v; want %q", code, got, known, want)
		}
	}
}
