package survival

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// R's survreg stops once the log-likelihood moves by less than 1e-9 of itself,
// which leaves its coefficients about nine digits; its log-likelihoods keep all
// that are printed. TestWeibullIsAtTheSummit shows on which side the rest lies.
const survregDigits = 2e-8

func TestAFTAgreesWithPublishedFits(t *testing.T) {
	g := gehan(t)
	aml := readReference(t, "aml.csv")
	vet := readReference(t, "veteran.csv")
	vetTimes, vetEvents := vet.numbers(t, "time"), vet.events(t, "status")
	amlX := columns(flag(aml.text(t, "x"), "Nonmaintained"))
	cell := vet.text(t, "celltype")

	tests := []struct {
		name         string
		law          Distribution
		times        []float64
		events       []bool
		x            [][]float64
		names        []string
		coef         []float64
		scale        float64
		logLik, null float64 // null 0: not published
	}{
		{"gehan weibull", Weibull, g.times, g.events, g.x, g.names,
			[]float64{2.24835236087, 1.26733458521}, 0.73219440304, -106.579491582, 0},
		{"gehan exponential", Exponential, g.times, g.events, g.x, g.names,
			[]float64{2.15948424935, 1.52661356177}, 1, -108.524049537, 0},
		{"gehan lognormal", LogNormal, g.times, g.events, g.x, g.names,
			[]float64{1.825121020, 1.346846682}, 0.9238687798, -106.70462235, 0},
		{"gehan loglogistic", LogLogistic, g.times, g.events, g.x, g.names,
			[]float64{1.892690578, 1.265463385}, 0.5465533304, -107.66141716, 0},
		{"aml weibull", Weibull, aml.numbers(t, "time"), aml.events(t, "status"), amlX, []string{"x=Nonmaintained"},
			[]float64{4.109055051, -0.9293416114}, 0.790954437, -80.521645203, -83.178669233},
		{"veteran weibull, three covariates", Weibull, vetTimes, vetEvents,
			columns(vet.numbers(t, "karno"), vet.numbers(t, "age"), flag(vet.text(t, "trt"), "2")),
			[]string{"karno", "age", "trt=2"},
			[]float64{2.640319643753, 0.035415801893, 0.000729837587, -0.128840101071}, 1.02085389842, -725.789085750, -748.09121399},
		{"veteran weibull, full model", Weibull, vetTimes, vetEvents,
			columns(vet.numbers(t, "trt"), vet.numbers(t, "karno"), flag(cell, "smallcell"), flag(cell, "adeno"),
				flag(cell, "large"), vet.numbers(t, "age")),
			[]string{"trt", "karno", "smallcell", "adeno", "large", "age"},
			[]float64{3.472736655, -0.2361694263, 0.03001367476, -0.8229851791, -1.119551074, -0.3968446398, 0.006300981375},
			0.928187916, -715.58615169, -748.09121399},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fit, err := FitAFT(tt.law, tt.times, tt.events, tt.x, tt.names)
			if err != nil {
				t.Fatal(err)
			}
			nearAll(t, "coefficient", fit.Coef, tt.coef, survregDigits)
			near(t, "scale", fit.Scale, tt.scale, survregDigits)
			near(t, "log-likelihood", fit.LogLik, tt.logLik, 1e-10)
			if tt.null != 0 {
				near(t, "log-likelihood without covariates", fit.LogLikNull, tt.null, 1e-10)
			}
			if fit.LogLik < fit.LogLikNull {
				t.Errorf("the fit %v is below the null %v", fit.LogLik, fit.LogLikNull)
			}
		})
	}
}

func TestWeibullStandardErrors(t *testing.T) {
	g := gehan(t)
	fit, err := FitWeibull(g.times, g.events, g.x, g.names)
	if err != nil {
		t.Fatal(err)
	}
	nearAll(t, "standard error", fit.StdErr, []float64{0.165971792901, 0.310639935490, 0.147291882446}, survregDigits)
	value, stdErr, ok := fit.Coefficient("treated")
	if !ok || value != fit.Coef[1] || stdErr != fit.StdErr[1] {
		t.Errorf("Coefficient(treated) = %v, %v, %v", value, stdErr, ok)
	}
	if v, e, ok := fit.Coefficient(LogScaleName); !ok || v != math.Log(fit.Scale) || e != fit.StdErr[2] {
		t.Errorf("Coefficient(log(scale)) = %v, %v, %v", v, e, ok)
	}
	if _, _, ok := fit.Coefficient("nothing"); ok {
		t.Error("a coefficient that is not there was found")
	}
}

// weibullLogLik is the censored Weibull log-likelihood straight from its hazard
// form, Σ d·log h(t) − Σ H(t), written apart from the code under test.
func weibullLogLik(g gehanData, intercept, treated, scale float64) float64 {
	shape := 1 / scale
	sum := 0.0
	for i, t := range g.times {
		rate := math.Exp(-(intercept + treated*g.x[i][0]) / scale)
		sum -= rate * math.Pow(t, shape)
		if g.events[i] {
			sum += math.Log(shape*rate) + (shape-1)*math.Log(t)
		}
	}
	return sum
}

func TestWeibullIsAtTheSummit(t *testing.T) {
	g := gehan(t)
	fit, err := FitWeibull(g.times, g.events, g.x, g.names)
	if err != nil {
		t.Fatal(err)
	}
	at := []float64{fit.Coef[0], fit.Coef[1], fit.Scale}
	near(t, "log-likelihood", fit.LogLik, weibullLogLik(g, at[0], at[1], at[2]), 1e-13)
	// The slope by central differences vanishes here to the rounding of the
	// differences, and is larger where the published digits stop.
	slope := func(at []float64) (norm float64) {
		const h = 1e-4
		for j := range at {
			up, down := slices.Clone(at), slices.Clone(at)
			up[j] += h
			down[j] -= h
			far, back := slices.Clone(at), slices.Clone(at)
			far[j] += 2 * h
			back[j] -= 2 * h
			first := weibullLogLik(g, up[0], up[1], up[2]) - weibullLogLik(g, down[0], down[1], down[2])
			second := weibullLogLik(g, far[0], far[1], far[2]) - weibullLogLik(g, back[0], back[1], back[2])
			norm = max(norm, math.Abs((8*first-second)/(12*h)))
		}
		return norm
	}
	ours, published := slope(at), slope([]float64{2.24835236087, 1.26733458521, 0.73219440304})
	if ours > 1e-8 || ours > published {
		t.Errorf("slope at the fit is %g, at the published figures %g", ours, published)
	}
}

func TestExponentialHasItsClosedForm(t *testing.T) {
	// Without covariates the mean is total time over events; with one 0/1
	// covariate, that within each group.
	g := gehan(t)
	var timeIn, eventsIn [2]float64
	for i, v := range g.times {
		k := int(g.x[i][0])
		timeIn[k] += v
		if g.events[i] {
			eventsIn[k]++
		}
	}
	fit, err := FitAFT(Exponential, g.times, g.events, g.x, g.names)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "control", fit.Linear([]float64{0}), math.Log(timeIn[0]/eventsIn[0]), 1e-14)
	near(t, "treated", fit.Linear([]float64{1}), math.Log(timeIn[1]/eventsIn[1]), 1e-14)
	near(t, "standard error", fit.StdErr[0], 1/math.Sqrt(eventsIn[0]), 1e-13)

	alone, err := FitAFT(Exponential, g.times, g.events, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "alone", alone.Coef[0], math.Log((timeIn[0]+timeIn[1])/(eventsIn[0]+eventsIn[1])), 1e-14)
	near(t, "null", fit.LogLikNull, alone.LogLik, 1e-14)
}

func TestUncensoredLogNormalIsLeastSquares(t *testing.T) {
	// Without censoring the lognormal fit is the regression of log time, with the
	// variance divided by n.
	times := []float64{1, 2, 4, 9, 17, 30}
	x := [][]float64{{0}, {1}, {2}, {3}, {4}, {5}}
	fit, err := FitAFT(LogNormal, times, slices.Repeat([]bool{true}, 6), x, []string{"x"})
	if err != nil {
		t.Fatal(err)
	}
	var sxy, sy, sse float64
	for i, v := range times {
		sxy += (x[i][0] - 2.5) * math.Log(v)
		sy += math.Log(v)
	}
	slope := sxy / 17.5
	intercept := sy/6 - 2.5*slope
	for i, v := range times {
		r := math.Log(v) - intercept - slope*x[i][0]
		sse += r * r
	}
	nearAll(t, "coefficient", fit.Coef, []float64{intercept, slope}, 1e-13)
	near(t, "scale", fit.Scale, math.Sqrt(sse/6), 1e-13)
}

func TestPriors(t *testing.T) {
	g := gehan(t)
	free, err := FitWeibull(g.times, g.events, g.x, g.names)
	if err != nil {
		t.Fatal(err)
	}
	fit := func(p ...Prior) *AFT {
		t.Helper()
		a, err := FitWeibull(g.times, g.events, g.x, g.names, WithPrior(p...))
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	t.Run("a vague prior changes nothing", func(t *testing.T) {
		a := fit(Prior{"treated", 0, 1e4})
		nearAll(t, "coefficient", a.Coef, free.Coef, 1e-7)
		nearAll(t, "standard error", a.StdErr, free.StdErr, 1e-7)
	})
	t.Run("a firm prior holds the coefficient and its error", func(t *testing.T) {
		a := fit(Prior{"treated", -0.5, 1e-5})
		near(t, "coefficient", a.Coef[1], -0.5, 1e-6)
		near(t, "standard error", a.StdErr[1], 1e-5, 1e-4)
		if a.LogLik >= free.LogLik {
			t.Error("a held coefficient cannot fit better")
		}
	})
	t.Run("a prior between pulls part of the way", func(t *testing.T) {
		a := fit(Prior{"treated", 0, 0.3})
		if !(a.Coef[1] > 0.2 && a.Coef[1] < free.Coef[1]-0.2 && a.StdErr[1] < free.StdErr[1]) {
			t.Errorf("coefficient %v ± %v against %v ± %v", a.Coef[1], a.StdErr[1], free.Coef[1], free.StdErr[1])
		}
	})
	t.Run("intercept and scale may be held", func(t *testing.T) {
		a := fit(Prior{InterceptName, 2, 1e-6}, Prior{LogScaleName, 0, 1e-6})
		near(t, "intercept", a.Coef[0], 2, 1e-6)
		near(t, "scale", a.Scale, 1, 1e-6)
	})
	t.Run("a level seen in no row rests on its prior", func(t *testing.T) {
		x := columns(g.numbers(t, "treated"), make([]float64, len(g.times)))
		names := []string{"treated", "unseen"}
		if _, err := FitWeibull(g.times, g.events, x, names); !errors.Is(err, ErrCollinear) {
			t.Errorf("without a prior: got %v, want ErrCollinear", err)
		}
		a, err := FitWeibull(g.times, g.events, x, names, WithPrior(Prior{"unseen", 0.2, 0.4}))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "unseen", a.Coef[2], 0.2, 1e-9)
		near(t, "its error", a.StdErr[2], 0.4, 1e-9)
		near(t, "treated", a.Coef[1], free.Coef[1], 1e-9)
	})
	t.Run("a prior on a name not there is refused", func(t *testing.T) {
		if _, err := FitWeibull(g.times, g.events, g.x, g.names, WithPrior(Prior{"price", 0, 1})); !errors.Is(err, ErrBadInput) {
			t.Errorf("got %v", err)
		}
		if _, err := FitAFT(Exponential, g.times, g.events, g.x, g.names, WithPrior(Prior{LogScaleName, 0, 1})); !errors.Is(err, ErrBadInput) {
			t.Errorf("got %v", err)
		}
	})
}

func TestUnitsOfColumnsDoNotMatter(t *testing.T) {
	vet := readReference(t, "veteran.csv")
	times, events := vet.numbers(t, "time"), vet.events(t, "status")
	karno, age := vet.numbers(t, "karno"), vet.numbers(t, "age")
	a, err := FitWeibull(times, events, columns(karno, age), []string{"karno", "age"})
	if err != nil {
		t.Fatal(err)
	}
	far := mapSlice(age, func(v float64) float64 { return 1e6 + v*1e-3 })
	b, err := FitWeibull(times, events, columns(mapSlice(karno, func(v float64) float64 { return v * 1e5 }), far), []string{"karno", "age"})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "karno", b.Coef[1]*1e5, a.Coef[1], 1e-6)
	near(t, "age", b.Coef[2]*1e-3, a.Coef[2], 1e-5)
	near(t, "log-likelihood", b.LogLik, a.LogLik, 1e-12)
}

func TestFitRecoversWhatMadeTheData(t *testing.T) {
	// Quantiles of the model, evenly spread, stand for a large sample.
	truth := AFT{Distribution: Weibull, Names: []string{InterceptName, "x"}, Coef: []float64{4, -0.7}, Scale: 0.8}
	const n = 4000
	var times []float64
	var x [][]float64
	events := make([]bool, n)
	for i := range n {
		v := []float64{float64(i%8) / 4}
		q := (float64(i/8) + 0.5) / (n / 8)
		times = append(times, truth.Quantile(q, v))
		x = append(x, v)
		events[i] = times[i] < 90
		times[i] = min(times[i], 90)
	}
	fit, err := FitWeibull(times, events, x, []string{"x"})
	if err != nil {
		t.Fatal(err)
	}
	nearAll(t, "coefficient", fit.Coef, truth.Coef, 0.01)
	near(t, "scale", fit.Scale, truth.Scale, 0.01)
}

func TestAFTDeclines(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	yes := func(n int) []bool { return slices.Repeat([]bool{true}, n) }
	tests := []struct {
		name   string
		times  []float64
		events []bool
		x      [][]float64
		names  []string
		want   error
	}{
		{"no rows", nil, nil, nil, nil, ErrBadInput},
		{"fewer flags than times", []float64{1, 2}, yes(1), nil, nil, ErrBadInput},
		{"fewer covariates than names", []float64{1, 2}, yes(2), [][]float64{{1}, {}}, []string{"a"}, ErrBadInput},
		{"a name twice", []float64{1, 2}, yes(2), [][]float64{{1, 2}, {2, 1}}, []string{"a", "a"}, ErrBadInput},
		{"the intercept's name", []float64{1, 2}, yes(2), [][]float64{{1}, {2}}, []string{InterceptName}, ErrBadInput},
		{"a time of zero", []float64{1, 0}, yes(2), nil, nil, ErrBadInput},
		{"a negative time", []float64{1, -3}, yes(2), nil, nil, ErrBadInput},
		{"a time that is no number", []float64{1, nan}, yes(2), nil, nil, ErrBadInput},
		{"a time without end", []float64{1, inf}, yes(2), nil, nil, ErrBadInput},
		{"a covariate that is no number", []float64{1, 2}, yes(2), [][]float64{{1}, {nan}}, []string{"a"}, ErrBadInput},
		{"no events", []float64{1, 2, 3}, make([]bool, 3), nil, nil, ErrNoEvents},
		{"a constant column", []float64{1, 2, 3}, yes(3), [][]float64{{7}, {7}, {7}}, []string{"a"}, ErrCollinear},
		{"one column twice another", []float64{1, 2, 3, 5}, yes(4), [][]float64{{1, 2}, {2, 4}, {5, 10}, {3, 6}}, []string{"a", "b"}, ErrCollinear},
		{"one time for all", []float64{4, 4, 4}, yes(3), nil, nil, ErrNoEstimate},
		{"a perfect fit", []float64{1, 2, 4}, yes(3), [][]float64{{0}, {1}, {2}}, []string{"a"}, ErrNoEstimate},
		{"a group without events", []float64{3, 5, 9, 8, 9, 10}, []bool{true, true, true, false, false, false},
			[][]float64{{0}, {0}, {0}, {1}, {1}, {1}}, []string{"a"}, ErrNoEstimate},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fit, err := FitWeibull(tt.times, tt.events, tt.x, tt.names)
			if !errors.Is(err, tt.want) {
				t.Errorf("got %+v, %v; want %v", fit, err, tt.want)
			}
		})
	}
}

func TestPredictions(t *testing.T) {
	g := gehan(t)
	fit, err := FitWeibull(g.times, g.events, g.x, g.names)
	if err != nil {
		t.Fatal(err)
	}
	// Published medians; see survregDigits.
	near(t, "median, control", fit.Median([]float64{0}), 7.24269699, survregDigits)
	near(t, "median, treated", fit.Median([]float64{1}), 25.7215262, survregDigits)
	// The Weibull residual life in closed form: (since^k + λ^k·log 2)^(1/k) − since.
	shape, size := 1/fit.Scale, math.Exp(fit.Coef[0])
	want := math.Pow(math.Pow(10, shape)+math.Pow(size, shape)*math.Ln2, 1/shape) - 10
	near(t, "residual median", fit.ResidualQuantile(0.5, 10, []float64{0}), want, 1e-12)
	near(t, "hazard", fit.Hazard(10, []float64{0}), shape/size*math.Pow(10/size, shape-1), 1e-12)
}

// TestPredictionsHangTogether draws models and checks what holds for all.
func TestPredictionsHangTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := AFT{
			Distribution: rapid.SampledFrom([]Distribution{Weibull, Exponential, LogNormal, LogLogistic}).Draw(t, "law"),
			Coef:         []float64{rapid.Float64Range(-3, 8).Draw(t, "intercept")},
			Scale:        rapid.Float64Range(0.05, 3).Draw(t, "scale"),
		}
		p := rapid.Float64Range(1e-9, 1-1e-9).Draw(t, "p")
		when := a.Quantile(p, nil)
		if got := 1 - a.Survival(when, nil); math.Abs(got-p) > 1e-9 {
			t.Fatalf("share %v ended by quantile %v of %v", got, when, p)
		}
		since := rapid.Float64Range(0, 400).Draw(t, "since")
		left := a.ResidualQuantile(p, since, nil)
		if left < 0 || math.IsNaN(left) {
			t.Fatalf("residual quantile %v", left)
		}
		// Beyond that the sum since + left no longer shows the digits of left.
		if left > 1e-3*since && !math.IsInf(left, 1) && a.Survival(since, nil) > 1e-200 {
			if got := a.Chance(since, since+left, nil); math.Abs(got-p) > 1e-6 {
				t.Fatalf("chance %v within residual quantile %v of %v since %v", got, left, p, since)
			}
		}
		if c := a.Chance(since, since+1, nil); !(c >= 0 && c <= 1) {
			t.Fatalf("chance %v", c)
		}
	})
}

func TestGaussianTailAgainstTables(t *testing.T) {
	// Standard points of the normal distribution, from memory.
	near(t, "z of 5 %", LogNormal.inverse(math.Log(0.05)), 1.6448536269514722, 1e-14)
	near(t, "z of 97.5 % below", LogNormal.inverse(math.Log(0.025)), 1.959963984540054, 1e-14)
	near(t, "z of 2.5 % below", LogNormal.inverse(math.Log(0.975)), -1.959963984540054, 1e-13)
	// The continued fraction and erfc meet where one takes over from the other.
	low, _ := gaussianTail(math.Nextafter(5, 0))
	high, _ := gaussianTail(5)
	near(t, "log tail at 5", high, low, 1e-13)
	far, hazard := gaussianTail(60)
	if math.IsInf(far, 0) || hazard < 60 || hazard > 60.1 {
		t.Errorf("at 60: log tail %v, hazard %v", far, hazard)
	}
}
