package form

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/bodymap"
	"github.com/vanwright/vanwright/cmd/internal/offline"
	"github.com/vanwright/vanwright/data"
)

// book is what the script reads: the checkpoint book in the order of a walk, and
// what the yard knows.
type book struct {
	Zones             []zone           `json:"zones"`
	Wheels            []offline.Choice `json:"wheels"` // in the order of walking round
	Map               bodyMap          `json:"map"`    // of the damp points
	MapWithoutOvercab bodyMap          `json:"mapWithoutOvercab"`
	Bands             []band           `json:"bands"` // of damp, worst first
	Kinds             []offline.Choice `json:"kinds"` // of papers
	Stock             []stockVan       `json:"stock"`
	Models            []model          `json:"models"`
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
	offline.Measure
	Code      string           `json:"code"`
	Title     string           `json:"title"`
	Short     bool             `json:"short"`     // in the short appraisal
	Damp      bool             `json:"damp"`      // has its places on the map of the body
	Barred    []string         `json:"barred"`    // equipment with which the limits do not count
	Answer    string           `json:"answer"`    // the column of vans.csv that answers it; may be blank
	Positions []offline.Choice `json:"positions"` // none: one reading a van
	Fitted    []string         `json:"fitted"`    // equipment words; none: every van
	MayLack   bool             `json:"mayLack"`   // some vans have no such thing, and no equipment word tells
	Limits    string           `json:"limits"`    // in plain words
	Steps     []step           `json:"steps"`     // worst first
	HighBad   bool             `json:"highBad"`
	Allowed   bool             `json:"allowed"` // a value equal to a step has not reached it
	How       string           `json:"how"`
	Caution   string           `json:"caution"`
}

// step is a limit: the verdict of a value that has passed it.
type step struct {
	Verdict string  `json:"verdict"`
	At      float64 `json:"at"`
}

// shortPoints is how many points the short appraisal has, those of equipment that
// a van lacks counted too.
const shortPoints = 40

// walk is the order of the zones: round the van, then into the cab, out on the
// road while nothing in the back has been unpacked, and through the door. Within a
// zone the order is the book's. Zones of a yard's own book that are not among them
// come before the papers.
var walk = []string{
	"outside", "tyres", "underneath", "roof", "engine", "gas", "cab", "drive", "living", "kitchen", "washroom",
	"water", "heating", "electrics-12v", "electrics-230v", "safety", data.PapersZone,
}

// wheelWalk is the order in which one comes to the wheels.
var wheelWalk = []string{
	"nearside-front", "nearside-rear", "nearside-rear-outer", "nearside-rear-inner",
	"offside-rear", "offside-rear-outer", "offside-rear-inner", "offside-front", "spare",
}

func newBook(yard Yard) book {
	books := yard.Books
	b := book{
		Wheels: offline.Titled(wheelWalk), Kinds: offline.Titled(data.DocumentKinds),
		Bands: bands(books, yard.Policy), Stock: stock(yard.Vans), Models: models(yard.Vans),
	}
	short := appraise.ShortWalk(books, yard.Policy, shortPoints)
	at := map[string]int{}
	for _, c := range books.Checkpoints {
		code := cmp.Or(c.Zone, "elsewhere")
		i, ok := at[code]
		if !ok {
			i = len(b.Zones)
			at[code] = i
			b.Zones = append(b.Zones, zone{Code: code, Title: data.Heading(code), Cautions: zoneCautions(code, books.Checkpoints)})
		}
		p := newPoint(c, yard.Policy)
		p.Short = slices.Contains(short, c.Code)
		b.Zones[i].Points = append(b.Zones[i].Points, p)
	}
	slices.SortStableFunc(b.Zones, func(x, y zone) int { return cmp.Compare(place(x.Code), place(y.Code)) })
	if i := slices.IndexFunc(books.Checkpoints, func(c data.Checkpoint) bool { return appraise.IsDampSurvey(c.Code) }); i >= 0 {
		damp := books.Checkpoints[i]
		b.Map = newBodyMap(damp.Positions)
		b.MapWithoutOvercab = newBodyMap(slices.DeleteFunc(slices.Clone(damp.Positions), func(p string) bool { return bodymap.Side(p) == "overcab" }))
	}
	return b
}

// place is where a zone comes in the walk.
func place(zone string) int {
	if i := slices.Index(walk, zone); i >= 0 {
		return i
	}
	return slices.Index(walk, data.PapersZone)
}

// short counts the points of the short appraisal.
func (b book) short() int {
	n := 0
	for _, z := range b.Zones {
		for _, p := range z.Points {
			if p.Short {
				n++
			}
		}
	}
	return n
}

func newPoint(c data.Checkpoint, policy data.Policy) point {
	limits := appraise.LimitsOf(&c, &policy)
	p := point{
		Measure: offline.MeasureOf(&c), Code: c.Code, Title: c.Title,
		Fitted: c.Fitted, Damp: appraise.IsDampSurvey(c.Code), Barred: appraise.LimitsBarredBy(c.Code), Answer: appraise.AnsweredBy(c.Code),
		HighBad: limits.HighBad, Allowed: limits.Allowed, Positions: offline.Titled(c.Positions),
		Limits: limits.Words(), How: c.How, Caution: c.Caution, MayLack: mayLack(c),
	}
	for _, l := range limits.Steps() {
		p.Steps = append(p.Steps, step{l.Verdict.String(), l.At})
	}
	return p
}
