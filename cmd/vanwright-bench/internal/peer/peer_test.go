package peer

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/prep/schedule"
)

// What is written down is the problem that the engine planned: the value follows from
// the file alone, in whole quarters of an hour, and nothing is left out of the plan.
func TestAWrittenProblemCostsWhatTheEngineSays(t *testing.T) {
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	policy := data.DefaultPolicy()
	policy.PlanSchedules = 50
	travels := 0
	for seed := uint64(1); seed <= 6; seed++ {
		y := Draw(books, policy, seed)
		if n := y.Jobs(); n < fewestJobs || n > mostJobs {
			t.Errorf("seed %d: %d jobs", seed, n)
		}
		made, err := prep.PlanWorkshop(t.Context(), y.Work, y.Shop, books, policy, y.Day, nil)
		if err != nil {
			t.Fatal(err)
		}
		problem, found := made.Likely.Problem, made.Likely.Plan
		if err := schedule.Verify(problem, found); err != nil {
			t.Fatal(err)
		}
		var text bytes.Buffer
		if err := Write(&text, "a yard", y.Jobs(), problem, found, 1); err != nil {
			t.Fatal(err)
		}
		var f file
		if err := json.Unmarshal(text.Bytes(), &f); err != nil {
			t.Fatal(err)
		}
		value := 0
		for i, a := range f.Tasks {
			start, finish := f.Plan.Assignments[i][1], f.Plan.Assignments[i][2]
			value += a.Weight*finish + a.LateWeight*max(0, finish-a.Due)
			for _, minutes := range []int{a.Duration, a.Release, start, finish} {
				if minutes < 0 || minutes%15 != 0 {
					t.Errorf("seed %d: %s has %d minutes", seed, a.Name, minutes)
				}
			}
		}
		if value != f.Plan.Value || value == 0 || f.Plan.LowerBound > value {
			t.Errorf("seed %d: the file's plan costs %d; it says %d, and a bound of %d", seed, value, f.Plan.Value, f.Plan.LowerBound)
		}
		if f.Travel != nil {
			travels++
		}
	}
	if travels != 3 {
		t.Errorf("%d of six yards have two sites", travels)
	}
}
