// Package survivaltest reads the published survival data that tests check against.
package survivaltest

import (
	"encoding/csv"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"testing"
)

// The data sets are cited in testdata/reference/README.md. Expected figures were
// computed with R 4.2.2, survival 3.5-3 (survfit, survdiff, survreg, coxph).

// Table is a table of text with a header.
type Table struct {
	header []string
	rows   [][]string
}

// Read reads a table of a folder, which is testdata/reference.
func Read(t testing.TB, folder fs.FS, name string) Table {
	t.Helper()
	f, err := folder.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return Table{records[0], records[1:]}
}

// Text is a column as it stands.
func (r Table) Text(t testing.TB, column string) []string {
	t.Helper()
	c := slices.Index(r.header, column)
	if c < 0 {
		t.Fatalf("no column %q", column)
	}
	out := make([]string, len(r.rows))
	for i, row := range r.rows {
		out[i] = row[c]
	}
	return out
}

// Numbers is a column of numbers.
func (r Table) Numbers(t testing.TB, column string) []float64 {
	t.Helper()
	return Map(r.Text(t, column), func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	})
}

// Events is a column of which 1 says that the event was seen.
func (r Table) Events(t testing.TB, column string) []bool {
	t.Helper()
	return Map(r.Text(t, column), func(s string) bool { return s == "1" })
}

// Where is the table with only the rows in which a column holds a value.
func (r Table) Where(column, value string) Table {
	c := slices.Index(r.header, column)
	out := Table{header: r.header}
	for _, row := range r.rows {
		if row[c] == value {
			out.rows = append(out.rows, row)
		}
	}
	return out
}

// Map is f of each.
func Map[A, B any](in []A, f func(A) B) []B {
	out := make([]B, len(in))
	for i, v := range in {
		out[i] = f(v)
	}
	return out
}

// Flag is 1 where a text equals level.
func Flag(texts []string, level string) []float64 {
	return Map(texts, func(s string) float64 {
		if s == level {
			return 1
		}
		return 0
	})
}

// Columns joins columns into rows.
func Columns(of ...[]float64) [][]float64 {
	rows := make([][]float64, len(of[0]))
	for i := range rows {
		for _, c := range of {
			rows[i] = append(rows[i], c[i])
		}
	}
	return rows
}

// Near fails unless got agrees with want to a share tol of its size.
func Near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*max(1e-6, math.Abs(want))) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tol)
	}
}

// NearAll is Near for each of a list.
func NearAll(t *testing.T, what string, got, want []float64, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: got %v, want %v", what, got, want)
	}
	for i := range got {
		Near(t, what+" ["+strconv.Itoa(i)+"]", got[i], want[i], tol)
	}
}

// Gehan is gehan.csv in the shape of the API.
type Gehan struct {
	Table
	Times  []float64
	Events []bool
	X      [][]float64
	Names  []string
}

// ReadGehan reads it.
func ReadGehan(t testing.TB, folder fs.FS) Gehan {
	r := Read(t, folder, "gehan.csv")
	return Gehan{r, r.Numbers(t, "time"), r.Events(t, "event"), Columns(r.Numbers(t, "treated")), []string{"treated"}}
}
