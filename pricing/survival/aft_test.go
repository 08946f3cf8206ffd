package survival

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/pricing/survival/survivaltest"
)

// R's survreg stops once the log-likelihood moves by less than 1e-9 of itself,
// which leaves its coefficients about nine digits; its log-likelihoods keep all
// that are printed. TestWeibullIsAtTheSummit shows on which side the rest lies.
const survregDigits = 2e-8

func TestAFTAgreesWithPublishedFits(t *testing.T) {
	g := survivaltest.ReadGehan(t, tables)
	aml := survivaltest.Read(t, tables, "aml.csv")
	vet := survivaltest.Read(t, tables, "veteran.csv")
	vetTimes, vetEvents := vet.Numbers(t, "time"), vet.Events(t, "status")
	amlX := survivaltest.Columns(survivaltest.Flag(aml.Text(t, "x"), "Nonmaintained"))
	cell := vet.Text(t, "celltype")

	tests := []struct {
		name         string
		times        []float64
		events       []bool
		x            [][]float64
		names        []string
		coef         []float64
		scale        float64
		logLik, null float64 // null 0: not published
	}{
		{"gehan", g.Times, g.Events, g.X, g.Names,
			[]float64{2.24835236087, 1.26733458521}, 0.73219440304, -106.579491582, 0},
		{"aml", aml.Numbers(t, "time"), aml.Events(t, "status"), amlX, []string{"x=Nonmaintained"},
			[]float64{4.109055051, -0.9293416114}, 0.790954437, -80.521645203, -83.178669233},
		{"veteran, three covariates", vetTimes, vetEvents,
			survivaltest.Columns(vet.Numbers(t, "karno"), vet.Numbers(t, "age"), survivaltest.Flag(vet.Text(t, "trt"), "2")),
			[]string{"karno", "age", "trt=2"},
			[]float64{2.640319643753, 0.035415801893, 0.000729837587, -0.128840101071}, 1.02085389842, -725.789085750, -748.09121399},
		{"veteran, full model", vetTimes, vetEvents,
			survivaltest.Columns(vet.Numbers(t, "trt"), vet.Numbers(t, "karno"), survivaltest.Flag(cell, "smallcell"), survivaltest.Flag(cell, "adeno"),
				survivaltest.Flag(cell, "large"), vet.Numbers(t, "age")),
			[]string{"trt", "karno", "smallcell", "adeno", "large", "age"},
			[]float64{3.472736655, -0.2361694263, 0.03001367476, -0.8229851791, -1.119551074, -0.3968446398, 0.006300981375},
			0.928187916, -715.58615169, -748.09121399},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fit, err := FitWeibull(tt.times, tt.events, tt.x, tt.names)
			if err != nil {
				t.Fatal(err)
			}
			survivaltest.NearAll(t, "coefficient", fit.Coef, tt.coef, survregDigits)
			survivaltest.Near(t, "scale", fit.Scale, tt.scale, survregDigits)
			survivaltest.Near(t, "log-likelihood", fit.LogLik, tt.logLik, 1e-10)
			null, err := FitWeibull(tt.times, tt.events, nil, nil)
			if err != nil {
				t.Fatal(err)
			}
			if tt.null != 0 {
				survivaltest.Near(t, "log-likelihood without covariates", null.LogLik, tt.null, 1e-10)
			}
			if fit.LogLik < null.LogLik {
				t.Errorf("the fit %v is below that without covariates, %v", fit.LogLik, null.LogLik)
			}
		})
	}
}

func TestWeibullStandardErrors(t *testing.T) {
	g := survivaltest.ReadGehan(t, tables)
	fit, err := FitWeibull(g.Times, g.Events, g.X, g.Names)
	if err != nil {
		t.Fatal(err)
	}
	survivaltest.NearAll(t, "standard error", fit.StdErr, []float64{0.165971792901, 0.310639935490, 0.147291882446}, survregDigits)
}

// weibullLogLik is the censored Weibull log-likelihood straight from its hazard
// form, Σ d·log h(t) − Σ H(t), written apart from the code under test.
func weibullLogLik(g survivaltest.Gehan, intercept, treated, scale float64) float64 {
	shape := 1 / scale
	sum := 0.0
	for i, t := range g.Times {
		rate := math.Exp(-(intercept + treated*g.X[i][0]) / scale)
		sum -= rate * math.Pow(t, shape)
		if g.Events[i] {
			sum += math.Log(shape*rate) + (shape-1)*math.Log(t)
		}
	}
	return sum
}

func TestWeibullIsAtTheSummit(t *testing.T) {
	g := survivaltest.ReadGehan(t, tables)
	fit, err := FitWeibull(g.Times, g.Events, g.X, g.Names)
	if err != nil {
		t.Fatal(err)
	}
	at := []float64{fit.Coef[0], fit.Coef[1], fit.Scale}
	survivaltest.Near(t, "log-likelihood", fit.LogLik, weibullLogLik(g, at[0], at[1], at[2]), 1e-13)
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

func TestAScaleOfOneIsTheExponential(t *testing.T) {
	// The closed form of the exponential: with one 0/1 covariate the mean is total
	// time over events within each group.
	g := survivaltest.ReadGehan(t, tables)
	var timeIn, eventsIn [2]float64
	for i, v := range g.Times {
		k := int(g.X[i][0])
		timeIn[k] += v
		if g.Events[i] {
			eventsIn[k]++
		}
	}
	fit, err := FitWeibull(g.Times, g.Events, g.X, g.Names, Prior{LogScaleName, 0, 1e-7})
	if err != nil {
		t.Fatal(err)
	}
	survivaltest.Near(t, "control", fit.Linear([]float64{0}), math.Log(timeIn[0]/eventsIn[0]), 1e-9)
	survivaltest.Near(t, "treated", fit.Linear([]float64{1}), math.Log(timeIn[1]/eventsIn[1]), 1e-9)
	survivaltest.Near(t, "standard error", fit.StdErr[0], 1/math.Sqrt(eventsIn[0]), 1e-6)
}

// A fit that starts from another of the same sample ends at the same summit.
func TestWhereAClimbStartsDoesNotMatter(t *testing.T) {
	g := survivaltest.ReadGehan(t, tables)
	s, err := NewSample(g.Times, g.Events, g.X, g.Names)
	if err != nil {
		t.Fatal(err)
	}
	held, err := s.Fit(nil, Prior{"treated", -2, 0.01})
	if err != nil {
		t.Fatal(err)
	}
	far, err := s.Fit(held)
	if err != nil {
		t.Fatal(err)
	}
	fresh, err := s.Fit(nil)
	if err != nil {
		t.Fatal(err)
	}
	survivaltest.NearAll(t, "coefficient", far.Coef, fresh.Coef, 1e-12)
	survivaltest.NearAll(t, "standard error", far.StdErr, fresh.StdErr, 1e-12)
	if again, err := s.Fit(fresh); err != nil || again.Steps > 2 {
		t.Errorf("from the summit itself: %+v, %v; want at most two steps", again, err)
	}
}

func TestPriors(t *testing.T) {
	g := survivaltest.ReadGehan(t, tables)
	free, err := FitWeibull(g.Times, g.Events, g.X, g.Names)
	if err != nil {
		t.Fatal(err)
	}
	fit := func(p ...Prior) *AFT {
		t.Helper()
		a, err := FitWeibull(g.Times, g.Events, g.X, g.Names, p...)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	t.Run("a vague prior changes nothing", func(t *testing.T) {
		a := fit(Prior{"treated", 0, 1e4})
		survivaltest.NearAll(t, "coefficient", a.Coef, free.Coef, 1e-7)
		survivaltest.NearAll(t, "standard error", a.StdErr, free.StdErr, 1e-7)
	})
	t.Run("a firm prior holds the coefficient and its error", func(t *testing.T) {
		a := fit(Prior{"treated", -0.5, 1e-5})
		survivaltest.Near(t, "coefficient", a.Coef[1], -0.5, 1e-6)
		survivaltest.Near(t, "standard error", a.StdErr[1], 1e-5, 1e-4)
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
		survivaltest.Near(t, "intercept", a.Coef[0], 2, 1e-6)
		survivaltest.Near(t, "scale", a.Scale, 1, 1e-6)
	})
	t.Run("a level seen in no row rests on its prior", func(t *testing.T) {
		x := survivaltest.Columns(g.Numbers(t, "treated"), make([]float64, len(g.Times)))
		names := []string{"treated", "unseen"}
		if _, err := FitWeibull(g.Times, g.Events, x, names); !errors.Is(err, ErrCollinear) {
			t.Errorf("without a prior: got %v, want ErrCollinear", err)
		}
		a, err := FitWeibull(g.Times, g.Events, x, names, Prior{"unseen", 0.2, 0.4})
		if err != nil {
			t.Fatal(err)
		}
		survivaltest.Near(t, "unseen", a.Coef[2], 0.2, 1e-9)
		survivaltest.Near(t, "its error", a.StdErr[2], 0.4, 1e-9)
		survivaltest.Near(t, "treated", a.Coef[1], free.Coef[1], 1e-9)
	})
	t.Run("a prior on a name not there is refused", func(t *testing.T) {
		if _, err := FitWeibull(g.Times, g.Events, g.X, g.Names, Prior{"price", 0, 1}); !errors.Is(err, ErrBadInput) {
			t.Errorf("got %v", err)
		}
	})
}

func TestUnitsOfColumnsDoNotMatter(t *testing.T) {
	vet := survivaltest.Read(t, tables, "veteran.csv")
	times, events := vet.Numbers(t, "time"), vet.Events(t, "status")
	karno, age := vet.Numbers(t, "karno"), vet.Numbers(t, "age")
	a, err := FitWeibull(times, events, survivaltest.Columns(karno, age), []string{"karno", "age"})
	if err != nil {
		t.Fatal(err)
	}
	far := survivaltest.Map(age, func(v float64) float64 { return 1e6 + v*1e-3 })
	b, err := FitWeibull(times, events, survivaltest.Columns(survivaltest.Map(karno, func(v float64) float64 { return v * 1e5 }), far), []string{"karno", "age"})
	if err != nil {
		t.Fatal(err)
	}
	survivaltest.Near(t, "karno", b.Coef[1]*1e5, a.Coef[1], 1e-6)
	survivaltest.Near(t, "age", b.Coef[2]*1e-3, a.Coef[2], 1e-5)
	survivaltest.Near(t, "log-likelihood", b.LogLik, a.LogLik, 1e-12)
}

func TestFitRecoversWhatMadeTheData(t *testing.T) {
	// Quantiles of the model, evenly spread, stand for a large sample.
	truth := AFT{Names: []string{InterceptName, "x"}, Coef: []float64{4, -0.7}, Scale: 0.8}
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
	survivaltest.NearAll(t, "coefficient", fit.Coef, truth.Coef, 0.01)
	survivaltest.Near(t, "scale", fit.Scale, truth.Scale, 0.01)
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
	g := survivaltest.ReadGehan(t, tables)
	fit, err := FitWeibull(g.Times, g.Events, g.X, g.Names)
	if err != nil {
		t.Fatal(err)
	}
	// Published medians; see survregDigits.
	survivaltest.Near(t, "median, control", fit.Median([]float64{0}), 7.24269699, survregDigits)
	survivaltest.Near(t, "median, treated", fit.Median([]float64{1}), 25.7215262, survregDigits)
}

// The share that has ended by a quantile, by the Weibull's own survival
// exp(−(t/e^η)^(1/σ)), is the share asked for.
func TestQuantilesHangTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := AFT{Coef: []float64{rapid.Float64Range(-3, 8).Draw(t, "intercept")}, Scale: rapid.Float64Range(0.05, 3).Draw(t, "scale")}
		p := rapid.Float64Range(1e-9, 1-1e-9).Draw(t, "p")
		ended := -math.Expm1(-math.Pow(a.Quantile(p, nil)/math.Exp(a.Coef[0]), 1/a.Scale))
		if math.Abs(ended-p) > 1e-9 {
			t.Fatalf("share %v ended by the quantile of %v", ended, p)
		}
		if a.Quantile(0, nil) != 0 || !math.IsInf(a.Quantile(1, nil), 1) {
			t.Fatalf("nothing has ended at %v, all at %v", a.Quantile(0, nil), a.Quantile(1, nil))
		}
	})
}
