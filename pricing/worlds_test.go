package pricing_test

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"testing/fstest"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
)

// A world has a law of its own for what vans are worth, how long they stand and
// what buyers pay. Its past sales and what comes follow the same law; nothing
// here asks the code under test but for what a dealer would read in the reports.
type world struct {
	name   string
	graded bool // sales.csv has grades
	// paid is what a buyer pays of an asking price for a van worth so much.
	paid func(rng *rand.Rand, ask, worth float64) float64
	// slower is what a grade adds to the log of the time to sell.
	slower float64
	grades float64 // what a grade takes off the log of the worth
}

var worlds = []world{
	{"buyers set the price, the ticket caps it", false,
		func(rng *rand.Rand, ask, worth float64) float64 {
			return min(ask, worth*math.Exp(0.03*rng.NormFloat64()))
		}, 0, 0},
	{"a haggle off the ticket", false,
		func(rng *rand.Rand, ask, _ float64) float64 { return ask * (0.94 + 0.05*rng.Float64()) }, 0, 0},
	{"quality moves price and time, grades in sales.csv", true,
		func(rng *rand.Rand, ask, _ float64) float64 { return ask * (0.94 + 0.05*rng.Float64()) }, 0.10, 0.035},
	{"quality moves price and time, no grades", false,
		func(rng *rand.Rand, ask, _ float64) float64 { return ask * (0.94 + 0.05*rng.Float64()) }, 0.10, 0.035},
}

var today = data.NewDate(2026, 3, 9)

// truth is a van with what only the world knows of it.
type truth struct {
	van   data.Van
	grade int
	luck  float64 // log
}

// kinds are the models of the worlds: maker, model, body and log price when new.
var kinds = []struct {
	maker, model string
	body         data.Body
	worth        float64
}{
	{"Larkfield", "Rothmere 540", data.LowProfile, 11.05}, {"Larkfield", "Strand 6", data.PanelVan, 10.95},
	{"Velmora", "Dorvana 7", data.AClass, 11.35}, {"Velmora", "Fen 2", data.Overcab, 10.90},
	{"Corvane", "Sprig", data.PanelVan, 10.85}, {"Corvane", "Reed", data.LowProfile, 11.10},
	{"Nyhavald", "Lode", data.AClass, 11.25}, {"Nyhavald", "Mere", data.RisingRoof, 10.80},
}

func (w world) newVan(rng *rand.Rand, id string, around data.Date) truth {
	k := kinds[rng.IntN(len(kinds))]
	age := 1 + 13*rng.Float64()
	v := data.Van{
		StockID: id, Maker: k.maker, Model: k.model, Body: k.body, VAT: data.MarginScheme, Status: data.Offered,
		FirstRegistered: around.AddDays(-int(365 * age)), Mileage: int(age*6000*math.Exp(0.35*rng.NormFloat64())) + 500,
		Gearbox: []string{"manual", "automatic"}[rng.IntN(2)],
	}
	return truth{v, 1 + rng.IntN(5), 0.05 * rng.NormFloat64()}
}

// worth is what a van is worth on a day, pounds.
func (w world) worth(t truth, on data.Date) float64 {
	i := slices.IndexFunc(kinds, func(k struct {
		maker, model string
		body         data.Body
		worth        float64
	}) bool {
		return k.maker == t.van.Maker && k.model == t.van.Model
	})
	age := on.YearsSince(t.van.FirstRegistered)
	log := kinds[i].worth - 0.075*age - 0.03*(float64(t.van.Mileage)-6000*age)/10_000 + t.luck - w.grades*float64(t.grade-3)
	if t.van.Gearbox == "automatic" {
		log += 0.05
	}
	log += 0.015 * math.Sin(2*math.Pi*float64(on.DaysSince(data.NewDate(on.Year(), 1, 1)))/365.25)
	return math.Exp(log)
}

// hazard is the chance per day of a sale on its n-th day.
func (w world) hazard(day int, ask, worth float64, grade int) float64 {
	scale := 70 * math.Exp(4*math.Log(ask/(1.04*worth))+w.slower*float64(grade-3))
	return math.Pow(float64(day+1)/scale, 1.3) - math.Pow(float64(day)/scale, 1.3)
}

func ending(price float64) float64 { return math.Round(price/500)*500 - 5 }

// sales are n past sales of the world: a dealer priced each at what he took it
// to be worth, some 3 % off, and a little more to haggle over.
func (w world) sales(rng *rand.Rand, n int) []data.Sale {
	var out []data.Sale
	for len(out) < n {
		listed := today.AddDays(-1 - rng.IntN(4*365))
		t := w.newVan(rng, "", listed)
		ask := ending(1.04 * w.worth(t, listed) * math.Exp(0.03*rng.NormFloat64()))
		s := data.Sale{
			SaleID: fmt.Sprintf("S%05d", len(out)), Maker: t.van.Maker, Model: t.van.Model, Body: t.van.Body, Gearbox: t.van.Gearbox,
			FirstRegistered: t.van.FirstRegistered, Mileage: t.van.Mileage, Listed: listed,
			Asking: data.Some(decimal.NewFromFloat(ask)), VAT: data.MarginScheme,
		}
		if w.graded {
			s.Grade = data.Some(t.grade)
		}
		days, patience := 0, rng.ExpFloat64()
		for patience > 0 {
			patience -= w.hazard(days, ask, w.worth(t, listed.AddDays(days)), t.grade)
			days++
		}
		if on := listed.AddDays(days); on <= today {
			s.SoldOn = on
			s.SoldPrice = data.Some(decimal.NewFromFloat(math.Round(w.paid(rng, ask, w.worth(t, on)))))
		}
		out = append(out, s)
	}
	return out
}

// hidden is what the untested points of a van turn out to cost: each hides its
// defect by the book's chance, times how much more frequent defects are here.
func hidden(rng *rand.Rand, untested []appraise.Untested, cost func(job string) float64, oftener float64) float64 {
	sum := 0.0
	done := map[string]bool{}
	for _, u := range untested {
		if rng.Float64() < u.Chance*oftener && u.Job != "" && !done[u.Job] {
			done[u.Job] = true
			sum += cost(u.Job) * math.Exp(0.15*rng.NormFloat64())
		}
	}
	return sum
}

// claim is one chance that the reports state, and how often it came true.
type claim struct{ stated, met float64 }

type tally map[string][]claim

// limits are how many points what came may lie off what was stated: overall, and in each
// fifth of what was stated.
type limits struct{ overall, fifth float64 }

var (
	// goal is what chances are to hold to.
	goal = limits{5, 8}
	// lucky is the goal and what the luck of some hundred vans of a few yards adds to it:
	// from one set of seeds to another what came moves by about a point, and by two in a fifth.
	lucky = limits{goal.overall + 1, goal.fifth + 2}
)

func broken(stated, met, limit float64) bool { return math.Abs(stated-met) > limit/100 }

// check prints what was stated and met, overall and by fifths of what was
// stated, says where that is short of the aim, and fails beyond what is allowed.
func (t tally) check(tt *testing.T, aim, allowed limits) {
	tt.Helper()
	for _, what := range slices.Sorted(maps.Keys(t)) {
		claims := t[what]
		slices.SortFunc(claims, func(a, b claim) int { return cmp.Compare(a.stated, b.stated) })
		mean := func(of []claim) (stated, met float64) {
			for _, c := range of {
				stated += c.stated / float64(len(of))
				met += c.met / float64(len(of))
			}
			return stated, met
		}
		stated, met := mean(claims)
		line := fmt.Sprintf("%-22s stated %5.1f met %5.1f | fifths", what, 100*stated, 100*met)
		bad, short := broken(stated, met, allowed.overall), broken(stated, met, aim.overall)
		for k := range 5 {
			if claims[0].stated == claims[len(claims)-1].stated {
				break // one chance for all: its fifths would be those of the yards
			}
			s, m := mean(claims[k*len(claims)/5 : (k+1)*len(claims)/5])
			line += fmt.Sprintf("  %4.0f/%-4.0f", 100*s, 100*m)
			bad, short = bad || broken(s, m, allowed.fifth), short || broken(s, m, aim.fifth)
		}
		switch {
		case bad:
			tt.Error(line)
		case short:
			tt.Log(line + "  short of the goal")
		default:
			tt.Log(line)
		}
	}
}

// fewAllowed is what is allowed for 60 sales, which is short of the goal: so few can't tell
// buyers who haggle by habit from such as pay what a van is worth, and the forecast lies
// between the two. It was set from what the four worlds showed.
var fewAllowed = limits{9, 12}

func TestChancesComeTrueInWorldsOfTheirOwn(t *testing.T) {
	if testing.Short() {
		t.Skip("replays thousands of sales")
	}
	for _, w := range worlds {
		for _, n := range []int{60, 300, 2000} {
			t.Run(fmt.Sprintf("%s, %d sales", w.name, n), func(t *testing.T) {
				got := tally{}
				yards := map[int]int{60: 16, 300: 12, 2000: 5}[n] // a model errs for a whole yard
				for yard := range yards {
					replayYard(t, w, n, uint64(yard+1), 160/yards+10, got)
				}
				allowed := lucky
				if n == 60 {
					allowed = fewAllowed
				}
				got.check(t, goal, allowed)
			})
		}
	}
}

// replayYard buys vans at the maximum and the opening bid, prepares them, puts
// them up for sale as the price plan says, and sees what came.
func replayYard(t *testing.T, w world, sales int, seed uint64, vans int, got tally) {
	rng := rand.New(rand.NewPCG(seed, 77))
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	policy := data.DefaultPolicy()
	market := pricing.NewMarket(w.sales(rng, sales), today, policy)
	for i := range vans {
		c := w.newVan(rng, fmt.Sprintf("Q%d", i), today)
		a := appraise.Assess(c.van, nil, nil, nil, books, policy, today)
		untested := a.Untested[:len(a.Untested)/3]
		cost := prep.CostOf(nil, untested, c.van.Body, books, policy)
		const prepDays = 12
		q := market.Quote(c.van, pricing.Condition{})
		if !q.Price.Known {
			continue
		}
		bid := market.Bid(q, cost, prepDays)
		max, opening, soon, within := 0.0, 0.0, 0.0, 0.0
		const replays = 12
		for range replays {
			c.luck, c.grade = 0.05*rng.NormFloat64(), 1+rng.IntN(5) // what nobody knew when bidding
			spent := hidden(rng, untested, func(job string) float64 { return jobCost(books, job, c.van.Body) }, 1)
			days, price := w.sell(rng, c, q, market, prepDays)
			late := spent * 0.6 / 32 / 6
			if profitAt(bid.MaxBid, price, spent, float64(prepDays+days)+late) {
				max += 1.0 / replays
			}
			if profitAt(bid.OpeningBid, price, spent, float64(prepDays+days)+late) {
				opening += 1.0 / replays
			}
			if days <= 60 {
				soon += 1.0 / replays
			}
			if spent <= cost.P80.InexactFloat64() {
				within += 1.0 / replays
			}
		}
		got["target at maximum bid"] = append(got["target at maximum bid"], claim{bid.Confidence.Value.InexactFloat64() / 100, max})
		got["target at opening bid"] = append(got["target at opening bid"], claim{policy.Confidence, opening})
		got["sold within 60 days"] = append(got["sold within 60 days"], claim{q.SellWithin60.Value.InexactFloat64() / 100, soon})
		got["prep_p80"] = append(got["prep_p80"], claim{0.8, within})
	}
}

// sell follows the price plan until the van goes.
func (w world) sell(rng *rand.Rand, c truth, q pricing.Quote, market *pricing.Market, prepDays int) (int, float64) {
	start := today.AddDays(prepDays)
	ask, next, patience := q.AskingPrice.Value.InexactFloat64(), 0, rng.ExpFloat64()
	haggle := q.AskingPrice.Value.InexactFloat64() / q.Price.Value.InexactFloat64()
	for day := 0; ; day++ {
		for next < len(q.Ladder) && q.Ladder[next].From.DaysSince(today) <= day {
			ask = ending(q.Ladder[next].Price.InexactFloat64() * haggle)
			next++
		}
		worth := w.worth(c, start.AddDays(day))
		if patience -= w.hazard(day, ask, worth, c.grade); patience <= 0 || day > 3*365 {
			return day + 1, w.paid(rng, ask, worth)
		}
	}
}

func jobCost(books *data.Books, code string, body data.Body) float64 {
	job, ok := books.Job(code)
	if !ok {
		return 0
	}
	cost := 32 * (job.HoursLow + 4*job.HoursLikely + job.HoursHigh) / 6 * job.Factor(body)
	for _, use := range job.Parts {
		if p, ok := books.Part(use.Part); ok {
			cost += p.UnitCost.InexactFloat64() * float64(use.Qty)
		}
	}
	return cost
}

// profitAt reports whether a van bought at bid under the margin scheme left its
// target, by the formula of README.md with the default policy.
func profitAt(bid data.Money, price, spent, days float64) bool {
	b := bid.InexactFloat64()
	vat := max(0, price-b) / 6
	profit := price - vat - b - spent - 350 - 450 - days*(4.5+b*0.085/365)
	return profit >= max(0.08*(price-vat), 1200)
}
