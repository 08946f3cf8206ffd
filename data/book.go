package data

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
	Job                        string  // labour job that a defect asks for
	WornJob                    string  // labour job that wear asks for; mostly blank
	System                     string  // faults in one system tend to come together
	RiskNewPct, RiskOldPct     float64 // chance of a hidden defect where untested, at 2 and 15 years
	RiskJob                    string  // what that defect would need
	How                        string
	Caution                    string
	Reference                  string // where the limit comes from
	Source                     Source
}

// LabourJob is one row of the labour book.
type LabourJob struct {
	Code                             string
	Title                            string
	Skill                            string
	Bay                              string  // blank: the work needs no bay
	HoursLow, HoursLikely, HoursHigh float64 // labour hours for a body with factor 1
	BodyFactor                       map[Body]float64
	DryingHours                      float64  // elapsed hours after the work, while nobody works
	After                            []string // jobs that come first where both are on the van
	Parts                            []PartUse
	Gate                             string
	Absorbs                          []string // jobs that this one makes unnecessary
	Per                              string   // what one unit is: van, position or area
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

// Part is one row of the parts book.
type Part struct {
	Code     string
	Title    string
	UnitCost Money // ex VAT
	InStock  int
	LeadDays int // calendar days from order to shelf
	Supplier string
	Bin      string // where it lies on the dealer's shelves; blank in the built-in book
	Source   Source
}

// HandoverStep is one row of the handover book: something to show a new owner.
type HandoverStep struct {
	Equipment    string // blank: every van
	Step         string
	Title        string
	Text         string
	Caution      string
	Season       string // summer, winter or blank
	Zone         string
	UsualMistake string
	Order        int // place in the walk
	Source       Source
}

// Books are the four books a run works from, each built in or the yard's own.
type Books struct {
	Checkpoints []Checkpoint
	Labour      []LabourJob
	Parts       []Part
	Handover    []HandoverStep

	checkpoint map[string]int
	job        map[string]int
	part       map[string]int
}

// Checkpoint returns the checkpoint of a code, a blank one where the book has
// none. It is the book's own and must not be changed.
func (b *Books) Checkpoint(code string) (*Checkpoint, bool) {
	i, ok := b.checkpoint[code]
	if !ok {
		return &Checkpoint{}, false
	}
	return &b.Checkpoints[i], true
}

// Job returns the labour job of a code, a blank one where the book has none. It
// is the book's own and must not be changed.
func (b *Books) Job(code string) (*LabourJob, bool) {
	i, ok := b.job[code]
	if !ok {
		return &LabourJob{}, false
	}
	return &b.Labour[i], true
}

// Part returns the part of a code.
func (b *Books) Part(code string) (Part, bool) {
	i, ok := b.part[code]
	if !ok {
		return Part{}, false
	}
	return b.Parts[i], true
}
