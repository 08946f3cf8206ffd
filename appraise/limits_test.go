package appraise

import (
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Limits of the built-in book and the default policy. 1.6 mm: MOT limit,
// ukmot.com. 3 mm at retail: common practice, no source. 10 mbar: EN 1949 s4.3
// via a secondary copy. Damp edges: caravanhospital.com and others.
func TestValuesBecomeVerdicts(t *testing.T) {
	tests := []struct {
		name       string
		checkpoint string
		position   string
		x          float64
		want       data.Verdict
		reason     string
	}{
		{"deep tread", tyreTread, "nearside-front", 6.0, data.Sound, "6.0 mm is not below the wear limit of 4.0 mm"},
		{"tread at the wear limit has not passed it", tyreTread, "nearside-front", 4.0, data.Sound, "4.0 mm is not below"},
		{"tread below the wear limit", tyreTread, "nearside-front", 3.9, data.Worn, "3.9 mm is below the wear limit of 4.0 mm"},
		{"tread at the dealer's limit", tyreTread, "nearside-front", 3.0, data.Worn, "3.0 mm is below the wear limit of 4.0 mm"},
		{"tread below the dealer's limit", tyreTread, "nearside-front", 2.1, data.Defect, "2.1 mm is below our retail limit of 3.0 mm"},
		{"tread at the legal limit is legal", tyreTread, "nearside-front", 1.6, data.Defect, "1.6 mm is below our retail limit of 3.0 mm"},
		{"tread below the legal limit", tyreTread, "nearside-front", 1.5, data.Unsafe, "1.5 mm is below the legal limit of 1.6 mm"},
		{"gas may drop 10 mbar", "gas-drop", "", 10, data.Sound, "10.0 mbar is not above the unsafe limit of 10.0 mbar"},
		{"gas may not drop more", "gas-drop", "", 10.1, data.Unsafe, "10.1 mbar is above the unsafe limit of 10.0 mbar"},
		{"300 ms is allowed", "rcd-trip", "", 300, data.Sound, "300.0 ms is not above the unsafe limit of 300.0 ms"},
		{"301 ms is not", "rcd-trip", "", 301, data.Unsafe, "301.0 ms is above the unsafe limit of 300.0 ms"},
		{"five times rated is optional and proves nothing", "rcd-trip-five", "", 41, data.Sound, "41.0 ms recorded"},
		{"damp just below the watch band", damp, "offside-rear-low", 14.9, data.Sound, "14.9% is below the wear limit of 15.0%"},
		{"damp at the watch band has reached it", damp, "offside-rear-low", 15, data.Worn, "15.0% is at or above the wear limit of 15.0%"},
		{"damp at the high band", damp, "offside-rear-low", 20, data.Defect, "20.0% is at or above the defect limit of 20.0%"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := findingAt(t, assess(t, plainVan(), []data.Reading{read(tt.checkpoint, tt.position, tt.x)}, nil), tt.checkpoint, tt.position)
			if f.Verdict != tt.want || !strings.HasPrefix(f.Reason, tt.reason) {
				t.Errorf("got %v, %q; want %v, %q", f.Verdict, f.Reason, tt.want, tt.reason)
			}
		})
	}
}

// A limit of which the book says that a value equal to it has reached it.
func TestALowLimitThatIsReached(t *testing.T) {
	c := data.Checkpoint{Unit: "V", DefectAt: data.Some(12.2), AtLimit: data.AtLimitReached}
	l := LimitsOf(&c, &data.Policy{})
	for x, want := range map[float64]string{12.2: "12.2 V is at or below the defect limit of 12.2 V", 12.3: "12.3 V is above the defect limit of 12.2 V"} {
		if _, why := l.judge(x, quantity(x, "V", 1)); why != want {
			t.Errorf("got %q, want %q", why, want)
		}
	}
	if got, want := l.Words(), "A defect at or below 12.2 V."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// The dealer's own damp bands take the place of the book's; the reading stays.
func TestTheDealersOwnDampBands(t *testing.T) {
	policy := data.DefaultPolicy()
	policy.DampBands = []int{12, 18, 22, 28}
	a := assessed(plainVan(), dampAt("offside-rear-low", 18, "offside-rear-middle", 28), nil, nil, builtIn(t), policy, asOfTests)
	if f := findingAt(t, a, damp, "offside-rear-low"); f.Verdict != data.Defect || f.Value != "18.0" {
		t.Errorf("18%% is %v (%s), want a defect as read", f.Verdict, f.Value)
	}
	if d := a.Damp[0]; d.Remedy != dampPanelRepair || d.HighPoints != 2 {
		t.Errorf("got %s with %d high points, want a panel repair with 2", d.Remedy, d.HighPoints)
	}
}

func TestTheDealersOwnTreadReplacesTheBooks(t *testing.T) {
	policy := data.DefaultPolicy()
	policy.MinTreadMM = 4.5
	a := assessed(plainVan(), []data.Reading{read(tyreTread, "nearside-front", 4.2)}, nil, nil, builtIn(t), policy, asOfTests)
	f := findingAt(t, a, tyreTread, "nearside-front")
	if want := "4.2 mm is below our retail limit of 4.5 mm"; f.Verdict != data.Defect || f.Reason != want {
		t.Errorf("got %v, %q; want defect, %q", f.Verdict, f.Reason, want)
	}
}

// data/README.md: where the checkpoint has limits the value decides, and a verdict
// that is worse than the value says stands.
func TestTheWorseOfValueAndWordStands(t *testing.T) {
	tests := []struct {
		name string
		x    float64
		word data.Verdict
		want data.Verdict
	}{
		{"a good word does not mend a bad value", 1.2, data.Sound, data.Unsafe},
		{"a bad word stands over a good value", 7.0, data.Unsafe, data.Unsafe},
		{"no word leaves the value", 3.5, data.NoVerdict, data.Worn},
		{"untested beside a value leaves the value", 7.0, data.Untested, data.Sound},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := read(tyreTread, "nearside-front", tt.x)
			r.Verdict, r.Note = tt.word, "bulge in the wall"
			f := findingAt(t, assess(t, plainVan(), []data.Reading{r}, nil), tyreTread, "nearside-front")
			if f.Verdict != tt.want {
				t.Errorf("got %v, want %v (%s)", f.Verdict, tt.want, f.Reason)
			}
			if tt.word == data.Unsafe && !strings.Contains(f.Reason, "reported unsafe: bulge in the wall") {
				t.Errorf("the inspector is not quoted: %q", f.Reason)
			}
		})
	}
}

func TestTheLatestReadingCounts(t *testing.T) {
	old, young := read(damp, "front-centre-low", 25), read(damp, "front-centre-low", 12)
	old.TakenOn = asOfTests.AddDays(-400)
	for name, readings := range map[string][]data.Reading{"old first": {old, young}, "young first": {young, old}} {
		a := assess(t, plainVan(), readings, nil)
		if len(a.Findings) != 1 {
			t.Fatalf("%s: got %d findings, want 1", name, len(a.Findings))
		}
		f := a.Findings[0]
		if want := "it was 25.0% on 2 Feb 2025"; f.Verdict != data.Sound || !strings.HasSuffix(f.Reason, want) {
			t.Errorf("%s: got %v, %q; want sound, … %q", name, f.Verdict, f.Reason, want)
		}
	}
}

func TestAJobThatTheYardsBookLacksIsLeftBlank(t *testing.T) {
	books, err := data.NewBooks([]data.Checkpoint{{Code: tyreTread, Unit: "mm", DefectAt: data.Some(3.0)}}, nil, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	a := assessed(plainVan(), []data.Reading{read(tyreTread, "nearside-front", 1)}, nil, nil, books, data.DefaultPolicy(), asOfTests)
	if f := a.Findings[0]; f.Verdict != data.Defect || f.Job != "" || len(a.Requests) != 0 {
		t.Errorf("got %v, job %q, wants %v; want a defect without a job", f.Verdict, f.Job, a.Requests)
	}
}

func TestAgesFallOnAnniversaries(t *testing.T) {
	tests := []struct {
		from, to string
		want     float64
	}{
		{"2019-03-09", "2026-03-09", 7},
		{"2020-02-29", "2021-02-28", 1}, // the last day of the shorter month
		{"2020-02-29", "2024-02-29", 4},
		{"2026-03-09", "2026-03-09", 0},
		{"2026-03-09", "2025-03-09", -1},
		{"2025-01-01", "2026-07-02", 1 + 182.0/365},
	}
	for _, tt := range tests {
		if got := ageYears(day(t, tt.from), day(t, tt.to)); got != tt.want {
			t.Errorf("%s to %s: got %v, want %v", tt.from, tt.to, got, tt.want)
		}
	}
	if before := ageYears(day(t, "2019-03-09"), day(t, "2026-03-08")); before >= 7 || years(before) != "6.9" {
		t.Errorf("a day short of seven years: got %v, written %s; want below 7, written 6.9", before, years(before))
	}
}
