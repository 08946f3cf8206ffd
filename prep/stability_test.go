package prep

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

func TestARunOnTheSameYardChangesNothing(t *testing.T) {
	books := builtIn(t)
	rapid.Check(t, func(t *rapid.T) {
		work, shop := drawYard(t, books, thursday)
		first := mustPlan(t, work, shop, books, thursday, nil)
		if diff := cmp.Diff(first, untold(mustPlan(t, work, shop, books, thursday, first.Blocks))); diff != "" {
			t.Fatalf("the same day again (-first +second)\n%s", diff)
		}
		// The next day other things are worth more, and some of what was told
		// is nonsense.
		for i := range work {
			worth := decimal.NewFromInt(int64(rapid.IntRange(0, 400).Draw(t, "a day, tomorrow")))
			work[i].ValuePerDay = worth
		}
		told := slices.Clone(first.Blocks)
		for i := range told {
			if rapid.IntRange(0, 5).Draw(t, "nonsense") == 0 {
				told[i].Technician = rapid.SampledFrom([]string{"P0", "P1", "gone"}).Draw(t, "told whom")
				told[i].Start = told[i].Start.Add(time.Duration(rapid.IntRange(-900, 900).Draw(t, "minutes off")) * time.Minute)
			}
		}
		friday := thursday.AddDays(1)
		next := mustPlan(t, work, shop, books, friday, told)
		if err := checkPlan(next, work, shop, books, friday); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(untold(next), untold(mustPlan(t, work, shop, books, friday, next.Blocks))); diff != "" {
			t.Fatalf("the next day again (-first +second)\n%s", diff)
		}
	})
}

// untold is a plan without what is said of what was told before it.
func untold(p Plan) Plan {
	p.Told, p.Kept, p.Moved = 0, 0, nil
	return p
}

// told is a block of a last plan: four hours from an hour of a day on.
func told(id string, day data.Date, hour int, technician string) Block {
	start := day.Time().Add(time.Duration(hour) * time.Hour)
	return Block{StockID: id, Job: "strip", Technician: technician, Start: start, Finish: start.Add(4 * time.Hour)}
}

// Each van needs four hours of one person, so that a day's worth more or less
// by noon is a sixth of a van's value a day.
func TestPeopleAreToldSomethingElseOnlyWhenItPays(t *testing.T) {
	friday, monday := thursday.AddDays(1), thursday.AddDays(4)
	strip := func(id string, worth int64, progress ...data.Progress) VanJobs {
		return wanted(t, id, worth, progress, "strip")
	}
	started := func(by string) data.Progress {
		return data.Progress{Job: "strip", State: data.JobStarted, Technician: by, HoursSpent: data.Some(1.0)}
	}
	tests := []struct {
		name string
		work []VanJobs
		shop Workshop
		asOf data.Date
		told []Block
		want []string
	}{
		{"with nothing told, the dearer van is first",
			[]VanJobs{strip("V1", 14), strip("V2", 12)}, small("Pat"), thursday, nil,
			[]string{"V1 strip: Thu 19 08:00 Pat", "V2 strip: Thu 19 12:00 Pat"}},
		{"thirty pence move nobody",
			[]VanJobs{strip("V1", 14), strip("V2", 12)}, small("Pat"), thursday,
			[]Block{told("V2", thursday, 8, "Pat"), told("V1", thursday, 12, "Pat")},
			[]string{"V1 strip: Thu 19 12:00 Pat", "V2 strip: Thu 19 08:00 Pat"}},
		{"a hundred and forty-eight pounds do",
			[]VanJobs{strip("V1", 900), strip("V2", 12)}, small("Pat"), thursday,
			[]Block{told("V2", thursday, 8, "Pat"), told("V1", thursday, 12, "Pat")},
			[]string{"V1 strip: Thu 19 08:00 Pat", "V2 strip: Thu 19 12:00 Pat"}},
		{"what was not begun yesterday keeps its turn today",
			[]VanJobs{strip("V1", 14), strip("V2", 12)}, small("Pat"), friday,
			[]Block{told("V2", thursday, 8, "Pat"), told("V1", thursday, 12, "Pat")},
			[]string{"V1 strip: Fri 20 12:00 Pat", "V2 strip: Fri 20 08:00 Pat"}},
		{"over the weekend the next working day is Monday",
			[]VanJobs{strip("V1", 14), strip("V2", 12), strip("V3", 90), strip("V4", 90)}, small("Pat"), friday,
			[]Block{told("V3", friday, 8, "Pat"), told("V4", friday, 12, "Pat"), told("V2", monday, 8, "Pat"), told("V1", monday, 12, "Pat")},
			[]string{"V1 strip: Mon 23 12:00 Pat", "V2 strip: Mon 23 08:00 Pat", "V3 strip: Fri 20 08:00 Pat", "V4 strip: Fri 20 12:00 Pat"}},
		{"what was told a fortnight ago has lapsed",
			[]VanJobs{strip("V1", 14), strip("V2", 12)}, small("Pat"), thursday,
			[]Block{told("V2", thursday.AddDays(-14), 8, "Pat"), told("V1", thursday.AddDays(-14), 12, "Pat")},
			[]string{"V1 strip: Thu 19 08:00 Pat", "V2 strip: Thu 19 12:00 Pat"}},
		{"people keep their vans though another could have them as well",
			[]VanJobs{strip("V1", 14), strip("V2", 12)}, small("Pat", "Sam"), thursday,
			[]Block{told("V1", thursday, 8, "Sam"), told("V2", thursday, 8, "Pat")},
			[]string{"V1 strip: Thu 19 08:00 Sam", "V2 strip: Thu 19 08:00 Pat"}},
		{"somebody who is away keeps nothing",
			[]VanJobs{strip("V1", 14)}, away(small("Pat", "Sam"), "Sam", thursday, monday), thursday,
			[]Block{told("V1", thursday, 8, "Sam")},
			[]string{"V1 strip: Thu 19 08:00 Pat"}},
		{"somebody who has left keeps nothing",
			[]VanJobs{strip("V1", 14)}, small("Pat"), thursday,
			[]Block{told("V1", thursday, 8, "Sam")},
			[]string{"V1 strip: Thu 19 08:00 Pat"}},
		{"begun by nobody known, it is whose it was to be",
			[]VanJobs{strip("V1", 14, started(""))}, small("Pat", "Sam"), thursday,
			[]Block{told("V1", thursday.AddDays(-3), 8, "Sam")},
			[]string{"V1 strip: Thu 19 08:00 Sam"}},
		{"begun by somebody else, it is that person's",
			[]VanJobs{strip("V1", 14, started("Pat"))}, small("Pat", "Sam"), thursday,
			[]Block{told("V1", thursday, 8, "Sam")},
			[]string{"V1 strip: Thu 19 08:00 Pat"}},
		{"where one move pays, the others stay",
			[]VanJobs{strip("V1", 12), strip("V2", 900), strip("V3", 20), strip("V4", 22)}, small("Pat", "Sam"), thursday,
			[]Block{told("V1", thursday, 8, "Pat"), told("V2", thursday, 12, "Pat"), told("V3", thursday, 8, "Sam"), told("V4", thursday, 12, "Sam")},
			// Pat's two vans change places; to have V4 at eight as well would be
			// best by pence, and Sam's day stays as it was told.
			[]string{"V1 strip: Thu 19 12:00 Pat", "V2 strip: Thu 19 08:00 Pat", "V3 strip: Thu 19 08:00 Sam", "V4 strip: Thu 19 12:00 Sam"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			plan := mustPlan(t, tt.work, tt.shop, books(t), tt.asOf, tt.told)
			if err := checkPlan(plan, tt.work, tt.shop, books(t), tt.asOf); err != nil {
				t.Error(err)
			}
			got := starts(plan)
			slices.Sort(got)
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

func away(w Workshop, name string, from, to data.Date) Workshop {
	w.Absences = append(w.Absences, data.Absence{Technician: name, From: from, To: to})
	return w
}

// One sealant is on the shelf, and others take three days.
func TestAPartStaysWithTheJobThatWasToldToBegin(t *testing.T) {
	reseal := func(id string, worth int64) VanJobs { return oneSealant(wanted(t, id, worth, nil, "reseal")) }
	last := told("V1", thursday, 8, "Pat")
	last.Job, last.Finish = "reseal", last.Start.Add(2*time.Hour)
	for _, tt := range []struct {
		name  string
		worth int64 // of V2 a day
		want  []string
		waits string
	}{
		{"for eleven pounds a day", 11, []string{"V1 reseal: Thu 19 08:00 Pat", "V2 reseal: Mon 23 08:00 Pat"}, "V2"},
		{"but not for a hundred", 100, []string{"V1 reseal: Mon 23 08:00 Pat", "V2 reseal: Thu 19 08:00 Pat"}, "V1"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			plan := mustPlan(t, []VanJobs{reseal("V1", 10), reseal("V2", tt.worth)}, small("Pat"), books(t), thursday, []Block{last})
			got := starts(plan)
			slices.Sort(got)
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
			if ids := plan.Parts[0].StockIDs; !slices.Equal(ids, []string{tt.waits}) {
				t.Errorf("ordered for %v, want %s", ids, tt.waits)
			}
		})
	}
}

// V1 was to come into its bay the evening before, and nobody did that: it keeps its
// turn, a quarter of an hour later.
func TestAVanThatWasToComeInTheEveningBeforeKeepsItsTurn(t *testing.T) {
	work := []VanJobs{wanted(t, "V1", 10, nil, "electrical-test"), wanted(t, "V2", 10, nil, "electrical-test"), wanted(t, "V3", 10, nil, "electrical-test")}
	told := func(id string, hour, minute int) Block {
		start := thursday.Time().Add(time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute)
		return Block{StockID: id, Job: "electrical-test", Technician: "Pat", Start: start, Finish: start.Add(2 * time.Hour)}
	}
	previous := []Block{told("V1", 8, 0), told("V2", 10, 15), told("V3", 13, 0)}
	plan, err := PlanWorkshop(t.Context(), work, small("Pat"), books(t), real(), thursday, previous)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"V1 electrical-test: Thu 19 08:15 Pat", "V2 electrical-test: Thu 19 10:30 Pat", "V3 electrical-test: Thu 19 13:15 Pat"}
	if diff := cmp.Diff(want, starts(plan)); diff != "" || len(plan.Moved) > 0 {
		t.Errorf("(-want +got)\n%s\nmoved: %v", diff, plan.Moved)
	}
}

// The futures know a plan by the order of its vans, which a day of waiting for nothing
// does not change: that costs the van's ten pounds a day all the same.
func TestAPlanThatWaitsForNothingCostsMore(t *testing.T) {
	p := modelOf(t, small("Pat"), wanted(t, "V1", 10, nil, "strip"))
	o := p.outlook()
	fresh, err := o.arrange(o.byRule(pounds))
	if err != nil {
		t.Fatal(err)
	}
	waits := fresh
	waits.Assignments = slices.Clone(fresh.Assignments)
	for i := range waits.Assignments {
		waits.Assignments[i].Start += minutesPerDay
		waits.Assignments[i].Finish += minutesPerDay
	}
	for _, tt := range []struct {
		plan schedule.Plan
		want string
	}{{fresh, "0"}, {waits, "10"}} {
		_, c, err := p.planInput.judge(t.Context(), p, tt.plan, new([]*outlook))
		if err != nil || poundsOf(c.idle).String() != tt.want {
			t.Errorf("%s pounds, want %s; error %v", poundsOf(c.idle), tt.want, err)
		}
	}
}
