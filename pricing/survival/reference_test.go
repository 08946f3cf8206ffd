package survival

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
)

// The data sets are cited in testdata/reference/README.md. Expected figures were
// computed with R 4.2.2, survival 3.5-3 (survfit, survdiff, survreg, coxph).

type reference struct {
	header []string
	rows   [][]string
}

func readReference(t testing.TB, name string) reference {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return reference{records[0], records[1:]}
}

func (r reference) text(t testing.TB, column string) []string {
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

func (r reference) numbers(t testing.TB, column string) []float64 {
	t.Helper()
	return mapSlice(r.text(t, column), func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	})
}

func (r reference) events(t testing.TB, column string) []bool {
	t.Helper()
	return mapSlice(r.text(t, column), func(s string) bool { return s == "1" })
}

func mapSlice[A, B any](in []A, f func(A) B) []B {
	out := make([]B, len(in))
	for i, v := range in {
		out[i] = f(v)
	}
	return out
}

// flag is 1 where a text equals level.
func flag(texts []string, level string) []float64 {
	return mapSlice(texts, func(s string) float64 {
		if s == level {
			return 1
		}
		return 0
	})
}

func columns(of ...[]float64) [][]float64 {
	rows := make([][]float64, len(of[0]))
	for i := range rows {
		for _, c := range of {
			rows[i] = append(rows[i], c[i])
		}
	}
	return rows
}

// near fails unless got agrees with want to a share tol of its size.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*max(1e-6, math.Abs(want))) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tol)
	}
}

func nearAll(t *testing.T, what string, got, want []float64, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: got %v, want %v", what, got, want)
	}
	for i := range got {
		near(t, what+" ["+strconv.Itoa(i)+"]", got[i], want[i], tol)
	}
}

// data sets in the shape of the API

type gehanData struct {
	reference
	times  []float64
	events []bool
	x      [][]float64
	names  []string
}

func gehan(t testing.TB) gehanData {
	r := readReference(t, "gehan.csv")
	return gehanData{r, r.numbers(t, "time"), r.events(t, "event"), columns(r.numbers(t, "treated")), []string{"treated"}}
}
