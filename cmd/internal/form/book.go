package form

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// book is the checkpoint book as the script reads it: zones in the order of a
// walk, with their points.
type book struct {
	Zones []zone          `json:"zones"`
	Units map[string]unit `json:"units"`
	// Columns of the three files, in the order of the contract.
	Vans      []string `json:"vans"`
	Readings  []string `json:"readings"`
	Documents []string `json:"documents"`
}

// zone is a place where one stands and looks.
type zone struct {
	Code     string    `json:"code"`
	Title    string    `json:"title"`
	Cautions []caution `json:"cautions"`
	Points   []point   `json:"points"`
}

// point is one checkpoint.
type point struct {
	Code      string   `json:"code"`
	Title     string   `json:"title"`
	Unit      string   `json:"unit"`      // blank: a verdict only
	Positions []choice `json:"positions"` // none: one reading a van
	Fitted    []string `json:"fitted"`    // equipment words; none: every van
	MayLack   bool     `json:"mayLack"`   // some vans have no such thing, and no equipment word tells
	Limits    string   `json:"limits"`    // in plain words
	Steps     []step   `json:"steps"`     // worst first
	HighBad   bool     `json:"highBad"`
	How       string   `json:"how"`
	Caution   string   `json:"caution"`
}

// step is a limit: the verdict of a value that has passed it.
type step struct {
	Verdict string  `json:"verdict"`
	At      float64 `json:"at"`
}

// choice is a word of the tables and what people call it.
type choice struct {
	Word  string `json:"word"`
	Title string `json:"title"`
}

// walk is the order of the zones: round the van, then through the door. Zones
// of a yard's own book that are not among them come last.
var walk = []string{
	"outside", "tyres", "underneath", "roof", "engine", "gas", "cab", "living", "kitchen", "washroom",
	"water", "heating", "electrics-12v", "electrics-230v", "safety", "papers",
}

func newBook(books *data.Books, policy data.Policy) book {
	b := book{Units: units, Vans: vanColumns, Readings: readingColumns, Documents: documentColumns}
	at := map[string]int{}
	for _, c := range books.Checkpoints {
		code := cmp.Or(c.Zone, "elsewhere")
		i, ok := at[code]
		if !ok {
			i = len(b.Zones)
			at[code] = i
			b.Zones = append(b.Zones, zone{Code: code, Title: zoneTitle(code), Cautions: zoneCautions(code, books.Checkpoints)})
		}
		b.Zones[i].Points = append(b.Zones[i].Points, newPoint(c, policy))
	}
	slices.SortStableFunc(b.Zones, func(x, y zone) int { return cmp.Compare(place(x.Code), place(y.Code)) })
	return b
}

// place is where a zone comes in the walk.
func place(zone string) int {
	if i := slices.Index(walk, zone); i >= 0 {
		return i
	}
	return len(walk)
}

func newPoint(c data.Checkpoint, policy data.Policy) point {
	c = underPolicy(c, policy)
	p := point{
		Code: c.Code, Title: c.Title, Unit: c.Unit, Fitted: c.Fitted, HighBad: c.HighBad,
		Positions: titled(c.Positions),
		Limits:    limitWords(c), Steps: limitSteps(c),
		How: c.How, Caution: c.Caution,
		MayLack: mayLack(c),
	}
	return p
}
