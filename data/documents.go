package data

import (
	"cmp"
	"slices"
	"strings"
)

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

// rawDocument is a row of documents.csv as it was read.
type rawDocument struct {
	StockID  string `csv:"stock_id" need:"yes"`
	Kind     string `csv:"kind" need:"yes"`
	Dated    string `csv:"dated"`
	Mileage  string `csv:"mileage"`
	Evidence string `csv:"evidence"`
	Covers   string `csv:"covers"`
	Held     string `csv:"held"`
	Expires  string `csv:"expires"`
	Note     string `csv:"note"`
}

// compareDocuments is the order of the papers of a van.
func compareDocuments(a, b Document) int {
	return cmp.Or(cmp.Compare(a.Dated, b.Dated), strings.Compare(a.Kind, b.Kind), cmp.Compare(a.Expires, b.Expires),
		cmp.Compare(a.Mileage.Or(-1), b.Mileage.Or(-1)), strings.Compare(a.Held, b.Held), strings.Compare(a.Evidence, b.Evidence),
		slices.Compare(a.Covers, b.Covers), strings.Compare(a.Note, b.Note))
}

// parseDocuments returns a parser of documents.csv. A paper whose held cell is
// blank counts as held where it has a date, since somebody read that off it;
// without a date the paper is not said to be there, and the row is refused.
func parseDocuments(vans *vanIndex) rowParser[rawDocument, Document] {
	return func(raw *rawDocument, c *cells, at Source) Document {
		d := Document{
			StockID:  vans.find(c, raw.StockID),
			Kind:     needWord(c, "kind", raw.Kind, DocumentKinds),
			Dated:    c.past("dated", raw.Dated),
			Mileage:  c.whole("mileage", raw.Mileage, 0, MaxMileage),
			Evidence: word(c, "evidence", raw.Evidence, EvidenceWords),
			Covers:   words(c, "covers", raw.Covers, CoverWords, EquipmentWords),
			Held:     word(c, "held", raw.Held, HeldWords),
			Expires:  c.date("expires", raw.Expires),
			Note:     c.note("note", raw.Note),
			Source:   at,
		}
		if trim(raw.Held) == "" {
			if d.Dated != 0 || c.refused("dated") {
				d.Held = "yes"
			} else {
				c.refuse("held", "", "held.missing", oneOf(c, "held", "", HeldWords))
			}
		}
		c.notBefore("expires", d.Expires, "dated", d.Dated)
		return d
	}
}
