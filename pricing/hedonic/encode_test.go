package hedonic

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// ascending are the whole numbers from 0 up, n of them, times a unit.
func ascending(n int, unit float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i) * unit
	}
	return out
}

func TestQuantilesStandBetweenTwoValues(t *testing.T) {
	values := []float64{10, 20, 40}
	for p, want := range map[float64]float64{0: 10, 0.25: 15, 0.5: 20, 0.75: 30, 0.9: 36, 1: 40} {
		if got := quantileSorted(values, p); math.Abs(got-want) > 1e-12 {
			t.Errorf("quantile %v is %v, want %v", p, got, want)
		}
	}
	if got := quantileSorted([]float64{7}, 0.3); got != 7 {
		t.Errorf("of one value %v, want it", got)
	}
}

// The middle is the median, the spread what the quartiles of a normal law lie apart; where
// they agree half the range, and where nothing varies about its size.
func TestScaleOfANumeric(t *testing.T) {
	rare := append(make([]float64, 999), 50) // one in a thousand is not 0
	tests := []struct {
		name   string
		values []float64
		want   scale
	}{
		{"0 to 100", ascending(101, 1), scale{50, 50 / 1.349}},
		{"quartiles that agree", rare, scale{0, 25}},
		{"a constant", []float64{9, 9, 9, 9}, scale{9, 10}},
		{"a constant below 0", []float64{-9, -9, -9}, scale{-9, 10}},
		{"varies in the last digits alone", []float64{1e6, 1e6, 1e6 + 1e-7, 1e6 + 1e-7}, scale{1e6 + 5e-8, 1e6 + 1}},
		{"small, and varies", ascending(5, 1e-6), scale{2e-6, 2e-6 / 1.349}},
		{"none known", nil, scale{0, 1}},
		{"quartiles a five-hundredth of the range apart", append(ascending(100, 0.02), 400), scale{1, 1 / 1.349}},
		{"quartiles less than a thousandth apart", append(ascending(100, 0.02), 1000), scale{1, 500}},
	}
	for _, tt := range tests {
		got := learnScale(tt.values)
		if math.Abs(got.centre/tt.want.centre-1) > 1e-6 && math.Abs(got.centre-tt.want.centre) > 1e-9 || math.Abs(got.spread/tt.want.spread-1) > 1e-6 {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
	s := scale{50, 10}
	for v, want := range map[float64]float64{50: 0, 65: 1.5, 20: -3, 1e9: 8, -1e9: -8, 129: 7.9} {
		if got := s.score(v); math.Abs(got-want) > 1e-12 {
			t.Errorf("score of %v is %v, want %v", v, got, want)
		}
	}
}

// inOrder are the places of n rows.
func inOrder(n int) []int32 {
	out := make([]int32, n)
	for i := range out {
		out[i] = int32(i)
	}
	return out
}

// A numeric of two to eight values, with four rows for each on average, is a factor as well.
func TestFewValuesAreAFactorToo(t *testing.T) {
	for _, tt := range []struct {
		values, rows int
		want         bool
	}{{1, 40, false}, {2, 40, true}, {2, 8, true}, {2, 7, false}, {8, 32, true}, {8, 31, false}, {9, 90, false}, {5, 20, true}, {5, 19, false}} {
		var rows []Row
		for i := range tt.rows {
			rows = append(rows, Row{Numerics: []float64{float64(10 * (i % tt.values))}})
		}
		rows = append(rows, Row{Numerics: []float64{math.NaN()}})
		e := learnEncoder(rows, inOrder(len(rows)), Spec{Numerics: []Numeric{{Name: "doors"}}})
		if got := len(e.steps) == 1; got != tt.want {
			t.Errorf("%d values in %d rows: a factor %v, want %v", tt.values, tt.rows, got, tt.want)
		}
		if tt.want && !slices.Equal(e.steps[0].values, ascending(tt.values, 10)) {
			t.Errorf("its values are %v", e.steps[0].values)
		}
	}
}

// Models of one name under two makers are two; a level that no row has, and a blank, are
// none; steps come after the categories.
func TestRowsAreEncoded(t *testing.T) {
	spec := Spec{
		Numerics:   []Numeric{{Name: "age"}, {Name: "berths"}},
		Categories: []Category{{Name: "maker"}, {Name: "model", Within: "maker"}, {Name: "gearbox"}},
	}
	var rows []Row
	for i, of := range [][3]string{{"A", "One", "manual"}, {"B", "One", "automatic"}, {"A", "Two", "manual"}, {"B", "One", ""}} {
		for k := range 6 {
			rows = append(rows, Row{Numerics: []float64{float64(10*i + k), float64(2 + 2*(k%2))}, Categories: of[:]})
		}
	}
	e := learnEncoder(rows, inOrder(len(rows)), spec)
	encode := func(r Row) encoded {
		dst := e.newEncoded()
		e.encode(r, dst)
		return dst
	}
	for _, tt := range []struct {
		of    [3]string
		beds  float64
		codes []int32
	}{
		{[3]string{"A", "One", "manual"}, 2, []int32{0, 0, 0, 0}},
		{[3]string{"B", "One", "automatic"}, 4, []int32{1, 1, 1, 1}},
		{[3]string{"A", "Two", ""}, 2, []int32{0, 2, noLevel, 0}},
		{[3]string{"B", "Two", "manual"}, 3, []int32{1, noLevel, 0, noLevel}},
		{[3]string{"C", "One", "manual"}, 4, []int32{noLevel, noLevel, 0, 1}},
	} {
		got := encode(Row{Numerics: []float64{5, tt.beds}, Categories: tt.of[:]})
		if diff := cmp.Diff(tt.codes, got.codes); diff != "" {
			t.Errorf("%v with %v berths (-want +got):\n%s", tt.of, tt.beds, diff)
		}
	}
	if e.factors() != 4 || e.factorLevels(0) != 2 || e.factorLevels(1) != 3 || e.factorLevels(3) != 2 {
		t.Errorf("%d factors of %d, %d and %d levels, want 4 of 2, 3 and 2", e.factors(), e.factorLevels(0), e.factorLevels(1), e.factorLevels(3))
	}
	z := encode(Row{Numerics: []float64{math.NaN(), 4}, Categories: []string{"A", "One", "manual"}}).z
	if !math.IsNaN(z[0]) || math.Abs(z[1]-e.scales[1].score(4)) > 1e-12 {
		t.Errorf("scores %v", z)
	}
}

// asFitted encodes rows as a fit has them.
func asFitted(rows []Row, spec Spec) (*encoder, []fitted) {
	e := learnEncoder(rows, inOrder(len(rows)), spec)
	var out []fitted
	for _, r := range rows {
		dst := e.newEncoded()
		e.encode(r, dst)
		out = append(out, fitted{e: dst, y: 0, base: 1, weight: 1})
	}
	return e, out
}

// Knots stand at even quantiles, one for six rows and eight at most, none at an end.
func TestKnotsOfACurve(t *testing.T) {
	spec := Spec{Numerics: []Numeric{{Name: "age", Curve: true}}}
	knots := func(values []float64) []float64 {
		var rows []Row
		for _, v := range values {
			rows = append(rows, Row{Numerics: []float64{v}})
		}
		e, fit := asFitted(rows, spec)
		out := curveKnots(fit, 0)
		for i := range out {
			out[i] = out[i]*e.scales[0].spread + e.scales[0].centre
		}
		return out
	}
	for _, tt := range []struct {
		name   string
		values []float64
		want   []float64
	}{
		{"90 rows", ascending(91, 1), []float64{10, 20, 30, 40, 50, 60, 70, 80}},
		{"19 rows", append(ascending(19, 1), math.NaN()), []float64{4.5, 9, 13.5}},
		{"5 rows", ascending(5, 1), nil},
		{"half at the low end", append(make([]float64, 40), ascending(40, 1)...), []float64{3.8889 - 0.0001, 12.6666, 21.4444, 30.2222}},
	} {
		got := knots(tt.values)
		if len(got) != len(tt.want) {
			t.Errorf("%s: knots at %v, want %v", tt.name, got, tt.want)
			continue
		}
		for i := range got {
			if math.Abs(got[i]-tt.want[i]) > 0.01 {
				t.Errorf("%s: knot %d at %v, want %v", tt.name, i, got[i], tt.want[i])
			}
		}
	}
}

// A row has the intercept, its slope, the bends below it and its levels, and nothing else.
func TestColumnsOfARow(t *testing.T) {
	spec := Spec{Numerics: []Numeric{{Name: "age", Curve: true}, {Name: "berths"}}, Categories: []Category{{Name: "maker"}}}
	var rows []Row
	for i := range 91 {
		r := Row{Numerics: []float64{float64(i), float64(2 + i%2)}, Categories: []string{[]string{"A", "B", "C"}[i%3]}}
		if i == 90 {
			r.Numerics[1] = math.NaN()
		}
		rows = append(rows, r)
	}
	e, fit := asFitted(rows, spec)
	d := learnDesign(e, fit)
	var kinds []string
	for _, term := range d.terms {
		kinds = append(kinds, fmt.Sprint(term.slopes, term.curve, term.missing, term.factors, term.count))
	}
	// Berths of two values are a line already, and no factor of their own.
	want := []string{"[0] -1 -1 [] 1", "[] 0 -1 [] 8", "[1] -1 -1 [] 1", "[] -1 1 [] 1", "[] -1 -1 [0] 3"}
	if diff := cmp.Diff(want, kinds); diff != "" {
		t.Fatalf("terms (-want +got):\n%s", diff)
	}
	var s sparse
	at := func(age, berths float64, maker string) map[int32]float64 {
		dst := e.newEncoded()
		e.encode(Row{Numerics: []float64{age, berths}, Categories: []string{maker}}, dst)
		d.row(dst, &s)
		out := map[int32]float64{}
		for i, c := range s.cols {
			out[c] = s.vals[i]
		}
		return out
	}
	score := e.scales[0].score
	knot := func(k int) float64 { return d.terms[1].knots[k] }
	bed := func(v float64) float64 { return e.scales[1].score(v) }
	// Columns: 0 intercept, 1 age, 2 to 9 its bends, 10 berths, 11 berths unknown, 12 to 14 makers.
	for _, tt := range []struct {
		age, berths float64
		maker       string
		want        map[int32]float64
	}{
		{25, 3, "A", map[int32]float64{0: 1, 1: score(25), 2: score(25) - knot(0), 3: score(25) - knot(1), 10: bed(3), 12: 1}},
		{5, 3, "B", map[int32]float64{0: 1, 1: score(5), 10: bed(3), 13: 1}},
		{10, 3, "C", map[int32]float64{0: 1, 1: score(10), 10: bed(3), 14: 1}}, // on a knot: no bend yet
		{5, math.NaN(), "B", map[int32]float64{0: 1, 1: score(5), 11: 1, 13: 1}},
		{math.NaN(), 3, "B", map[int32]float64{0: 1, 10: bed(3), 13: 1}},
		{5, 3, "Z", map[int32]float64{0: 1, 1: score(5), 10: bed(3)}},
	} {
		got := at(tt.age, tt.berths, tt.maker)
		for c := range got {
			if got[c] == 0 {
				delete(got, c)
			}
		}
		for c := range tt.want {
			if tt.want[c] == 0 {
				delete(tt.want, c)
			}
		}
		if len(got) != len(tt.want) {
			t.Errorf("age %v, %v berths of %s: columns %v, want %v", tt.age, tt.berths, tt.maker, got, tt.want)
			continue
		}
		for c, v := range tt.want {
			if math.Abs(got[c]-v) > 1e-9 {
				t.Errorf("age %v, %v berths of %s: column %d has %v, want %v", tt.age, tt.berths, tt.maker, c, got[c], v)
			}
		}
		if (tt.maker == "Z") != (len(s.unseen) == 1) {
			t.Errorf("of %s %v are unseen", tt.maker, s.unseen)
		}
		if len(s.unseen) == 1 && s.unseen[0].square != 1 {
			t.Errorf("an unseen level stands with %v", s.unseen[0].square)
		}
	}
}

// Of more levels than a column is given to, those with the most rows have one; a level of no
// row has none.
func TestTheRarestLevelsHaveNoColumn(t *testing.T) {
	term := plainTerm()
	term.factors = []int{0}
	term.number([]int{2, 9, 0, 5, 5}, 3)
	if diff := cmp.Diff([]int32{noLevel, 0, noLevel, 1, 2}, term.column); diff != "" || term.count != 3 {
		t.Errorf("%d columns (-want +got):\n%s", term.count, diff)
	}
	term.number([]int{2, 9, 0, 5, 5}, 9)
	if diff := cmp.Diff([]int32{3, 0, noLevel, 1, 2}, term.column); diff != "" || term.count != 4 {
		t.Errorf("%d columns (-want +got):\n%s", term.count, diff)
	}
}

// An unseen level of a product with a slope stands with the square of the slope.
func TestAnUnseenLevelOfASlope(t *testing.T) {
	term := plainTerm()
	term.factors, term.slopes, term.column, term.first = []int{0}, []int{0}, []int32{0}, 5
	var s sparse
	term.columnsOf(3, encoded{z: []float64{3}, codes: []int32{noLevel}}, &s)
	if len(s.unseen) != 1 || s.unseen[0] != (unseen{3, 9}) {
		t.Errorf("%v, want term 3 with 9", s.unseen)
	}
	term.columnsOf(3, encoded{z: []float64{3}, codes: []int32{0}}, &s)
	if len(s.cols) != 1 || s.cols[0] != 5 || s.vals[0] != 3 {
		t.Errorf("column %v with %v, want 5 with 3", s.cols, s.vals)
	}
}

func TestWhatIsAProduct(t *testing.T) {
	for _, tt := range []struct {
		of   term
		want bool
	}{{term{factors: []int{0}}, false}, {term{slopes: []int{0}}, false}, {term{factors: []int{0}, slopes: []int{0}}, true}, {term{factors: []int{0, 1}}, true}} {
		if tt.of.product() != tt.want {
			t.Errorf("%v is a product: %v", tt.of, !tt.want)
		}
	}
}

// The factor with the most levels may have more columns than another, and of a small table
// forty at the least.
func TestHowManyLevelsHaveColumns(t *testing.T) {
	var rows []Row
	for i := range 900 {
		rows = append(rows, Row{Categories: []string{fmt.Sprint(i % 450), fmt.Sprint(i % 420)}})
	}
	e, fit := asFitted(rows, Spec{Categories: []Category{{Name: "few"}, {Name: "fewer"}}})
	d := learnDesign(e, fit)
	if got := []int{d.terms[0].count, d.terms[1].count}; got[0] != 450 || got[1] != 400 {
		t.Errorf("columns for %v levels of 450 and 420, want 450 and 400", got)
	}
	e, fit = asFitted(rows[:60], Spec{Categories: []Category{{Name: "few"}}})
	if got := learnDesign(e, fit).terms[0].count; got != 40 {
		t.Errorf("of 60 rows with a level each %d have a column, want 40", got)
	}
	e, fit = asFitted(rows[:120], Spec{Categories: []Category{{Name: "few"}}})
	if got := learnDesign(e, fit).terms[0].count; got != 60 {
		t.Errorf("of 120 rows with a level each %d have a column, want 60", got)
	}
}
