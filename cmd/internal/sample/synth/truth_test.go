package synth

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/data"
)

// leastSquares fits y by the columns of rows and returns the coefficients, their
// standard errors and the residuals' standard deviation.
func leastSquares(t *testing.T, rows [][]float64, y []float64) (beta, se []float64, sd float64) {
	t.Helper()
	n, p := len(rows), len(rows[0])
	x := mat.NewDense(n, p, nil)
	for i, r := range rows {
		x.SetRow(i, r)
	}
	var xtx mat.SymDense
	xtx.SymOuterK(1, x.T())
	var chol mat.Cholesky
	if !chol.Factorize(&xtx) {
		t.Fatal("the design is singular")
	}
	var xty, b mat.VecDense
	xty.MulVec(x.T(), mat.NewVecDense(n, y))
	if err := chol.SolveVecTo(&b, &xty); err != nil {
		t.Fatal(err)
	}
	var fitted mat.VecDense
	fitted.MulVec(x, &b)
	rss := 0.0
	for i := range y {
		rss += (y[i] - fitted.AtVec(i)) * (y[i] - fitted.AtVec(i))
	}
	sd = math.Sqrt(rss / float64(n-p))
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		t.Fatal(err)
	}
	for j := range p {
		beta = append(beta, b.AtVec(j))
		se = append(se, sd*math.Sqrt(inverse.At(j, j)))
	}
	return beta, se, sd
}

// An ordinary regression by gonum finds the documented price model again.
func TestPriceModelIsRecovered(t *testing.T) {
	spec := NewSpec(1, 0, 11, asOf)
	const n = 12_000
	names := []string{"ln(1 + age/knee)", "age", "mileage given age", "automatic",
		"grade 1", "grade 2", "grade 4", "grade 5", "season", "years"}
	want := []float64{PriceAgeLog, PriceAgeYear, PriceMileage, PriceAutomatic,
		GradeEffect(1), GradeEffect(2), GradeEffect(4), GradeEffect(5), 1, PriceYear}
	for _, m := range Models {
		names = append(names, m.Maker+" "+m.Name)
		want = append(want, PriceBase+MakerEffect(m.Maker)+m.Effect+BodyEffect(m.Body)+
			PriceBerth*float64(m.Berths-2)+PriceLength*(float64(m.LengthMM)-6000)/1000)
	}
	var rows [][]float64
	var y []float64
	d := new(Draws)
	for i := range n {
		s := spec.NewSale(d, i)
		if !s.SoldPrice.Known {
			continue
		}
		age := s.SoldOn.YearsSince(s.FirstRegistered)
		row := make([]float64, len(names))
		row[0], row[1] = math.Log(1+age/PriceAgeKnee), age
		row[2] = (float64(s.Mileage) - NormalMiles*age) / 10_000
		if s.Gearbox == "automatic" {
			row[3] = 1
		}
		if at := map[int]int{1: 4, 2: 5, 4: 6, 5: 7}[s.Grade.Value]; at > 0 {
			row[at] = 1
		}
		row[8] = SeasonEffect(s.SoldOn)
		row[9] = s.SoldOn.YearsSince(PriceDriftFrom)
		for j, m := range Models {
			if m.Maker == s.Maker && m.Name == s.Model {
				row[10+j] = 1
			}
		}
		rows = append(rows, row)
		y = append(y, math.Log(s.SoldPrice.Value.InexactFloat64()))
	}
	beta, se, sd := leastSquares(t, rows, y)
	for j, name := range names {
		// Prices are capped at the asking price and dear vans stay unsold a
		// little more often, which moves levels by a few parts in a thousand.
		tolerance := 4 * se[j]
		if j >= 10 {
			tolerance += 0.005
		}
		if name == "season" {
			tolerance += 0.1
		}
		if math.Abs(beta[j]-want[j]) > tolerance {
			t.Errorf("%s: %.4f ± %.4f, want %.4f", name, beta[j], se[j], want[j])
		}
	}
	if math.Abs(sd-PriceNoise) > 0.0025 {
		t.Errorf("noise %.4f, want %.3f", sd, PriceNoise)
	}
}

// ln T of a Weibull time is ln(scale) plus Gumbel noise of mean −γ/shape and
// standard deviation π/(√6 shape), so a regression of ln T finds the model of
// the time to sale again where nothing is censored.
func TestTimeToSaleModelIsRecovered(t *testing.T) {
	spec := NewSpec(1, 0, 12, asOf)
	var rows [][]float64
	var y []float64
	d := new(Draws)
	for i := range 60_000 {
		s := spec.NewSale(d, i)
		if asOf.DaysSince(s.Listed) < 700 || s.SoldOn.IsZero() {
			continue // hardly any van is unsold after two years
		}
		worth := TruePrice(Traits{s.Maker, s.Model, s.Body, s.Gearbox, s.FirstRegistered, s.Mileage,
			s.Berths.Value, s.LengthMM.Value, s.Grade.Value}, s.Listed)
		rows = append(rows, []float64{1, math.Log(s.Asking.Value.InexactFloat64() / worth), SaleSeason(s.Listed)})
		y = append(y, math.Log(float64(s.SoldOn.DaysSince(s.Listed))))
	}
	beta, se, sd := leastSquares(t, rows, y)
	const gamma = 0.5772156649
	for j, want := range []float64{math.Log(SaleDays) - gamma/SaleShape, SalePrice, 1} {
		// Whole days, at least one, shift ln T a little.
		if math.Abs(beta[j]-want) > 4*se[j]+0.02 {
			t.Errorf("coefficient %d: %.3f ± %.3f, want %.3f", j, beta[j], se[j], want)
		}
	}
	if want := math.Pi / (math.Sqrt(6) * SaleShape); math.Abs(sd-want) > 0.03 {
		t.Errorf("spread of ln T is %.3f, want %.3f", sd, want)
	}
}

func TestSomeSalesAreCensoredAndNoneByChance(t *testing.T) {
	spec := NewSpec(1, 0, 13, asOf)
	unsold, soldLate := 0, 0
	d := new(Draws)
	const n = 10_000
	for i := range n {
		s := spec.NewSale(d, i)
		if s.SoldPrice.Known != !s.SoldOn.IsZero() {
			t.Fatalf("%s has a price or a day of sale, not both", s.SaleID)
		}
		if s.SoldOn.IsZero() {
			unsold++
		} else if s.SoldOn > asOf {
			soldLate++
		}
		if s.SoldPrice.Known && s.SoldPrice.Value.GreaterThan(s.Asking.Value) {
			t.Errorf("%s was sold above its asking price", s.SaleID)
		}
	}
	if share := float64(unsold) / n; share < 0.02 || share > 0.12 {
		t.Errorf("%.1f %% unsold, want 2 to 12", 100*share)
	}
	if soldLate > 0 {
		t.Errorf("%d sold after the as-of date", soldLate)
	}
}

func TestSeasonsSumToNothing(t *testing.T) {
	sum := 0.0
	for month := range 12 {
		sum += SeasonEffect(data.NewDate(2025, 1, 15).AddMonths(month))
	}
	if math.Abs(sum) > 1e-12 {
		t.Errorf("the season's effects sum to %v", sum)
	}
}

// Faults must rise with age in every system that a workshop knows for it.
func TestFaultsRiseWithAge(t *testing.T) {
	contents, _ := files(t, NewSpec(3000, 0, 5, asOf))
	yard := load(t, contents)
	var young, old ages
	for _, v := range yard.Vans {
		for _, r := range yard.Readings[v.StockID] {
			switch age := v.AgeYears(r.TakenOn); {
			case age < 4:
				young.add(r)
			case age > 11:
				old.add(r)
			}
		}
	}
	for name, c := range map[string]struct {
		share func(*ages) float64
		least float64 // times as much in an old van
	}{
		"damp percent":        {func(a *ages) float64 { return stat.Mean(a.damp, nil) }, 1.15},
		"share damp above 20": {func(a *ages) float64 { return above(a.damp, 20) }, 3},
		"slow RCD":            {func(a *ages) float64 { return above(a.rcd, 300) }, 3},
		"leaking gas":         {func(a *ages) float64 { return above(a.gas, 10) }, 3},
		"hose years":          {func(a *ages) float64 { return stat.Mean(a.hose, nil) }, 1.5},
		"worn tread":          {func(a *ages) float64 { return 1 - above(a.tread, 3) }, 1.2},
		"thin pads":           {func(a *ages) float64 { return 1 - above(a.pad, 5) }, 1.2},
		"flat battery":        {func(a *ages) float64 { return 1 - above(a.volts, 12.2) }, 2},
		"defects of verdicts": {func(a *ages) float64 { return float64(a.defects) / float64(a.verdicts) }, 3},
		"years past expiry":   {func(a *ages) float64 { return stat.Mean(a.alarm, nil) }, 1.5},
	} {
		y, o := c.share(&young), c.share(&old)
		if !(o > c.least*y) {
			t.Errorf("%s: %.3f of young vans, %.3f of old ones; want %v times as much", name, y, o, c.least)
		}
	}
}

type ages struct {
	damp, rcd, gas, hose, tread, pad, volts, alarm []float64
	verdicts, defects                              int
}

func (a *ages) add(r data.Reading) {
	switch r.Checkpoint {
	case "damp":
		a.damp = append(a.damp, r.Number.Value)
	case "rcd-trip":
		a.rcd = append(a.rcd, r.Number.Value)
	case "gas-drop":
		a.gas = append(a.gas, r.Number.Value)
	case "gas-hose-date":
		a.hose = append(a.hose, r.TakenOn.YearsSince(r.Day))
	case "tyre-tread":
		a.tread = append(a.tread, r.Number.Value)
	case "brake-pad":
		a.pad = append(a.pad, r.Number.Value)
	case "battery-rest-volts":
		a.volts = append(a.volts, r.Number.Value)
	case "co-alarm-expiry":
		a.alarm = append(a.alarm, max(0, r.TakenOn.YearsSince(r.Day)))
	}
	if r.Verdict >= data.Sound {
		a.verdicts++
		if r.Verdict >= data.Defect {
			a.defects++
		}
	}
}

func above(list []float64, limit float64) float64 {
	n := 0
	for _, x := range list {
		if x > limit {
			n++
		}
	}
	return float64(n) / float64(len(list))
}

func TestPapersThinOutWithAgeAndKeepers(t *testing.T) {
	contents, _ := files(t, NewSpec(3000, 0, 6, asOf))
	yard := load(t, contents)
	mean := func(which func(data.Van) bool) float64 {
		vans, papers := 0, 0
		for _, v := range yard.Vans {
			if which(v) {
				vans++
				for _, p := range yard.Documents[v.StockID] {
					if p.Kind != "mot" { // a young van has had no test yet
						papers++
					}
				}
			}
		}
		return float64(papers) / float64(vans)
	}
	day := func(v data.Van) float64 { return asOf.YearsSince(v.FirstRegistered) }
	middle := mean(func(v data.Van) bool { return day(v) > 5 && day(v) < 9 })
	old := mean(func(v data.Van) bool { return day(v) > 15 })
	if old > middle-0.8 {
		t.Errorf("%.1f papers at 5 to 9 years, %.1f after 15; want fewer", middle, old)
	}
	few := mean(func(v data.Van) bool { return day(v) > 9 && day(v) < 13 && v.Keepers.Value <= 2 })
	many := mean(func(v data.Van) bool { return day(v) > 9 && day(v) < 13 && v.Keepers.Value >= 5 })
	if many > few-1 {
		t.Errorf("%.1f papers at 9 to 13 years with up to 2 keepers, %.1f with 5 and more; want fewer", few, many)
	}
}
