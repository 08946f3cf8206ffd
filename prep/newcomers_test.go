package prep

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// A van that comes in is like one in hand before any of its work was done: with the
// book's mean hours, parts that are not on the shelf to wait for, and a quarter of an
// hour into the bay for what is no small job.
func TestAVanAsItCame(t *testing.T) {
	v := wanted(t, "V1", 60, []data.Progress{{Job: "strip", State: data.JobDone, HoursSpent: data.Some(4.0)}},
		"strip", "dry", "reseal", "gas-hose", "rcd", "tyre-replace", "transfer")
	dropped := v.Jobs[0]
	dropped.Code, dropped.State = "valet", data.JobDropped
	v.Jobs = append(v.Jobs, dropped)
	in := planInput{
		work: []VanJobs{v}, shop: small("Pat"), books: books(t), policy: real(), asOf: thursday,
		known: map[Estimate][]float64{}, hiddenOf: map[string][]hiddenWork{},
	}
	in.stock = newStock(in.work, in.shop, in.books, thursday)
	o := in.buildProblem(nil).outlook()
	tasks, hours := o.asItCame(0)
	type want struct{ Minutes, Days, Bays int }
	got := map[string]want{}
	at := map[string]int{}
	for i, task := range tasks {
		got[task.Name] = want{task.Duration, task.Release / day, len(task.Uses)}
		at[task.Name] = i
	}
	wants := map[string]want{
		"strip": {4*60 + 15, 0, 1}, "dry": {60, 0, 1}, // an hour is small: it is there already
		"reseal":   {2*60 + 15, 3, 1},                       // two sealants, one on the shelf
		"gas-hose": {30, 0, 1}, "gas-test": {90 + 15, 0, 1}, // which follows gas work
		"rcd": {60, 0, 1}, "electrical-test": {2*60 + 15, 0, 1},
		"tyre-replace": {30, 7, 1}, transferJob: {60, 0, 0},
	}
	if diff := cmp.Diff(wants, got); diff != "" {
		t.Errorf("minutes, days and bays (-want +got)\n%s", diff)
	}
	sum := decimal.Zero
	for _, j := range v.Jobs {
		if j.State != data.JobDropped {
			sum = sum.Add(j.HoursP50)
		}
	}
	if want := sum.InexactFloat64() + 0.1; math.Abs(hours-want) > 1e-9 {
		t.Errorf("%v hours, want %v", hours, want)
	}
	if after := tasks[at["reseal"]].After; !slices.Contains(after, schedule.Link{Pred: at["dry"], Lag: 48 * 60}) {
		t.Errorf("resealing follows %v, want drying and two days among them", after)
	}
	if n := o.newcomers(o.byRule(pounds)); math.Abs(n.fresh[0]-60/hours) > 1e-9 {
		t.Errorf("worth %v an hour, want 60 over %v", n.fresh[0], hours)
	}
}

// What is short of parts is what wants more than the shelf holds: five hoses of five are
// there, six are not.
func TestPartsOfAVanThatComesIn(t *testing.T) {
	p := modelOf(t, small("Pat"), wanted(t, "V1", 10, nil, "gas-hose"))
	for qty, want := range map[int]int{5: 0, 6: 3} {
		if got := p.longestLead(&Job{Parts: []data.PartUse{{Part: "hose", Qty: qty}}}); got != want {
			t.Errorf("%d hoses: %d days, want %d", qty, got, want)
		}
	}
}

// Vans come in as often as of late, at any time of half a year, each like one in hand with
// equal chance; a newcomer goes after the vans in hand that are worth as much, and before
// the others. No future has more than three times the tasks in hand.
func TestVansThatComeIn(t *testing.T) {
	shop := small("Pat")
	shop.Arrivals = 0.01 // one in a hundred days: 1.8 in half a year
	dear, cheap := wanted(t, "V1", 60, nil, "strip"), wanted(t, "V2", 20, nil, "strip")
	o := modelOf(t, shop, dear, cheap).outlook()
	order := o.byRule(pounds)
	n := o.newcomers(order)
	came, early, likeDear, most := 0, 0, 0, 0
	const futures = 4_000
	for k := range futures {
		o.futures = append(o.futures[:0], o.problem)
		future, key := drawOf(n, k)
		most = max(most, len(future.Tasks))
		for i := len(o.problem.Tasks); i < len(future.Tasks); i++ {
			task := future.Tasks[i]
			came++
			if task.Release <= 90*day {
				early++
			}
			if task.Release < day || task.Release > newcomerDays*day {
				t.Fatalf("comes on day %d", task.Release/day)
			}
			// Like V1 it goes after V1 alone, like V2 after both: keys between the vans'.
			ownFirst, ownLast := key[o.ready[0]], key[o.ready[1]]
			switch {
			case key[i] > ownFirst && key[i] < ownLast:
				likeDear++
			case key[i] <= ownLast:
				t.Fatalf("a newcomer has the key %d beside %d and %d", key[i], ownFirst, ownLast)
			}
		}
	}
	if want := 0.01 * newcomerDays; math.Abs(float64(came)/futures-want) > 0.1 {
		t.Errorf("%.2f vans come in half a year, want %.2f", float64(came)/futures, want)
	}
	if got := float64(early) / float64(came); math.Abs(got-0.5) > 0.04 {
		t.Errorf("%.3f of them in the first half, want 0.5", got)
	}
	if got := float64(likeDear) / float64(came); math.Abs(got-0.5) > 0.04 {
		t.Errorf("%.3f are like the first, want half", got)
	}
	shop.Arrivals = 100
	n = modelOf(t, shop, dear, cheap).outlook().newcomers(order)
	future, _ := drawOf(n, 0)
	if limit := (1 + newcomerShare) * len(n.tasks); len(future.Tasks) != limit {
		t.Errorf("a crowd at the door: %d tasks, want %d", len(future.Tasks), limit)
	}
}

// drawOf draws newcomers by the seed of a number, into the first future there is.
func drawOf(n *newcomers, number int) (schedule.Problem, []int) {
	with := *n
	o := *n.outlook
	model := *o.planModel
	model.policy.Seed += int64(number) * 7919
	o.planModel, with.outlook = &model, &o
	return with.draw(0)
}

// The first kind of bay is one as any other.
func TestAVanInTheFirstKindOfBay(t *testing.T) {
	p := modelOf(t, small("Pat"), wanted(t, "V1", 10, nil, "strip"))
	if got := p.floor.bay(data.BayKinds[0], 0); got != 0 {
		t.Fatalf("the first kind of bay has the place %d", got)
	}
	v := wanted(t, "V2", 10, nil, "strip")
	for i := range v.Jobs {
		v.Jobs[i].Bay = data.BayKinds[0]
	}
	o := modelOf(t, small("Pat"), v).outlook()
	if tasks, _ := o.asItCame(0); len(tasks[0].Uses) != 1 || tasks[0].Uses[0].Resource != 0 {
		t.Errorf("it uses %v, want the first bay", tasks[0].Uses)
	}
}
