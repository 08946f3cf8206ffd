// Package psplib reads project scheduling instances in the .sm format of
// Kolisch and Sprecher's library (PSPLIB, European Journal of Operational
// Research 96, 1997): one project, one mode for each job, renewable resources
// of constant capacity.
//
// Read returns a project whose activities are the file's jobs in their order,
// the dummy first and last job included. Anything else that the format can
// say (more projects, more modes, other resources) is an error that names the
// file and the line, never a guess.
package psplib

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/prep/schedule/rcpsp"
)

// MaxJobs is the largest number of jobs that Read takes.
const MaxJobs = 100_000

// Error is what is wrong with a file, and where.
type Error struct {
	File   string // as the caller names it
	Line   int    // from 1; one past the last where the file ends too soon
	Reason string
}

func (e *Error) Error() string { return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Reason) }

// Read reads one instance. The name stands for the file in errors, which are
// of type *Error unless reading itself fails.
func Read(r io.Reader, name string) (rcpsp.Project, error) {
	s := &scanner{in: bufio.NewScanner(r), file: name}
	s.readHeader()
	s.readPrecedence()
	s.readRequests()
	s.readAvailability()
	if err := s.in.Err(); err != nil && err != bufio.ErrTooLong {
		return rcpsp.Project{}, fmt.Errorf("read %s: %w", name, err)
	}
	if s.err == nil {
		if err := s.project.Check(); err != nil {
			s.fail("%v", err)
		}
	}
	if s.err != nil {
		return rcpsp.Project{}, s.err
	}
	return s.project, nil
}

// scanner walks the sections of a file in order. After the first error every
// step does nothing.
type scanner struct {
	in        *bufio.Scanner
	file      string
	line      int
	err       error
	jobs      int
	resources int
	project   rcpsp.Project
}

func (s *scanner) fail(format string, args ...any) {
	if s.err == nil {
		s.err = &Error{s.file, s.line, fmt.Sprintf(format, args...)}
	}
}

// next returns the next line that is neither blank nor a rule of asterisks or
// dashes.
func (s *scanner) next() (string, bool) {
	for s.err == nil {
		s.line++
		if !s.in.Scan() {
			s.fail("the file ends too soon")
			break
		}
		if line := strings.TrimSpace(s.in.Text()); strings.Trim(line, "*-") != "" {
			return line, true
		}
	}
	return "", false
}

// skipTo moves behind the line that starts with the heading.
func (s *scanner) skipTo(heading string) {
	for {
		line, ok := s.next()
		if !ok || strings.HasPrefix(line, heading) {
			return
		}
	}
}

// numbers returns the whole numbers of the next line; least is how many there
// must be.
func (s *scanner) numbers(least int, what string) []int {
	line, ok := s.next()
	if !ok {
		return nil
	}
	var out []int
	for _, field := range strings.Fields(line) {
		v, err := strconv.Atoi(field)
		if err != nil {
			s.fail("%s: %q is not a whole number", what, field)
			return nil
		}
		out = append(out, v)
	}
	if len(out) < least {
		s.fail("%s: %d numbers, not %d", what, len(out), least)
		return nil
	}
	return out
}

// readHeader takes the counts of jobs and resources.
func (s *scanner) readHeader() {
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
			s.jobs = s.count(value, "jobs", 1, MaxJobs)
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

func (s *scanner) count(value, what string, least, most int) int {
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
func (s *scanner) readPrecedence() {
	s.skipTo("PRECEDENCE RELATIONS")
	s.skipTo("jobnr.")
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
		successors := make([]int, 0, len(row)-3)
		for _, v := range row[3:] {
			if v < 1 || v > s.jobs {
				s.fail("job %d: successor %d of %d jobs", row[0], v, s.jobs)
			}
			successors = append(successors, v-1)
		}
		s.project.Successors = append(s.project.Successors, successors)
	}
}

// readRequests takes a line for each job: number, mode, duration, and a demand
// for each resource.
func (s *scanner) readRequests() {
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
		s.project.Durations = append(s.project.Durations, row[2])
		s.project.Demands = append(s.project.Demands, row[3:])
	}
}

func (s *scanner) readAvailability() {
	s.skipTo("RESOURCEAVAILABILITIES")
	if s.resources == 0 {
		return
	}
	s.next() // the resources' names
	row := s.numbers(s.resources, "availabilities")
	if row != nil && len(row) != s.resources {
		s.fail("%d availabilities for %d resources", len(row), s.resources)
	}
	for job, demands := range s.project.Demands {
		for r, need := range demands {
			if s.err == nil && need > row[r] {
				s.fail("job %d needs %d of R %d, which has %d", job+1, need, r+1, row[r])
			}
		}
	}
	s.project.Capacities = row
}
