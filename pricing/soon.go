package pricing

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/forecast"
)

const (
	soonDays = 60
	// fewestStated is how many vans must have had a chance stated before the look
	// back says how the chances came true, and by fifths.
	fewestStated, fewestByFifth = 10, 25
)

// Stated is the chance that a van of ours would be sold within soonDays of its listing,
// as seen at the start of that month at the asking price that it ended with, beside what
// came.
type Stated struct {
	Chance float64
	Came   bool
}

// listedIn are the vans of ours that were listed in the month from a day on, long enough
// ago to know what came.
func listedIn(listed []data.Van, month, asOf data.Date) []data.Van {
	var out []data.Van
	for i := range listed {
		v := &listed[i]
		if month <= v.Listed && v.Listed < month.AddMonths(1) && asOf.DaysSince(v.Listed) >= soonDays && v.Asking.Known && v.Asking.Value.IsPositive() {
			out = append(out, *v)
		}
	}
	return out
}

// stated is what a market would have said of vans that were listed in its month.
func (m *Market) stated(listed []data.Van) []Stated {
	var out []Stated
	for _, v := range listed {
		q := Quote{Van: v}
		q.Van.Status = data.Owned
		m.value(&q, Condition{}, false)
		q.markDown()
		if q.Method != "sales" || !q.Market.Known || !q.Market.Value.IsPositive() {
			continue
		}
		chance := m.outlook(&q, []forecast.Ask{askOf(v.Asking.Value, 0)}, 0, 0).draws.SoldWithin(soonDays)
		came := v.Status == data.Sold && !v.SoldOn.IsZero() && v.SoldOn.DaysSince(v.Listed) <= soonDays
		out = append(out, Stated{chance, came})
	}
	return out
}

// soonTable lists how the stated chances came true, over all and by fifths of what was
// stated, for calibration.csv: percent, with the range in which the share lies nine times
// in ten (E. B. Wilson 1927, from memory).
func soonTable(all []Stated) []Learnt {
	if len(all) < fewestStated {
		return nil
	}
	all = slices.Clone(all)
	slices.SortFunc(all, func(a, b Stated) int {
		return cmp.Or(cmp.Compare(a.Chance, b.Chance), data.FalseFirst(a.Came, b.Came))
	})
	out := []Learnt{soonRow("all", all)}
	if len(all) < fewestByFifth {
		return out
	}
	for k := range 5 {
		out = append(out, soonRow("fifth "+strconv.Itoa(k+1), all[k*len(all)/5:(k+1)*len(all)/5]))
	}
	return out
}

func soonRow(of string, some []Stated) Learnt {
	n, chance, came := float64(len(some)), 0.0, 0.0
	for _, s := range some {
		chance += s.Chance / n
		if s.Came {
			came += 1 / n
		}
	}
	const z2 = z90 * z90
	middle := (came + z2/(2*n)) / (1 + z2/n)
	within := z90 / (1 + z2/n) * math.Sqrt(came*(1-came)/n+z2/(4*n*n))
	percent := func(share float64) string { return data.FormatDecimal(data.PercentOf(share, 1), 1) }
	return Learnt{"sold within 60", of, percent(chance), percent(came), len(some), percent(max(0, middle-within)), percent(min(1, middle+within))}
}
