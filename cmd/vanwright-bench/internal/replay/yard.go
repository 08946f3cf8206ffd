// Package replay runs a made-up workshop day by day: true hours, sickness, late
// parts and hidden defects are drawn beforehand, and a way of working decides
// each evening what is done next. The same draws are given to each way.
package replay

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// How the made-up workshop fares. Common practice, no source.
const (
	sickness    = 0.03 // chance that a person is away on a day
	latePart    = 0.25 // chance that an order is late
	mostLate    = 7    // days that it is late at most
	hiddenFault = 0.35 // chance that the first work on a van shows more
	promisedVan = 0.2  // chance that a van is promised to a customer
)

// Kind is a made-up workshop: how many vans it has for its people.
type Kind struct {
	Name      string
	firstVans int  // in hand on the first day
	moreVans  int  // that come in over the days
	AsPlanned bool // hours are the book's middle ones, nobody is sick, no part is late and nothing is hidden
	team      []data.Technician
}

var week = [7]float64{0, 8, 8, 8, 8, 8, 0}

// Kinds of workshops. In the quiet one only the valeter is busy, seven hours of ten, and
// the others a third of theirs; in the busy one all have work for three quarters of
// their time.
var Kinds = []Kind{
	{"quiet", 18, 30, false, []data.Technician{
		{Name: "Ada", Skills: []string{"mechanical", "tyres"}, Hours: week},
		{Name: "Ben", Skills: []string{"mechanical", "tyres", "bodywork"}, Hours: week},
		{Name: "Cat", Skills: []string{"habitation", "gas", "damp"}, Hours: week},
		{Name: "Dan", Skills: []string{"habitation", "electrical", "gas"}, Hours: week},
		{Name: "Eve", Skills: []string{"bodywork", "damp", "habitation"}, Hours: week},
		{Name: "Fay", Skills: []string{"valet", "photography"}, Hours: week},
	}},
	{"busy", 30, 55, false, []data.Technician{
		{Name: "Ada", Skills: []string{"mechanical", "tyres", "electrical"}, Hours: week},
		{Name: "Cat", Skills: []string{"habitation", "gas", "damp", "electrical"}, Hours: week},
		{Name: "Eve", Skills: []string{"bodywork", "damp", "habitation", "mechanical"}, Hours: week},
		{Name: "Fay", Skills: []string{"valet", "photography"}, Hours: week},
		{Name: "Gil", Skills: []string{"valet", "photography"}, Hours: week},
	}},
}

// day0 is the first day of every replay, a Monday.
var day0 = data.NewDate(2026, 3, 2)

// yard is what happens whatever anybody decides.
type yard struct {
	books  *data.Books
	shop   prep.Workshop
	vans   []van
	absent map[string][]bool // by person: whether away on a day
	days   int

	untested []appraise.Untested // what a van may hide that nobody has begun: the chance of each job
}

// van is a van with what is hidden in it.
type van struct {
	data.Van
	worth    decimal.Decimal
	requests []appraise.JobRequest
	hidden   appraise.JobRequest // shown when the first job is done; a blank job: nothing
	luck     map[string]float64  // by job: the quantile of the hours that it takes
	late     map[string]int      // by part: days that its order is late
}

// newYard draws a yard.
func newYard(books *data.Books, region string, kind Kind, days int, seed uint64) *yard {
	rng := rand.New(rand.NewPCG(seed, 0x9a5d))
	in := &data.Yard{Team: kind.team}
	in.Bays = []data.Bay{
		{Name: "ramp", Kind: "ramp", Count: 2}, {Name: "habitation", Kind: "habitation", Count: 3},
		{Name: "bodywork", Kind: "bodywork", Count: 1}, {Name: "valet", Kind: "valet", Count: 1},
	}
	y := &yard{books: books, shop: prep.NewWorkshop(in, region), absent: map[string][]bool{}, days: days}
	for _, j := range books.Labour {
		y.untested = append(y.untested, appraise.Untested{Checkpoint: j.Code, System: "body", Job: j.Code, Chance: hiddenFault / float64(len(books.Labour))})
	}
	for _, t := range y.shop.Team {
		for range days {
			y.absent[t.Name] = append(y.absent[t.Name], rng.Float64() < sickness)
		}
	}
	for i := range kind.firstVans + kind.moreVans {
		came := -rng.IntN(20)
		if i >= kind.firstVans {
			came = rng.IntN(days * 3 / 4)
		}
		y.vans = append(y.vans, y.drawVan(rng, i, came))
	}
	if kind.AsPlanned {
		y.asPlanned()
	}
	return y
}

// asPlanned lets nothing happen that a plan does not know of.
func (y *yard) asPlanned() {
	y.untested = nil
	for _, days := range y.absent {
		clear(days)
	}
	for i := range y.vans {
		v := &y.vans[i]
		v.hidden = appraise.JobRequest{}
		clear(v.late)
		for job := range v.luck {
			v.luck[job] = 0.5
		}
	}
}

func (y *yard) drawVan(rng *rand.Rand, i, came int) van {
	v := van{
		Van:   data.Van{StockID: fmt.Sprintf("V%02d", i), Status: data.Preparing, Body: data.LowProfile, Acquired: day0.AddDays(came)},
		worth: decimal.NewFromInt(int64(8 + rng.IntN(60))),
		luck:  map[string]float64{}, late: map[string]int{},
	}
	if rng.Float64() < promisedVan {
		v.PromisedOn = day0.AddDays(max(came, 0) + 12 + rng.IntN(25))
	}
	ask := func() appraise.JobRequest {
		return appraise.JobRequest{Job: y.books.Labour[rng.IntN(len(y.books.Labour))].Code, Units: 1}
	}
	for range 5 + rng.IntN(6) {
		v.requests = append(v.requests, ask())
	}
	if rng.Float64() < hiddenFault {
		v.hidden = ask()
	}
	for _, j := range y.books.Labour {
		v.luck[j.Code] = rng.Float64()
	}
	for _, p := range y.books.Parts {
		if rng.Float64() < latePart {
			v.late[p.Code] = 1 + rng.IntN(mostLate)
		}
	}
	return v
}

// open reports whether anybody works on a day.
func (y *yard) open(day int) bool {
	weekday := day0.AddDays(day).Weekday()
	return slices.ContainsFunc(y.shop.Team, func(t data.Technician) bool { return t.HoursOn(weekday) > 0 })
}
