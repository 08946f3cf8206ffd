package survival

import (
	"errors"
	"strings"
	"testing"
)

// columns are ten rows of the columns given, with times that hang on nothing.
func columns(of ...func(i float64) float64) (times []float64, events []bool, x [][]float64) {
	for i := range 10 {
		row := make([]float64, len(of))
		for j, f := range of {
			row[j] = f(float64(i))
		}
		times, events, x = append(times, 10+float64(i*7%10)), append(events, i%3 > 0), append(x, row)
	}
	return times, events, x
}

var (
	rises  = func(i float64) float64 { return i }
	waves  = func(i float64) float64 { return float64(int(i)*3%7) - 2 }
	parity = func(i float64) float64 { return float64(int(i) % 2) }
	fives  = func(i float64) float64 { return float64(int(i) * 7 % 5) }
)

// A column that follows from those before it is found and named, wherever it stands; columns
// that only go together are no reason.
func TestAColumnThatFollowsFromOthersIsNamed(t *testing.T) {
	sum := func(i float64) float64 { return 2*rises(i) - waves(i) + 3 }
	all := func(i float64) float64 { return rises(i) + 0.5*waves(i) - parity(i) }
	likeRises := func(i float64) float64 { return 10*rises(i) + fives(i) }
	almost := func(i float64) float64 { return rises(i) + 1e-3*parity(i) }
	flat := func(i float64) float64 { return 1e6 + 1e-8*i }
	tests := []struct {
		name    string
		columns []func(float64) float64
		wrong   string
	}{
		{"none does", []func(float64) float64{rises, waves, parity, fives}, ""},
		{"two that go together", []func(float64) float64{rises, likeRises, waves}, ""},
		{"two that are alike but for a thousandth", []func(float64) float64{waves, rises, almost}, ""},
		{"the third is of the first two", []func(float64) float64{rises, waves, sum}, "c"},
		{"the third, with one after it", []func(float64) float64{rises, waves, sum, parity}, "c"},
		{"the fourth is of the first three", []func(float64) float64{rises, waves, parity, all}, "d"},
		{"the second is the first", []func(float64) float64{waves, waves, parity}, "b"},
		{"the third is the second", []func(float64) float64{parity, waves, waves, rises}, "c"},
		{"one varies in its last digits alone", []func(float64) float64{rises, flat}, "b"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			times, events, x := columns(tt.columns...)
			s, err := NewSample(times, events, x, []string{"a", "b", "c", "d"}[:len(tt.columns)])
			if err != nil {
				t.Fatal(err)
			}
			_, err = s.Fit(nil)
			if tt.wrong == "" {
				if errors.Is(err, ErrCollinear) {
					t.Error(err)
				}
				return
			}
			if !errors.Is(err, ErrCollinear) || !strings.Contains(err.Error(), `"`+tt.wrong+`"`) {
				t.Errorf("%v, want %q named", err, tt.wrong)
			}
		})
	}
}

// A belief about a column's effect stands in for what the rows can't tell, in the column's
// own unit: one that is as wide as nothing at all does not.
func TestABeliefStandsInForRows(t *testing.T) {
	for _, tt := range []struct {
		unit, sd float64
		enough   bool
	}{
		{1, 1, true}, {1, 1e6, false},
		{1000, 1, true}, {1000, 1000, false}, {1000, 0.01, true},
		{0.001, 1e5, true}, {0.001, 1e9, false},
	} {
		again := func(i float64) float64 { return tt.unit * waves(i) }
		times, events, x := columns(rises, waves, again)
		s, err := NewSample(times, events, x, []string{"a", "b", "c"})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Fit(nil, Prior{Name: "c", SD: tt.sd}); errors.Is(err, ErrCollinear) == tt.enough {
			t.Errorf("unit %v, deviation %v: %v", tt.unit, tt.sd, err)
		}
	}
}

// What is wrong is said with its row, counted from one.
func TestRowsAreCountedFromOne(t *testing.T) {
	names := []string{"a"}
	nan := 0.0
	nan /= nan
	for _, tt := range []struct {
		times []float64
		x     [][]float64
	}{
		{[]float64{1, 0, 2}, [][]float64{{1}, {2}, {3}}},
		{[]float64{1, 3, 2}, [][]float64{{1}, {2, 2}, {3}}},
		{[]float64{1, 3, 2}, [][]float64{{1}, {nan}, {3}}},
	} {
		if _, err := NewSample(tt.times, []bool{true, true, true}, tt.x, names); err == nil || !strings.Contains(err.Error(), "row 2") {
			t.Errorf("%v, want row 2 named", err)
		}
	}
}
