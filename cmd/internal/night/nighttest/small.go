package nighttest

import (
	"context"
	"testing"
	"testing/fstest"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

// smallVans are one van in hand that is worked on, one for sale, one sold and
// one offered, priced by their guide.
const smallVans = `stock_id,maker,model,body,first_registered,mileage,status,vat,cost,acquired,asking,sold_on,sold_price,guide,site
A1,Larkfield,Rothmere 540,low-profile,2018-04-02,31000,owned,margin,30000,2026-02-07,,,,36995,North
A2,Larkfield,Rothmere 540,low-profile,2017-04-02,41000,ready,qualifying,30000,2026-01-01,37995,,,36000,South
A3,Larkfield,Rothmere 540,low-profile,2016-04-02,51000,sold,margin,24000,2025-11-02,,2026-01-20,28995,29995,North
A4,Larkfield,Rothmere 540,low-profile,2016-04-02,51000,offered,margin,,,,,,29995,
`

// Small is a yard of four vans, worked through anew in a moment: for fuzzing,
// where each process works it through.
func Small(t testing.TB) *night.Result {
	t.Helper()
	asOf := data.NewDate(2026, 3, 9)
	yard, err := data.Load(context.Background(), fstest.MapFS{
		"vans.csv":     {Data: []byte(smallVans)},
		"readings.csv": {Data: []byte("stock_id,taken_on,checkpoint,position,value,verdict\nA1,2026-02-08,damp,offside-rear-low,31,\n")},
	}, data.LoadOptions{AsOf: asOf})
	if err != nil {
		t.Fatal(err)
	}
	policy := data.DefaultPolicy()
	policy.PlanSchedules = 10
	r, err := night.Run(context.Background(), yard, policy, asOf, night.RunOptions{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	return r
}
