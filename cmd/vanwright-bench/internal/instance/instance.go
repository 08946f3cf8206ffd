// Package instance reads public scheduling instances into the engine's problem:
//
//   - .sm, the project format of PSPLIB (Kolisch and Sprecher, European Journal
//     of Operational Research 96, 1997);
//   - .def, the multi-skill format of the iMOPSE library (Myszkowski and
//     others, Soft Computing, doi 10.1007/s00500-014-1455-x).
//
// What a file says that is not understood is an error that names the file and
// the line, never a guess.
package instance

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/prep/schedule"
)

// maxTasks is the largest number of tasks or people that Read takes.
const maxTasks = 100_000

// Error is what is wrong with a file, and where.
type Error struct {
	File   string // as the caller names it
	Line   int    // from 1; one past the last where the file ends too soon
	Reason string
}

func (e *Error) Error() string { return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Reason) }

var readers = map[string]func(io.Reader, string) (schedule.Problem, error){
	".sm":  readProject,
	".def": readMultiSkill,
}

// Known reports whether Read takes a file of this name.
func Known(name string) bool { return readers[strings.ToLower(filepath.Ext(name))] != nil }

// Read reads one instance, in the format that its name ends with. The name
// stands for the file in errors, which are of type *Error unless reading itself
// fails. A period of the file is a minute of the problem.
func Read(r io.Reader, name string) (schedule.Problem, error) {
	read := readers[strings.ToLower(filepath.Ext(name))]
	if read == nil {
		return schedule.Problem{}, fmt.Errorf("%s: neither .sm nor .def", name)
	}
	return read(r, name)
}

// scanner reads a file line by line. After the first error every step does
// nothing.
type scanner struct {
	in   *bufio.Scanner
	file string
	line int
	err  error
}

func (s *scanner) fail(format string, args ...any) {
	if s.err == nil {
		s.err = &Error{s.file, s.line, fmt.Sprintf(format, args...)}
	}
}

// next returns the next line that is neither blank nor a rule of asterisks,
// dashes or equals signs.
func (s *scanner) next() (string, bool) {
	for s.err == nil {
		s.line++
		if !s.in.Scan() {
			s.fail("the file ends too soon")
			break
		}
		if line := strings.TrimSpace(s.in.Text()); strings.Trim(line, "*-=") != "" {
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

// finish returns the problem where nothing was wrong with the file.
func (s *scanner) finish(p schedule.Problem) (schedule.Problem, error) {
	if err := s.in.Err(); err != nil && !errors.Is(err, bufio.ErrTooLong) {
		return schedule.Problem{}, fmt.Errorf("read %s: %w", s.file, err)
	}
	if s.err == nil {
		if err := p.Check(); err != nil {
			s.fail("%v", err)
		}
	}
	if s.err != nil {
		return schedule.Problem{}, s.err
	}
	return p, nil
}
