package reports

import (
	"iter"
	"strconv"
	"time"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/batch"
	"github.com/vanwright/vanwright/cmd/internal/table"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

var jobs = table.New("jobs.csv", []string{"stock_id", "job"},
	table.Text("stock_id", func(j *prep.Job) string { return j.StockID }),
	table.Text("job", func(j *prep.Job) string { return j.Code }),
	table.Text("title", func(j *prep.Job) string { return j.Title }),
	table.Text("skill", func(j *prep.Job) string { return j.Skill }),
	table.Text("bay", func(j *prep.Job) string { return j.Bay }),
	table.Text("gate", func(j *prep.Job) string { return j.Gate }),
	table.Hours("hours_low", func(j *prep.Job) float64 { return j.Book.Low }),
	table.Hours("hours_likely", func(j *prep.Job) float64 { return j.Book.Likely }),
	table.Hours("hours_high", func(j *prep.Job) float64 { return j.Book.High }),
	table.Decimal("hours_p50", 2, func(j *prep.Job) decimal.Decimal { return j.HoursP50 }),
	table.Decimal("hours_p80", 2, func(j *prep.Job) decimal.Decimal { return j.HoursP80 }),
	table.Money("labour_cost", func(j *prep.Job) data.Money { return j.LabourCost }),
	table.Money("parts_cost", func(j *prep.Job) data.Money { return j.PartsCost }),
	table.List("because", func(j *prep.Job) []string { return j.Because }),
	table.Text("state", func(j *prep.Job) string { return string(j.State) }),
	table.Text("caution", func(j *prep.Job) string { return j.Caution }),
	table.List("places", func(j *prep.Job) []string { return j.Places }),
	table.Decimal("hours_spent", 2, func(j *prep.Job) decimal.Decimal { return j.HoursSpent }),
	table.Decimal("hours_left", 2, func(j *prep.Job) decimal.Decimal { return j.HoursLeft }),
	table.List("after", func(j *prep.Job) []string { return j.After }),
	table.Text("hours_factor", func(j *prep.Job) string { return threePlaces(j.Factor) }),
)

// jobsOf walks the jobs of some vans.
func jobsOf(vans []batch.Van) iter.Seq[*prep.Job] {
	return func(yield func(*prep.Job) bool) {
		for i := range vans {
			for k := range vans[i].Jobs {
				if !yield(&vans[i].Jobs[k]) {
					return
				}
			}
		}
	}
}

var partsNeeded = table.New("parts-needed.csv", []string{"part"},
	table.Text("part", func(n prep.PartNeed) string { return n.Part.Code }),
	table.Text("title", func(n prep.PartNeed) string { return n.Part.Title }),
	table.Text("supplier", func(n prep.PartNeed) string { return n.Part.Supplier }),
	table.Int("needed", func(n prep.PartNeed) int { return n.Needed }),
	table.Int("in_stock", func(n prep.PartNeed) int { return n.Part.InStock }),
	table.Int("to_order", func(n prep.PartNeed) int { return n.ToOrder }),
	table.Money("unit_cost", func(n prep.PartNeed) data.Money { return n.Part.UnitCost }),
	table.Money("total", func(n prep.PartNeed) data.Money { return n.Total }),
	table.Date("order_by", func(n prep.PartNeed) data.Date { return n.OrderBy }),
	table.List("stock_ids", func(n prep.PartNeed) []string { return n.StockIDs }),
)

var blocks = table.New("schedule.csv", []string{"start", "technician", "stock_id", "job"},
	table.Text("stock_id", func(b prep.Block) string { return b.StockID }),
	table.Text("job", func(b prep.Block) string { return b.Job }),
	table.Text("technician", func(b prep.Block) string { return b.Technician }),
	table.Text("bay", func(b prep.Block) string { return b.Bay }),
	table.Moment("start", func(b prep.Block) time.Time { return b.Start }),
	table.Moment("finish", func(b prep.Block) time.Time { return b.Finish }),
	table.Decimal("hours", 2, func(b prep.Block) decimal.Decimal { return b.Hours }),
)

var queue = table.New("queue.csv", []string{"rank"},
	table.Int("rank", func(q prep.QueueRow) int { return q.Rank }),
	table.Text("stock_id", func(q prep.QueueRow) string { return q.Van.StockID }),
	table.Date("ready_on", func(q prep.QueueRow) data.Date { return q.ReadyOn }),
	table.Date("ready_on_p80", func(q prep.QueueRow) data.Date { return q.ReadyP80 }),
	table.Decimal("hours_left", 2, func(q prep.QueueRow) decimal.Decimal { return q.HoursLeft }),
	table.List("waiting_for", func(q prep.QueueRow) []string { return q.WaitingFor }),
	table.List("gates_open", func(q prep.QueueRow) []string { return q.GatesOpen }),
	table.Money("value_per_day", func(q prep.QueueRow) data.Money { return q.ValuePerDay }),
	table.Date("promised_on", func(q prep.QueueRow) data.Date { return q.Van.PromisedOn }),
)

var delays = table.New("delays.csv", []string{"rank"},
	table.Int("rank", func(d prep.Delay) int { return d.Rank }),
	table.Text("stock_id", func(d prep.Delay) string { return d.StockID }),
	table.Text("job", func(d prep.Delay) string { return d.Job }),
	table.Text("title", func(d prep.Delay) string { return d.Title }),
	table.Text("reason", func(d prep.Delay) string { return d.Reason }),
	table.Money("saving", func(d prep.Delay) data.Money { return d.Pounds }),
)

var calibration = table.New("calibration.csv", []string{"skill", "job"},
	table.Text("skill", func(f prep.Factor) string { return f.Skill }),
	table.Text("job", func(f prep.Factor) string { return f.Job }),
	table.Int("jobs", func(f prep.Factor) int { return f.Jobs }),
	table.Text("factor", func(f prep.Factor) string { return threePlaces(f.Factor) }),
	table.Text("spread", func(f prep.Factor) string {
		if f.Spread == 0 {
			return ""
		}
		return threePlaces(f.Spread)
	}),
)

// threePlaces writes a ratio.
func threePlaces(f float64) string { return strconv.FormatFloat(f, 'f', 3, 64) }
