package prep

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// Somebody who works at two sites drives between two jobs of a day, for three quarters of
// an hour before the second begins; at one site, over a night and to work that is not in
// the plan nobody drives.
func TestWaysOfADay(t *testing.T) {
	shop := small("Pat")
	for i := range shop.Bays {
		shop.Bays[i].Site = "Saltmere"
		there := shop.Bays[i]
		there.Name, there.Site = "far "+there.Name, "Thornholt"
		shop.Bays = append(shop.Bays, there)
	}
	here, there, again := wanted(t, "V1", 30, nil, "strip"), wanted(t, "V2", 20, nil, "strip"), wanted(t, "V3", 10, nil, "strip")
	here.Van.Site, there.Van.Site, again.Van.Site = "Saltmere", "Thornholt", "Saltmere"
	p := modelOf(t, shop, here, there, again)
	clock := func(minute int) time.Time { return thursday.Time().Add(time.Duration(minute) * time.Minute) }
	for _, tt := range []struct {
		name   string
		starts map[string]int // of the four hours of each van
		want   []Drive
	}{
		{"there after four hours here", map[string]int{"V1": 480, "V2": 780}, []Drive{{"Pat", "Saltmere", "Thornholt", clock(735), clock(780)}}},
		{"there and back", map[string]int{"V1": 480, "V2": 765, "V3": 1050}, []Drive{
			{"Pat", "Saltmere", "Thornholt", clock(720), clock(765)}, {"Pat", "Thornholt", "Saltmere", clock(945), clock(1050)}}},
		{"begun at midnight", map[string]int{"V1": 0, "V2": 300}, []Drive{{"Pat", "Saltmere", "Thornholt", clock(255), clock(300)}}},
		{"both here", map[string]int{"V1": 480, "V3": 720}, nil},
		{"there on the next day", map[string]int{"V1": 480, "V2": day + 480}, nil},
		{"nothing there is planned", map[string]int{"V1": 480}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			plan := schedule.Plan{Assignments: make([]schedule.Assignment, len(p.tasks))}
			for i := range plan.Assignments {
				plan.Assignments[i] = schedule.Assignment{Worker: schedule.None, Start: 9 * day, Finish: 9 * day}
			}
			for _, id := range []string{"V1", "V2", "V3"} {
				a := schedule.Assignment{Worker: 0, Start: -1, Finish: -1}
				if start, ok := tt.starts[id]; ok {
					a.Start, a.Finish = start, start+240
				}
				plan.Assignments[taskAt(t, p, id, "strip")] = a
			}
			got := p.drives(plan)
			for i := range got { // a way over the end of the hours begins within them
				if got[i].Start.Before(clock(0)) {
					t.Errorf("leaves on the day before: %v", got[i])
				}
			}
			if tt.name == "there and back" { // Pat's hours end at four: the way back is the last of them
				tt.want[1].Start = clock(960 - 45)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
	f := p.floor
	if got := f.travel(40); !slices.EqualFunc(got, [][]int{{0, 45}, {45, 0}}, slices.Equal) {
		t.Errorf("40 minutes are %v, want whole quarters", got)
	}
	if f.travel(0) != nil || newFloor(small("Pat")).travel(45) != nil {
		t.Error("there is a way where none takes time")
	}
}

// One job, two jobs: as English has it.
func TestMovesByTheirCause(t *testing.T) {
	for _, tt := range []struct {
		causes []string
		want   string
	}{
		{nil, ""},
		{[]string{"parts are late"}, "1 job that people had been told of moved to another day or person: 1 since parts are late."},
		{[]string{"parts are late", "Bea is away", "Bea is away"}, "3 jobs that people had been told of moved to another day or person: 2 since Bea is away, 1 since parts are late."},
	} {
		if got := ByCause(tt.causes); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}

// What was read on the day of the purchase was known; of what was read later the first
// day tells what was hidden, before the work.
func TestWhatWasKnownAtThePurchase(t *testing.T) {
	books := builtIn(t)
	v := van(data.Ready)
	v.Acquired, v.Equipment = data.NewDate(2026, 1, 5), slices.Clone(data.EquipmentWords)
	progress := []data.Progress{{Job: "photographs", State: data.JobDone}}
	read := func(days int, verdict data.Verdict) data.Reading {
		return data.Reading{Checkpoint: "awning", TakenOn: v.Acquired.AddDays(days), Verdict: verdict}
	}
	for _, tt := range []struct {
		name     string
		readings []data.Reading
		want     bool
	}{
		{"found on the day of the purchase", []data.Reading{read(0, data.Defect)}, false},
		{"found on the day after", []data.Reading{read(1, data.Defect)}, true},
		{"found, then read again after the work", []data.Reading{read(9, data.Sound), read(3, data.Defect)}, true},
		{"sound, then broken", []data.Reading{read(9, data.Defect), read(3, data.Sound)}, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			came := slices.ContainsFunc(HiddenJobs(v, tt.readings, nil, progress, books, data.DefaultPolicy()), func(h HiddenJob) bool { return h.Came })
			if came != tt.want {
				t.Errorf("a hidden defect came: %v, want %v", came, tt.want)
			}
		})
	}
}
