package pricing

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/data"
)

// Consumer Rights Act 2015 section 22: 30 days from the day after delivery, standing
// still for a repair from the day it is asked for to the day of return, and at least 7
// days after it. Delivered on 1 March, so until 31 March.
func TestTheRightToReject(t *testing.T) {
	delivered := data.NewDate(2026, 3, 1)
	march := func(d int) data.Date { return data.NewDate(2026, 3, d) }
	april := func(d int) data.Date { return data.NewDate(2026, 4, d) }
	row := func(state data.JobState, on, doneOn data.Date) data.Progress {
		return data.Progress{Job: "water-pump", State: state, On: on, DoneOn: doneOn}
	}
	other := func(p data.Progress) data.Progress { p.Job = "awning"; return p }
	sold := data.Van{Status: data.Sold, DeliveredOn: delivered}
	tests := []struct {
		name string
		van  data.Van
		rows []data.Progress
		want Rejection
	}{
		{"30 days", sold, nil, Rejection{Until: march(31)}},
		{"a repair from the 10th to the 14th adds its five days", sold,
			[]data.Progress{row(data.JobOpen, march(10), 0), row(data.JobStarted, march(12), 0), row(data.JobDone, march(14), march(14))},
			Rejection{Until: april(5), Repairs: []WorkSpell{{march(10), march(14)}}}},
		{"the day it was done beats the day of the row", sold,
			[]data.Progress{row(data.JobOpen, march(10), 0), row(data.JobDone, march(20), march(14))},
			Rejection{Until: april(5), Repairs: []WorkSpell{{march(10), march(14)}}}},
		{"asked for and done on the last day: one day more would be too few, so 7", sold,
			[]data.Progress{row(data.JobOpen, march(31), 0), row(data.JobDone, march(31), march(31))},
			Rejection{Until: april(7), Repairs: []WorkSpell{{march(31), march(31)}}}},
		{"asked for on the last day, done a fortnight later: 7 days after it", sold,
			[]data.Progress{row(data.JobOpen, march(31), 0), row(data.JobDone, april(13), april(13))},
			Rejection{Until: april(20), Repairs: []WorkSpell{{march(31), april(13)}}}},
		{"asked for a day too late", sold,
			[]data.Progress{row(data.JobOpen, april(1), 0), row(data.JobDone, april(3), april(3))}, Rejection{Until: march(31)}},
		{"two repairs that overlap count their days once: 10th to 16th", sold,
			[]data.Progress{row(data.JobOpen, march(10), 0), row(data.JobDone, march(14), march(14)), other(row(data.JobOpen, march(12), 0)), other(row(data.JobDone, march(16), march(16)))},
			Rejection{Until: april(7), Repairs: []WorkSpell{{march(10), march(14)}, {march(12), march(16)}}}},
		{"the same job twice: 10th to 11th and 20th to 22nd", sold,
			[]data.Progress{row(data.JobOpen, march(10), 0), row(data.JobDone, march(11), march(11)), row(data.JobOpen, march(20), 0), row(data.JobDone, march(22), march(22))},
			Rejection{Until: april(5), Repairs: []WorkSpell{{march(10), march(11)}, {march(20), march(22)}}}},
		{"a request that was dropped ends the pause", sold,
			[]data.Progress{row(data.JobOpen, march(10), 0), row(data.JobDropped, march(11), 0)},
			Rejection{Until: april(2), Repairs: []WorkSpell{{march(10), march(11)}}}},
		{"no row says when it was asked for: a day at least", sold,
			[]data.Progress{row(data.JobDone, 0, march(11))},
			Rejection{Until: april(1), AtLeast: true, Repairs: []WorkSpell{{0, march(11)}}}},
		{"nor near the end: 7 days at least", sold,
			[]data.Progress{row(data.JobDone, 0, march(29))},
			Rejection{Until: april(5), AtLeast: true, Repairs: []WorkSpell{{0, march(29)}}}},
		{"done after the end, asked for nobody knows when", sold,
			[]data.Progress{row(data.JobDone, 0, april(4))},
			Rejection{Until: march(31), InDoubt: WorkSpell{0, april(4)}, Then: april(11)}},
		{"preparation before delivery is no repair", sold,
			[]data.Progress{row(data.JobOpen, data.NewDate(2026, 2, 1), 0), row(data.JobDone, delivered, delivered)}, Rejection{Until: march(31)}},
		{"prepared before and mended after, the same job", sold,
			[]data.Progress{row(data.JobDone, data.NewDate(2026, 2, 1), data.NewDate(2026, 2, 1)), row(data.JobStarted, march(10), 0), row(data.JobDone, march(10), march(10))},
			Rejection{Until: april(1), Repairs: []WorkSpell{{march(10), march(10)}}}},
		{"open work entered before delivery was no request of the buyer", sold,
			[]data.Progress{row(data.JobOpen, data.NewDate(2026, 2, 1), 0)}, Rejection{Until: march(31)}},
		{"back since the 10th: the 10th to the 31st are left", sold,
			[]data.Progress{row(data.JobOpen, march(10), 0), row(data.JobStarted, march(12), 0)},
			Rejection{Until: march(31), Paused: true, Since: march(10), Left: 22}},
		{"back since the 30th: 7 days", sold, []data.Progress{row(data.JobAwaitingParts, march(30), 0)},
			Rejection{Until: march(31), Paused: true, Since: march(30), Left: 7}},
		{"back, nobody knows since when: 7 days at least", sold, []data.Progress{row(data.JobStarted, 0, 0)},
			Rejection{Until: march(31), Paused: true, Left: 7}},
		{"back after the right had run out", sold, []data.Progress{row(data.JobStarted, april(1), 0)}, Rejection{Until: march(31)}},
		{"a second repair within one that lasts", sold,
			[]data.Progress{row(data.JobOpen, march(10), 0), other(row(data.JobOpen, march(12), 0)), other(row(data.JobDone, march(13), march(13)))},
			Rejection{Until: march(31), Paused: true, Since: march(10), Left: 22}},
		{"a repair of two days, then back again with 17 left", sold,
			[]data.Progress{row(data.JobOpen, march(10), 0), row(data.JobDone, march(11), march(11)), other(row(data.JobOpen, march(17), 0))},
			Rejection{Until: april(2), Repairs: []WorkSpell{{march(10), march(11)}}, Paused: true, Since: march(17), Left: 17}},
		{"not delivered", data.Van{Status: data.Sold}, nil, Rejection{}},
		{"not sold", data.Van{Status: data.Ready, DeliveredOn: delivered}, nil, Rejection{}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := RightToReject(tt.van, tt.rows)
			if !slices.Equal(got.Repairs, tt.want.Repairs) {
				t.Errorf("repairs %v, want %v", got.Repairs, tt.want.Repairs)
			}
			got.Repairs, tt.want.Repairs = nil, nil
			if got.Until != tt.want.Until || got.AtLeast != tt.want.AtLeast || got.Paused != tt.want.Paused || got.Since != tt.want.Since ||
				got.Left != tt.want.Left || got.InDoubt != tt.want.InDoubt || got.Then != tt.want.Then {
				t.Errorf("got %+v, want %+v", got, tt.want)
			}
		})
	}
}

// Whatever repairs there were, the days on which the clock ran are 30, or it ends 7
// days after a repair.
func TestTheClockRunsThirtyDays(t *testing.T) {
	delivered := data.NewDate(2026, 3, 1)
	rapid.Check(t, func(t *rapid.T) {
		var rows []data.Progress
		for _, job := range []string{"a", "b", "c"}[:rapid.IntRange(0, 3).Draw(t, "repairs")] {
			from := delivered.AddDays(rapid.IntRange(1, 45).Draw(t, "from"))
			to := from.AddDays(rapid.IntRange(0, 20).Draw(t, "days"))
			rows = append(rows, data.Progress{Job: job, State: data.JobOpen, On: from}, data.Progress{Job: job, State: data.JobDone, On: to, DoneOn: to})
		}
		r := RightToReject(data.Van{Status: data.Sold, DeliveredOn: delivered}, rows)
		inRepair := func(d data.Date) bool {
			return slices.ContainsFunc(r.Repairs, func(s WorkSpell) bool { return s.From <= d && d <= s.To })
		}
		ran := 0
		for d := delivered.AddDays(1); d <= r.Until; d = d.AddDays(1) {
			if !inRepair(d) {
				ran++
			}
		}
		sevenAfter := slices.ContainsFunc(r.Repairs, func(s WorkSpell) bool { return r.Until == s.To.AddDays(7) })
		if ran < 30 || ran > 30 && !sevenAfter {
			t.Errorf("the clock ran %d days to %v: %+v", ran, r.Until, r)
		}
	})
}
