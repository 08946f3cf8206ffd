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
	// Limits are half-open: with HighBad a value at or above a limit has
	// reached it, otherwise a value strictly below has. Dates and tyre codes
	// are limited by age in years.
	WornAt, DefectAt, UnsafeAt Opt[float64]
	HighBad                    bool
	// Least and Most are what can be measured at all: a value outside is a slip
	// of the hand and is not used. Of dates they are ages in years on the day of
	// the reading, below zero for a day to come. Unknown: as the unit has it.
	Least, Most            Opt[float64]
	Job                    string  // labour job that a defect asks for
	WornJob                string  // labour job that wear asks for; mostly blank
	System                 string  // faults in one system tend to come together
	RiskNewPct, RiskOldPct float64 // chance of a hidden defect where untested, at 2 and 15 years
	RiskJob                string  // what that defect would need
	How                    string
	Caution                string
	Reference              string // where the limit comes from
	Source                 Source
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
