package appraise

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// duty is work that a van needs again and again, by months or by miles,
// whichever comes first.
type duty struct {
	cover   string // word of documents.csv
	missing string // what Missing calls it: the kind of paper, or the cover
	what    string // as in "no evidence of …"
	months  int
	miles   int // 0: by time alone
	jobs    []string
	needs   []string // equipment words, any of which makes it apply; empty: every van
	engine  bool     // not for electric vans
	ours    bool     // our own work is evidence of it; the others need a certificate
}

// duties and their intervals. Engine oil: 12 months or 9,000 to 12,500 miles by
// maker, common practice, the upper end taken. Timing belt: 60 months (maker's
// handbook at carmanualsonline.info) or the middle of 40,000 to 100,000 miles
// (fixnrev.com). Brake fluid: 24 months (the same handbook). Coolant: 5 years,
// from memory. Habitation, damp: 12 months (several; openvan.camp for damp). Gas:
// with the habitation service, common practice. Electrics: 3 years (tlc-direct
// Table 7.5).
var duties = []*duty{
	{cover: "engine-oil", missing: "engine-oil", what: "an engine service", months: 12, miles: 12500, jobs: []string{"engine-service"}, engine: true, ours: true},
	{cover: "timing-belt", missing: "timing-belt", what: "a timing belt change", months: 60, miles: 70000, jobs: []string{"timing-belt"}, engine: true, ours: true},
	{cover: "brake-fluid", missing: "brake-fluid", what: "a brake fluid change", months: 24, jobs: []string{"brake-fluid"}, ours: true},
	{cover: "coolant", missing: "coolant", what: "a coolant change", months: 60, jobs: []string{"coolant-change"}, engine: true, ours: true},
	{cover: "habitation", missing: "habitation-service", what: "a habitation service", months: 12, jobs: []string{"habitation-service"}, ours: true},
	{cover: "damp", missing: "damp-report", what: "a damp check", months: 12, jobs: []string{"damp-survey"}},
	{cover: "gas", missing: "gas-certificate", what: "a gas check", months: 12, jobs: []string{"gas-test"}, needs: gasWords},
	{cover: "electrics", missing: "electrical-certificate", what: "a 230 V inspection", months: 36, jobs: []string{"electrical-test"}, needs: mainsWords},
}

var (
	gasWords   = []string{"gas-locker", "gas-tank", "gas-heater", "three-way-fridge", "hob", "oven"}
	mainsWords = []string{"hookup", "socket-230v"}
)

// applies reports whether the van needs the work at all.
func (d *duty) applies(van *data.Van, docs []data.Document) bool {
	if d.engine && strings.EqualFold(van.Fuel, "electric") {
		return false
	}
	if d.cover == "timing-belt" && chainDriven(docs) {
		return false
	}
	return len(d.needs) == 0 || slices.ContainsFunc(d.needs, van.Has)
}

// chainDriven reports whether a paper about the timing belt says that the engine
// has a chain instead.
func chainDriven(docs []data.Document) bool {
	for i := range docs {
		if d := &docs[i]; covers(d, "timing-belt") && strings.Contains(strings.ToLower(d.Note), "chain") {
			return true
		}
	}
	return false
}

// standing is where a duty stands on the day of the report.
type standing struct {
	last      data.Date // newest evidence; unknown where there is none
	lastMiles int
	milesAt   bool // lastMiles was written on the paper
	due       data.Date
	overdue   bool
	byMiles   bool // the miles came first
}

// stands works out when a duty falls due again: its months after the newest
// evidence, or the day on which the miles run out at the van's average rate. A
// van with no evidence counts from its first registration and no miles.
func (d *duty) stands(van *data.Van, docs []data.Document, asOf data.Date) standing {
	s := standing{last: 0}
	from := van.FirstRegistered
	for i := range docs {
		p := &docs[i]
		if !covers(p, d.cover) || !proves(p, asOf) || p.Dated.IsZero() {
			continue
		}
		if p.Dated > s.last || p.Dated == s.last && p.Mileage.Known {
			s.last = p.Dated
			s.lastMiles, s.milesAt = p.Mileage.Value, p.Mileage.Known
		}
	}
	if !s.last.IsZero() {
		from = s.last
	}
	if from.IsZero() {
		return s
	}
	s.due = from.AddMonths(d.months)
	rate := milesPerDay(van, asOf)
	at := s.lastMiles
	if !s.milesAt {
		at = int(rate * float64(from.DaysSince(van.FirstRegistered)))
	}
	if d.miles > 0 && rate > 0 && at <= van.Mileage {
		left := float64(at+d.miles-van.Mileage) / rate
		if day := float64(asOf) + math.Ceil(left); day < float64(s.due) {
			s.due, s.byMiles = data.Date(max(day, float64(from))), true
		}
	}
	s.overdue = s.due <= asOf
	return s
}

// milesPerDay is the van's average over its life; 0 where that says nothing.
func milesPerDay(van *data.Van, asOf data.Date) float64 {
	days := asOf.DaysSince(van.FirstRegistered)
	if days < 1 || van.FirstRegistered.IsZero() || van.Mileage <= 0 {
		return 0
	}
	return float64(van.Mileage) / float64(days)
}

// says writes the ground for overdue work.
func (d *duty) says(s standing) string {
	every := fmt.Sprintf("%d months", d.months)
	if d.miles > 0 {
		every += fmt.Sprintf(" or %s miles", thousands(d.miles))
	}
	if s.last.IsZero() {
		return fmt.Sprintf("no evidence of %s (due every %s)", d.what, every)
	}
	at := ""
	if s.milesAt {
		at = fmt.Sprintf(" at %s miles", thousands(s.lastMiles))
	}
	return fmt.Sprintf("no evidence of %s since %s%s (due every %s)", d.what, s.last.Words(), at, every)
}

// thousands writes 12500 as 12,500.
func thousands(n int) string {
	if n < 0 {
		return "-" + thousands(-n)
	}
	if n < 1000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%s,%03d", thousands(n/1000), n%1000)
}

// graceMonths is how late a service may be and still count as that year's.
// Common practice, no source.
const graceMonths = 3

// renewal is one proof that a duty was done: when in the van's life, and by what
// weight of evidence.
type renewal struct{ months, miles, weight float64 }

// renewals returns the proofs of a duty by day. A paper without a mileage is placed
// on a straight line through the van's life.
func (d *duty) renewals(van *data.Van, docs []data.Document, asOf data.Date) []renewal {
	rate := milesPerDay(van, asOf)
	var out []renewal
	for i := range docs {
		p := &docs[i]
		if !covers(p, d.cover) || !proves(p, asOf) || p.Dated < van.FirstRegistered {
			continue
		}
		at := rate * float64(p.Dated.DaysSince(van.FirstRegistered))
		if p.Mileage.Known {
			at = float64(p.Mileage.Value)
		}
		out = append(out, renewal{12 * ageYears(van.FirstRegistered, p.Dated), min(at, float64(van.Mileage)), evidenceWeight(p)})
	}
	return out
}

// share returns the part, 0 to 1, of a duty's due turns that are proven with at
// least a weight. By months a gap of 12 and up to 15 months is no miss, of 27
// one, and so on; by miles likewise with a quarter of the interval. The lesser of
// the two shares stands, so whichever limit came first tells. Each only counts
// what lies between two papers, so another paper never lowers it.
func (d *duty) share(van *data.Van, turns []renewal, asOf data.Date, atLeast float64) float64 {
	months, miles := []float64{0}, []float64{0}
	for _, t := range turns {
		if t.weight >= atLeast {
			months = append(months, t.months)
			miles = append(miles, t.miles)
		}
	}
	life := 12 * ageYears(van.FirstRegistered, asOf)
	share := proven(months, life, float64(d.months), graceMonths)
	if d.miles > 0 {
		share = min(share, proven(miles, float64(van.Mileage), float64(d.miles), float64(d.miles)/4))
	}
	return share
}

// proven returns the share of due turns in a life that are not missing, from the
// points at which the work was done. at holds 0 as its first point.
func proven(at []float64, life, every, grace float64) float64 {
	due := math.Floor(life / every)
	if due < 1 {
		return 1
	}
	slices.Sort(at)
	missed := 0.0
	for i := 1; i < len(at); i++ {
		missed += max(0, math.Floor((at[i]-at[i-1]-grace)/every))
	}
	missed += max(0, math.Floor((life-at[len(at)-1])/every))
	return max(0, 1-missed/due)
}

// weighted is the share of due turns with each proof counted by its weight: the
// shares at each level of evidence, laid over one another.
func (d *duty) weighted(van *data.Van, docs []data.Document, asOf data.Date) float64 {
	turns := d.renewals(van, docs, asOf)
	sum, below := 0.0, 0.0
	for _, w := range []float64{0.4, 0.6, 0.8, 1} { // the weights of what proves anything
		sum += (w - below) * d.share(van, turns, asOf, w)
		below = w
	}
	return sum
}
