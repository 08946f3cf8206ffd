package instance

import (
	"bufio"
	"io"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/prep/schedule"
)

// readProject reads the .sm format: one project, one mode for each job,
// renewable resources of constant capacity. The tasks are the file's jobs in
// their order, the dummy first and last job included. Anything else that the
// format can say (more projects, more modes, other resources) is an error.
func readProject(r io.Reader, name string) (schedule.Problem, error) {
	s := &projectScanner{scanner: scanner{in: bufio.NewScanner(r), file: name}}
	s.readHeader()
	s.readPrecedence()
	s.readRequests()
	s.readAvailability()
	return s.finish(s.problem)
}

// projectScanner walks the sections of a .sm file in order.
type projectScanner struct {
	scanner
	jobs      int
	resources int
	problem   schedule.Problem
}

// readHeader takes the counts of jobs and resources.
func (s *projectScanner) readHeader() {
	for {
		line, ok := s.next()
		if !ok || strings.HasPrefix(line, "PROJECT INFORMATION") {
			break
		}
		name, value, ok := strings.Cut(line, ":")
		if !ok {
			continue
		}
		name = strings.TrimLeft(strings.TrimSpace(name), "- ")
		switch {
		case name == "projects":
			s.count(value, "projects", 1, 1)
		case strings.HasPrefix(name, "jobs"):
			s.jobs = s.count(value, "jobs", 1, maxTasks)
		case name == "renewable":
			s.resources = s.count(value, "renewable resources", 0, 1000)
		case name == "nonrenewable", name == "doubly constrained":
			s.count(value, name+" resources", 0, 0)
		}
	}
	if s.err == nil && s.jobs == 0 {
		s.fail("the number of jobs is not given")
	}
}

func (s *projectScanner) count(value, what string, least, most int) int {
	fields := strings.Fields(value)
	if len(fields) == 0 {
		s.fail("%s: no number", what)
		return 0
	}
	n, err := strconv.Atoi(fields[0])
	if err != nil || n < least || n > most {
		s.fail("%s: %q is not a number from %d to %d", what, fields[0], least, most)
	}
	return n
}

// readPrecedence takes a line for each job: number, modes, count of successors
// and the successors.
func (s *projectScanner) readPrecedence() {
	s.skipTo("PRECEDENCE RELATIONS")
	s.skipTo("jobnr.")
	s.problem.Tasks = make([]schedule.Task, s.jobs)
	for i := range s.problem.Tasks {
		s.problem.Tasks[i].Skill, s.problem.Tasks[i].Group = schedule.None, schedule.None
	}
	for job := range s.jobs {
		row := s.numbers(3, "precedence")
		if row == nil {
			return
		}
		switch {
		case row[0] != job+1:
			s.fail("job %d where job %d is expected", row[0], job+1)
		case row[1] != 1:
			s.fail("job %d has %d modes, not 1", row[0], row[1])
		case len(row)-3 != row[2]:
			s.fail("job %d: %d successors, not %d", row[0], len(row)-3, row[2])
		}
		for _, v := range row[3:] {
			if v < 1 || v > s.jobs {
				s.fail("job %d: successor %d of %d jobs", row[0], v, s.jobs)
				return
			}
			next := &s.problem.Tasks[v-1]
			next.After = append(next.After, schedule.Link{Pred: job})
		}
	}
}

// readRequests takes a line for each job: number, mode, duration, and a demand
// for each resource.
func (s *projectScanner) readRequests() {
	s.skipTo("REQUESTS/DURATIONS")
	s.skipTo("jobnr.")
	for job := range s.jobs {
		row := s.numbers(3+s.resources, "requests")
		if row == nil {
			return
		}
		switch {
		case row[0] != job+1:
			s.fail("job %d where job %d is expected", row[0], job+1)
		case len(row) != 3+s.resources:
			s.fail("job %d: %d demands for %d resources", row[0], len(row)-3, s.resources)
		case row[2] < 0:
			s.fail("job %d: duration %d", row[0], row[2])
		}
		task := &s.problem.Tasks[job]
		task.Duration = row[2]
		for r, amount := range row[3:] {
			if amount < 0 {
				s.fail("job %d: demand %d", row[0], amount)
			} else if amount > 0 {
				task.Uses = append(task.Uses, schedule.Demand{Resource: r, Amount: amount})
			}
		}
	}
}

func (s *projectScanner) readAvailability() {
	s.skipTo("RESOURCEAVAILABILITIES")
	if s.resources == 0 {
		return
	}
	s.next() // the resources' names
	row := s.numbers(s.resources, "availabilities")
	if row != nil && len(row) != s.resources {
		s.fail("%d availabilities for %d resources", len(row), s.resources)
	}
	if s.err != nil {
		return
	}
	for job, task := range s.problem.Tasks {
		for _, u := range task.Uses {
			if u.Amount > row[u.Resource] {
				s.fail("job %d needs %d of R %d, which has %d", job+1, u.Amount, u.Resource+1, row[u.Resource])
			}
		}
	}
	for _, capacity := range row {
		s.problem.Resources = append(s.problem.Resources, schedule.Resource{Capacity: capacity})
	}
}
