package prep

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// uncertain returns n jobs whose hours are far from certain, and points nobody tested.
func uncertain(n int) ([]Job, []appraise.Untested) {
	var jobs []Job
	for i := range n {
		e := Estimate{1 + float64(i), 2 + 1.5*float64(i), 6 + 4*float64(i)}
		jobs = append(jobs, Job{
			Code: "job", Skill: []string{"damp", "gas", "valet"}[i%3], State: data.JobOpen, Book: e,
			HoursP50: data.Hours(e.Quantile(0.5)), HoursLeft: data.Hours(e.Quantile(0.5)),
			LabourCost: data.Pence(data.Hours(e.Quantile(0.5)).Mul(data.DefaultPolicy().LabourCostPerHour)),
		})
	}
	untested := []appraise.Untested{
		{System: "water", Chance: 0.3, Job: "strip"}, {System: "water", Chance: 0.1, Job: "reseal"},
		{System: "tyres", Chance: 0.2, Job: "tyre-set"}, {System: "gas", Chance: 0.05, Job: "gas-hose"},
	}
	return jobs, untested
}

// The computed quantile is held against a seeded simulation of the same model:
// estimates and defects drawn with the stated correlations by a Gaussian
// copula.
func TestCostAgainstSimulation(t *testing.T) {
	if testing.Short() {
		t.Skip("a long comparison with simulation")
	}
	jobs, untested := uncertain(7)
	b, policy := books(t), data.DefaultPolicy()
	cost := CostOf(jobs, untested, data.PanelVan, b, policy)

	rng := rand.New(rand.NewPCG(7, 7))
	phi := func(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
	const runs = 40_000
	totals := make([]float64, runs)
	for r := range runs {
		common := map[string]float64{}
		draw := func(system string, correlation float64) float64 {
			if _, ok := common[system]; !ok {
				common[system] = rng.NormFloat64()
			}
			return phi(math.Sqrt(correlation)*common[system] + math.Sqrt(1-correlation)*rng.NormFloat64())
		}
		for _, j := range jobs {
			totals[r] += j.Book.Quantile(draw(j.Skill, betweenHours)) * 32
		}
		for _, u := range untested {
			if draw("hidden "+u.System, betweenHidden) > 1-u.Chance {
				totals[r] += hiddenCost(u.Job, data.PanelVan, b, 32)
			}
		}
	}
	slices.Sort(totals)
	for _, p := range []float64{0.5, 0.8, 0.95} {
		got, want := cost.Spread.Quantile(p), totals[int(p*runs)]
		if math.Abs(got-want) > 0.02*want {
			t.Errorf("p%.0f: got %.0f, simulated %.0f", 100*p, got, want)
		}
		if c := cost.Spread.ChanceWithin(want); math.Abs(c-p) > 0.02 {
			t.Errorf("chance within %.0f: got %.3f, simulated %.2f", want, c, p)
		}
	}
}

func TestUntestedIsNotSound(t *testing.T) {
	jobs, untested := uncertain(3)
	b, policy := books(t), data.DefaultPolicy()
	tested := CostOf(jobs, nil, data.PanelVan, b, policy)
	not := CostOf(jobs, untested, data.PanelVan, b, policy)
	if !not.P80.GreaterThan(tested.P80) || !not.Risk.IsPositive() {
		t.Errorf("p80 %s with points untested, %s with none", not.P80, tested.P80)
	}
	if !not.P50.Equal(tested.P50) || !not.P50.Equal(Total(jobs)) {
		t.Errorf("p50 %s is not the sum of the jobs, %s", not.P50, Total(jobs))
	}
	// A defect that is already a job is not priced twice.
	jobs[0].Code = "strip"
	if again := CostOf(jobs, untested[:1], data.PanelVan, b, policy); !again.Risk.IsZero() {
		t.Errorf("risk %s on top of the job itself", again.Risk)
	}
}

func TestMoreUntestedNeverLowersTheCost(t *testing.T) {
	b, policy := books(t), data.DefaultPolicy()
	all := []string{"strip", "reseal", "tyre-set", "gas-hose", "rcd", "valet"}
	rapid.Check(t, func(t *rapid.T) {
		jobs, _ := uncertain(rapid.IntRange(0, 6).Draw(t, "jobs"))
		var untested []appraise.Untested
		for i := range rapid.IntRange(0, 12).Draw(t, "untested") {
			untested = append(untested, appraise.Untested{
				System: rapid.SampledFrom([]string{"water", "gas", "body"}).Draw(t, "system"),
				Chance: rapid.Float64Range(0, 0.4).Draw(t, "chance"),
				Job:    all[i%len(all)],
			})
		}
		more := append(slices.Clone(untested), appraise.Untested{System: "gas", Chance: rapid.Float64Range(0, 0.4).Draw(t, "more"), Job: "tyre-set"})
		before, after := CostOf(jobs, untested, data.PanelVan, b, policy), CostOf(jobs, more, data.PanelVan, b, policy)
		if after.P80.LessThan(before.P80) {
			t.Fatalf("p80 fell from %s to %s", before.P80, after.P80)
		}
	})
}

// The rule integrates polynomials up to degree nine against a standard normal:
// its even moments are 1, 1, 3, 15, 105.
func TestNeglectRule(t *testing.T) {
	for power, want := range map[int]float64{0: 1, 1: 0, 2: 1, 4: 3, 6: 15, 8: 105} {
		sum := 0.0
		for _, n := range neglect {
			sum += n.weight * math.Pow(n.at, float64(power))
		}
		if math.Abs(sum-want) > 1e-9*max(want, 1) {
			t.Errorf("moment %d: got %v, want %v", power, sum, want)
		}
	}
}

func TestSpreadOfACertainCostIsThatCost(t *testing.T) {
	s := masses{1}.spread(1234.5)
	if s.Quantile(0.01) != 1234.5 || s.Quantile(0.99) != 1234.5 || s.ChanceWithin(1234.49) != 0 || s.ChanceWithin(1234.5) != 1 {
		t.Error("a certain cost is not one figure")
	}
}

func BenchmarkCostOf(b *testing.B) {
	jobs, untested := uncertain(10)
	books, policy := books(b), data.DefaultPolicy()
	all := []string{"strip", "reseal", "tyre-set", "gas-hose", "rcd"}
	for i := range 200 {
		untested = append(untested, appraise.Untested{System: string(rune('a' + i%13)), Chance: 0.05, Job: all[i%len(all)]})
	}
	for b.Loop() {
		CostOf(jobs, untested, data.PanelVan, books, policy)
	}
}
