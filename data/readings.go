package data

import (
	"cmp"
	"slices"
	"strings"
	"sync"
)

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

// verdictNames are the verdicts as a closed list.
var verdictNames = verdictWords[1:]

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
	if i, ok := p.books.checkpoint[foldWord(value)]; ok {
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
	position := foldWord(trim(value))
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

// compareReadings orders a van's readings by checkpoint, position, day and
// line.
func compareReadings(a, b *Reading) int {
	if c := strings.Compare(a.Checkpoint, b.Checkpoint); c != 0 {
		return c
	}
	if c := strings.Compare(a.Position, b.Position); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(a.TakenOn, b.TakenOn), cmp.Compare(a.Source.Line, b.Source.Line))
}

// groupReadings gives each van its readings in order. Of readings of one point
// on one day the first in the file stays and the others are returned.
func groupReadings(pieces [][]Reading, workers int) (readings map[string][]Reading, twice []twiceRead) {
	vans, groups := byVan(pieces, func(r *Reading) string { return r.StockID })
	found := make([][]twiceRead, workersOr(workers))
	share := (len(groups) + len(found) - 1) / len(found)
	var wg sync.WaitGroup
	for i := range found {
		wg.Go(func() {
			var room []int
			for k := i * share; k < min((i+1)*share, len(groups)); k++ {
				room = sortReadings(groups[k], room)
				groups[k], found[i] = dropTwice(groups[k], found[i])
			}
		})
	}
	wg.Wait()
	readings = make(map[string][]Reading, len(vans))
	for i, id := range vans {
		readings[id] = groups[i]
	}
	twice = slices.Concat(found...)
	slices.SortFunc(twice, func(a, b twiceRead) int { return cmp.Compare(a.Source.Line, b.Source.Line) })
	return readings, twice
}

// sortReadings sorts the readings of a van, which are large, by sorting where
// they stand and then moving each once. room is for the places, to be passed on
// to the next call.
func sortReadings(rs []Reading, room []int) []int {
	from := room[:0] // of each place, the reading that belongs there
	for i := range rs {
		from = append(from, i)
	}
	slices.SortFunc(from, func(a, b int) int { return compareReadings(&rs[a], &rs[b]) })
	for i := range from {
		if from[i] == i {
			continue
		}
		// The readings that go where the next one stood form a ring.
		first, at := rs[i], i
		for from[at] != i {
			rs[at] = rs[from[at]]
			at, from[at] = from[at], at
		}
		rs[at], from[at] = first, at
	}
	return from
}

// dropTwice takes out of sorted readings those of a point and day that stand
// there already, and adds them to twice.
func dropTwice(rs []Reading, twice []twiceRead) ([]Reading, []twiceRead) {
	kept := 1
	for i := 1; i < len(rs); i++ {
		r, last := &rs[i], &rs[kept-1]
		if r.Checkpoint == last.Checkpoint && r.Position == last.Position && r.TakenOn == last.TakenOn {
			twice = append(twice, twiceRead{*r, last.Source.Line})
			continue
		}
		if kept < i {
			rs[kept] = *r
		}
		kept++
	}
	clear(rs[kept:])
	return rs[:kept], twice
}

// twiceRead is a reading whose key an earlier line holds already.
type twiceRead struct {
	Reading
	firstLine int
}
