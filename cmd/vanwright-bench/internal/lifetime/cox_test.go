package lifetime

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/pricing/survival/newton"
	"github.com/vanwright/vanwright/pricing/survival/survivaltest"
)

func TestCoxAgreesWithPublishedFits(t *testing.T) {
	g := survivaltest.ReadGehan(t, tables)
	aml := survivaltest.Read(t, tables, "aml.csv")
	amlTimes, amlEvents := aml.Numbers(t, "time"), aml.Events(t, "status")
	amlX, amlNames := survivaltest.Columns(survivaltest.Flag(aml.Text(t, "x"), "Nonmaintained")), []string{"x=Nonmaintained"}
	vet := survivaltest.Read(t, tables, "veteran.csv")
	vetTimes, vetEvents := vet.Numbers(t, "time"), vet.Events(t, "status")
	cell := vet.Text(t, "celltype")

	tests := []struct {
		name                             string
		ties                             Ties
		times                            []float64
		events                           []bool
		x                                [][]float64
		names                            []string
		coef                             []float64
		stdErr, null, logLik, concordant float64 // 0: not published
	}{
		{"gehan, breslow", Breslow, g.Times, g.Events, g.X, g.Names,
			[]float64{-1.50919141259}, 0, -93.9850504782, -86.3796220711, 0},
		{"gehan, efron", Efron, g.Times, g.Events, g.X, g.Names,
			[]float64{-1.57212514883}, 0, -93.1842699968, -85.0084245774, 0},
		{"aml, efron", Efron, amlTimes, amlEvents, amlX, amlNames,
			[]float64{0.915532575}, 0.5119342752, -42.724839263, -41.032615596, 0},
		{"aml, breslow", Breslow, amlTimes, amlEvents, amlX, amlNames,
			[]float64{0.9042197237}, 0.5122479073, -42.898123897, -41.250114350, 0},
		{"veteran, three covariates", Efron, vetTimes, vetEvents,
			survivaltest.Columns(vet.Numbers(t, "karno"), vet.Numbers(t, "age"), survivaltest.Flag(vet.Text(t, "trt"), "2")),
			[]string{"karno", "age", "trt=2"},
			[]float64{-0.03444389683875, -0.00386441787397, 0.18954644192338}, 0, -505.449054918, -483.877980038, 0},
		{"veteran, full model", Efron, vetTimes, vetEvents,
			survivaltest.Columns(vet.Numbers(t, "trt"), vet.Numbers(t, "karno"), survivaltest.Flag(cell, "smallcell"), survivaltest.Flag(cell, "adeno"),
				survivaltest.Flag(cell, "large"), vet.Numbers(t, "age")),
			[]string{"trt", "karno", "smallcell", "adeno", "large", "age"},
			[]float64{0.3030480951, -0.03268548274, 0.8563403759, 1.178807029, 0.4023321968, -0.008903165131},
			0, -505.449054918, -474.45779018, 0.738414357},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fit, err := FitCox(tt.times, tt.events, tt.x, tt.names, tt.ties)
			if err != nil {
				t.Fatal(err)
			}
			survivaltest.NearAll(t, "coefficient", fit.Coef, tt.coef, 1e-9)
			if tt.stdErr != 0 {
				survivaltest.Near(t, "standard error", fit.StdErr[0], tt.stdErr, 1e-9)
			}
			survivaltest.Near(t, "log-likelihood at 0", fit.LogLikNull, tt.null, 1e-10)
			survivaltest.Near(t, "log-likelihood", fit.LogLik, tt.logLik, 1e-10)
			if tt.concordant != 0 {
				survivaltest.Near(t, "concordance", fit.Concordance, tt.concordant, 1e-9)
			}
		})
	}
}

func TestTiesAgreeWhereThereAreNone(t *testing.T) {
	times := []float64{3, 1, 4, 15, 9, 2, 6, 5}
	events := []bool{true, true, false, true, true, true, false, true}
	x := [][]float64{{1, 2}, {0, 7}, {1, 1}, {0, 8}, {1, 2}, {1, 8}, {0, 1}, {0, 8}}
	names := []string{"a", "b"}
	efron, err := FitCox(times, events, x, names, Efron)
	if err != nil {
		t.Fatal(err)
	}
	for _, ties := range []Ties{Breslow} {
		fit, err := FitCox(times, events, x, names, ties)
		if err != nil {
			t.Fatal(err)
		}
		survivaltest.NearAll(t, ties.String(), fit.Coef, efron.Coef, 1e-9)
		survivaltest.NearAll(t, ties.String(), fit.StdErr, efron.StdErr, 1e-9)
		survivaltest.Near(t, ties.String(), fit.LogLik, efron.LogLik, 1e-12)
	}
}

func TestCoxDeclines(t *testing.T) {
	yes := slices.Repeat([]bool{true}, 4)
	times := []float64{1, 2, 3, 4}
	tests := []struct {
		name   string
		events []bool
		x      [][]float64
		names  []string
		ties   Ties
		want   error
	}{
		{"no covariates", yes, nil, nil, Efron, ErrBadInput},
		{"no events", make([]bool, 4), [][]float64{{1}, {2}, {1}, {2}}, []string{"a"}, Efron, ErrNoEvents},
		{"a constant column", yes, [][]float64{{1}, {1}, {1}, {1}}, []string{"a"}, Efron, ErrCollinear},
		{"risk that orders every time", yes, [][]float64{{4}, {3}, {2}, {1}}, []string{"a"}, Efron, newton.ErrNoEstimate},
		{"the same, breslow", yes, [][]float64{{4}, {3}, {2}, {1}}, []string{"a"}, Breslow, newton.ErrNoEstimate},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fit, err := FitCox(times, tt.events, tt.x, tt.names, tt.ties)
			if !errors.Is(err, tt.want) {
				t.Errorf("got %+v, %v; want %v", fit, err, tt.want)
			}
		})
	}
}

// countPairs is the definition of concordance, pair by pair.
func countPairs(times []float64, events []bool, risk []float64) (float64, bool) {
	right, all := 0.0, 0.0
	for i := range times {
		for j := range times {
			first := times[i] < times[j] || times[i] == times[j] && !events[j]
			if !events[i] || !first {
				continue
			}
			all++
			switch {
			case risk[i] > risk[j]:
				right++
			case risk[i] == risk[j]:
				right += 0.5
			}
		}
	}
	return right / all, all > 0
}

func TestConcordanceCountsPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		times, risk := make([]float64, n), make([]float64, n)
		events := make([]bool, n)
		for i := range n {
			times[i] = float64(rapid.IntRange(1, 12).Draw(t, "time"))
			risk[i] = float64(rapid.IntRange(-4, 4).Draw(t, "risk"))
			events[i] = rapid.Bool().Draw(t, "event")
		}
		want, ok := countPairs(times, events, risk)
		got, err := Concordance(times, events, risk)
		if ok != (err == nil) || ok && math.Abs(got-want) > 1e-12 {
			t.Fatalf("got %v, %v; want %v, %v", got, err, want, ok)
		}
	})
}
