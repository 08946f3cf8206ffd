package appraise

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Each test of this file stands on one limit: the value that still is allowed and
// the next one that is not. Limits of mileages, damp and reminders are common
// practice, no source.

func TestWhichMileageMayFollowAnother(t *testing.T) {
	start := data.NewDate(2020, 1, 1)
	for _, tt := range []struct {
		name         string
		before, then int
		days         int
		want         bool
	}{
		{"100 miles lower is a rounded figure", 20000, 19900, 30, true},
		{"101 miles lower is a fall", 20000, 19899, 30, false},
		{"60,000 a year and 1,000 to spare, over four years", 30000, 271000, 1461, true},
		{"a mile more", 30000, 271001, 1461, false},
		{"exactly tenfold within 400 days, up by 27,000", 3000, 30000, 400, false},
		{"the same in 401 days", 3000, 30000, 401, true},
		{"a mile short of tenfold", 3000, 29999, 400, true},
		{"tenfold and more, up by 25,000", 2000, 27000, 300, true},
		{"up by a mile more", 2000, 27001, 300, false},
		{"26,000 in a year is no tenfold of 20,000", 20000, 46000, 365, true},
		{"tenfold of nothing tells nothing", 0, 30000, 300, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a, b := milesEntry{on: start, miles: tt.before}, milesEntry{on: start.AddDays(tt.days), miles: tt.then}
			if got := fits(a, b); got != tt.want {
				t.Errorf("%d, then %d after %d days: fits %v, want %v", tt.before, tt.then, tt.days, got, tt.want)
			}
		})
	}
}

func TestWhatAnOddMileageReadsLike(t *testing.T) {
	history := func(odd int) []milesEntry { return []milesEntry{{miles: 10000}, {miles: odd}, {miles: 20000}} }
	for _, tt := range []struct {
		name    string
		entries []milesEntry
		at      int
		want    string
	}{
		{"a tenth of it is 3 % under the one before", history(97000), 1, ", which reads like a digit too many"},
		{"and a little more than that", history(96990), 1, ""},
		{"a tenth of it is 3 % over the one after", history(206000), 1, ", which reads like a digit too many"},
		{"and a little more", history(206010), 1, ""},
		{"ten times it lies between them", history(1500), 1, ", which reads like a digit too few"},
		{"15,000 miles in kilometres", history(24140), 1, ", which reads like kilometres"},
		{"the first has none before it", history(1500), 0, ""},
		{"the last has none after it", []milesEntry{{miles: 10000}, {miles: 12000}, {miles: 110000}}, 2, ""},
	} {
		if got := guess(tt.entries, tt.at); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestMileageJumpsWithoutAFall(t *testing.T) {
	for name, second := range map[string]int{"a paper of 100 miles less": 7900, "a paper of 50 miles more": 8050} {
		docs := []data.Document{paper(t, "invoice", "2025-01-01", 8000), paper(t, "invoice", "2025-02-01", second)}
		van := plainVan()
		van.Mileage = 95000
		in := inspection{van: van, books: builtIn(t), policy: data.DefaultPolicy(), asOf: asOfTests}
		if got, notes := in.mileage(sortedDocs(docs)); got != MileageJumps {
			t.Errorf("%s: %s, want jumps: %v", name, got, notes)
		}
	}
}

// The steepest rise is the one that lies furthest above 60,000 a year, not the
// largest: 80,000 in two months rather than 90,000 in two years.
func TestTheSteepestRiseIsNamed(t *testing.T) {
	docs := []data.Document{paper(t, "invoice", "2021-05-01", 5000), paper(t, "invoice", "2023-05-01", 95000), paper(t, "invoice", "2023-07-01", 175000)}
	van := plainVan()
	van.Mileage = 180000
	in := inspection{van: van, books: builtIn(t), policy: data.DefaultPolicy(), asOf: asOfTests}
	got, notes := in.mileage(sortedDocs(docs))
	if got != MileageJumps || !strings.Contains(notes[0].Text, "95,000 miles (invoice of 1 May 2023), then 175,000 miles (invoice of 1 Jul 2023)") {
		t.Errorf("%s: %v", got, notes)
	}
}

// A paper of the day of the report counts; one of the next day is left out.
func TestPapersOfTheDayCount(t *testing.T) {
	for _, tt := range []struct {
		on   string
		want MileageCheck
	}{{"2026-03-09", MileageJumps}, {"2026-03-10", MileageUnknown}} {
		in := inspection{van: plainVan(), books: builtIn(t), policy: data.DefaultPolicy(), asOf: asOfTests}
		if got, _ := in.mileage([]data.Document{paper(t, "invoice", tt.on, 42000)}); got != tt.want {
			t.Errorf("an invoice of %s with more miles than the van: %s, want %s", tt.on, got, tt.want)
		}
	}
}

// 49 CFR 565: J is 1 and N 5, P 7, R 9, S 2 and Z 9; I, O and Q stand for nothing.
func TestValuesOfVINLetters(t *testing.T) {
	for letters, values := range map[string][]int{
		"0129": {0, 1, 2, 9}, "ABGH": {1, 2, 7, 8}, "JKMN": {1, 2, 4, 5}, "PR": {7, 9}, "STYZ": {2, 3, 8, 9}, "IOQ-": {-1, -1, -1, -1},
	} {
		for i, want := range values {
			if got := vinValue(letters[i]); got != want {
				t.Errorf("%c is %d, want %d", letters[i], got, want)
			}
		}
	}
}

// The check digit binds in North America, whose VINs begin with 1 to 5.
func TestWhereACheckDigitBinds(t *testing.T) {
	for first, binds := range map[string]bool{"0": false, "1": true, "5": true, "6": false} {
		notes := vinNotes(first+"M8GDM9A0KP042788", 2019)
		if len(notes) != 1 || notes[0].Serious != binds {
			t.Errorf("a VIN that begins with %s and has a wrong check digit: %v, serious %v wanted", first, notes, binds)
		}
	}
}

// Seventeen characters are the rule for types from 1982 on.
func TestChassisNumbersOfOldVans(t *testing.T) {
	for year, serious := range map[int]bool{1981: false, 1982: true, 0: true} {
		if notes := vinNotes("ABC12345", year); len(notes) != 1 || notes[0].Serious != serious {
			t.Errorf("eight characters in %d: %v, serious %v wanted", year, notes, serious)
		}
	}
}

// The age identifier 50 is March to August 2050, 51 September 2001.
func TestLastAgeIdentifiers(t *testing.T) {
	for age, from := range map[string]data.Date{"50": data.NewDate(2050, 3, 1), "51": data.NewDate(2001, 9, 1), "00": data.NewDate(2050, 9, 1)} {
		reg := "AB" + age + "CDE"
		if got := currentMarkOf(reg); got.from != from {
			t.Errorf("%s is issued from %v, want %v", reg, got.from, from)
		}
	}
}

// A mark may be issued on the day of the report, and on that of first registration.
func TestMarksOfTheDay(t *testing.T) {
	van := plainVan()
	van.Reg, van.FirstRegistered = "AB"+"26"+" CDE", data.NewDate(2026, 3, 1)
	if notes := markNotes(van, data.NewDate(2026, 3, 1)); len(notes) != 0 {
		t.Errorf("registered on the first day of its mark: %v", notes)
	}
	if notes := markNotes(van, data.NewDate(2026, 2, 28)); len(notes) != 1 || !notes[0].Serious {
		t.Errorf("a mark of the next day: %v", notes)
	}
	van.FirstRegistered = data.NewDate(2026, 2, 28)
	if notes := markNotes(van, data.NewDate(2026, 3, 9)); len(notes) != 1 || !notes[0].Serious {
		t.Errorf("registered a day before its mark: %v", notes)
	}
}

// 9 March 2026 is the Monday of week 11: a tyre of that week is new, and counts.
func TestATyreOfThisWeek(t *testing.T) {
	if age, ok := TyreAge("1126", asOfTests); !ok || age != "0.0 years old" {
		t.Errorf("%q, %v", age, ok)
	}
	a := assess(t, plainVan(), []data.Reading{text(tyreCode, "nearside-front", "1126"), text(tyreCode, "offside-front", "1019")}, nil)
	if f := findingAt(t, a, tyreCode, "nearside-front"); f.Verdict != data.Sound {
		t.Errorf("%v: %s", f.Verdict, f.Reason)
	}
	if len(a.Notes) != 1 || !strings.Contains(a.Notes[0].Text, "mixed age on the front axle: offside front is 7.0 years older than nearside front") {
		t.Errorf("notes %v", a.Notes)
	}
}

// Of tyres of one age the first is named, as the oldest and as the newest.
func TestMixedTwinsNameTheFirstOfEachAge(t *testing.T) {
	var readings []data.Reading
	for position, code := range map[string]string{"nearside-rear-inner": "1015", "nearside-rear-outer": "1020", "offside-rear-inner": "1015", "offside-rear-outer": "1020"} {
		readings = append(readings, text(tyreCode, position, code))
	}
	a := assess(t, plainVan(), readings, nil)
	if len(a.Notes) != 1 || !strings.Contains(a.Notes[0].Text, "nearside rear inner is 5.0 years older than nearside rear outer") {
		t.Errorf("notes %v", a.Notes)
	}
}

// 308 is week 30 of 1998, or 0308 with its nought lost: week 3 of 2008, which
// begins on Monday 14 January. A van of 2000 on may have been sold with such a tyre.
func TestACodeThatASpreadsheetMayHaveCut(t *testing.T) {
	const cut = "should a spreadsheet have cut 0308 to this"
	for _, tt := range []struct {
		name        string
		first, asOf data.Date
		want        bool
	}{
		{"on the Monday, a van of 2000", data.NewDate(2000, 3, 1), data.NewDate(2008, 1, 14), true},
		{"the day before", data.NewDate(2000, 3, 1), data.NewDate(2008, 1, 13), false},
		{"a van of 1999", data.NewDate(1999, 3, 1), data.NewDate(2008, 1, 14), false},
	} {
		van := plainVan()
		van.FirstRegistered = tt.first
		r := text(tyreCode, "nearside-front", "308")
		r.TakenOn = tt.asOf
		a := assessed(van, []data.Reading{r}, nil, nil, builtIn(t), data.DefaultPolicy(), tt.asOf)
		if got := strings.Contains(findingAt(t, a, tyreCode, "nearside-front").Reason, cut); got != tt.want {
			t.Errorf("%s: spoken of %v, want %v", tt.name, got, tt.want)
		}
	}
}

// Four seats and 7,000 mm ask for 10 × 4 + 70 = 110 kg. Weighed, so that nothing
// may be out, with nobody aboard: four people are 300 kg.
func TestPayloadOnItsLimits(t *testing.T) {
	weigh := func(change func(v *data.Van)) Weights {
		van := plainVan()
		van.Equipment = nil
		van.MaxMassKg, van.Belts, van.LengthMM = data.Some(3500), data.Some(4), data.Some(7000)
		change(&van)
		in := inspection{van: van, books: builtIn(t), policy: data.DefaultPolicy(), asOf: asOfTests}
		return in.weigh()
	}
	remarks := func(w Weights) string {
		var all []string
		for _, r := range w.Remarks {
			all = append(all, r.Text)
		}
		return strings.Join(all, " ")
	}
	weighed := func(kg int) func(v *data.Van) { return func(v *data.Van) { v.WeighedKg = data.Some(kg) } }
	running := func(kg int) func(v *data.Van) { return func(v *data.Van) { v.RunningMassKg = data.Some(kg) } }
	if w := weigh(weighed(3090)); w.AllBeltsKg != 110 || w.BelowMinimum || len(w.Remarks) > 0 {
		t.Errorf("110 kg left: %+v", w)
	}
	if w := weigh(weighed(3091)); !w.BelowMinimum || !strings.Contains(remarks(w), "payload left 109 kg; minimum 110 kg") {
		t.Errorf("109 kg left: %+v", w)
	}
	if w := weigh(weighed(3200)); w.AllBeltsKg != 0 || !strings.Contains(remarks(w), "payload left 0 kg") {
		t.Errorf("nothing left: %+v", w)
	}
	if w := weigh(weighed(3201)); !strings.Contains(remarks(w), "it is 1 kg over its maximum mass") {
		t.Errorf("a kilogram over: %+v", w)
	}
	if w := weigh(weighed(3424)); w.PayloadKg != 1 || strings.Contains(remarks(w), "leaves nothing") {
		t.Errorf("a kilogram with the driver: %+v", w)
	}
	if w := weigh(weighed(3425)); w.PayloadKg != 0 || !strings.Contains(remarks(w), "leaves nothing") {
		t.Errorf("nothing with the driver: %+v", w)
	}
	// 5 % of 2,000 kg are 100; with the driver in the brochure's mass three more are
	// 225: 2,435 would leave 110 of 2,770 with the 5 % taken off.
	thin := func(max int) Weights {
		return weigh(func(v *data.Van) { running(2000)(v); v.MaxMassKg = data.Some(max) })
	}
	if w := thin(2435); w.ToleranceKg != 100 || w.AllBeltsKg != 210 || len(w.Remarks) > 0 {
		t.Errorf("110 kg with 5 %% off: %+v", w)
	}
	if w := thin(2434); !strings.Contains(remarks(w), "may be out by 5%, which is 100 kg") {
		t.Errorf("109 kg with 5 %% off: %+v", w)
	}
	axles := func(front, rear, onFront, onRear int) Weights {
		return weigh(func(v *data.Van) {
			weighed(2900)(v)
			v.FrontAxleKg, v.RearAxleKg, v.WeighedFrontKg, v.WeighedRearKg = data.Some(front), data.Some(rear), data.Some(onFront), data.Some(onRear)
		})
	}
	if w := axles(1600, 1900, 1600, 1900); w.AxleSumShort || len(w.Remarks) > 0 {
		t.Errorf("axles that add up to the maximum, each at its plate: %+v", w)
	}
	if w := axles(1600, 1899, 1601, 1800); !w.AxleSumShort || !strings.Contains(remarks(w), "front axle weighs 1601 kg, 1 kg over its plate") {
		t.Errorf("a kilogram short, and one over: %+v", w)
	}
}

// Bands 15, 20, 25 and 30 each begin at their edge.
func TestDampOnTheEdgeOfItsBands(t *testing.T) {
	area := func(points map[string]float64) DampArea {
		var readings []data.Reading
		for position, x := range points {
			readings = append(readings, read(damp, position, x))
		}
		a := assess(t, plainVan(), readings, nil)
		if len(a.Damp) != 1 {
			t.Fatalf("%v: areas %+v", points, a.Damp)
		}
		return a.Damp[0]
	}
	const low, middle, high = "offside-centre-low", "offside-centre-middle", "offside-centre-high"
	for _, tt := range []struct {
		name   string
		points map[string]float64
		remedy string
		says   string
		count  int
	}{
		{"at 15 a neighbour belongs to the area", map[string]float64{low: 22, middle: 15, high: 10}, "damp-reseal", "dry out and reseal", 2},
		{"below 15 it is dry, and the high one lone", map[string]float64{low: 22, middle: 14.9}, "damp-second-reading", "with 1 dry point beside it", 1},
		{"at 25 it is repaired", map[string]float64{low: 25, middle: 20}, "damp-local-repair", "needs repair", 2},
		{"below it is resealed", map[string]float64{low: 24.9, middle: 20}, "damp-reseal", "dry out and reseal", 2},
		{"at 30 it is structural", map[string]float64{low: 30, middle: 20}, "damp-panel-repair", "structure likely wet", 2},
		{"below it is repaired", map[string]float64{low: 29.9, middle: 20}, "damp-local-repair", "needs repair", 2},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a := area(tt.points)
			if a.Remedy != tt.remedy || !strings.Contains(a.Reason, tt.says) || len(a.Points) != tt.count {
				t.Errorf("%s of %d points: %s", a.Remedy, len(a.Points), a.Reason)
			}
		})
	}
	if a := area(map[string]float64{low: 22, middle: 22}); a.Worst != low {
		t.Errorf("of two points alike %s is the worst, want the first by name", a.Worst)
	}
}

// Two readings of one point, both high, are no lone reading; the second at 20
// exactly is high, at 19.9 it is not.
func TestARepeatedReadingIsNotLone(t *testing.T) {
	for first, lone := range map[float64]bool{20: false, 19.9: true} {
		older := read(damp, "offside-centre-low", first)
		older.TakenOn = older.TakenOn.AddDays(-60)
		a := assess(t, plainVan(), []data.Reading{older, read(damp, "offside-centre-low", 20)}, nil)
		if len(a.Damp) != 1 || a.Damp[0].Lone != lone {
			t.Errorf("%v, then 20: %+v", first, a.Damp)
		}
	}
}

// Where the sides of the body meet. Each pair is held both ways round.
func TestPointsThatTouch(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"nearside-rear-high", "rear-nearside-high", true},
		{"nearside-rear-high", "rear-nearside-middle", true},
		{"nearside-rear-high", "rear-nearside-low", false},
		{"nearside-rear-high", "rear-offside-high", false},
		{"nearside-rear-high", "front-nearside-high", false},
		{"nearside-rear-high", "roof-rear-high", true},
		{"nearside-rear-middle", "roof-rear-high", false},
		{"nearside-rear-high", "roof-front-high", false},
		{"nearside-rear-low", "floor-rear-low", true},
		{"nearside-rear-middle", "floor-rear-low", false},
		{"nearside-rear-low", "floor-front-low", false},
		{"nearside-front-high", "overcab-nearside-low", true},
		{"nearside-front-middle", "overcab-nearside-low", false},
		{"nearside-rear-high", "overcab-nearside-low", false},
		{"nearside-front-high", "overcab-offside-low", false},
		{"front-centre-high", "roof-front-high", true},
		{"front-centre-middle", "roof-front-high", false},
		{"front-centre-high", "roof-rear-high", false},
		{"rear-centre-low", "floor-rear-low", true},
		{"rear-centre-high", "floor-rear-low", false},
		{"rear-centre-low", "floor-front-low", false},
		{"front-centre-high", "overcab-centre-low", true},
		{"front-centre-high", "overcab-centre-high", false},
		{"front-centre-middle", "overcab-centre-low", false},
		{"front-nearside-high", "overcab-centre-low", false},
		{"rear-centre-high", "overcab-centre-low", false},
		{"overcab-centre-high", "roof-front-high", true},
		{"overcab-centre-low", "roof-front-high", false},
		{"overcab-centre-high", "roof-rear-high", false},
		{"roof-front-high", "floor-front-low", false},
		{"overcab-centre-high", "floor-front-low", false},
	} {
		point := func(position string) (p dampPoint) {
			p.side, p.place, p.height = splitPoint(position)
			return p
		}
		a, b := point(tt.a), point(tt.b)
		if neighbours(a, b) != tt.want || neighbours(b, a) != tt.want {
			t.Errorf("%s and %s: %v and %v, want %v", tt.a, tt.b, neighbours(a, b), neighbours(b, a), tt.want)
		}
	}
}

// An alarm that ends in 60 days is spoken of, in 61 it is not; on its day it has
// ended.
func TestAnAlarmNearItsEnd(t *testing.T) {
	for days, want := range map[int]data.Verdict{0: data.Defect, 1: data.Worn, 60: data.Worn, 61: data.Sound} {
		r := text(coAlarmExpiry, "", asOfTests.AddDays(days).String())
		r.Day = asOfTests.AddDays(days)
		if f := findingAt(t, assess(t, plainVan(), []data.Reading{r}, nil), coAlarmExpiry, ""); f.Verdict != want {
			t.Errorf("in %d days: %v, want %v (%s)", days, f.Verdict, want, f.Reason)
		}
	}
}

// The table's own rows give its own figures (vanjunkies.co.uk), and below and above
// it nothing is made up.
func TestChargeOnTheRowsOfItsTable(t *testing.T) {
	lead := chemistries[0]
	for i, volts := range lead.volts {
		if got := lead.charge(volts); math.Abs(got-float64(10*i)) > 1e-9 {
			t.Errorf("%v V is %v %%, want %d", volts, got, 10*i)
		}
	}
	if low, high := lead.charge(11), lead.charge(14); low != 0 || high != 100 {
		t.Errorf("11 V is %v %%, 14 V %v %%", low, high)
	}
	van := plainVan()
	van.Equipment = []string{"battery-lithium"}
	for volts, says := range map[float64]bool{12.9: true, 12.89: false} { // 20 % of the lithium table
		f := findingAt(t, assess(t, van, []data.Reading{read(batteryRestVolts, "", volts)}, nil), batteryRestVolts, "")
		if got := strings.Contains(f.Reason, "says little of a lithium pack"); got != says {
			t.Errorf("%v V: %s", volts, f.Reason)
		}
	}
}

// A policy without a least tread or a greatest age leaves the book's limits.
func TestPolicyOfNothingLeavesTheBook(t *testing.T) {
	policy := data.DefaultPolicy()
	policy.MinTreadMM, policy.TyreAgeYears = 0, 0
	for code, want := range map[string]float64{tyreTread: 3, tyreCode: 7} {
		c, _ := builtIn(t).Checkpoint(code)
		l := LimitsOf(c, &policy)
		i := slices.IndexFunc(l.Steps(), func(s Limit) bool { return s.Verdict == data.Defect })
		if i < 0 || l.Steps()[i].At != want || l.Steps()[i].Whose != "the book's" {
			t.Errorf("%s: %+v, want the book's defect limit of %v", code, l.Steps(), want)
		}
	}
}

// Work counts from the day it was done, on the report's day too; a fault found on
// the day of a certificate does not make it history, one found the day after does.
func TestWorkAndFaultsOfTheDay(t *testing.T) {
	certificate := paper(t, "gas-certificate", "2026-03-02", 0)
	certificate.Mileage = data.Opt[int]{}
	fault := func(on string) []data.Reading {
		r := said("gas-hose-condition", "", data.Defect, "perished")
		r.TakenOn = day(t, on)
		return []data.Reading{r}
	}
	gone := func(a Assessment) bool { return len(a.Papers.Ended) > 0 }
	for on, want := range map[string]bool{"2026-03-02": false, "2026-03-03": true, "2026-03-09": true} {
		if a := assess(t, plainVan(), fault(on), []data.Document{certificate}); gone(a) != want {
			t.Errorf("a fault of %s: history %v, want %v", on, gone(a), want)
		}
	}
	done := func(on string) []data.Progress {
		return []data.Progress{{StockID: "T-1", Job: "gas-regulator", State: data.JobDone, DoneOn: day(t, on)}}
	}
	for on, want := range map[string]bool{"2026-03-02": false, "2026-03-03": true, "2026-03-09": true, "2026-03-10": false} {
		a := assessed(plainVan(), nil, []data.Document{certificate}, done(on), builtIn(t), data.DefaultPolicy(), asOfTests)
		if gone(a) != want {
			t.Errorf("a regulator of %s: history %v, want %v", on, gone(a), want)
		}
	}
	mended := func(on string) bool {
		progress := []data.Progress{{StockID: "T-1", Job: "gas-hose", State: data.JobDone, DoneOn: day(t, on)}}
		a := assessed(plainVan(), fault("2026-03-03"), nil, progress, builtIn(t), data.DefaultPolicy(), asOfTests)
		return !findingAt(t, a, "gas-hose-condition", "").MendedOn.IsZero()
	}
	if mended("2026-03-02") || !mended("2026-03-03") {
		t.Error("work of the reading's day mends what it found, work of the day before does not")
	}
}

// What a job says that it touches counts before its skill.
func TestWhatAJobTouches(t *testing.T) {
	for _, tt := range []struct {
		name string
		job  data.LabourJob
		gas  bool
	}{
		{"nothing said, a gas fitter's", data.LabourJob{Skill: "gas"}, true},
		{"nothing said, a mechanic's", data.LabourJob{Skill: "mechanical"}, false},
		{"touches water only, a gas fitter's", data.LabourJob{Skill: "gas", Touches: []string{"water"}}, false},
		{"proves gas only, a gas fitter's", data.LabourJob{Skill: "gas", Proves: []string{"gas"}}, false},
		{"touches gas, a mechanic's", data.LabourJob{Skill: "mechanical", Touches: []string{"gas"}}, true},
	} {
		if got := Touches(&tt.job, systemGas); got != tt.gas {
			t.Errorf("%s: touches gas %v, want %v", tt.name, got, tt.gas)
		}
	}
}

// A reading of the report's day is one of today; of the next it is said.
func TestAReadingAfterTheReportIsSaid(t *testing.T) {
	for days, said := range map[int]bool{0: false, 1: true} {
		r := read(tyreTread, "nearside-front", 5)
		r.TakenOn = asOfTests.AddDays(days)
		f := findingAt(t, assess(t, plainVan(), []data.Reading{r}, nil), tyreTread, "nearside-front")
		if got := strings.Contains(f.Reason, "after the day of this report"); got != said {
			t.Errorf("%d days on: %s", days, f.Reason)
		}
	}
}

// A value that tells nothing leaves a bad word standing and no good one; a word no
// worse than the value adds nothing.
func TestWordsBesideValues(t *testing.T) {
	bad := text(tyreCode, "nearside-front", "9999")
	for word, want := range map[data.Verdict]data.Verdict{data.Sound: data.Untested, data.Worn: data.Worn, data.Defect: data.Defect} {
		bad.Verdict = word
		if f := findingAt(t, assess(t, plainVan(), []data.Reading{bad}, nil), tyreCode, "nearside-front"); f.Verdict != want {
			t.Errorf("a code that cannot be, and %v: %v, want %v", word, f.Verdict, want)
		}
	}
	same := read(tyreTread, "nearside-front", 2.5)
	same.Verdict, same.Note = data.Defect, "low"
	if f := findingAt(t, assess(t, plainVan(), []data.Reading{same}, nil), tyreTread, "nearside-front"); strings.Contains(f.Reason, "but") {
		t.Errorf("value and word say the same: %s", f.Reason)
	}
}

// Either a spare wheel or a repair kit is on a van.
func TestASpareWheelOrAKit(t *testing.T) {
	points := func(readings ...data.Reading) []string {
		var out []string
		for _, u := range assess(t, plainVan(), readings, nil).Untested {
			if u.Checkpoint == spareWheel || u.Checkpoint == tyreRepairKit {
				out = append(out, u.Checkpoint)
			}
		}
		slices.Sort(out)
		return out
	}
	both := []string{spareWheel, tyreRepairKit}
	slices.Sort(both)
	if got := points(); !slices.Equal(got, both) {
		t.Errorf("with neither read: %v", got)
	}
	kit := text(tyreRepairKit, "", "2028-06-30")
	kit.Day = data.NewDate(2028, 6, 30)
	for name, r := range map[string]data.Reading{"the kit": kit, "the spare": said(spareWheel, "", data.Sound, ""), "the spare's tread": read(tyreTread, "spare", 6)} {
		for _, left := range points(r) {
			if name == "the kit" && left == spareWheel || name != "the kit" && left == tyreRepairKit {
				t.Errorf("with %s read, %s is still asked for", name, left)
			}
		}
	}
}

// A spare of 11 years is unsafe. Four new road tyres do not mend it, and no MOT lifts
// it, as the spare is not part of the test (MOT inspection manual section 5.2.2,
// quoted at wildcamping.co.uk); a new spare mends it, and a later reading lifts it.
func TestASpareWheelIsMendedByASpare(t *testing.T) {
	old := text(tyreCode, spare, "4114")
	mot := paper(t, "mot", "2026-03-05", 29000)
	done := func(job string) []data.Progress {
		return []data.Progress{{StockID: "T-1", Job: job, State: data.JobDone, DoneOn: day(t, "2026-03-04")}}
	}
	for _, tt := range []struct {
		name          string
		readings      []data.Reading
		progress      []data.Progress
		mended, stops bool
	}{
		{"four road tyres and an MOT", []data.Reading{old}, done(tyreSetJob), false, true},
		{"a spare and an MOT", []data.Reading{old}, done(tyreSpareJob), true, true},
		{"the new one read", []data.Reading{old, func() data.Reading { r := text(tyreCode, spare, "0226"); r.TakenOn = asOfTests; return r }()}, done(tyreSpareJob), false, false},
	} {
		a := assessed(plainVan(), tt.readings, []data.Document{mot}, tt.progress, builtIn(t), data.DefaultPolicy(), asOfTests)
		f := findingAt(t, a, tyreCode, spare)
		if !f.MendedOn.IsZero() != tt.mended || f.Stops != tt.stops {
			t.Errorf("%s: mended %v, stops %v: %s", tt.name, f.MendedOn, f.Stops, f.Reason)
		}
		if says := f.Says(); f.Stops && !strings.HasSuffix(says, "Only a later reading lifts this.") {
			t.Errorf("%s: %s", tt.name, says)
		}
	}
	road := text(tyreCode, "nearside-front", "4114")
	if f := findingAt(t, assessed(plainVan(), []data.Reading{road}, []data.Document{mot}, done(tyreSetJob), builtIn(t), data.DefaultPolicy(), asOfTests), tyreCode, "nearside-front"); f.MendedOn.IsZero() || f.Stops {
		t.Errorf("a road tyre, four new ones and an MOT: mended %v, stops %v", f.MendedOn, f.Stops)
	}
}
