package schedule

import "testing"

// A milestone with a due time but no weight shares its work with the job before
// it, and must not stand in the way of the order by weight for work.
func TestABoundIsNotAboveThePlanThatMeetsIt(t *testing.T) {
	p := Problem{
		Workers: []Worker{{Skills: []int{0}, Hours: Calendar{{0, 1000}}}},
		Tasks: []Task{
			{Duration: 5, Group: None, Weight: 4},
			{Group: None, Skill: None, After: []Link{{Pred: 0}}, Due: 900, LateWeight: 1},
			{Duration: 1, Group: None, Weight: 5},
		},
	}
	plan, err := Arrange(p, WeightedCompletion, []int{2, 0, 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if best := 5*1 + 4*6; plan.Value != best || compile(p).bound(WeightedCompletion) > best {
		t.Errorf("value %d, bound %d; want %d and no more than that", plan.Value, compile(p).bound(WeightedCompletion), best)
	}
	if err := Verify(p, plan); err != nil {
		t.Error(err)
	}
}
