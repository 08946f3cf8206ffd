package data

import (
	"slices"
	"strings"
)

// Reading is one row of readings.csv: what was measured or seen at one point.
// At least one of Value and Verdict is given.
type Reading struct {
	StockID string
	TakenOn Date
	Day     Date // the value of a checkpoint whose unit is "date"
	// MonthOnly says that only month and year were given, as on a hose or an
	// alarm. Day is then the last of the month, through which the thing lasts.
	MonthOnly  bool
	Inspector  string
	Checkpoint string // a code of the checkpoint book
	Position   string // such as nearside-front or offside-rear-low; may be blank
	Value      string // as read; blank where only a verdict was given
	Number     Opt[float64]
	Unit       string
	Verdict    Verdict
	// Refused is a value that cannot be, such as 29 mm of tread. The row is among
	// the rejects, and the point counts as Untested on that day.
	Refused string
	Note    string
	Source  Source
}

// rawReading is a row of readings.csv as it was read.
type rawReading struct {
	StockID    string `csv:"stock_id" need:"yes"`
	TakenOn    string `csv:"taken_on" need:"yes"`
	Inspector  string `csv:"inspector"`
	Checkpoint string `csv:"checkpoint" need:"yes"`
	Position   string `csv:"position"`
	Value      string `csv:"value"`
	Unit       string `csv:"unit"`
	Verdict    string `csv:"verdict"`
	Note       string `csv:"note"`
}

// readingParser checks the rows of readings.csv against the vans and the
// checkpoint book.
type readingParser struct {
	vans  *vanIndex
	books *Books
}

// parse checks one row.
func (p readingParser) parse(raw *rawReading, c *cells, at Source) Reading {
	r := Reading{
		StockID:   p.vans.find(c, raw.StockID),
		TakenOn:   c.needPast("taken_on", raw.TakenOn),
		Inspector: c.label("inspector", raw.Inspector),
		Note:      c.note("note", raw.Note),
		Source:    at,
	}
	verdict := word(c, "verdict", raw.Verdict, verdictNames)
	r.Verdict, _ = ParseVerdict(verdict)
	checkpoint, ok := p.checkpoint(c, raw.Checkpoint)
	if !ok {
		return r
	}
	r.Checkpoint, r.Unit = checkpoint.Code, checkpoint.Unit
	r.Position = readPosition(c, checkpoint, raw.Position)
	unitFits := readUnit(c, checkpoint, raw.Unit)
	value := trim(raw.Value)
	switch {
	case value != "" && unitFits:
		readValue(c, checkpoint, value, &r)
	case value == "" && trim(raw.Verdict) == "":
		c.refuse("value", "", "value.missing", "a value, a verdict or both")
	}
	return r
}

// checkpoint finds the checkpoint of a code in any spelling of it.
func (p readingParser) checkpoint(c *cells, value string) (*Checkpoint, bool) {
	value = trim(value)
	if i, ok := p.books.checkpoint[value]; ok {
		return &p.books.Checkpoints[i], true
	}
	if !c.need("checkpoint", value, "a code of the checkpoint book") {
		return nil, false
	}
	if i, ok := p.books.checkpoint[wordForm(value)]; ok {
		return &p.books.Checkpoints[i], true
	}
	c.refuse("checkpoint", value, "checkpoint.unknown",
		"a code of the checkpoint book"+didYouMean(c, "checkpoint", value, p.books.checkpointCodes()))
	return nil, false
}

// readPosition reads where on the van a reading was taken: one of the
// checkpoint's positions, where the book lists them, or blank for the van as a
// whole. A damp meter may be put anywhere, so any SIDE-PLACE-HEIGHT does there.
func readPosition(c *cells, p *Checkpoint, value string) string {
	position := wordForm(trim(value))
	if position == "" {
		return ""
	}
	if i := slices.Index(p.Positions, position); i >= 0 {
		return p.Positions[i]
	}
	switch {
	case p.Code == dampCheckpoint:
		if isDampPoint(position) {
			return c.seen.keep(position)
		}
		c.refuse("position", value, "position.word",
			"SIDE-PLACE-HEIGHT such as offside-rear-low; the side is one of "+strings.Join(DampSides, ", "))
	case len(p.Positions) == 0:
		return c.seen.keep(c.label("position", position))
	default:
		c.refuse("position", value, "position.word", oneOf(c, "position of "+p.Code, position, p.Positions))
	}
	return ""
}

// dampCheckpoint is the one checkpoint whose positions are open.
const dampCheckpoint = "damp"

// DampSides are the first words of a damp point.
var DampSides = []string{"nearside", "offside", "front", "rear", "roof", "floor", "overcab"}

// isDampPoint reports whether a position is SIDE-PLACE-HEIGHT, with at least
// one word for each.
func isDampPoint(position string) bool {
	side, rest, _ := strings.Cut(position, "-")
	place, height, ok := strings.Cut(rest, "-")
	if !ok || place == "" || height == "" || len(position) > 60 || !slices.Contains(DampSides, side) {
		return false
	}
	for i := range len(rest) {
		b := rest[i]
		if !(b >= 'a' && b <= 'z' || b >= '0' && b <= '9' || b == '-') {
			return false
		}
	}
	return !strings.HasSuffix(rest, "-") && !strings.Contains(rest, "--")
}
