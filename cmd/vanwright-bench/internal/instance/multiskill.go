package instance

import (
	"bufio"
	"io"
	"regexp"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/prep/schedule"
)

// maxSkillLevel bounds the levels that a file may name.
const maxSkillLevel = 1_000

// grade is a skill at a level. A worker with a level can do what needs a lower
// one.
type grade struct {
	skill string
	level int
}

// readMultiSkill reads the .def format: people with skills at levels, tasks of
// one person each that need one skill at a level, and what each task waits for.
// Wages are not read.
func readMultiSkill(r io.Reader, name string) (schedule.Problem, error) {
	s := &skillScanner{scanner: scanner{in: bufio.NewScanner(r), file: name}, task: map[int]int{}}
	s.readPeople()
	s.readTasks()
	s.linkTasks()
	return s.finish(s.problem())
}

// skillScanner walks the sections of a .def file in order.
type skillScanner struct {
	scanner
	people [][]grade
	tasks  []skillTask
	task   map[int]int // by the file's number; numbers may be left out
}

type skillTask struct {
	line, number, duration int
	needs                  grade
	after                  []int // the file's numbers, then ours
}

// gradePattern is a skill as the format writes it: "Q2: 1".
var gradePattern = regexp.MustCompile(`(Q\d+)\s*:\s*(\d+)`)

func (s *skillScanner) grades(text string) []grade {
	var out []grade
	for _, m := range gradePattern.FindAllStringSubmatch(text, -1) {
		level, err := strconv.Atoi(m[2])
		if err != nil || level > maxSkillLevel {
			s.fail("skill %s: level %s is not a number from 0 to %d", m[1], m[2], maxSkillLevel)
			return nil
		}
		out = append(out, grade{m[1], level})
	}
	return out
}

func (s *skillScanner) readPeople() {
	s.skipTo("ResourceID")
	for {
		line, ok := s.next()
		if !ok {
			return
		}
		if strings.HasPrefix(line, "TaskID") {
			break
		}
		if len(s.people) == maxTasks {
			s.fail("more than %d resources", maxTasks)
			return
		}
		grades := s.grades(line)
		if len(grades) == 0 {
			s.fail("resource %d has no skill", len(s.people)+1)
			return
		}
		s.people = append(s.people, grades)
	}
	if len(s.people) == 0 {
		s.fail("no resources")
	}
}

// readTasks takes the rest of the file: number, duration, skill and the numbers
// of what comes before. The file ends with a rule.
func (s *skillScanner) readTasks() {
	for s.err == nil && s.in.Scan() {
		s.line++
		line := strings.TrimSpace(s.in.Text())
		if strings.Trim(line, "=") == "" {
			continue
		}
		grades := s.grades(line)
		if len(grades) != 1 {
			s.fail("task with %d skills, not 1", len(grades))
			return
		}
		var numbers []int
		for _, field := range strings.Fields(gradePattern.ReplaceAllString(line, " ")) {
			v, err := strconv.Atoi(field)
			if err != nil || v < 0 {
				s.fail("%q is not a whole number from 0", field)
				return
			}
			numbers = append(numbers, v)
		}
		switch {
		case len(numbers) < 2:
			s.fail("task without number or duration")
		case len(s.tasks) == maxTasks:
			s.fail("more than %d tasks", maxTasks)
		default:
			if _, twice := s.task[numbers[0]]; twice {
				s.fail("task %d comes twice", numbers[0])
				return
			}
			s.task[numbers[0]] = len(s.tasks)
			s.tasks = append(s.tasks, skillTask{s.line, numbers[0], numbers[1], grades[0], numbers[2:]})
		}
	}
	if s.err == nil && len(s.tasks) == 0 {
		s.fail("no tasks")
	}
}

func (s *skillScanner) linkTasks() {
	for _, t := range s.tasks {
		for k, number := range t.after {
			before, ok := s.task[number]
			if !ok && s.err == nil {
				s.line = t.line
				s.fail("task %d waits for task %d, which is not there", t.number, number)
			}
			t.after[k] = before
		}
	}
}

// problem makes each skill at a level that some task needs a skill of its own,
// which everybody has who has that level or more.
func (s *skillScanner) problem() schedule.Problem {
	var p schedule.Problem
	if s.err != nil {
		return p
	}
	number := map[grade]int{}
	var needed []grade
	total := 0
	for _, t := range s.tasks {
		if _, ok := number[t.needs]; !ok {
			number[t.needs] = len(needed)
			needed = append(needed, t.needs)
		}
		task := schedule.Task{
			Name: strconv.Itoa(t.number), Duration: t.duration, Skill: number[t.needs], Group: schedule.None,
		}
		for _, before := range t.after {
			task.After = append(task.After, schedule.Link{Pred: before})
		}
		p.Tasks = append(p.Tasks, task)
		total += t.duration
	}
	for _, grades := range s.people {
		w := schedule.Worker{Hours: schedule.Calendar{{From: 0, To: max(total, 1)}}}
		for k, g := range needed {
			for _, has := range grades {
				if has.skill == g.skill && has.level >= g.level {
					w.Skills = append(w.Skills, k)
					break
				}
			}
		}
		p.Workers = append(p.Workers, w)
	}
	return p
}
