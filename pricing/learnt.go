package pricing

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Learnt is one figure of the books or of a policy beside what the yard's own
// record makes of it.
type Learnt struct {
	What     string // such as hours, defects, value
	Of       string // what it is a figure of, such as a job; blank: all
	Book     string
	Learnt   string
	Evidence int // jobs, defects expected, orders, sales or vans
	Low      string
	High     string
}

// Record is what a yard's record taught.
type Record struct {
	Hours    prep.Calibration
	Defects  prep.DefectRates
	Supply   prep.Supply
	Market   *Market
	Warranty CostOfVan
	Selling  CostOfVan
	Soon     []Stated // of our own vans, looked back on
}

// Table lists what was learnt, for calibration.csv and its page, by what and of:
// hours by skill and job, defects by system, prices and lead times of parts,
// values, what buyers pay of an asking price, the time to sell, selling cost and warranty.
func (r Record) Table() []Learnt {
	var out []Learnt
	for _, f := range r.Hours.Factors() {
		of := f.Skill + ": all jobs"
		switch {
		case f.Job != "":
			of = f.Job
		case f.Skill == "":
			of = orAll("")
		}
		low, high := "", ""
		if f.Spread > 0 {
			within := math.Pow(f.Spread, z90/math.Sqrt(float64(f.Jobs)))
			low, high = ratio(f.Factor/within), ratio(f.Factor*within)
		}
		out = append(out, Learnt{"hours", of, ratio(1), ratio(f.Factor), f.Jobs, low, high})
	}
	for _, d := range r.Defects.Rates() {
		out = append(out, Learnt{"defects", orAll(d.System), ratio(1), ratio(d.Factor), int(math.Round(d.Expected)), ratio(d.Low), ratio(d.High)})
	}
	for _, f := range r.Supply.Factors() {
		what := "lead days"
		if f.Price {
			what = "part prices"
		}
		out = append(out, Learnt{what, orAll(f.Part), ratio(1), ratio(f.Factor), f.Orders, ratio(f.Low), ratio(f.High)})
	}
	if m := r.Market; m != nil {
		if l := m.level; l.Sales > 0 {
			out = append(out, Learnt{"value", "our own sales", ratio(1), ratio(l.Factor), l.Sales, ratio(l.Low), ratio(l.High)})
		}
		b := m.buyers
		if b.sales > 0 {
			at := func(p float64) string { return ratio(math.Exp(stat.Quantile(p, stat.LinInterp, b.paid, nil))) }
			book := ratio(math.Exp(stat.Quantile(0.5, stat.LinInterp, priorPaid, nil)))
			out = append(out, Learnt{"paid of asking", "all", book, ratio(b.typical), b.sales, at(0.05), at(0.95)})
		}
		if t := m.timing; t.sold > 0 {
			days := func(p float64) string {
				return strconv.Itoa(int(math.Round(t.model.Quantile(p, make([]float64, len(timingNames))))))
			}
			out = append(out, Learnt{"days to sell", "asking its value", strconv.Itoa(priorMedianDays), days(0.5), t.sold, days(0.05), days(0.95)})
		}
	}
	for _, c := range []struct {
		what string
		CostOfVan
	}{{"warranty", r.Warranty}, {"selling cost", r.Selling}} {
		if c.Vans > 0 {
			out = append(out, Learnt{c.what, "a van", data.FormatMoney(c.Book), data.FormatMoney(c.Learnt), c.Vans, data.FormatMoney(c.Low), data.FormatMoney(c.High)})
		}
	}
	out = append(out, soonTable(r.Soon)...)
	slices.SortStableFunc(out, func(a, b Learnt) int { return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(a.Of, b.Of)) })
	return out
}

func orAll(of string) string {
	if of == "" {
		return "all"
	}
	return of
}

// ratio writes a multiplier to three places.
func ratio(f float64) string { return strconv.FormatFloat(f, 'f', 3, 64) }
