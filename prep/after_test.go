package prep

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// precedes reports whether a job waits for another, directly or not.
func precedes(jobs []Job, first, last string) bool {
	seen := map[string]bool{}
	var walk func(code string) bool
	walk = func(code string) bool {
		if seen[code] {
			return false
		}
		seen[code] = true
		return slices.ContainsFunc(jobOf(jobs, code).After, func(before string) bool { return before == first || walk(before) })
	}
	return walk(last)
}

// For any van no test of a system stands before a job on that system, a leak is
// stopped before its wall is dried, and walls are repaired before furniture goes
// back.
func TestNoTestStandsBeforeWorkThatItCovers(t *testing.T) {
	b := builtIn(t)
	policy := data.DefaultPolicy()
	rapid.Check(t, func(t *rapid.T) {
		a := appraise.Assessment{Van: van(data.Owned), AsOf: data.NewDate(2026, 3, 9)}
		for _, i := range rapid.SliceOfNDistinct(rapid.IntRange(0, len(b.Labour)-1), 1, 40, rapid.ID).Draw(t, "jobs") {
			a.Requests = append(a.Requests, appraise.JobRequest{Job: b.Labour[i].Code, Units: 1})
		}
		jobs := Jobs(a, nil, b, policy, Calibration{})
		for _, x := range jobs {
			if precedes(jobs, x.Code, x.Code) {
				t.Fatalf("%s waits for itself", x.Code)
			}
			for _, y := range jobs {
				work, _ := b.Job(x.Code)
				test, _ := b.Job(y.Code)
				if x.Code != y.Code && touchesWhat(work, test) && !precedes(jobs, x.Code, y.Code) {
					t.Fatalf("%s touches what %s proves, and does not come first", x.Code, y.Code)
				}
				if d, e := depthOf(work), depthOf(test); 0 < d && d < e && !precedes(jobs, x.Code, y.Code) {
					t.Fatalf("%s lies further out than %s, and does not come first", x.Code, y.Code)
				}
			}
		}
	})
}

// The whole built-in labour book on one van has an order.
func TestTheBuiltInBookHasAnOrder(t *testing.T) {
	b := builtIn(t)
	a := appraise.Assessment{Van: van(data.Owned), AsOf: data.NewDate(2026, 3, 9)}
	for _, j := range b.Labour {
		if len(j.Absorbs) == 0 { // the others take these in
			a.Requests = append(a.Requests, appraise.JobRequest{Job: j.Code, Units: 1})
		}
	}
	jobs := Jobs(a, nil, b, data.DefaultPolicy(), Calibration{})
	for _, chain := range [][]string{
		{"damp-reseal", "damp-dry", "damp-recheck"},
		{"roof-edge-reseal", "damp-dry", "floor-repair", "bed-repair"},
		{"damp-recheck", "damp-refit"},
		{"engine-mount", "photographs"},
	} {
		for i := 1; i < len(chain); i++ {
			if !precedes(jobs, chain[i-1], chain[i]) {
				t.Errorf("%s does not come before %s", chain[i-1], chain[i])
			}
		}
	}
	for _, j := range jobs {
		if precedes(jobs, j.Code, j.Code) {
			t.Errorf("%s waits for itself", j.Code)
		}
	}
}

// Work on a system after its test asks for the test again.
func TestWorkAfterTheTestAsksForItAgain(t *testing.T) {
	asOf := data.NewDate(2026, 3, 9)
	done := func(job string, month, day int) data.Progress {
		return data.Progress{Job: job, State: data.JobDone, DoneOn: data.NewDate(2026, 1, 1).AddMonths(month - 1).AddDays(day - 1)}
	}
	tests := []struct {
		name     string
		progress []data.Progress
		want     data.JobState
	}{
		{"a regulator changed in March, the test done in February", []data.Progress{done("gas-regulator", 3, 2), done("gas-test", 2, 20)}, data.JobOpen},
		{"both on one day", []data.Progress{done("gas-regulator", 3, 2), done("gas-test", 3, 2)}, data.JobDone},
		{"the test after the work", []data.Progress{done("gas-regulator", 3, 2), done("gas-test", 3, 3)}, data.JobDone},
		{"work still open", []data.Progress{{Job: "gas-regulator", State: data.JobStarted}, done("gas-test", 3, 3)}, data.JobOpen},
		{"work that was dropped", []data.Progress{{Job: "gas-regulator", State: data.JobDropped}, done("gas-test", 3, 3)}, data.JobDone},
		{"the service's gas check, before the work", []data.Progress{done("gas-regulator", 3, 2), done("habitation-service", 2, 20)}, data.JobOpen},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			jobs := Jobs(appraise.Assessment{Van: van(data.Owned), AsOf: asOf}, tt.progress, builtIn(t), data.DefaultPolicy(), Calibration{})
			if got := jobOf(jobs, "gas-test").State; got != tt.want {
				t.Errorf("the gas test is %q, want %q: %v", got, tt.want, codes(jobs))
			}
		})
	}
}

// A habitation service that holds a gas and damp check is not charged with both
// again, nor a regulator that brings its hose with two.
func TestNothingIsChargedTwice(t *testing.T) {
	ask := func(codes ...string) (a appraise.Assessment) {
		a.Van, a.AsOf = van(data.Owned), data.NewDate(2026, 3, 9)
		for _, c := range codes {
			a.Requests = append(a.Requests, appraise.JobRequest{Job: c, Units: 1})
		}
		return a
	}
	b := builtIn(t)
	jobs := Jobs(ask("habitation-service", "gas-test", "damp-survey", "gas-regulator", "gas-hose"), nil, b, data.DefaultPolicy(), Calibration{})
	if got, want := codes(jobs), []string{"gas-regulator", "habitation-service", "photographs", "valet"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if !precedes(jobs, "gas-regulator", "habitation-service") {
		t.Error("the service's gas check comes before the work on gas")
	}
}
