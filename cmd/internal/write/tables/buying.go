package tables

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var wanted = csvout.New("wanted.csv", []string{"rank"},
	csvout.Int("rank", func(w pricing.Wanted) int { return w.Rank }),
	csvout.Text("maker", func(w pricing.Wanted) string { return w.Maker }),
	csvout.Text("model", func(w pricing.Wanted) string { return w.Model }),
	csvout.Text("body", func(w pricing.Wanted) string { return string(w.Body) }),
	csvout.Money("price_from", func(w pricing.Wanted) data.Money { return w.From }),
	csvout.Money("price_to", func(w pricing.Wanted) data.Money { return w.To }),
	csvout.Int("sales", func(w pricing.Wanted) int { return w.Sales }),
	csvout.Int("in_hand", func(w pricing.Wanted) int { return w.InHand }),
	csvout.Money("profit_per_pitch_day", func(w pricing.Wanted) data.Money { return w.PerDay }),
	csvout.Money("low", func(w pricing.Wanted) data.Money { return w.Low }),
	csvout.Money("high", func(w pricing.Wanted) data.Money { return w.High }),
	csvout.Int("days_to_sell", func(w pricing.Wanted) int { return w.DaysToSell }),
	csvout.Int("more", func(w pricing.Wanted) int { return w.More }),
	csvout.Text("bottleneck", func(w pricing.Wanted) string { return w.Bottleneck }),
	csvout.Text("reason", func(w pricing.Wanted) string { return w.Reason }),
	csvout.Int("can_bear", func(w pricing.Wanted) int { return w.CanBear }),
	csvout.Money("profit", func(w pricing.Wanted) data.Money { return w.Profit }),
	csvout.Int("pitch_days", func(w pricing.Wanted) int { return w.PitchDays }),
	csvout.Text("worthwhile", func(w pricing.Wanted) string {
		if w.Worthwhile {
			return "yes"
		}
		return "no"
	}),
)

// more is one more of something, and what it would be worth.
type more struct {
	kind, name, site, unit string
	worth                  data.Money
	hours, weekly          float64
	reason                 string
}

var oneMore = csvout.New("one-more.csv", []string{"kind", "name", "site"}, // a pitch has no name
	csvout.Text("kind", func(m more) string { return m.kind }),
	csvout.Text("name", func(m more) string { return m.name }),
	csvout.Text("site", func(m more) string { return m.site }),
	csvout.Text("unit", func(m more) string { return m.unit }),
	csvout.Money("worth", func(m more) data.Money { return m.worth }),
	csvout.Hours("hours_waiting", func(m more) float64 { return m.hours }),
	csvout.Hours("hours_a_week", func(m more) float64 { return m.weekly }),
	csvout.Text("reason", func(m more) string { return m.reason }),
)

// oneMore lists what the plan and the forecast say of one more skilled day, bay and
// pitch.
func (f found) oneMore() []more {
	units := map[string]string{
		"skill": "8 hours of one more person",
		"bay":   "a bay for as long as the plan runs",
	}
	var out []more
	for _, m := range f.Plan.More {
		reason := "vans that are ready sooner by the order of the plan: at least this"
		switch {
		case m.Hours == 0:
			reason = "no work asks for it"
		case m.Weekly == 0:
			reason = "the workshop has none: work that asks for it can't be planned"
		case m.Saved.IsZero():
			reason = "nothing is ready sooner by it alone"
		}
		out = append(out, more{m.Kind, m.Name, m.Site, units[m.Kind], m.Saved, m.Hours, m.Weekly, reason})
	}
	reason := "the mean of the kinds in wanted.csv that there is room for, what sells oftener counting more"
	if f.Buying.Pitch.IsZero() {
		reason = "no kind that leaves anything has room"
	}
	out = append(out, more{kind: "pitch", unit: "a pitch for a day", worth: f.Buying.Pitch, reason: reason})
	slices.SortStableFunc(out, func(a, b more) int {
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.name, b.name), cmp.Compare(a.site, b.site))
	})
	return out
}
