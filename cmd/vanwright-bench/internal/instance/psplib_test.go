package instance

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/prep/schedule"
)

// sample is an invented project in the library's layout.
const sample = `************************************************************************
file with basedata            : made_up.bas
initial value random generator: 1
************************************************************************
projects                      :  1
jobs (incl. supersource/sink ):  4
horizon                       :  5
RESOURCES
  - renewable                 :  2   R
  - nonrenewable              :  0   N
  - doubly constrained        :  0   D
************************************************************************
PROJECT INFORMATION:
pronr.  #jobs rel.date duedate tardcost  MPM-Time
    1      2      0        3        1        3
************************************************************************
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           4
   4        1          0
************************************************************************
REQUESTS/DURATIONS:
jobnr. mode duration  R 1  R 2
------------------------------------------------------------------------
  1      1     0       0    0
  2      1     3       4    0
  3      1     2       1    2
  4      1     0       0    0
************************************************************************
RESOURCEAVAILABILITIES:
  R 1  R 2
    4    2
************************************************************************
`

func TestReadTakesJobsResourcesAndArcs(t *testing.T) {
	for _, text := range []string{sample, strings.ReplaceAll(sample, "\n", "\r\n")} {
		got, err := Read(strings.NewReader(text), "sample.sm")
		if err != nil {
			t.Fatal(err)
		}
		const none = schedule.None
		want := schedule.Problem{
			Tasks: []schedule.Task{
				{Skill: none, Group: none},
				{Duration: 3, Skill: none, Group: none, Uses: []schedule.Demand{{Resource: 0, Amount: 4}}, After: []schedule.Link{{Pred: 0}}},
				{Duration: 2, Skill: none, Group: none, Uses: []schedule.Demand{{Resource: 0, Amount: 1}, {Resource: 1, Amount: 2}}, After: []schedule.Link{{Pred: 0}}},
				{Skill: none, Group: none, After: []schedule.Link{{Pred: 1}, {Pred: 2}}},
			},
			Resources: []schedule.Resource{{Capacity: 4}, {Capacity: 2}},
		}
		if diff := cmp.Diff(got, want); diff != "" {
			t.Error(diff)
		}
	}
}

func TestBadFilesAreNamedWithTheLine(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		want           string
	}{
		{"a word for a number", "  3      1     2 ", "  3      1     x ", `a.sm:29: requests: "x" is not a whole number`},
		{"too few successors", "1        1          2           2   3", "1 1 2 2", "a.sm:19: job 1: 1 successors, not 2"},
		{"unknown successor", "2        1          1           4", "2 1 1 5", "a.sm:20: job 2: successor 5 of 4 jobs"},
		{"several modes", "3        1          1           4", "3 2 1 4", "a.sm:21: job 3 has 2 modes, not 1"},
		{"a job is missing", "   3        1          1           4\n", "", "a.sm:21: job 4 where job 3 is expected"},
		{"too many demands", "  2      1     3       4    0", "2 1 3 4 0 1", "a.sm:28: job 2: 3 demands for 2 resources"},
		{"negative duration", "  2      1     3       4    0", "2 1 -3 4 0", "a.sm:28: job 2: duration -3"},
		{"two projects", "projects                      :  1", "projects : 2", `a.sm:5: projects: "2" is not a number from 1 to 1`},
		{"other resources", "nonrenewable              :  0", "nonrenewable : 2", `a.sm:10: nonrenewable resources: "2" is not a number from 0 to 0`},
		{"no jobs line", "jobs (incl. supersource/sink ):  4\n", "", "a.sm:12: the number of jobs is not given"},
		{"capacity is missing", "    4    2\n", "    4\n", "a.sm:34: availabilities: 1 numbers, not 2"},
		{"more than there is", "    4    2\n", "    3    2\n", "a.sm:34: job 2 needs 4 of R 1, which has 3"},
		{"a cycle", "3        1          1           4", "3 1 1 1", "a.sm:34: tasks wait for one another: 0 after 2 after 0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(sample, c.old, c.new, 1)
			if text == sample {
				t.Fatal("the sample does not hold what is to be replaced")
			}
			_, err := Read(strings.NewReader(text), "a.sm")
			if got := fmt.Sprint(err); got != c.want {
				t.Errorf("error %q, want %q", got, c.want)
			}
		})
	}
}

func TestFilesThatEndTooSoon(t *testing.T) {
	for cut := range len(sample) - len("    4    2\n") - 80 {
		var e *Error
		if _, err := Read(strings.NewReader(sample[:cut]), "a.sm"); !errors.As(err, &e) {
			t.Fatalf("cut at byte %d: error %v", cut, err)
		}
	}
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestReadErrorsArePassedOn(t *testing.T) {
	_, err := Read(broken{}, "a.sm")
	if !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("error %v", err)
	}
}

func FuzzRead(f *testing.F) {
	for _, name := range []string{"f.sm", "f.def"} {
		f.Add(name, []byte(sample))
		f.Add(name, []byte(skilled))
	}
	f.Add("f.sm", []byte(strings.ReplaceAll(sample, "4    2\n", "4    2 1\n")))
	f.Add("f.sm", []byte("jobs : 3\nPROJECT INFORMATION\nPRECEDENCE RELATIONS\njobnr.\n"))
	f.Fuzz(func(t *testing.T, name string, data []byte) {
		p, err := Read(bytes.NewReader(data), name)
		if err != nil {
			var e *Error
			if Known(name) && (!errors.As(err, &e) || e.Line < 1) {
				t.Fatalf("error without a line: %v", err)
			}
			return
		}
		if err := p.Check(); err != nil {
			t.Fatalf("a problem that makes no sense: %v", err)
		}
	})
}
