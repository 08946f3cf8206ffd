package tables

import (
	"strconv"
	"time"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
	"github.com/vanwright/vanwright/pricing/attention"
)

var jobs = csvout.New("jobs.csv", []string{"stock_id", "job"},
	csvout.Text("stock_id", func(j *prep.Job) string { return j.StockID }),
	csvout.Text("job", func(j *prep.Job) string { return j.Code }),
	csvout.Text("title", func(j *prep.Job) string { return j.Title }),
	csvout.Text("skill", func(j *prep.Job) string { return j.Skill }),
	csvout.Text("bay", func(j *prep.Job) string { return j.Bay }),
	csvout.Text("gate", func(j *prep.Job) string { return j.Gate }),
	csvout.Hours("hours_low", func(j *prep.Job) float64 { return j.Book.Low }),
	csvout.Hours("hours_likely", func(j *prep.Job) float64 { return j.Book.Likely }),
	csvout.Hours("hours_high", func(j *prep.Job) float64 { return j.Book.High }),
	csvout.Decimal("hours_p50", 2, func(j *prep.Job) decimal.Decimal { return j.HoursP50 }),
	csvout.Decimal("hours_p80", 2, func(j *prep.Job) decimal.Decimal { return j.HoursP80 }),
	csvout.Money("labour_cost", func(j *prep.Job) data.Money { return j.LabourCost }),
	csvout.Money("parts_cost", func(j *prep.Job) data.Money { return j.PartsCost }),
	csvout.List("because", func(j *prep.Job) []string { return j.Because }),
	csvout.Text("state", func(j *prep.Job) string { return string(j.State) }),
	csvout.Text("caution", func(j *prep.Job) string { return j.Caution }),
	csvout.List("places", func(j *prep.Job) []string { return j.Places }),
	csvout.Decimal("hours_spent", 2, func(j *prep.Job) decimal.Decimal { return j.HoursSpent }),
	csvout.Decimal("hours_left", 2, func(j *prep.Job) decimal.Decimal { return j.HoursLeft }),
	csvout.List("after", func(j *prep.Job) []string { return j.After }),
	csvout.Text("hours_factor", func(j *prep.Job) string { return threePlaces(j.Factor) }),
)

// jobs walks the jobs of all vans.
func (f found) jobs(yield func(*prep.Job) bool) {
	for v := range f.allVans {
		for k := range v.Jobs {
			if !yield(&v.Jobs[k]) {
				return
			}
		}
	}
}

var partsNeeded = csvout.New("parts-needed.csv", []string{"part"},
	csvout.Text("part", func(n prep.PartNeed) string { return n.Part.Code }),
	csvout.Text("title", func(n prep.PartNeed) string { return n.Part.Title }),
	csvout.Text("supplier", func(n prep.PartNeed) string { return n.Part.Supplier }),
	csvout.Int("needed", func(n prep.PartNeed) int { return n.Needed }),
	csvout.Int("in_stock", func(n prep.PartNeed) int { return n.InStock }),
	csvout.Int("on_order", func(n prep.PartNeed) int { return n.OnOrder }),
	csvout.Int("to_order", func(n prep.PartNeed) int { return n.ToOrder }),
	csvout.Money("unit_cost", func(n prep.PartNeed) data.Money { return n.Part.UnitCost }),
	csvout.Money("total", func(n prep.PartNeed) data.Money { return n.Total }),
	csvout.Date("order_by", func(n prep.PartNeed) data.Date { return n.OrderBy }),
	csvout.List("stock_ids", func(n prep.PartNeed) []string { return n.StockIDs }),
)

var blocks = csvout.New("schedule.csv", []string{"start", "technician", "stock_id", "job"},
	csvout.Text("stock_id", func(b prep.Block) string { return b.StockID }),
	csvout.Text("job", func(b prep.Block) string { return b.Job }),
	csvout.Text("technician", func(b prep.Block) string { return b.Technician }),
	csvout.Text("bay", func(b prep.Block) string { return b.Bay }),
	csvout.Moment("start", func(b prep.Block) time.Time { return b.Start }),
	csvout.Moment("finish", func(b prep.Block) time.Time { return b.Finish }),
	csvout.Decimal("hours", 2, func(b prep.Block) decimal.Decimal { return b.Hours }),
	csvout.Text("site", func(b prep.Block) string { return b.Site }),
)

var queue = csvout.New("queue.csv", []string{"rank"},
	csvout.Int("rank", func(q prep.QueueRow) int { return q.Rank }),
	csvout.Text("stock_id", func(q prep.QueueRow) string { return q.Van.StockID }),
	csvout.Date("ready_on", func(q prep.QueueRow) data.Date { return q.ReadyOn }),
	csvout.Date("ready_on_p80", func(q prep.QueueRow) data.Date { return q.ReadyP80 }),
	csvout.Decimal("hours_left", 2, func(q prep.QueueRow) decimal.Decimal { return q.HoursLeft }),
	csvout.List("waiting_for", func(q prep.QueueRow) []string { return q.WaitingFor }),
	csvout.List("gates_open", func(q prep.QueueRow) []string { return q.GatesOpen }),
	csvout.Money("value_per_day", func(q prep.QueueRow) data.Money { return q.ValuePerDay }),
	csvout.Date("promised_on", func(q prep.QueueRow) data.Date { return q.Van.PromisedOn }),
)

var delays = csvout.New("delays.csv", []string{"rank"},
	csvout.Int("rank", func(d prep.Delay) int { return d.Rank }),
	csvout.Text("stock_id", func(d prep.Delay) string { return d.StockID }),
	csvout.Text("job", func(d prep.Delay) string { return d.Job }),
	csvout.Text("title", func(d prep.Delay) string { return d.Title }),
	csvout.Text("reason", func(d prep.Delay) string { return d.Reason }),
	csvout.Money("saving", func(d prep.Delay) data.Money { return d.Pounds }),
)

var calibration = csvout.New("calibration.csv", []string{"what", "of"},
	csvout.Text("what", func(l pricing.Learnt) string { return l.What }),
	csvout.Text("of", func(l pricing.Learnt) string { return l.Of }),
	csvout.Text("book", func(l pricing.Learnt) string { return l.Book }),
	csvout.Text("learnt", func(l pricing.Learnt) string { return l.Learnt }),
	csvout.Int("evidence", func(l pricing.Learnt) int { return l.Evidence }),
	csvout.Text("low", func(l pricing.Learnt) string { return l.Low }),
	csvout.Text("high", func(l pricing.Learnt) string { return l.High }),
)

var toDo = csvout.New("attention.csv", []string{"rank"},
	csvout.Int("rank", func(t attention.Thing) int { return t.Rank }),
	csvout.Text("stock_id", func(t attention.Thing) string { return t.StockID }),
	csvout.Text("kind", func(t attention.Thing) string { return string(t.Kind) }),
	csvout.Text("what", func(t attention.Thing) string { return t.What }),
	csvout.Date("due", func(t attention.Thing) data.Date { return t.Due }),
	csvout.OptMoney("pounds", func(t attention.Thing) data.Opt[data.Money] { return t.Pounds }),
	csvout.Text("who", func(t attention.Thing) string { return t.Who }),
	csvout.Text("pounds_mean", func(t attention.Thing) string { return t.Meaning }),
)

// threePlaces writes a ratio.
func threePlaces(f float64) string { return strconv.FormatFloat(f, 'f', 3, 64) }
