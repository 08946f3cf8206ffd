// Package terminal puts what a buyer needs to know of one van on one screen.
//
// In go a result and one of its vans with its bid; out comes a Sheet, which
// prints as text or encodes as JSON. It computes nothing.
package terminal

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
)

// Sheet is one van's bid. Money is pounds with two places, blank where no
// figure can be given.
type Sheet struct {
	StockID    string        `json:"stock_id"`
	AsOf       data.Date     `json:"as_of"`
	Van        string        `json:"van"`
	Details    string        `json:"details"`
	MaxBid     string        `json:"max_bid"`
	OpeningBid string        `json:"opening_bid"`
	StandIn    string        `json:"stand_in_value"`
	Confidence string        `json:"confidence_pct"`
	Price      string        `json:"price"`
	Market     string        `json:"market_value"`
	MarketLow  string        `json:"market_low"`
	MarketHigh string        `json:"market_high"`
	Days       *int          `json:"days_to_sell"` // null where there is no price
	PrepDays   int           `json:"prep_days"`
	PrepP50    string        `json:"prep_p50"`
	PrepP80    string        `json:"prep_p80"`
	Reckoning  []Line        `json:"reckoning"` // from price to profit, at the most that may be bid
	Shifts     []Sensitivity `json:"shifts"`    // what would move the bid
	Reasons    []string      `json:"reasons"`
	Costliest  []Work        `json:"costliest_jobs"`
	Jobs       int           `json:"jobs"`
	Serious    []string      `json:"serious"`
	LookNext   []Look        `json:"look_next"` // the ten points that are worth most for each minute
	Untested   []Unknown     `json:"untested"`
	Missing    []string      `json:"missing"`
	Promised   []string      `json:"promised"`
	Ask        []string      `json:"ask"`
	Cautions   []string      `json:"cautions"`
}

// Line is one step from price to profit.
type Line struct {
	What   string `json:"what"`
	Amount string `json:"amount"`
}

// Sensitivity is what a change would do to the maximum bid.
type Sensitivity struct {
	What   string `json:"what"`
	Change string `json:"change"`
}

// Work is one job and what it costs.
type Work struct {
	Job     string `json:"job"`
	Title   string `json:"title"`
	Hours   string `json:"hours"`
	Cost    string `json:"cost"`
	Because string `json:"because"`
}

// Look is an untested point, and what looking at it may move the bid by.
type Look struct {
	Checkpoint string  `json:"checkpoint"`
	Title      string  `json:"title"`
	Minutes    float64 `json:"minutes"`
	Worth      string  `json:"worth"`
}

// Unknown is one system of the van with points that were not tested.
type Unknown struct {
	System string   `json:"system"`
	Points int      `json:"points"`
	First  []string `json:"most_likely"` // the points most likely to hide a defect
	Titles []string `json:"all"`
}

const (
	costliest  = 5 // jobs that a sheet shows
	mostLikely = 3 // untested points of a system that are named on paper
)

// New fills a sheet in.
func New(r *night.Result, v *night.Van) *Sheet {
	s := &Sheet{
		StockID: v.StockID, AsOf: r.AsOf,
		Van:     strings.Join(nonBlank(v.Maker, v.Model, string(v.Body), v.Reg), " "),
		Details: details(v.Van),
		PrepP50: data.FormatMoney(v.Prep.P50), PrepP80: data.FormatMoney(v.Prep.P80),
		Jobs:     len(v.Jobs),
		Missing:  v.Assessment.Papers.Missing,
		Promised: v.Assessment.Papers.Promised,
		Ask:      v.Assessment.Ask,
	}
	s.money(v.Bid)
	s.shift(r, v)
	s.work(v.Jobs)
	s.Serious = v.Serious()
	for _, l := range r.LookNext(v) {
		s.LookNext = append(s.LookNext, Look{l.Checkpoint, l.Title, l.Minutes, data.FormatMoney(l.Worth)})
	}
	s.Untested = unknowns(v.Assessment.Untested)
	return s
}

// unknowns words the untested points of each system.
func unknowns(untested []appraise.Untested) []Unknown {
	var out []Unknown
	for _, system := range appraise.UntestedBySystem(untested) {
		u := Unknown{System: system.System, Points: len(system.Points)}
		for _, p := range system.Points {
			u.Titles = append(u.Titles, p.Title)
		}
		u.First = u.Titles[:min(mostLikely, len(u.Titles))]
		out = append(out, u)
	}
	return out
}

func (s *Sheet) money(b *pricing.Bid) {
	q := b.Quote
	s.Reasons = b.Reasons
	s.Market, s.MarketLow, s.MarketHigh = optional(q.Market), optional(q.Low), optional(q.High)
	s.Price = optional(q.Price)
	s.PrepDays = b.PrepDays
	if q.DaysToSell.Known {
		s.Days = &q.DaysToSell.Value
	}
	if !b.Known {
		return
	}
	s.MaxBid, s.OpeningBid, s.StandIn = data.FormatMoney(b.MaxBid), data.FormatMoney(b.OpeningBid), data.FormatMoney(b.StandIn)
	if b.Confidence.Known {
		s.Confidence = data.FormatDecimal(b.Confidence.Value, 0)
	}
	k := b.Breakdown
	bid := "bid"
	if !k.Cost.Equal(b.MaxBid) {
		bid = "bid, less VAT reclaimed"
	}
	for _, line := range []struct {
		what   string
		amount data.Money
	}{
		{"price", k.Price},
		{"VAT", k.VAT.Neg()},
		{bid, k.Cost.Neg()},
		{"preparation (80% likely to be within)", k.Prep.Neg()},
		{"warranty", k.Warranty.Neg()},
		{fmt.Sprintf("holding for %d days", b.PrepDays+b.DaysToSell), k.Holding.Neg()},
		{"selling", k.Selling.Neg()},
		{"profit left", k.Profit},
		{"target profit", k.Target},
	} {
		s.Reckoning = append(s.Reckoning, Line{line.what, data.FormatMoney(line.amount)})
	}
}

// shift lists what would move the bid.
func (s *Sheet) shift(r *night.Result, v *night.Van) {
	gap, ok := pricing.LargestUntestedGap(v.Jobs, v.Assessment.Untested, v.Body, r.Yard.Books, r.Policy)
	for _, shift := range r.Market.Sensitivities(*v.Bid, gap, ok) {
		s.Shifts = append(s.Shifts, Sensitivity{shift.What, data.FormatMoney(shift.Change)})
	}
}

// work lists the costliest jobs, and the cautions of all.
func (s *Sheet) work(jobs []prep.Job) {
	sorted := slices.Clone(jobs)
	slices.SortFunc(sorted, func(a, b prep.Job) int {
		return cmp.Or(b.Cost().Cmp(a.Cost()), cmp.Compare(a.Code, b.Code))
	})
	for _, j := range sorted[:min(costliest, len(sorted))] {
		title := j.Title
		if len(j.Places) > 0 {
			title += ", " + strings.Join(j.Places, ", ")
		}
		s.Costliest = append(s.Costliest, Work{
			Job: j.Code, Title: title, Hours: data.FormatHours(j.HoursP50),
			Cost: data.FormatMoney(j.Cost()), Because: strings.Join(j.Because, "; "),
		})
	}
	for _, j := range jobs {
		if j.Caution != "" && !slices.Contains(s.Cautions, j.Caution) {
			s.Cautions = append(s.Cautions, j.Caution)
		}
	}
}

func optional(m data.Opt[data.Money]) string {
	if !m.Known {
		return ""
	}
	return data.FormatMoney(m.Value)
}

func details(v data.Van) string {
	parts := []string{"first registered " + v.FirstRegistered.Words(), fmt.Sprintf("%d miles", v.Mileage)}
	if v.Berths.Known {
		parts = append(parts, fmt.Sprintf("%d berths", v.Berths.Value))
	}
	if v.Keepers.Known {
		parts = append(parts, fmt.Sprintf("keepers %d", v.Keepers.Value))
	}
	if v.Keys.Known {
		parts = append(parts, fmt.Sprintf("keys %d", v.Keys.Value))
	}
	return strings.Join(parts, ", ")
}

func nonBlank(words ...string) []string {
	return slices.DeleteFunc(words, func(w string) bool { return w == "" })
}
