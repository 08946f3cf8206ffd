package night

import (
	"context"
	"maps"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// offered works one offered van of the demo yard out with other readings, in
// the market and behind the backlog of the whole yard.
type offered struct {
	result  *Result
	backlog prep.Backlog
}

func demoOffered(t *testing.T) offered {
	t.Helper()
	yard, err := data.Load(context.Background(), demo.Files(), data.LoadOptions{AsOf: demo.AsOf})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(context.Background(), yard, data.DefaultPolicy(), demo.AsOf, RunOptions{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	r.Yard = yard // with the readings, to change them
	return offered{r, prep.NewBacklog(r.workshopVans())}
}

func (o offered) with(stockID string, readings []data.Reading) *Van {
	yard := *o.result.Yard
	yard.Readings = maps.Clone(yard.Readings)
	yard.Readings[stockID] = readings
	r := *o.result
	r.Yard = &yard
	found, _ := r.Find(stockID)
	v := Van{Van: found.Van}
	v.Assessment = r.appraise(v.Van)
	v.listJobs(&r)
	v.price(&r)
	v.bid(&r, o.backlog)
	return &v
}

// worsen makes a reading worse: a value moved in its checkpoint's bad
// direction, or a worse verdict.
func worsen(t *rapid.T, r data.Reading, books *data.Books) data.Reading {
	point, _ := books.Checkpoint(r.Checkpoint)
	if r.Number.Known && (point.WornAt.Known || point.DefectAt.Known || point.UnsafeAt.Known) {
		by := rapid.Float64Range(0, 0.9).Draw(t, "by")
		worse := r.Number.Value * (1 - by)
		if point.HighBad {
			worse = r.Number.Value * (1 + 3*by)
		}
		r.Number, r.Value = data.Some(worse), strconv.FormatFloat(worse, 'f', 2, 64)
		return r
	}
	if r.Verdict >= data.Sound && r.Verdict < data.Unsafe {
		r.Verdict += data.Verdict(rapid.IntRange(0, int(data.Unsafe-r.Verdict)).Draw(t, "worse by"))
	}
	return r
}

// A worse reading never makes a van cheaper to prepare, nor worth a higher bid.
func TestAWorseReadingNeverRaisesABid(t *testing.T) {
	if testing.Short() {
		t.Skip("a long property")
	}
	o := demoOffered(t)
	var ids []string
	for _, v := range o.result.Vans {
		if v.Bid != nil && v.Bid.Known && len(o.result.Yard.Readings[v.StockID]) > 0 {
			ids = append(ids, v.StockID)
		}
	}
	if len(ids) < 5 {
		t.Fatalf("the demo yard has %d offered vans with readings", len(ids))
	}
	rapid.Check(t, func(t *rapid.T) {
		id := rapid.SampledFrom(ids).Draw(t, "van")
		readings := o.result.Yard.Readings[id]
		before := o.with(id, readings)
		worse := slices.Clone(readings)
		for range rapid.IntRange(1, 3).Draw(t, "readings") {
			i := rapid.IntRange(0, len(worse)-1).Draw(t, "reading")
			worse[i] = worsen(t, worse[i], o.result.Yard.Books)
		}
		after := o.with(id, worse)
		if after.Prep.P80.LessThan(before.Prep.P80) {
			t.Fatalf("%s: preparation fell from %s to %s", id, before.Prep.P80, after.Prep.P80)
		}
		if after.Bid.MaxBid.GreaterThan(before.Bid.MaxBid) {
			t.Fatalf("%s: the bid rose from %s to %s", id, before.Bid.MaxBid, after.Bid.MaxBid)
		}
	})
}
