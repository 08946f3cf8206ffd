package data

import (
	"slices"
	"strings"
)

// LabourJob is one row of the labour book.
type LabourJob struct {
	Code                             string
	Title                            string
	Skill                            string
	Bay                              string  // blank: the work needs no bay
	HoursLow, HoursLikely, HoursHigh float64 // labour hours for a body with factor 1
	BodyFactor                       map[Body]float64
	DryingHours                      float64  // elapsed hours after the work in which no work is done
	After                            []string // jobs that come first where both are on the van
	Parts                            []PartUse
	Gate                             string
	Absorbs                          []string // jobs that this one makes unnecessary
	Per                              string   // what one unit is: van, position or area
	Touches                          []string // Systems that the work opens or changes: what was tested before is history
	Proves                           []string // Systems that the job tests or certifies
	WithoutProof                     string   // one of WithoutProofWords, for a job that missing evidence asks for; blank: as the policy says
	Caution                          string
	Reference                        string
	Source                           Source
}

// Factor returns the multiplier of the hours for a body, 1 where the book says
// nothing.
func (j LabourJob) Factor(b Body) float64 {
	if f, ok := j.BodyFactor[b]; ok {
		return f
	}
	return 1
}

// PartUse is a part and how many of it one unit of a job takes.
type PartUse struct {
	Part string
	Qty  int
}

type rawLabourJob struct {
	Job              string `csv:"job" need:"yes"`
	Title            string `csv:"title" need:"yes"`
	Skill            string `csv:"skill" need:"yes"`
	Bay              string `csv:"bay" need:"yes"`
	HoursLow         string `csv:"hours_low" need:"yes"`
	HoursLikely      string `csv:"hours_likely" need:"yes"`
	HoursHigh        string `csv:"hours_high" need:"yes"`
	FactorPanelVan   string `csv:"factor_panel_van" also:"body_factor_panel_van,panel_van_factor,panel_van"`
	FactorRisingRoof string `csv:"factor_rising_roof" also:"body_factor_rising_roof,rising_roof_factor,rising_roof"`
	FactorLowProfile string `csv:"factor_low_profile" also:"body_factor_low_profile,low_profile_factor,low_profile"`
	FactorOvercab    string `csv:"factor_overcab" also:"body_factor_overcab,overcab_factor,overcab"`
	FactorAClass     string `csv:"factor_a_class" also:"body_factor_a_class,a_class_factor,a_class"`
	DryingHours      string `csv:"drying_hours"`
	After            string `csv:"after"`
	Parts            string `csv:"parts"`
	Gate             string `csv:"gate"`
	Absorbs          string `csv:"absorbs"`
	Per              string `csv:"per"`
	Caution          string `csv:"caution"`
	Source           string `csv:"source"`
	Touches          string `csv:"touches"`
	Proves           string `csv:"proves"`
	WithoutProof     string `csv:"without_proof"`
}

// PerWords say what one unit of a labour job is.
var PerWords = []string{"van", "position", "area"}

// Systems are the parts of a van of which a fault, a repair and a test may
// speak. A checkpoint's system is mostly one of them.
var Systems = []string{
	"gas", "electrics-230v", "electrics-12v", "water", "heating", "appliances", "damp", "body", "interior",
	"running-gear", "brakes", "tyres", "engine", "safety", "habitation", "roadworthiness", "masses", "papers",
}

// WithoutProofWords are what a dealer may do about work of which nothing proves
// that it was done: do it before the sale, tell the buyer instead, or ask the
// owner for proof.
var WithoutProofWords = []string{DoWithoutProof, TellWithoutProof, AskWithoutProof}

// The words of without_proof.
const (
	DoWithoutProof   = "do"
	TellWithoutProof = "tell"
	AskWithoutProof  = "ask"
)

func parseLabourJob(raw *rawLabourJob, c *cells, at Source) LabourJob {
	const mostHours = 500
	j := LabourJob{
		Code:         c.bookCode("job", raw.Job),
		Title:        c.needLabel("title", raw.Title),
		Skill:        needWord(c, "skill", raw.Skill, Skills),
		Bay:          word(c, "bay", raw.Bay, BayKinds), // blank: work that needs no bay
		HoursLow:     c.number("hours_low", raw.HoursLow, 0, mostHours).Value,
		HoursLikely:  c.number("hours_likely", raw.HoursLikely, 0, mostHours).Value,
		HoursHigh:    c.number("hours_high", raw.HoursHigh, 0, mostHours).Value,
		BodyFactor:   map[Body]float64{},
		DryingHours:  c.number("drying_hours", raw.DryingHours, 0, 2000).Value,
		After:        c.codes("after", raw.After),
		Parts:        c.partUses("parts", raw.Parts),
		Gate:         word(c, "gate", raw.Gate, Gates),
		Absorbs:      c.codes("absorbs", raw.Absorbs),
		Per:          word(c, "per", raw.Per, PerWords),
		Caution:      c.note("caution", raw.Caution),
		Reference:    c.note("source", raw.Source),
		Touches:      words(c, "touches", raw.Touches, Systems),
		Proves:       words(c, "proves", raw.Proves, Systems),
		WithoutProof: word(c, "without_proof", raw.WithoutProof, WithoutProofWords),
		Source:       at,
	}
	for _, h := range []struct{ column, value string }{
		{"hours_low", raw.HoursLow}, {"hours_likely", raw.HoursLikely}, {"hours_high", raw.HoursHigh},
	} {
		c.need(h.column, h.value, "labour hours such as 1.5")
	}
	if len(c.bad) == 0 && !(j.HoursLow <= j.HoursLikely && j.HoursLikely <= j.HoursHigh) {
		c.refuse("hours_likely", raw.HoursLikely, "hours_likely.order", "hours_low ≤ hours_likely ≤ hours_high")
	}
	if j.Per == "" {
		j.Per = "van"
	}
	for _, f := range []struct {
		column, value string
		body          Body
	}{
		{"factor_panel_van", raw.FactorPanelVan, PanelVan}, {"factor_rising_roof", raw.FactorRisingRoof, RisingRoof},
		{"factor_low_profile", raw.FactorLowProfile, LowProfile}, {"factor_overcab", raw.FactorOvercab, Overcab},
		{"factor_a_class", raw.FactorAClass, AClass},
	} {
		if n := c.number(f.column, f.value, 0.05, 20); n.Known {
			j.BodyFactor[f.body] = n.Value
		}
	}
	return j
}

// partUses reads a list such as tyre*2;valve; without a number one is meant.
func (c *cells) partUses(column, value string) []PartUse {
	var out []PartUse
	for item := range strings.SplitSeq(value, ";") {
		item = strings.TrimSpace(item)
		if item == "" {
			continue
		}
		code, times, many := strings.Cut(item, "*")
		use := PartUse{Part: c.bookCode(column, code), Qty: 1}
		if many {
			n, ok := parseWhole(strings.TrimSpace(times))
			if !ok || n < 1 || n > 1000 {
				c.refuse(column, item, column+".quantity", "code*quantity with a whole quantity from 1 to 1000")
			}
			use.Qty = n
		}
		if slices.ContainsFunc(out, func(u PartUse) bool { return u.Part == use.Part }) {
			c.refuse(column, item, column+".duplicate", "each part once")
		}
		out = append(out, use)
	}
	return out
}
