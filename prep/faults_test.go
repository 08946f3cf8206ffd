package prep_test

import (
	"testing"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// A fault stands until its job was done on the day of its reading or later.
func TestFaultsStandUntilTheirJobIsDone(t *testing.T) {
	read := data.NewDate(2026, 3, 2)
	point := func(verdict data.Verdict, job string) appraise.Finding {
		return appraise.Finding{Checkpoint: &data.Checkpoint{Title: "Step"}, Verdict: verdict, Job: job, TakenOn: read}
	}
	for _, c := range []struct {
		fact    string
		finding appraise.Finding
		job     prep.Job
		stands  bool
	}{
		{"no job", point(data.Worn, ""), prep.Job{}, true},
		{"its job is open", point(data.Defect, "step"), prep.Job{Code: "step", State: data.JobOpen}, true},
		{"its job was done since", point(data.Defect, "step"), prep.Job{Code: "step", State: data.JobDone, DoneOn: read}, false},
		{"its job was done before it was read", point(data.Defect, "step"), prep.Job{Code: "step", State: data.JobDone, DoneOn: read.AddDays(-1)}, true},
		{"sound", point(data.Sound, ""), prep.Job{}, false},
	} {
		if got := len(prep.StandingFaults([]appraise.Finding{c.finding}, []prep.Job{c.job})) == 1; got != c.stands {
			t.Errorf("%s: stands %v, want %v", c.fact, got, c.stands)
		}
	}
}
