package psplib

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/prep/schedule/rcpsp"
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
		want := rcpsp.Project{
			Durations:  []int{0, 3, 2, 0},
			Successors: [][]int{{1, 2}, {3}, {3}, {}},
			Demands:    [][]int{{0, 0}, {4, 0}, {1, 2}, {0, 0}},
			Capacities: []int{4, 2},
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
		{"a cycle", "3        1          1           4", "3 1 1 1", "a.sm:34: activities wait for one another: 4 of 4"},
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
	f.Add([]byte(sample))
	f.Add([]byte(strings.ReplaceAll(sample, "4    2\n", "4    2 1\n")))
	f.Add([]byte("jobs : 3\nPROJECT INFORMATION\nPRECEDENCE RELATIONS\njobnr.\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Read(bytes.NewReader(data), "f")
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.Line < 1 {
				t.Fatalf("error without a line: %v", err)
			}
			return
		}
		if err := p.Check(); err != nil {
			t.Fatalf("a project that makes no sense: %v", err)
		}
	})
}
