package instance

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/prep/schedule"
)

// skilled is an invented instance in the layout of the .def format.
const skilled = `====================
File name: made_up.def
====================
Tasks: 3
====================
ResourceID 	 Salary 	 Skills 
1	 	 	16.4	 	 Q2: 1 	  Q0: 3 	 
2	 	 	15.7	 	 Q2: 2
====================
TaskID 	 Duration 	 Skill 	 Predecessor IDs 
1	 	 	19	 Q2: 1
3	 	 	36	 Q0: 0	 	1
4	 	 	20	 Q2: 2	 	1	3	
====================
`

func TestHigherLevelsDoWhatNeedsLowerOnes(t *testing.T) {
	got, err := Read(strings.NewReader(skilled), "a.def")
	if err != nil {
		t.Fatal(err)
	}
	always := schedule.Calendar{{From: 0, To: 75}}
	want := schedule.Problem{
		Tasks: []schedule.Task{
			{Name: "1", Duration: 19, Skill: 0, Group: schedule.None},
			{Name: "3", Duration: 36, Skill: 1, Group: schedule.None, After: []schedule.Link{{Pred: 0}}},
			{Name: "4", Duration: 20, Skill: 2, Group: schedule.None, After: []schedule.Link{{Pred: 0}, {Pred: 1}}},
		},
		Workers: []schedule.Worker{
			{Skills: []int{0, 1}, Hours: always},
			{Skills: []int{0, 2}, Hours: always},
		},
	}
	if diff := cmp.Diff(got, want); diff != "" {
		t.Error(diff)
	}
}

func TestBadMultiSkillFilesAreNamedWithTheLine(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		want           string
	}{
		{"a word for a duration", "3	 	 	36	", "3 x", `a.def:12: "x" is not a whole number from 0`},
		{"two skills", "Q0: 0	 	1\n", "Q0: 0 Q2: 1 1\n", "a.def:12: task with 2 skills, not 1"},
		{"a task comes twice", "3	 	 	36", "1 36", "a.def:12: task 1 comes twice"},
		{"an unknown predecessor", "2	 	1	3", "2 1 2", "a.def:13: task 4 waits for task 2, which is not there"},
		{"somebody without skills", "2	 	 	15.7	 	 Q2: 2", "2 15.7", "a.def:8: resource 2 has no skill"},
		{"no duration", "1	 	 	19", "1", "a.def:11: task without number or duration"},
		{"a level beyond sense", "Q0: 3", "Q0: 3000", "a.def:7: skill Q0: level 3000 is not a number from 0 to 1000"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(skilled, c.old, c.new, 1)
			if text == skilled {
				t.Fatal("the sample does not hold what is to be replaced")
			}
			_, err := Read(strings.NewReader(text), "a.def")
			if got := fmt.Sprint(err); got != c.want {
				t.Errorf("error %q, want %q", got, c.want)
			}
		})
	}
}

func TestOtherFilesAreNotInstances(t *testing.T) {
	if Known("a.txt") || !Known("A.DEF") || !Known("a.sm") {
		t.Error("the endings .sm and .def are those of instances")
	}
	if _, err := Read(strings.NewReader(""), "a.txt"); err == nil {
		t.Error("a.txt is taken")
	}
}
