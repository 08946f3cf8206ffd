package data

// Verdict is what an inspector, or a limit, says of one point. Verdicts are
// ordered from Sound to Unsafe; Untested stands apart from that order.
type Verdict int

// The verdicts. NoVerdict is a blank cell.
const (
	NoVerdict Verdict = iota
	Untested
	Sound
	Worn
	Defect
	Unsafe
)

var verdictWords = [...]string{"", "untested", "sound", "worn", "defect", "unsafe"}

// String gives the word used in the tables.
func (v Verdict) String() string { return verdictWords[v] }

// ParseVerdict reads a word of the tables; false for any other word.
func ParseVerdict(s string) (Verdict, bool) {
	for i, w := range verdictWords {
		if i > 0 && w == s {
			return Verdict(i), true
		}
	}
	return NoVerdict, s == ""
}

// Reading is one row of readings.csv: what was measured or seen at one point.
// At least one of Value and Verdict is given.
type Reading struct {
	StockID    string
	TakenOn    Date
	Day        Date // the value of a checkpoint whose unit is "date"
	Inspector  string
	Checkpoint string // a code of the checkpoint book
	Position   string // such as nearside-front or offside-rear-low; may be blank
	Value      string // as read; blank where only a verdict was given
	Number     Opt[float64]
	Unit       string
	Verdict    Verdict
	Note       string
	Source     Source
}

// Document is one row of documents.csv: a paper that came, or should come,
// with a van.
type Document struct {
	StockID  string
	Kind     string
	Dated    Date
	Mileage  Opt[int] // miles
	Evidence string   // original, stamp, copy, online, verbal or blank
	Covers   []string
	Held     string // yes, promised or no
	Expires  Date
	Note     string
	Source   Source
}

// DocumentKinds, EvidenceWords and HeldWords are the closed lists of
// documents.csv. CoverWords is the open part's fixed core; appliance words of
// EquipmentWords may stand there too.
var (
	DocumentKinds = []string{
		"service-book", "invoice", "habitation-service", "damp-report", "gas-certificate",
		"electrical-certificate", "mot", "registration", "handbook", "key-code", "warranty",
		"recall", "other",
	}
	EvidenceWords = []string{"original", "stamp", "copy", "online", "verbal"}
	HeldWords     = []string{"yes", "promised", "no"}
	CoverWords    = []string{
		"engine-oil", "timing-belt", "brake-fluid", "coolant", "gearbox-oil", "tyres",
		"habitation", "damp", "gas", "electrics", "water-filter", "recall",
	}
)

// Sale is one row of sales.csv: a van of this or another dealer, sold or still
// for sale.
type Sale struct {
	SaleID          string
	Maker, Model    string
	Body            Body
	Chassis         string
	Gearbox         string
	FirstRegistered Date
	Mileage         int // miles
	Berths          Opt[int]
	LengthMM        Opt[int]
	Grade           Opt[int] // 1 best to 5
	Listed          Date
	Asking          Opt[Money] // VAT inside
	SoldOn          Date       // unknown: still for sale
	SoldPrice       Opt[Money] // VAT inside
	VAT             VATScheme
	Source          Source
}
