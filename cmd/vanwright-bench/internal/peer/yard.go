// Package peer makes small workshops whose problem can be given to another solver,
// and writes the problem and the engine's plan down for it.
package peer

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Between them, open jobs of a yard that another solver can be expected to plan well
// in a minute.
const (
	fewestJobs = 30
	mostJobs   = 60
)

// sites are those of every other yard.
var sites = []string{"East", "West"}

var week = [7]float64{0, 8, 8, 8, 8, 8, 0}

// monday is the day of every yard, without a bank holiday near.
var monday = data.NewDate(2026, 6, 1)

// teams have every skill between them, with two people or three who share some.
var teams = [][]data.Technician{
	{
		{Name: "Ada", Skills: []string{"mechanical", "tyres", "electrical"}, Hours: week},
		{Name: "Cat", Skills: []string{"habitation", "gas", "damp", "electrical"}, Hours: week},
		{Name: "Eve", Skills: []string{"bodywork", "damp", "habitation", "mechanical"}, Hours: week},
		{Name: "Fay", Skills: []string{"valet", "photography", "tyres"}, Hours: week},
	},
	{
		{Name: "Ben", Skills: []string{"mechanical", "tyres", "bodywork", "valet"}, Hours: week},
		{Name: "Dan", Skills: []string{"habitation", "electrical", "gas", "photography"}, Hours: week},
		{Name: "Eve", Skills: []string{"bodywork", "damp", "habitation", "valet"}, Hours: week},
	},
	{
		{Name: "Ada", Skills: []string{"mechanical", "tyres"}, Hours: week},
		{Name: "Ben", Skills: []string{"mechanical", "bodywork"}, Hours: week},
		{Name: "Cat", Skills: []string{"habitation", "gas", "damp"}, Hours: week},
		{Name: "Dan", Skills: []string{"habitation", "electrical", "gas"}, Hours: [7]float64{0, 8, 8, 8, 8, 4, 4}},
		{Name: "Fay", Skills: []string{"valet", "photography", "damp"}, Hours: [7]float64{0, 6, 6, 6, 6, 6, 0}},
	},
}

// Yard is a workshop with its vans.
type Yard struct {
	Work []prep.VanJobs
	Shop prep.Workshop
	Day  data.Date
}

// Jobs counts the open jobs.
func (y Yard) Jobs() int {
	n := 0
	for _, w := range y.Work {
		for _, j := range w.Jobs {
			if j.Open() {
				n++
			}
		}
	}
	return n
}

// Draw draws the yard of a seed. Odd seeds have two sites.
func Draw(books *data.Books, policy data.Policy, seed uint64) Yard {
	rng := rand.New(rand.NewPCG(seed, 0x9ee7))
	in := &data.Yard{Team: slices.Clone(teams[rng.IntN(len(teams))])}
	in.Bays = []data.Bay{
		{Name: "ramp", Kind: "ramp", Count: 1 + rng.IntN(2)}, {Name: "habitation", Kind: "habitation", Count: 1 + rng.IntN(2)},
		{Name: "bodywork", Kind: "bodywork", Count: 1}, {Name: "valet", Kind: "valet", Count: 1},
	}
	if seed%2 == 1 {
		for i := range in.Bays {
			in.Bays[i].Site = sites[0]
		}
		in.Bays = append(in.Bays, data.Bay{Name: "far ramp", Kind: "ramp", Count: 1, Site: sites[1]}, data.Bay{Name: "far habitation", Kind: "habitation", Count: 1, Site: sites[1]})
	}
	for _, t := range in.Team {
		if from := monday.AddDays(rng.IntN(20)); rng.IntN(3) == 0 {
			in.Absences = append(in.Absences, data.Absence{Technician: t.Name, From: from, To: from.AddDays(rng.IntN(5))})
		}
	}
	y := Yard{Shop: prep.NewWorkshop(in, policy.Region), Day: monday}
	want := fewestJobs + rng.IntN(mostJobs-fewestJobs-10)
	for i := 0; y.Jobs() < want; i++ {
		w := drawVan(rng, books, policy, fmt.Sprintf("V%02d", i+1), seed%2 == 1)
		w.Jobs = y.Shop.WithTransfer(w.Van, w.Jobs, books, policy, prep.Calibration{})
		y.Work = append(y.Work, w)
	}
	return y
}

func drawVan(rng *rand.Rand, books *data.Books, policy data.Policy, id string, twoSites bool) prep.VanJobs {
	v := data.Van{StockID: id, Status: data.Preparing, Body: data.LowProfile, Acquired: monday.AddDays(-rng.IntN(30))}
	if twoSites {
		v.Site = sites[rng.IntN(2)]
	}
	if rng.IntN(3) == 0 {
		v.PromisedOn = monday.AddDays(3 + rng.IntN(20))
	}
	a := appraise.Assessment{Van: v}
	for range 4 + rng.IntN(6) {
		a.Requests = append(a.Requests, appraise.JobRequest{Job: books.Labour[rng.IntN(len(books.Labour))].Code, Units: 1})
	}
	return prep.VanJobs{
		Van: v, Jobs: prep.Jobs(a, nil, books, policy, prep.Calibration{}),
		ValuePerDay: decimal.NewFromInt(int64(8 + rng.IntN(60))),
	}
}
