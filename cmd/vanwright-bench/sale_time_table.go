package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// maxLevels of a text covariate, each of them a column of its own.
const maxLevels = 200

// saleTimeTable is a table made ready for a survival fit.
type saleTimeTable struct {
	times      []float64
	events     []bool
	x          [][]float64 // nil without covariates
	names      []string    // of the columns of x
	covariates []covariate // as the file has them
}

// covariate is a column as it came. Levels are in the order in which the file
// names them.
type covariate struct {
	name    string
	values  []string
	numbers []float64 // as long as values where all are numbers
	levels  []string  // at most maxLevels + 1 are kept

	oddLine int // line of the first value that is no number, 0 for none
}

func (c covariate) numeric() bool { return c.oddLine == 0 }

// fewLevels are the levels of a covariate that splits the rows into a few
// groups, and nothing for one that does not.
func (c covariate) fewLevels() []string {
	if len(c.levels) > 8 {
		return nil
	}
	return c.levels
}

func (t *saleTimeTable) where(c covariate, level string) (times []float64, events []bool) {
	for i, v := range c.values {
		if v == level {
			times, events = append(times, t.times[i]), append(events, t.events[i])
		}
	}
	return times, events
}

// readSaleTimes reads a CSV table. Its errors begin with file:line: and name the
// column.
func readSaleTimes(r io.Reader, opts saleTimeOptions) (*saleTimeTable, error) {
	in := csv.NewReader(r)
	in.TrimLeadingSpace = true
	header, err := in.Read()
	if err != nil {
		return nil, csvError(opts.data, err)
	}
	for i, name := range header {
		header[i] = strings.TrimSpace(strings.TrimPrefix(name, "\ufeff"))
	}
	wanted := append([]string{opts.time, opts.event}, opts.covariates...)
	at := make([]int, len(wanted))
	for i, name := range wanted {
		at[i] = slices.Index(header, name)
		if at[i] < 0 {
			return nil, fmt.Errorf("%s:1: no column %q; there are %s", opts.data, name, strings.Join(header, ", "))
		}
		if slices.Contains(wanted[:i], name) || slices.Contains(header[at[i]+1:], name) {
			return nil, fmt.Errorf("%s:1: column %q is there or asked for twice", opts.data, name)
		}
	}
	t := &saleTimeTable{covariates: make([]covariate, len(opts.covariates))}
	for j, name := range opts.covariates {
		t.covariates[j] = covariate{name: name}
	}
	for {
		record, err := in.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, csvError(opts.data, err)
		}
		lineOf := func(column int) int {
			line, _ := in.FieldPos(at[column])
			return line
		}
		if err := t.add(record, at, lineOf); err != nil {
			return nil, fmt.Errorf("%s:%d: column %q: %s", opts.data, lineOf(err.column), wanted[err.column], err.reason)
		}
	}
	if len(t.times) == 0 {
		return nil, fmt.Errorf("%s:1: no rows below the header", opts.data)
	}
	for _, c := range t.covariates {
		switch {
		case c.numeric():
		case 2*len(c.numbers) > len(c.values):
			// One slip must not turn a column of numbers into dozens of levels.
			return nil, fmt.Errorf("%s:%d: column %q: not a number, as most of the column are", opts.data, c.oddLine, c.name)
		case len(c.levels) == 1:
			return nil, fmt.Errorf("%s:%d: column %q: every row says %q", opts.data, c.oddLine, c.name, c.levels[0])
		case len(c.levels) > maxLevels:
			return nil, fmt.Errorf("%s:1: column %q: more than %d levels of text", opts.data, c.name, maxLevels)
		}
	}
	t.design()
	return t, nil
}

// cellError says what is wrong with a cell; column counts the wanted columns.
type cellError struct {
	column int
	reason string
}

// add takes one record, its wanted columns at the places in at.
func (t *saleTimeTable) add(record []string, at []int, lineOf func(column int) int) *cellError {
	cell := func(i int) string { return strings.TrimSpace(record[at[i]]) }
	for i := range at {
		if cell(i) == "" {
			return &cellError{i, "blank"}
		}
	}
	time, err := strconv.ParseFloat(cell(0), 64)
	if err != nil || !(time > 0) || math.IsInf(time, 1) {
		return &cellError{0, fmt.Sprintf("%q is not a number above zero", cell(0))}
	}
	var event bool
	switch strings.ToLower(cell(1)) {
	case "1", "true", "yes":
		event = true
	case "0", "false", "no":
	default:
		return &cellError{1, fmt.Sprintf("%q is neither 1, true or yes nor 0, false or no", cell(1))}
	}
	t.times, t.events = append(t.times, time), append(t.events, event)
	for j := range t.covariates {
		t.covariates[j].add(cell(j+2), lineOf(j+2))
	}
	return nil
}

func (c *covariate) add(value string, line int) {
	c.values = append(c.values, value)
	if len(c.levels) <= maxLevels && !slices.Contains(c.levels, value) {
		c.levels = append(c.levels, value)
	}
	number, err := strconv.ParseFloat(value, 64)
	switch {
	case err == nil && !math.IsNaN(number) && !math.IsInf(number, 0):
		c.numbers = append(c.numbers, number)
	case c.oddLine == 0:
		c.oddLine = line
	}
}

// design lays out the columns of x: a number as it comes, a text as a column of
// 0 and 1 for each level but the first.
func (t *saleTimeTable) design() {
	if len(t.covariates) == 0 {
		return
	}
	t.x = make([][]float64, len(t.times))
	for _, c := range t.covariates {
		if c.numeric() {
			t.names = append(t.names, c.name)
			for i, v := range c.numbers {
				t.x[i] = append(t.x[i], v)
			}
			continue
		}
		for _, level := range c.levels[1:] {
			t.names = append(t.names, c.name+"="+level)
			for i, v := range c.values {
				flag := 0.0
				if v == level {
					flag = 1
				}
				t.x[i] = append(t.x[i], flag)
			}
		}
	}
}

// csvError puts the file and line before an error of the CSV reader.
func csvError(file string, err error) error {
	var parse *csv.ParseError
	switch {
	case errors.Is(err, io.EOF):
		return fmt.Errorf("%s:1: no header line", file)
	case errors.As(err, &parse):
		return fmt.Errorf("%s:%d: %w", file, parse.Line, parse.Err)
	}
	return fmt.Errorf("%s: %w", file, err)
}
