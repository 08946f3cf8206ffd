package prep

import (
	"math"
	"math/rand/v2"
	"testing"
	"testing/fstest"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// soldVans are vans of which nothing but the year is known when they are bought,
// with the hidden jobs that came: each by the book's chance times often, drawn
// here and not by the code under test.
func soldVans(t *testing.T, n int, often float64, seed uint64) (books *data.Books, hidden []HiddenJob) {
	t.Helper()
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(seed, 1))
	policy, bought := data.DefaultPolicy(), data.NewDate(2025, 3, 1)
	for range n {
		v := data.Van{StockID: "A", Status: data.Owned, Body: data.LowProfile, Acquired: bought, FirstRegistered: data.NewDate(2015, 1, 1)}
		progress := []data.Progress{{Job: "valet-full", State: data.JobDone}}
		asked := map[string]bool{}
		a := appraise.Assess(v, nil, nil, nil, books, policy, bought)
		for _, r := range a.Requests {
			asked[r.Job] = true
		}
		came := map[string]bool{}
		for _, u := range a.Untested {
			if u.Job != "" && !asked[u.Job] && !came[u.Job] && rng.Float64() < u.Chance*often {
				came[u.Job] = true
				progress = append(progress, data.Progress{Job: u.Job, State: data.JobDone})
			}
		}
		v.Status, v.SoldOn = data.Sold, bought.AddDays(90)
		hidden = append(hidden, HiddenJobs(v, nil, nil, progress, books, policy)...)
	}
	return books, hidden
}

// Defects twice or half as frequent as the book are learnt from sixty vans; a
// record that agrees with the book moves nothing by more than a tenth of that.
func TestDefectRatesAreLearntFromSixtyVans(t *testing.T) {
	for _, often := range []float64{0.5, 1, 2} {
		_, hidden := soldVans(t, 60, often, 3)
		all := LearnDefects(hidden).Rates()[0]
		if math.Abs(math.Log(all.Factor/often)) > 0.12 {
			t.Errorf("%v times the book: learnt %.2f from %.0f expected, %.0f came", often, all.Factor, all.Expected, all.Came)
		}
		if !(all.Low < often*1.12 && all.High > often*0.88) {
			t.Errorf("%v times the book: between %.2f and %.2f", often, all.Low, all.High)
		}
	}
}

// prep_p80 covers four in five where defects are twice or half as frequent as the
// book says, once sixty vans are on record; the untaught one does not.
func TestPrepP80CoversWhatTheRecordTeaches(t *testing.T) {
	policy := data.DefaultPolicy()
	for _, often := range []float64{0.5, 2} {
		books, hidden := soldVans(t, 60, often, 5)
		rates := LearnDefects(hidden)
		rng := rand.New(rand.NewPCG(9, 9))
		v := data.Van{StockID: "Q", Status: data.Offered, Body: data.LowProfile, FirstRegistered: data.NewDate(2015, 1, 1)}
		a := appraise.Assess(v, nil, nil, nil, books, policy, data.NewDate(2026, 3, 9))
		asked := map[string]bool{}
		jobs := Jobs(a, nil, books, policy, Calibration{})
		for _, j := range jobs {
			asked[j.Code] = true
		}
		named := Total(jobs).InexactFloat64()
		covered := func(untested []appraise.Untested) float64 {
			p80 := CostOf(jobs, untested, v.Body, books, policy).P80.InexactFloat64()
			within := 0
			for range 2000 {
				came, cost := map[string]bool{}, named
				for _, u := range a.Untested {
					if u.Job != "" && !asked[u.Job] && !came[u.Job] && rng.Float64() < u.Chance*often {
						came[u.Job] = true
						cost += hiddenCost(u.Job, v.Body, books, policy.LabourCostPerHour.InexactFloat64())
					}
				}
				if cost <= p80 {
					within++
				}
			}
			return float64(within) / 2000
		}
		got, before := covered(rates.Adjust(a.Untested)), covered(a.Untested)
		t.Logf("%v times the book: p80 covers %.2f, untaught %.2f", often, got, before)
		if got < 0.72 || got > 0.88 {
			t.Errorf("%v times the book: p80 covers %.2f of what comes, want 0.72 to 0.88", often, got)
		}
	}
}

func TestAVanWithoutARecordTeachesNothing(t *testing.T) {
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	v := data.Van{StockID: "A", Status: data.Sold, Body: data.LowProfile, Acquired: data.NewDate(2025, 3, 1), FirstRegistered: data.NewDate(2015, 1, 1)}
	some := []data.Progress{{Job: "valet-full", State: data.JobDone}}
	if got := HiddenJobs(v, nil, nil, nil, books, data.DefaultPolicy()); got != nil {
		t.Errorf("no progress: %d jobs", len(got))
	}
	v.Status = data.Preparing
	if got := HiddenJobs(v, nil, nil, some, books, data.DefaultPolicy()); got != nil {
		t.Errorf("still in preparation: %d jobs", len(got))
	}
	if rates := LearnDefects(nil); len(rates.Rates()) != 0 || rates.Adjust(nil) != nil {
		t.Error("nothing taught something")
	}
}

// Part prices and lead times: three orders at half as much again, with one slip.
func TestOrdersTeachPricesAndLeadTimes(t *testing.T) {
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	part := books.Parts[0]
	for _, p := range books.Parts {
		if p.LeadDays >= 4 && p.UnitCost.IsPositive() {
			part = p
			break
		}
	}
	day := data.NewDate(2026, 1, 5)
	order := func(times float64, days int) data.Order {
		return data.Order{
			Part: part.Code, Quantity: 1, OrderedOn: day, ArrivedOn: day.AddDays(days),
			UnitCost: data.Some(data.Pounds(part.UnitCost.InexactFloat64() * times)),
		}
	}
	orders := []data.Order{order(1.5, 2*part.LeadDays), order(1.5, 2*part.LeadDays), order(1.5, 2*part.LeadDays), order(10, 20*part.LeadDays)}
	s := LearnSupply(orders, nil, books)
	after, _ := s.Books(books).Part(part.Code)
	// Twice shrunk toward the book: all parts by 3 of 8, the part by 3 of 8 again.
	want := math.Pow(1.5, 3.0/8+5.0/8*3/8)
	if got := after.UnitCost.InexactFloat64() / part.UnitCost.InexactFloat64(); math.Abs(got-want) > 0.01 {
		t.Errorf("the part costs %.3f times the book, want %.3f", got, want)
	}
	if after.LeadDays <= part.LeadDays {
		t.Errorf("lead time stays at %d days", after.LeadDays)
	}
	if got := LearnSupply(orders[:2], nil, books).Books(books); got != books {
		t.Error("two orders changed the book")
	}
	if unchanged, _ := books.Part(part.Code); !unchanged.UnitCost.Equal(part.UnitCost) {
		t.Error("the book itself was changed")
	}
}

// Two points that share a job cost it once: either may ask for it.
func TestPointsThatShareAJobAreChargedOnce(t *testing.T) {
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	policy := data.DefaultPolicy()
	job := books.Labour[0].Code
	cost := hiddenCost(job, data.LowProfile, books, policy.LabourCostPerHour.InexactFloat64())
	points := []appraise.Untested{
		{Checkpoint: "a", System: "x", Chance: 0.3, Job: job}, {Checkpoint: "b", System: "y", Chance: 0.4, Job: job},
	}
	got := CostOf(nil, points, data.LowProfile, books, policy).Risk.InexactFloat64()
	if want := (1 - 0.7*0.6) * cost; math.Abs(got-want) > 0.01 {
		t.Errorf("a risk of %.2f, want %.2f of a job of %.2f", got, want, cost)
	}
	if got := CostOf([]Job{{Code: job}}, points, data.LowProfile, books, policy).Risk; !got.IsZero() {
		t.Errorf("a job that is asked for already carries a risk of %s", got)
	}
}
