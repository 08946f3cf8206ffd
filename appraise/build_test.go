package appraise

import (
	"slices"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"github.com/vanwright/vanwright/data"
)

var loadBuiltIn = sync.OnceValues(func() (*data.Books, error) { return data.LoadBooks(fstest.MapFS{}) })

// builtIn returns the books that the program brings along.
func builtIn(t testing.TB) *data.Books {
	t.Helper()
	books, err := loadBuiltIn()
	if err != nil {
		t.Fatal(err)
	}
	return books
}

// day reads a date of a test; blank is an unknown day.
func day(t testing.TB, s string) data.Date {
	t.Helper()
	if s == "" {
		return 0
	}
	d, err := time.Parse(time.DateOnly, s)
	if err != nil {
		t.Fatal(err)
	}
	return data.DateOf(d)
}

// asOfTests is the day of the report in tests that name no other.
var asOfTests = data.NewDate(2026, 3, 9)

// read builds a reading with a number.
func read(checkpoint, position string, x float64) data.Reading {
	return data.Reading{
		Checkpoint: checkpoint, Position: position, TakenOn: asOfTests.AddDays(-7),
		Value: quantity(x, "", 1), Number: data.Some(x),
	}
}

// said builds a reading with the inspector's word only.
func said(checkpoint, position string, v data.Verdict, note string) data.Reading {
	return data.Reading{Checkpoint: checkpoint, Position: position, TakenOn: asOfTests.AddDays(-7), Verdict: v, Note: note}
}

// text builds a reading with a value that is no number, such as a tyre code.
func text(checkpoint, position, value string) data.Reading {
	return data.Reading{Checkpoint: checkpoint, Position: position, TakenOn: asOfTests.AddDays(-7), Value: value}
}

// plainVan is a van about which nothing is odd.
func plainVan() data.Van {
	return data.Van{
		StockID: "T-1", Reg: "FX01 ABC", VIN: "UAZZZZ7HZKX012345", Body: data.LowProfile, Fuel: "diesel",
		FirstRegistered: data.NewDate(2019, 5, 1), Mileage: 30000, Status: data.Owned,
		Keepers: data.Some(1), Keys: data.Some(2),
		Equipment: []string{"gas-locker", "hookup", "three-way-fridge", "hob", "battery-lead-acid", "smoke-alarm", "co-alarm"},
	}
}

// assess runs Assess with the built-in books and the default policy.
func assess(t testing.TB, van data.Van, readings []data.Reading, docs []data.Document) Assessment {
	t.Helper()
	return assessed(van, readings, docs, nil, builtIn(t), data.DefaultPolicy(), asOfTests)
}

// assessed is Assess of readings that stand as a test tells them.
func assessed(van data.Van, readings []data.Reading, docs []data.Document, progress []data.Progress, books *data.Books, policy data.Policy, asOf data.Date) Assessment {
	readings = slices.Clone(readings)
	slices.SortStableFunc(readings, func(a, b data.Reading) int { return data.CompareReadings(&a, &b) })
	return Assess(van, readings, docs, progress, books, policy, asOf)
}

// findingAt returns the one finding of a point.
func findingAt(t testing.TB, a Assessment, checkpoint, position string) Finding {
	t.Helper()
	for _, f := range a.Findings {
		if f.Code == checkpoint && f.Position == position {
			return f
		}
	}
	t.Fatalf("no finding of %s at %q", checkpoint, position)
	return Finding{}
}

// jobsOf writes the requests as job@place ×units, without doubles.
func jobsOf(requests []JobRequest, codes ...string) []string {
	var out []string
	for _, w := range requests {
		if len(codes) > 0 && !hasPrefix(w.Job, codes) {
			continue
		}
		s := w.Job
		if w.Place != "" {
			s += "@" + w.Place
		}
		if w.Units != 1 {
			s += " ×" + quantity(w.Units, "", 1)
		}
		if len(out) == 0 || out[len(out)-1] != s {
			out = append(out, s)
		}
	}
	return out
}

func hasPrefix(s string, prefixes []string) bool {
	for _, p := range prefixes {
		if len(s) >= len(p) && s[:len(p)] == p {
			return true
		}
	}
	return false
}
