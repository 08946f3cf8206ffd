package pricing

import (
	"math"

	"github.com/vanwright/vanwright/data"
)

// salvageShare is what a repaired write-off keeps of its value, and
// salvageLogSD how much less sure that is. Common practice, no source: 20 to
// 40 % off, more for structural damage.
var (
	salvageShare = map[string]float64{"N": 0.80, "S": 0.65}
	salvageLogSD = 0.06
)

// markDown takes a salvage marker off a quote's value, and widens its interval.
func (q *Quote) markDown() {
	share, marked := salvageShare[q.Van.Salvage]
	if !marked || !q.Market.Known {
		return
	}
	value := q.Market.Value.InexactFloat64()
	below := math.Log(value / q.Low.Value.InexactFloat64())
	q.LogSD = math.Hypot(q.LogSD, salvageLogSD)
	q.setMarket(value*share, math.Hypot(below, z90*salvageLogSD), q.LogSD)
	q.Explained = append(q.Explained, Effect{
		What:   "salvage category " + q.Van.Salvage,
		Pounds: q.Market.Value.Sub(data.Estimate(value)),
	})
	q.Reasons = append(q.Reasons, "salvage category "+q.Van.Salvage+": sold only with that disclosed, and at a lower value")
}
