package data

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// Skills and BayKinds are the closed lists of team.csv, bays.csv and the
// labour book.
var (
	Skills = []string{
		"mechanical", "habitation", "gas", "electrical", "bodywork", "damp", "tyres", "valet",
		"photography",
	}
	BayKinds = []string{"ramp", "habitation", "bodywork", "valet"}
	Gates    = []string{"roadworthy", "habitation", "presentation"}
)

// Technician is one row of team.csv.
type Technician struct {
	Name   string
	Skills []string
	Hours  [7]float64 // by time.Weekday, 0 to 24
	Site   string     // where the technician works; blank: at any
	Source Source
}

// HasSkill reports whether the technician may be given work of that skill.
func (t Technician) HasSkill(skill string) bool {
	return slices.Contains(t.Skills, skill)
}

// HoursOn returns the working hours of a weekday.
func (t Technician) HoursOn(d time.Weekday) float64 { return t.Hours[d] }

// rawTechnician is a row of team.csv as it was read.
type rawTechnician struct {
	Technician string `csv:"technician" need:"yes"`
	Skills     string `csv:"skills" need:"yes"`
	Mon        string `csv:"mon" need:"yes" also:"monday"`
	Tue        string `csv:"tue" need:"yes" also:"tuesday"`
	Wed        string `csv:"wed" need:"yes" also:"wednesday"`
	Thu        string `csv:"thu" need:"yes" also:"thursday"`
	Fri        string `csv:"fri" need:"yes" also:"friday"`
	Sat        string `csv:"sat" also:"saturday"`
	Sun        string `csv:"sun" also:"sunday"`
	Site       string `csv:"site"`
}

// technicianKey keeps technicians apart.
var technicianKey = uniqueKey[Technician]{
	column: "technician",
	value:  func(t *Technician) string { return t.Name },
	of:     func(t *Technician) string { return strings.ToLower(t.Name) },
	shown:  func(t *Technician) string { return "technician " + t.Name },
	source: func(t *Technician) *Source { return &t.Source },
	same: func(a, b *Technician) bool {
		return a.Hours == b.Hours && strings.EqualFold(a.Site, b.Site) && slices.Equal(slices.Sorted(slices.Values(a.Skills)), slices.Sorted(slices.Values(b.Skills)))
	},
	prefer: func(a, b *Technician) int { return strings.Compare(a.Name, b.Name) },
}

// parseTechnician checks one row of team.csv. A blank day is a day off.
func parseTechnician(raw *rawTechnician, c *cells, at Source) Technician {
	t := Technician{
		Name:   c.needLabel("technician", raw.Technician),
		Skills: words(c, "skills", raw.Skills, Skills),
		Site:   c.label("site", raw.Site),
		Source: at,
	}
	c.need("skills", raw.Skills, oneOf(c, "skills", "", Skills))
	for _, d := range []struct {
		column, value string
		day           time.Weekday
	}{
		{"mon", raw.Mon, time.Monday}, {"tue", raw.Tue, time.Tuesday}, {"wed", raw.Wed, time.Wednesday},
		{"thu", raw.Thu, time.Thursday}, {"fri", raw.Fri, time.Friday}, {"sat", raw.Sat, time.Saturday},
		{"sun", raw.Sun, time.Sunday},
	} {
		t.Hours[d.day] = c.hours(d.column, d.value, 24).Value
	}
	return t
}

// Bay is one row of bays.csv: Count places of one kind.
type Bay struct {
	Name   string
	Kind   string
	Count  int
	Site   string // blank: any
	Source Source
}

// rawBay is a row of bays.csv as it was read.
type rawBay struct {
	Bay   string `csv:"bay" need:"yes"`
	Kind  string `csv:"kind" need:"yes"`
	Count string `csv:"count"`
	Site  string `csv:"site"`
}

// bayKey keeps bays apart.
var bayKey = uniqueKey[Bay]{
	column: "bay",
	value:  func(b *Bay) string { return b.Name },
	of:     func(b *Bay) string { return strings.ToLower(b.Name) },
	shown:  func(b *Bay) string { return "bay " + b.Name },
	source: func(b *Bay) *Source { return &b.Source },
	same: func(a, b *Bay) bool {
		return a.Kind == b.Kind && a.Count == b.Count && strings.EqualFold(a.Site, b.Site)
	},
	prefer: func(a, b *Bay) int { return strings.Compare(a.Name, b.Name) },
}

// parseBay checks one row of bays.csv. A blank count is one bay.
func parseBay(raw *rawBay, c *cells, at Source) Bay {
	b := Bay{
		Name:   c.needLabel("bay", raw.Bay),
		Kind:   needWord(c, "kind", raw.Kind, BayKinds),
		Count:  c.whole("count", raw.Count, 0, 200).Or(1),
		Site:   c.label("site", raw.Site),
		Source: at,
	}
	return b
}

// Absence is one row of absence.csv. Both days are inside it; a blank
// Technician is everybody.
type Absence struct {
	Technician string
	From, To   Date
	Works      bool // no absence: the bank holidays among these days are worked
	Source     Source
}

// absenceKey leaves absences without a key: they may stand twice.
var absenceKey = uniqueKey[Absence]{of: func(*Absence) string { return "" }}

// compareAbsences is the order of Yard.Absences.
func compareAbsences(a, b Absence) int {
	return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To), strings.Compare(a.Technician, b.Technician), FalseFirst(a.Works, b.Works))
}

// FalseFirst orders two answers: no before yes.
func FalseFirst(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// rawAbsence is a row of absence.csv as it was read.
type rawAbsence struct {
	Technician string `csv:"technician" need:"yes"`
	From       string `csv:"from" need:"yes"`
	To         string `csv:"to" need:"yes"`
	Works      string `csv:"works"`
}

// parseAbsence is parseAbsences without a look at who is away. A blank end is one day
// off.
func parseAbsence(raw *rawAbsence, c *cells, at Source) Absence {
	a := Absence{From: c.date("from", raw.From), To: c.date("to", raw.To), Works: c.yesNo("works", raw.Works), Source: at}
	c.need("from", raw.From, "the first day of the absence")
	if trim(raw.To) == "" {
		a.To = a.From
	}
	c.notBefore("to", a.To, "from", a.From)
	return a
}

// parseAbsences returns a parser of absence.csv.
func parseAbsences(team []Technician) rowParser[rawAbsence, Absence] {
	names := map[string]string{}
	var spelt []string
	for _, t := range team {
		names[strings.ToLower(t.Name)] = t.Name
		spelt = append(spelt, t.Name)
	}
	return func(raw *rawAbsence, c *cells, at Source) Absence {
		a := parseAbsence(raw, c, at)
		if name := trim(raw.Technician); name != "" {
			known, ok := names[strings.ToLower(name)]
			if !ok {
				c.refuse("technician", name, "technician.unknown",
					"a technician of team.csv, or a blank for everybody"+didYouMean(c, "technician", name, spelt))
			}
			a.Technician = known
		}
		return a
	}
}
