package pricing

import (
	"testing"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Consumer Rights Act 2015 section 22: 30 days from the day after delivery, at
// least 7 after a repair.
func TestTheRightToReject(t *testing.T) {
	delivered := data.NewDate(2026, 3, 1)
	done := func(days int) []prep.Job {
		return []prep.Job{{State: data.JobDone, DoneOn: delivered.AddDays(days)}}
	}
	sold := data.Van{Status: data.Sold, DeliveredOn: delivered}
	tests := []struct {
		name   string
		van    data.Van
		jobs   []prep.Job
		until  data.Date
		paused bool
	}{
		{"30 days", sold, nil, data.NewDate(2026, 3, 31), false},
		{"a repair early on leaves the rest", sold, done(10), data.NewDate(2026, 3, 31), false},
		{"a repair near the end leaves 7 days", sold, done(28), data.NewDate(2026, 4, 5), false},
		{"work before delivery is none", sold, done(0), data.NewDate(2026, 3, 31), false},
		{"work after the end is none", sold, done(31), data.NewDate(2026, 3, 31), false},
		{"back for a repair", sold, []prep.Job{{State: data.JobStarted}}, data.NewDate(2026, 3, 31), true},
		{"not delivered", data.Van{Status: data.Sold}, nil, 0, false},
		{"not sold", data.Van{Status: data.Ready, DeliveredOn: delivered}, nil, 0, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if until, paused := RejectUntil(tt.van, tt.jobs); until != tt.until || paused != tt.paused {
				t.Errorf("until %v, paused %v; want %v, %v", until, paused, tt.until, tt.paused)
			}
		})
	}
}
