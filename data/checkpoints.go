package data

import "strings"

// Checkpoint is one row of the checkpoint book: a point that a buyer looks at
// or measures, and the limits that turn a value into a verdict.
type Checkpoint struct {
	Code      string
	Title     string
	Zone      string
	Unit      string   // blank: no value, only a verdict
	Positions []string // blank: one reading a van
	Fitted    []string // equipment words, any of which makes the point apply; blank: always
	// Dates and tyre codes are limited by age in years. LimitAllowed says which
	// side a value equal to a limit is on.
	WornAt, DefectAt, UnsafeAt Opt[float64]
	HighBad                    bool
	AtLimit                    string // LimitAllowed or LimitReached; blank: as HighBad has it
	// Least and Most are what can be measured at all: a value outside is a slip
	// of the hand and is not used. Of dates they are ages in years on the day of
	// the reading, below zero for a day to come. Unknown: as the unit has it.
	Least, Most            Opt[float64]
	Job                    string       // labour job that a defect asks for
	WornJob                string       // labour job that wear asks for; mostly blank
	Minutes                Opt[float64] // that looking takes; unknown: as for any point
	System                 string       // faults in one system tend to come together
	RiskNewPct, RiskOldPct float64      // chance of a hidden defect where untested, at 2 and 15 years
	RiskJob                string       // what that defect would need
	How                    string
	Caution                string
	Reference              string // where the limit comes from
	Source                 Source
}

// PapersZone is the zone of the book on papers and keys.
const PapersZone = "papers"

// The words of at_limit.
const (
	AtLimitAllowed = "allowed"
	AtLimitReached = "reached"
)

// LimitAllowed reports whether a value equal to a limit has not reached it: as
// the book says, else with low values bad (3.0 mm of tread is not below 3 mm) and
// not with high ones (a tyre of 7 years is 7 years old).
func (c *Checkpoint) LimitAllowed() bool {
	return c.AtLimit == AtLimitAllowed || c.AtLimit == "" && !c.HighBad
}

type rawCheckpoint struct {
	Checkpoint string `csv:"checkpoint" need:"yes"`
	Title      string `csv:"title" need:"yes"`
	Zone       string `csv:"zone"`
	Unit       string `csv:"unit" need:"yes"`
	Positions  string `csv:"positions"`
	Fitted     string `csv:"fitted"`
	WornAt     string `csv:"worn_at" need:"yes"`
	DefectAt   string `csv:"defect_at" need:"yes"`
	UnsafeAt   string `csv:"unsafe_at" need:"yes"`
	Direction  string `csv:"direction" need:"yes"`
	Job        string `csv:"job" need:"yes"`
	WornJob    string `csv:"worn_job"`
	System     string `csv:"system"`
	RiskNewPct string `csv:"risk_new_pct"`
	RiskOldPct string `csv:"risk_old_pct"`
	RiskJob    string `csv:"risk_job"`
	How        string `csv:"how"`
	Caution    string `csv:"caution"`
	Source     string `csv:"source"`
	Least      string `csv:"least"`
	Most       string `csv:"most"`
	AtLimit    string `csv:"at_limit"`
	Minutes    string `csv:"minutes"`
}

// Directions say which way a value gets worse.
const (
	highBad = "high-bad"
	lowBad  = "low-bad"
)

func parseCheckpoint(raw *rawCheckpoint, c *cells, at Source) Checkpoint {
	const far = 1e9
	p := Checkpoint{
		Code:       c.bookCode("checkpoint", raw.Checkpoint),
		Title:      c.needLabel("title", raw.Title),
		Zone:       c.label("zone", raw.Zone),
		Unit:       c.label("unit", raw.Unit),
		Positions:  c.codes("positions", strings.ToLower(raw.Positions)),
		Fitted:     words(c, "fitted", raw.Fitted, EquipmentWords),
		WornAt:     c.number("worn_at", raw.WornAt, -far, far),
		DefectAt:   c.number("defect_at", raw.DefectAt, -far, far),
		UnsafeAt:   c.number("unsafe_at", raw.UnsafeAt, -far, far),
		Job:        c.optCode("job", raw.Job),
		WornJob:    c.optCode("worn_job", raw.WornJob),
		System:     c.label("system", raw.System),
		RiskNewPct: c.number("risk_new_pct", raw.RiskNewPct, 0, 100).Value,
		RiskOldPct: c.number("risk_old_pct", raw.RiskOldPct, 0, 100).Value,
		RiskJob:    c.optCode("risk_job", raw.RiskJob),
		How:        c.note("how", raw.How),
		Caution:    c.note("caution", raw.Caution),
		Reference:  c.note("source", raw.Source),
		Least:      c.number("least", raw.Least, -far, far),
		Most:       c.number("most", raw.Most, -far, far),
		AtLimit:    word(c, "at_limit", raw.AtLimit, []string{AtLimitAllowed, AtLimitReached}),
		Minutes:    c.number("minutes", raw.Minutes, 0, 10_000),
		Source:     at,
	}
	direction := word(c, "direction", raw.Direction, []string{highBad, lowBad})
	p.HighBad = direction == highBad
	limited := p.WornAt.Known || p.DefectAt.Known || p.UnsafeAt.Known
	switch {
	case limited && direction == "" && !c.refused("direction"):
		c.refuse("direction", "", "direction.missing", "high-bad or low-bad, as there are limits")
	case limited && p.Unit == "" && !c.refused("unit"):
		c.refuse("unit", "", "unit.missing", "a unit, as there are limits")
	}
	if p.Least.Known && p.Most.Known && p.Least.Value > p.Most.Value {
		c.refuse("least", raw.Least, "least.order", "at most the value of most, "+trim(raw.Most))
	}
	return p
}
