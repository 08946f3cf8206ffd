package prep

import (
	"context"
	"slices"
	"testing"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// A van with an unsafe point is not ready, whatever its status column says and
// though the job is dropped.
func TestAnUnsafePointStopsTheVan(t *testing.T) {
	stop := func(mended data.Date) []appraise.Finding {
		return []appraise.Finding{{
			Checkpoint: &data.Checkpoint{Title: "Gas hose"}, Job: "gas-hose", Verdict: data.Unsafe, Stops: true, MendedOn: mended,
		}}
	}
	tests := []struct {
		name     string
		status   data.Status
		progress []data.Progress
		stops    []appraise.Finding
		inQueue  bool
		ready    bool
		gate     string // the first
		waits    string // the last
	}{
		{"nothing unsafe", data.Preparing, nil, nil, true, true, "habitation", ""},
		{"unsafe, its job open", data.Preparing, nil, stop(0), true, true, "unsafe", "unsafe: Gas hose"},
		{"its job dropped", data.Preparing, []data.Progress{{Job: "gas-hose", State: data.JobDropped}}, stop(0), true, false, "unsafe", "unsafe: Gas hose"},
		{"mended, and not read since", data.Preparing, []data.Progress{{Job: "gas-hose", State: data.JobDone, DoneOn: thursday.AddDays(-1)}},
			stop(thursday.AddDays(-1)), true, false, "unsafe", "to be read again: Gas hose"},
		{"called ready", data.Ready, []data.Progress{{Job: "gas-hose", State: data.JobDone, DoneOn: thursday.AddDays(-1)}},
			stop(thursday.AddDays(-1)), true, false, "unsafe", "to be read again: Gas hose"},
		{"ready, nothing unsafe", data.Ready, nil, nil, false, true, "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := wanted(t, "V1", 10, tt.progress, "gas-hose")
			w.Van.Status, w.Stops = tt.status, tt.stops
			shop := NewWorkshop(&data.Yard{}, "none")
			plan, err := PlanWorkshop(context.Background(), []VanJobs{w}, shop, books(t), quick(), thursday, nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := len(plan.Queue) == 1; got != tt.inQueue {
				t.Fatalf("in the queue: %v, want %v", got, tt.inQueue)
			}
			if _, ready := plan.Ready["V1"]; ready != tt.ready {
				t.Errorf("a ready day: %v, want %v", ready, tt.ready)
			}
			if !tt.inQueue {
				return
			}
			row := plan.Queue[0]
			if row.ReadyOn.IsZero() == tt.ready || row.ReadyP80.IsZero() == tt.ready {
				t.Errorf("ready on %v, four times in five by %v", row.ReadyOn, row.ReadyP80)
			}
			if len(row.GatesOpen) == 0 || row.GatesOpen[0] != tt.gate {
				t.Errorf("gates %v, want first %q", row.GatesOpen, tt.gate)
			}
			if tt.waits != "" && !slices.Contains(row.WaitingFor, tt.waits) {
				t.Errorf("waits for %v, want %q", row.WaitingFor, tt.waits)
			}
		})
	}
}
