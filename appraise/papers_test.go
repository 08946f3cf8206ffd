package appraise

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// paper builds an original paper in hand.
func paper(t testing.TB, kind, dated string, miles int, covers ...string) data.Document {
	t.Helper()
	d := data.Document{Kind: kind, Dated: day(t, dated), Evidence: "original", Covers: covers, Held: "yes"}
	if miles > 0 {
		d.Mileage = data.Some(miles)
	}
	return d
}

// fullHistory is everything that a van registered on 1 May 2019 with 30,000 miles
// can show on 9 March 2026.
func fullHistory(t testing.TB) []data.Document {
	t.Helper()
	docs := []data.Document{
		paper(t, "registration", "2019-05-01", 0),
		paper(t, "handbook", "2019-05-01", 0),
		paper(t, "invoice", "2024-04-20", 22000, "timing-belt", "coolant", "brake-fluid"),
		paper(t, "gas-certificate", "2025-06-01", 0),
		paper(t, "electrical-certificate", "2024-05-01", 0),
		{Kind: "mot", Dated: day(t, "2025-05-01"), Mileage: data.Some(26500), Evidence: "online", Held: "yes", Expires: day(t, "2026-04-30")},
	}
	for i, year := range []string{"2020", "2021", "2022", "2023", "2024", "2025"} {
		docs = append(docs,
			paper(t, "invoice", year+"-04-20", 4300*(i+1), "engine-oil"),
			paper(t, "habitation-service", year+"-05-10", 0))
	}
	docs[2].Mileage = data.Some(4300 * 5) // on the same day as that year's service
	return docs
}

func TestAFullHistoryScoresAHundred(t *testing.T) {
	p := assess(t, plainVan(), nil, fullHistory(t)).Papers
	if p.HistoryScore != 100 || p.EngineHistoryPct != 100 || p.HabitationHistoryPct != 100 {
		t.Errorf("got score %d, engine %v, habitation %v; want 100 each\n%v", p.HistoryScore, p.EngineHistoryPct, p.HabitationHistoryPct, p.Score)
	}
	if len(p.Missing) != 0 || p.Mileage != MileageConsistent {
		t.Errorf("got missing %v, mileage %v; want none, consistent", p.Missing, p.Mileage)
	}
	if want := day(t, "2026-04-30"); p.MOTExpires != want {
		t.Errorf("MOT: got %v, want %v", p.MOTExpires, want)
	}
	if want := day(t, "2029-04-20"); p.BeltDue != want { // 60 months, long before 70,000 miles at 12 a day
		t.Errorf("belt: got %v, want %v", p.BeltDue, want)
	}
}

func TestNoPapersScoreNothing(t *testing.T) {
	a := assess(t, plainVan(), nil, nil)
	p := a.Papers
	if p.HistoryScore != 0 {
		t.Errorf("score: got %d, want 0: %v", p.HistoryScore, p.Score)
	}
	want := []string{"brake-fluid", "coolant", "damp-report", "electrical-certificate", "engine-oil", "gas-certificate",
		"habitation-service", "handbook", "mot", "registration", "timing-belt"}
	if diff := cmp.Diff(want, p.Missing); diff != "" {
		t.Errorf("missing (-want +got)\n%s", diff)
	}
	jobs := []string{"brake-fluid", "chase-papers", "coolant-change", "damp-survey", "electrical-test", "engine-service", "gas-test",
		"habitation-service", "mot-test", "obtain-handbooks", "timing-belt"}
	if diff := cmp.Diff(jobs, jobsOf(a.Requests)); diff != "" {
		t.Errorf("jobs (-want +got)\n%s", diff)
	}
	for _, w := range a.Requests {
		if w.Job == "timing-belt" && w.Because != "no evidence of a timing belt change (due every 60 months or 70,000 miles)" {
			t.Errorf("belt because: got %q", w.Because)
		}
		if !w.AskedOn.IsZero() {
			t.Errorf("%s: asked on %v; a missing paper has no day", w.Job, w.AskedOn)
		}
	}
}

func TestTheScoreIsTheSumOfItsLines(t *testing.T) {
	docs := fullHistory(t)
	for n := range len(docs) + 1 {
		p := assess(t, plainVan(), nil, docs[:n]).Papers
		sum, of := 0.0, 0.0
		for _, l := range p.Score {
			sum += l.Points
			of += l.Of
			if l.Points < 0 || l.Points > l.Of {
				t.Errorf("%s: %v of %v", l.What, l.Points, l.Of)
			}
		}
		if int(sum) != p.HistoryScore || of != 100 {
			t.Errorf("%d papers: lines give %v of %v, score %d", n, sum, of, p.HistoryScore)
		}
	}
}

// Original over stamp and online record over copy over a word: common practice,
// no source.
func TestBetterEvidenceScoresMore(t *testing.T) {
	score := func(evidence string) int {
		docs := fullHistory(t)
		for i := range docs {
			if slices.Contains(docs[i].Covers, "engine-oil") {
				docs[i].Evidence = evidence
			}
		}
		return assess(t, plainVan(), nil, docs).Papers.HistoryScore
	}
	original, stamp, online, copied, verbal := score("original"), score("stamp"), score("online"), score("copy"), score("verbal")
	if !(original > stamp && stamp == online && stamp > copied && copied > verbal) {
		t.Errorf("got original %d, stamp %d, online %d, copy %d, verbal %d", original, stamp, online, copied, verbal)
	}
}

// Belt: 60 months, maker's handbook at carmanualsonline.info, or 70,000 miles, the
// middle of fixnrev.com's range. Brake fluid: 24 months, the same handbook. First
// limit reached wins; no proof of change is treated as due: common practice.
func TestDuties(t *testing.T) {
	tests := []struct {
		name    string
		cover   string
		docs    []data.Document
		due     string
		overdue bool
	}{
		{"belt counts from new", "timing-belt", nil, "2024-05-01", true},
		{"belt counts from its invoice", "timing-belt", []data.Document{paper(t, "invoice", "2023-02-01", 18000, "timing-belt")}, "2028-02-01", false},
		{"a word is no proof", "timing-belt", []data.Document{{Kind: "other", Dated: day(t, "2023-02-01"), Evidence: "verbal", Covers: []string{"timing-belt"}, Held: "yes"}}, "2024-05-01", true},
		{"a promise is no proof", "timing-belt", []data.Document{{Kind: "invoice", Dated: day(t, "2023-02-01"), Evidence: "original", Covers: []string{"timing-belt"}, Held: "promised"}}, "2024-05-01", true},
		{"fluid a day before two years", "brake-fluid", []data.Document{paper(t, "invoice", "2024-03-10", 0, "brake-fluid")}, "2026-03-10", false},
		{"fluid two years to the day", "brake-fluid", []data.Document{paper(t, "invoice", "2024-03-09", 0, "brake-fluid")}, "2026-03-09", true},
		{"a habitation service covers damp", "damp", []data.Document{paper(t, "habitation-service", "2025-08-01", 0)}, "2026-08-01", false},
		// 30,000 miles in 2,504 days; a service at 15,000 is due again at 27,500,
		// 2,500 miles or 209 days ago at the average rate.
		{"miles come first", "engine-oil", []data.Document{paper(t, "invoice", "2025-08-01", 15000, "engine-oil")}, "2025-08-13", true},
		{"months come first", "engine-oil", []data.Document{paper(t, "invoice", "2025-08-01", 29000, "engine-oil")}, "2026-08-01", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := duties[slices.IndexFunc(duties, func(d *duty) bool { return d.cover == tt.cover })]
			van := plainVan()
			s := d.stands(&van, tt.docs, asOfTests)
			if s.due.String() != tt.due || s.overdue != tt.overdue {
				t.Errorf("got due %v, overdue %v; want %v, %v", s.due, s.overdue, tt.due, tt.overdue)
			}
		})
	}
}

func TestDutiesThatDoNotApply(t *testing.T) {
	van := plainVan()
	van.Equipment = nil
	van.Fuel = "electric"
	p := assess(t, van, nil, nil).Papers
	for _, w := range []string{"engine-oil", "timing-belt", "coolant", "gas-certificate", "electrical-certificate"} {
		if slices.Contains(p.Missing, w) {
			t.Errorf("%s is missing from an electric van without gas or 230 V", w)
		}
	}
	if !p.BeltDue.IsZero() {
		t.Errorf("belt due %v on an electric van", p.BeltDue)
	}
	chain := data.Document{Kind: "other", Dated: day(t, "2025-01-01"), Covers: []string{"timing-belt"}, Held: "yes", Note: "Engine has a timing chain"}
	if p := assess(t, plainVan(), nil, []data.Document{chain}).Papers; slices.Contains(p.Missing, "timing-belt") || !p.BeltDue.IsZero() {
		t.Errorf("a chain is no belt: missing %v, due %v", p.Missing, p.BeltDue)
	}
}

// 12 months: several workshops. Three months of grace: common practice, no source.
func TestTheShareOfServicesProven(t *testing.T) {
	van := plainVan() // registered 2019-05-01: six full years by 2026-03-09
	van.Mileage = 6000
	habitation := duties[slices.IndexFunc(duties, func(d *duty) bool { return d.cover == "habitation" })]
	tests := []struct {
		name string
		days []string
		want float64
	}{
		{"none", nil, 0},
		{"every year", []string{"2020-05-01", "2021-05-01", "2022-05-01", "2023-05-01", "2024-05-01", "2025-05-01"}, 1},
		{"always two months late", []string{"2020-07-01", "2021-09-01", "2022-11-01", "2024-01-01", "2025-03-10"}, 1},
		{"one year left out", []string{"2020-05-01", "2021-05-01", "2023-05-01", "2024-05-01", "2025-05-01"}, 1 - 1.0/6},
		{"27 months without", []string{"2020-05-01", "2021-05-01", "2023-08-01", "2024-08-01", "2025-08-01"}, 1 - 2.0/6},
		{"only the last", []string{"2025-05-01"}, 1 - 5.0/6},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var docs []data.Document
			for _, d := range tt.days {
				docs = append(docs, paper(t, "habitation-service", d, 0))
			}
			if got := habitation.share(&van, habitation.renewals(&van, docs, asOfTests), asOfTests, 0); !near64(got, tt.want) {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}

func near64(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

// First test on the third anniversary: boothsgarage.co.uk; the fourth in Northern
// Ireland: from memory. A test lasts 12 months: henriesofsheringham.co.uk.
func TestMOT(t *testing.T) {
	mot := func(dated, expires, evidence string) data.Document {
		return data.Document{Kind: "mot", Dated: day(t, dated), Expires: day(t, expires), Evidence: evidence, Held: "yes"}
	}
	tests := []struct {
		name       string
		registered string
		region     string
		docs       []data.Document
		expires    string
		missing    bool
	}{
		{"in force", "2019-05-01", "england-wales", []data.Document{mot("2025-05-02", "2026-05-01", "online")}, "2026-05-01", false},
		{"the later of two counts", "2019-05-01", "england-wales", []data.Document{mot("2025-05-02", "2026-05-01", "online"), mot("2024-05-02", "2025-05-01", "original")}, "2026-05-01", false},
		{"no end written: a year", "2019-05-01", "england-wales", []data.Document{mot("2025-05-02", "", "original")}, "2026-05-01", false},
		{"its last day is still in force", "2019-05-01", "england-wales", []data.Document{mot("2025-03-10", "2026-03-09", "online")}, "2026-03-09", false},
		{"ran out yesterday", "2019-05-01", "england-wales", []data.Document{mot("2025-03-09", "2026-03-08", "online")}, "2026-03-08", true},
		{"a word", "2019-05-01", "england-wales", []data.Document{mot("2025-05-02", "2026-05-01", "verbal")}, "", true},
		{"too young: the first falls due on the third anniversary", "2023-03-10", "england-wales", nil, "2026-03-10", false},
		{"three years to the day", "2023-03-09", "england-wales", nil, "", true},
		{"three years, Northern Ireland", "2023-03-09", "northern-ireland", nil, "2027-03-09", false},
		{"expiry 15 May, passed on 16 April: the day is kept", "2019-05-01", "england-wales", []data.Document{mot("2024-05-16", "2025-05-15", "online"), mot("2025-04-16", "", "original")}, "2026-05-15", false},
		{"expiry 15 May, passed on 15 April: a year less a day", "2019-05-01", "england-wales", []data.Document{mot("2024-05-16", "2025-05-15", "online"), mot("2025-04-15", "", "original")}, "2026-04-14", false},
		{"expiry 31 May, clamped: kept from 1 May", "2019-05-01", "england-wales", []data.Document{mot("2024-05-16", "2025-05-31", "online"), mot("2025-05-01", "", "original")}, "2026-05-31", false},
		{"expiry 31 May, clamped: not kept on 30 April", "2019-05-01", "england-wales", []data.Document{mot("2024-05-16", "2025-05-31", "online"), mot("2025-04-30", "", "original")}, "2026-04-29", false},
		{"passed on the last day: the day is kept", "2019-05-01", "england-wales", []data.Document{mot("2024-05-16", "2025-05-15", "online"), mot("2025-05-15", "", "original")}, "2026-05-15", false},
		{"passed after the end: a year less a day", "2019-05-01", "england-wales", []data.Document{mot("2024-05-16", "2025-05-15", "online"), mot("2025-05-16", "", "original")}, "2026-05-15", false},
		{"two without their ends", "2019-05-01", "england-wales", []data.Document{mot("2024-05-16", "", "original"), mot("2025-04-20", "", "original")}, "2026-05-15", false},
		{"before the first falls due", "2022-05-20", "england-wales", []data.Document{mot("2025-05-01", "", "original")}, "2026-05-20", false},
		{"what the paper says stands", "2019-05-01", "england-wales", []data.Document{mot("2024-05-16", "2025-05-15", "online"), mot("2025-04-16", "2026-04-15", "original")}, "2026-04-15", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			van := plainVan()
			van.FirstRegistered = day(t, tt.registered)
			policy := data.DefaultPolicy()
			policy.Region = tt.region
			a := assessed(van, nil, tt.docs, nil, builtIn(t), policy, asOfTests)
			if got := a.Papers.MOTExpires.String(); got != tt.expires {
				t.Errorf("expires: got %q, want %q", got, tt.expires)
			}
			wants := len(jobsOf(a.Requests, "mot-test")) > 0
			if got := slices.Contains(a.Papers.Missing, "mot"); got != tt.missing || wants != tt.missing {
				t.Errorf("missing: got %v, job %v; want %v", got, wants, tt.missing)
			}
		})
	}
}

func TestWhatEndsSoon(t *testing.T) {
	warranty := func(expires string) data.Document {
		return data.Document{Kind: "warranty", Dated: day(t, "2024-01-01"), Held: "yes", Expires: day(t, expires)}
	}
	readings := []data.Reading{
		{Checkpoint: coAlarmExpiry, TakenOn: asOfTests, Value: "2026-05-08", Day: day(t, "2026-05-08")},
		{Checkpoint: smokeAlarmExpiry, TakenOn: asOfTests, Value: "2026-05-09", Day: day(t, "2026-05-09")},
	}
	docs := []data.Document{warranty("2026-03-01"), warranty("2026-02-01"), paper(t, "gas-certificate", "2025-04-01", 0)}
	got := assess(t, plainVan(), readings, docs).Papers.Expiring
	want := []Expiry{
		{What: "warranty", On: day(t, "2026-03-01")}, // the newer of the two, though it has ended
		{What: "gas-certificate", On: day(t, "2026-04-01")},
		{What: "co-alarm", On: day(t, "2026-05-08")}, // 60 days; the smoke alarm has 61
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// Hoses last 5 years and regulators 10 from the date on them (a maker's handbook; boats'
// practice): on 9 March 2026 what is due until 8 May is due soon.
func TestHosesAndRegulatorsDueSoon(t *testing.T) {
	tests := []struct {
		name, checkpoint, value string
		progress                []data.Progress
		want                    []Expiry
	}{
		{"a hose of April 2021 lasts through April", "gas-hose-date", "2021-04", nil,
			[]Expiry{{What: "gas-hose", On: day(t, "2026-04-30"), Month: true, Due: true}}},
		{"a hose of a day, in 60 days", "gas-hose-date", "2021-05-08", nil, []Expiry{{What: "gas-hose", On: day(t, "2026-05-08"), Due: true}}},
		{"a hose of a day, in 61 days", "gas-hose-date", "2021-05-09", nil, nil},
		{"a hose of May lasts until the 31st", "gas-hose-date", "05/2021", nil, nil},
		{"due today: its finding asks for a new one", "gas-hose-date", "2021-03-09", nil, nil},
		{"overdue: its finding asks for a new one", "gas-hose-date", "2020-12", nil, nil},
		{"a regulator of March 2016", "gas-regulator-date", "Mar 2016", nil,
			[]Expiry{{What: "gas-regulator", On: day(t, "2026-03-31"), Month: true, Due: true}}},
		{"a regulator that was changed since", "gas-regulator-date", "Mar 2016",
			[]data.Progress{{Job: "gas-regulator", State: data.JobDone, DoneOn: asOfTests}}, nil},
		{"an alarm that was changed since", coAlarmExpiry, "2026-03-31",
			[]data.Progress{{Job: "co-alarm", State: data.JobDone, DoneOn: asOfTests}}, nil},
		{"an alarm that was changed before it was read", coAlarmExpiry, "2026-03-31",
			[]data.Progress{{Job: "co-alarm", State: data.JobDone, DoneOn: day(t, "2026-03-01")}},
			[]Expiry{{What: "co-alarm", On: day(t, "2026-03-31")}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			van := plainVan()
			van.Equipment = []string{"gas-locker", "hob", "co-alarm"}
			r := data.Reading{Checkpoint: tt.checkpoint, TakenOn: day(t, "2026-03-02"), Value: tt.value}
			if r.Day, r.MonthOnly = data.ParseMonth(tt.value); !r.MonthOnly {
				r.Day = day(t, tt.value)
			}
			got := assessed(van, []data.Reading{r}, nil, tt.progress, builtIn(t), data.DefaultPolicy(), asOfTests).Papers.Expiring
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

func TestPromisedPapersAreChased(t *testing.T) {
	docs := []data.Document{
		{Kind: "handbook", Held: "promised"},
		{Kind: "invoice", Held: "promised", Covers: []string{"timing-belt"}},
		{Kind: "key-code", Held: "no"},
	}
	a := assess(t, plainVan(), nil, docs)
	if want := []string{"handbook", "timing-belt"}; !slices.Equal(a.Papers.Promised, want) {
		t.Errorf("promised: got %v, want %v", a.Papers.Promised, want)
	}
	for _, w := range []string{"handbook", "timing-belt", "key-code"} {
		if !slices.Contains(a.Papers.Missing, w) {
			t.Errorf("%s is not in hand and not missing: %v", w, a.Papers.Missing)
		}
	}
	var chased []string
	for _, w := range a.Requests {
		if w.Job == "chase-papers" && strings.HasPrefix(w.Because, "promised") {
			chased = append(chased, w.Because)
		}
	}
	if want := []string{"promised, not yet received: handbook", "promised, not yet received: timing belt"}; !slices.Equal(chased, want) {
		t.Errorf("got %v, want %v", chased, want)
	}
	if !slices.Contains(a.Ask, "When will these promised papers arrive: handbook, timing belt?") {
		t.Errorf("not asked for: %q", a.Ask)
	}
}

func TestTheFirstMOTIsAnnounced(t *testing.T) {
	van := plainVan()
	van.FirstRegistered = day(t, "2023-05-08") // three years old in 60 days
	want := []Expiry{{What: "first-mot", On: day(t, "2026-05-08")}}
	if got := assess(t, van, nil, nil).Papers.Expiring; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Common practice, no source: what a van does not have is not scored.
func TestLinesThatDoNotApplyAreShared(t *testing.T) {
	van := plainVan()
	van.Fuel, van.Equipment = "electric", nil
	for name, docs := range map[string][]data.Document{"no papers": nil, "all papers": fullHistory(t)} {
		p := assess(t, van, nil, docs).Papers
		of := 0.0
		for _, l := range p.Score {
			of += l.Of
		}
		want := 0
		if docs != nil {
			want = 100
		}
		if p.HistoryScore != want || of != 100 || len(p.Score) != 6 {
			t.Errorf("%s: got %d of %v in %d lines, want %d of 100 in 6: %v", name, p.HistoryScore, of, len(p.Score), want, p.Score)
		}
	}
}

// A and B are never retailed: iaea-online.org; barred from the margin scheme:
// gov.uk guidance. S and N with disclosure: common practice.
func TestProvenance(t *testing.T) {
	tests := []struct {
		name    string
		change  func(*data.Van)
		docs    []data.Document
		want    string
		serious bool
	}{
		{"salvage A", func(v *data.Van) { v.Salvage = "A" }, nil, "Never retail", true},
		{"salvage B", func(v *data.Van) { v.Salvage = "B" }, nil, "Never retail", true},
		{"salvage S", func(v *data.Van) { v.Salvage = "S" }, nil, "only with disclosure", true},
		{"salvage N", func(v *data.Van) { v.Salvage = "N" }, nil, "only with disclosure", true},
		{"imported", func(v *data.Van) { v.Imported = true }, nil, "barred from the margin scheme", true},
		{"finance", func(v *data.Van) { v.FinanceOwed = data.Some(decimal.NewFromInt(8200)) }, nil, "Finance of £8,200 is owed", true},
		{"one key", func(v *data.Van) { v.Keys = data.Some(1) }, nil, "It came with 1 key.", false},
		{"open recall", nil, []data.Document{{Kind: "recall", Dated: day(t, "2025-01-10"), Held: "yes", Note: "seat belt anchor"}}, "no evidence that the work was done (seat belt anchor)", true},
		{"recall not done by its note", nil, []data.Document{{Kind: "recall", Dated: day(t, "2025-01-10"), Held: "yes", Note: "not done"}}, "no evidence", true},
		{"recall done by a later invoice", nil, []data.Document{{Kind: "recall", Dated: day(t, "2025-01-10"), Held: "yes"}, paper(t, "invoice", "2025-02-01", 0, "recall")}, "there is evidence that the work was done", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			van := plainVan()
			if tt.change != nil {
				tt.change(&van)
			}
			for _, n := range assess(t, van, nil, tt.docs).Papers.Provenance {
				if strings.Contains(n.Text, tt.want) {
					if n.Serious != tt.serious {
						t.Errorf("serious %v, want %v", n.Serious, tt.serious)
					}
					return
				}
			}
			t.Errorf("no note with %q", tt.want)
		})
	}
}

func TestGapsInTheTimeLine(t *testing.T) {
	docs := []data.Document{paper(t, "invoice", "2020-05-01", 5000, "engine-oil"), paper(t, "invoice", "2023-05-01", 18000, "engine-oil"), paper(t, "habitation-service", "2025-05-01", 0)}
	var got []string
	for _, e := range Timeline(plainVan(), docs, asOfTests) {
		got = append(got, e.From.String()+" "+e.To.String()+" "+e.What)
	}
	want := []string{
		"2019-05-01 2025-05-01 72 months without evidence of a habitation service",
		"2020-05-01 2020-05-01 invoice: engine oil",
		"2020-05-01 2023-05-01 36 months without evidence of an engine service",
		"2023-05-01 2023-05-01 invoice: engine oil",
		"2023-05-01 2026-03-09 34 months without evidence of an engine service",
		"2025-05-01 2025-05-01 habitation service",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}
