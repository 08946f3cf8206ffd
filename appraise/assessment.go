package appraise

import "github.com/vanwright/vanwright/data"

// Assessment is everything known of one van's condition and papers on a day.
type Assessment struct {
	Van                  data.Van
	AsOf                 data.Date
	Findings             []Finding // one for each point read, by checkpoint then position
	Untested             []Untested
	Papers               Papers
	Damp                 []DampArea
	DampRead, DampPoints int // damp points read, of those that the book names for this body
	Weights              Weights
	Identity             []Note       // what the marks, the VIN and the keepers say against each other; also in Papers.Provenance
	Notes                []Note       // further remarks for the buyer, such as mixed tyre ages
	Requests             []JobRequest // jobs asked for, by job then place; prep joins them
	Ask                  []string
}

// Finding is the standing of one point after its limits and the inspector's
// word were weighed. The worse of the two stands.
type Finding struct {
	// Checkpoint is what the book says of the point: its code, title, zone,
	// system, unit, caution and reference. All findings of a point share it, as
	// a large yard has a million of them. It is never nil and not to be changed.
	*data.Checkpoint
	Position string
	Value    string // as read
	Reason   string // one sentence
	Job      string // labour job asked for, by the verdict or the damp area; blank where none
	Note     string // the inspector's own
	Source   data.Source
	TakenOn  data.Date
	MendedOn data.Date // when its job was done after the reading; unknown where it was not
	Verdict  data.Verdict
	Reread   bool // mended, and to be read again: a reading or test proves it
	Stops    bool // unsafe, and neither a later reading nor a certificate has lifted it
}

// Untested is a point that applies to this van and was not tested. Untested
// is not sound: it carries the chance of a hidden defect.
type Untested struct {
	Checkpoint string
	Title      string
	System     string
	Places     []string // where it was not tested; empty: nowhere
	Chance     float64  // of a hidden defect, 0 to 1
	Job        string   // what that defect would need; blank where the book prices none
}

// JobRequest is one unit of work asked for by a finding or a missing paper.
type JobRequest struct {
	Job     string
	Place   string    // position or area the unit is for; blank for the whole van
	Units   float64   // of the labour book's unit, 1 unless an area is larger
	Because string    // the finding or paper that asks for it, one clause
	AskedOn data.Date // day of that reading or paper; unknown for a missing paper
	Source  data.Source
}

// Note is a remark with where it came from. Serious notes belong on the first
// screen.
type Note struct {
	Text    string
	Serious bool
	Source  data.Source
}

// DampArea is a group of neighbouring damp points, the worst of which is not
// dry.
type DampArea struct {
	Sides        []string // of nearside, offside, front, rear, roof, floor and overcab, sorted
	Points       []string // positions, sorted
	Place        string   // names the area in jobs: the words its points share
	HighPoints   int      // points at or above the band that asks for work
	WorstPercent float64
	Worst        string   // position of the worst point
	Rising       bool     // higher than an older reading at the same point
	Remedy       string   // labour job chosen; blank where it is only watched
	Lone         bool     // one high point among dry neighbours: read it again first
	Unread       []string // its neighbours that were not read, for a lone point
	IfReal       string   // labour job that a lone point would need
	Chance       float64  // that a lone point is real, 0 to 1
	Reason       string
}

// MileageCheck says whether the mileages on all papers and the van agree.
type MileageCheck string

// The outcomes of the mileage check.
const (
	MileageConsistent MileageCheck = "consistent"
	MileageFalls      MileageCheck = "falls"
	MileageJumps      MileageCheck = "jumps"
	MileageUnknown    MileageCheck = "unknown"
)

// Papers is what the van's documents prove and lack.
type Papers struct {
	HistoryScore         int     // 0 to 100
	EngineHistoryPct     float64 // share of due engine services with evidence, 0 to 100
	HabitationHistoryPct float64
	MOTExpires           data.Date // last day of the test in force or run out; unknown where no paper tells
	FirstMOT             bool      // MOTExpires is when the first test falls due: there is none yet
	BeltDue              data.Date // unknown where no belt applies or nothing is known
	Missing              []string  // not in hand, promised or not: words of the document kinds and covers, sorted
	Promised             []string  // the same words, of papers that are to come
	Mileage              MileageCheck
	MileageDoubt         string // why Mileage falls or jumps, a sentence; blank where it does neither
	Provenance           []Note
	Expiring             []Expiry // inside the next 60 days or already past
	Score                []ScoreLine
	Ended                []EndedPaper // by day
	Told                 []string     // what lacks evidence, and the buyer hears of in place of work
}

// EndedPaper is a paper that no longer proves what it covers: shown as history,
// and not handed over as proof.
type EndedPaper struct {
	Kind   string // of document
	Cover  string // what it proves no longer
	Dated  data.Date
	Why    string // one clause
	Source data.Source
}

// Expiry is a paper or alarm that ends, or a thing such as a gas hose that falls due
// for a new one by its age.
type Expiry struct {
	What  string // a word of the tables, for data.Title
	On    data.Date
	Month bool // only the month is printed: On is its last day
	Due   bool // by its age, not by a day printed on it
}

// Day writes when it ends: the month where no more is printed.
func (e Expiry) Day() string {
	if e.Month {
		return e.On.MonthWords()
	}
	return e.On.Words()
}

// ScoreLine is one line of the history score's reckoning; lines add up to it.
type ScoreLine struct {
	What   string
	Points float64
	Of     float64
}

// Event is one paper on the time line, or a gap between two.
type Event struct {
	From, To data.Date // equal for a paper
	What     string
	Gap      bool
	Evidence string
	Mileage  data.Opt[int]
	Source   data.Source
}

// Weights is what the plated masses leave for people and goods.
type Weights struct {
	Known        bool
	Measured     bool   // MassKg is from a weighbridge
	MassKg       int    // counted against the maximum mass: as weighed, or in running order with the options
	Basis        string // where MassKg is from
	ToleranceKg  int    // by which a mass that was not measured may be out: 5 % of the running mass
	PayloadKg    int    // left below the maximum mass with the driver aboard
	AllBeltsKg   int    // payload left with every belt filled at 75 kg
	MinimumKg    int    // what the rule asks for, 10 × (n + L)
	BelowMinimum bool
	Licence      string        // "B", "C1" or "C"
	AxleSumKg    int           // front and rear plated axle masses; 0 where unknown
	AxleSumShort bool          // the axles add up to less than the maximum mass
	FrontLeftKg  data.Opt[int] // below the axle's plate, as weighed
	RearLeftKg   data.Opt[int]
	Remarks      []Note
}
