package appraise

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

// Bands: 5 and 7 years fls-cara-tech.co.uk, 10 years motorhomefulltime.com, from
// manufacture; before 2000 replace at once (etyres.co.uk).
func TestTyreAges(t *testing.T) {
	tests := []struct {
		name, code string
		want       data.Verdict
		reason     string
	}{
		{"young", "1023", data.Sound, "3.0 years old (code 1023, made in the week of 6 Mar 2023) is below the wear limit of 5 years"},
		{"six years", "1020", data.Worn, "is at or above the wear limit of 5 years"},
		{"a week short of seven", "1119", data.Worn, "6.9 years old"},
		{"seven years to the week", "1019", data.Defect, "7.0 years old (code 1019, made in the week of 4 Mar 2019) is at or above our retail limit of 7 years"},
		{"ten years", "0916", data.Unsafe, "is at or above the unsafe limit of 10 years"},
		{"three digits", "308", data.Unsafe, "at least 27.6 years old (code 308 has three digits, so it was made before 2000)"},
		{"three digits on a young van", "304", data.Unsafe, "should a spreadsheet have cut 0304 to this"},
		{"no such week", "5419", data.Untested, "2019 has no week 54; re-read it"},
		{"a lost first digit", "814", data.Untested, "perhaps it is 0814 with its first digit lost"},
		{"not made yet", "3026", data.Untested, "after the day of this report"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := findingAt(t, assess(t, plainVan(), []data.Reading{text(tyreCode, "offside-rear", tt.code)}, nil), tyreCode, "offside-rear")
			if f.Verdict != tt.want || !strings.Contains(f.Reason, tt.reason) {
				t.Errorf("got %v, %q; want %v, … %q", f.Verdict, f.Reason, tt.want, tt.reason)
			}
		})
	}
}

// Table: load index chart of pirelli.com. 96: 2 × 710 = 1,420 trailermedic.co.uk.
func TestLoadIndices(t *testing.T) {
	for index, kg := range map[int]int{75: 387, 83: 487, 96: 710, 107: 975, 108: 1000, 116: 1250, 129: 1850} {
		if got, ok := tyreKg(index); !ok || got != kg {
			t.Errorf("index %d: got %d, want %d", index, got, kg)
		}
	}
	for _, index := range []int{74, 130, 0, -5} {
		if got, ok := tyreKg(index); ok {
			t.Errorf("index %d: got %d, want none", index, got)
		}
	}
}

// Rear axle of 2,000 kg: 107 gives 1,950 and fails, 108 gives 2,000 and just
// passes (reckoned from the chart). Two indices: first single, second twin
// (ETRTO, from memory).
func TestTyresAgainstTheAxle(t *testing.T) {
	tests := []struct {
		name, position, value string
		axle                  data.Opt[int]
		want                  data.Verdict
		reason                string
	}{
		{"too weak by 50 kg", "nearside-rear", "107", data.Some(2000), data.Defect, "load index 107 carries 2 × 975 = 1950 kg, less than the 2000 kg plated for the rear axle"},
		{"just enough", "nearside-rear", "108", data.Some(2000), data.Sound, "enough for the 2000 kg"},
		{"twins use the second figure", "nearside-rear-inner", "112/110", data.Some(4240), data.Sound, "load index 110 carries 4 × 1060 = 4240 kg"},
		{"twins too weak", "offside-rear-outer", "112/110R", data.Some(4241), data.Defect, "less than the 4241 kg"},
		{"single wheel uses the first", "nearside-rear", "112/110", data.Some(2240), data.Sound, "load index 112 carries 2 × 1120 = 2240 kg"},
		{"axle unknown", "nearside-rear", "107", data.Opt[int]{}, data.Sound, "is not known, so nothing was compared"},
		{"outside the table", "nearside-rear", "60", data.Some(2000), data.Untested, "outside the table"},
		{"spare", "spare", "107", data.Some(2000), data.Sound, "recorded"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			van := plainVan()
			van.RearAxleKg = tt.axle
			f := findingAt(t, assess(t, van, []data.Reading{text(tyreLoadIndex, tt.position, tt.value)}, nil), tyreLoadIndex, tt.position)
			if f.Verdict != tt.want || !strings.Contains(f.Reason, tt.reason) {
				t.Errorf("got %v, %q; want %v, … %q", f.Verdict, f.Reason, tt.want, tt.reason)
			}
		})
	}
}

// Each tyre is bought once. Common practice, no source.
func TestTyreJobs(t *testing.T) {
	worn := func(wheels ...string) (out []data.Reading) {
		for _, w := range wheels {
			out = append(out, read(tyreTread, w, 2))
		}
		return out
	}
	tests := []struct {
		name     string
		readings []data.Reading
		want     []string
	}{
		{"one wheel", worn("nearside-front"), []string{"tyre-replace@nearside-front"}},
		{"one wheel by tread and by age is one tyre",
			append(worn("nearside-front"), text(tyreCode, "nearside-front", "1010")),
			[]string{"tyre-replace@nearside-front"}},
		{"both of an axle", worn("nearside-front", "offside-front"), []string{"tyre-axle@front"}},
		{"one on each axle", worn("nearside-front", "offside-rear"),
			[]string{"tyre-replace@nearside-front", "tyre-replace@offside-rear"}},
		{"three", worn("nearside-front", "offside-front", "offside-rear"), []string{"tyre-axle@front", "tyre-replace@offside-rear"}},
		{"all four", worn("nearside-front", "offside-front", "nearside-rear", "offside-rear"), []string{"tyre-set"}},
		{"the spare is its own", worn("nearside-front", "spare"), []string{"tyre-replace@nearside-front", "tyre-spare"}},
		{"twin axle", worn("nearside-rear-inner", "nearside-rear-outer", "offside-rear-inner", "offside-rear-outer"),
			[]string{"tyre-twin-axle@rear"}},
		{"three of four twins", worn("nearside-rear-inner", "nearside-rear-outer", "offside-rear-inner"),
			[]string{"tyre-replace@nearside-rear-inner", "tyre-replace@nearside-rear-outer", "tyre-replace@offside-rear-inner"}},
		{"unequal kinds on an axle ask for both of it, and with the other axle for a set",
			append(worn("nearside-rear", "offside-rear"), said("tyre-construction", "front", data.Defect, "")),
			[]string{"tyre-set"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := jobsOf(assess(t, plainVan(), tt.readings, nil).Requests, "tyre")
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

func TestABookThatCountsAxlesByTheVanGetsSingleTyres(t *testing.T) {
	books, err := data.NewBooks(
		[]data.Checkpoint{{Code: tyreTread, Unit: "mm", DefectAt: data.Some(3.0), Job: tyreJob}},
		[]data.LabourJob{
			{Code: tyreJob, HoursHigh: 1, Per: "position"},
			{Code: tyreAxleJob, HoursHigh: 1, Per: "van", Absorbs: []string{tyreJob}},
		}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	readings := []data.Reading{read(tyreTread, "nearside-front", 2), read(tyreTread, "offside-front", 2), read(tyreTread, "offside-rear", 2)}
	a := assessed(plainVan(), readings, nil, nil, books, data.DefaultPolicy(), asOfTests)
	want := []string{"tyre-replace@nearside-front", "tyre-replace@offside-front", "tyre-replace@offside-rear"}
	if diff := cmp.Diff(want, jobsOf(a.Requests)); diff != "" {
		t.Errorf("three tyres must not become one axle (-want +got)\n%s", diff)
	}
}

func TestMixedTyresOnAnAxleAreSaid(t *testing.T) {
	a := assess(t, plainVan(), []data.Reading{
		text(tyreCode, "nearside-front", "1020"), text(tyreCode, "offside-front", "1023"),
		text(tyreCode, "nearside-rear", "1020"), text(tyreCode, "offside-rear", "4020"),
		text(tyreLoadIndex, "nearside-rear", "112"), text(tyreLoadIndex, "offside-rear", "116"),
	}, nil)
	var got []string
	for _, n := range a.Notes {
		got = append(got, n.Text)
	}
	want := []string{
		"Tyres of mixed age on the front axle: nearside front is 3.0 years older than offside front.",
		"Tyres of different load index on the rear axle: 112, 116.",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestBrakePadsAreFittedInPairs(t *testing.T) {
	a := assess(t, plainVan(), []data.Reading{read("brake-pad", "offside-front", 2)}, nil)
	got := jobsOf(a.Requests, "brake-pads")
	if want := []string{"brake-pads@nearside-front", "brake-pads@offside-front"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Q 160 km/h, H 210: lets-getaway.com and barretire.com.
func TestSpeedSymbols(t *testing.T) {
	a := assess(t, plainVan(), []data.Reading{
		text(tyreSpeedSymbol, "nearside-front", "Q"), text(tyreSpeedSymbol, "offside-front", "h"), text(tyreSpeedSymbol, "spare", "7"),
	}, nil)
	for position, want := range map[string]string{
		"nearside-front": "speed symbol Q, up to 160 km/h", "offside-front": "speed symbol H, up to 210 km/h", "spare": "7 is no speed symbol",
	} {
		if f := findingAt(t, a, tyreSpeedSymbol, position); !strings.HasPrefix(f.Reason, want) {
			t.Errorf("%s: got %q, want %q …", position, f.Reason, want)
		}
	}
	if want := "Tyres of different speed symbol on the front axle: H, Q."; len(a.Notes) != 1 || a.Notes[0].Text != want {
		t.Errorf("got %v, want %q", a.Notes, want)
	}
}

// Load indices and kilograms a tyre as a public file lists them, in agreement with
// tyre makers (secondary; the law's list is UN Regulation 54, annex 4).
func TestLoadIndicesOfThePublishedList(t *testing.T) {
	for i, kg := range []int{
		800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, 1060,
		1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360, 1400, 1450,
	} {
		if got, ok := tyreKg(100 + i); !ok || got != kg {
			t.Errorf("load index %d is %d kg, want %d", 100+i, got, kg)
		}
	}
}
