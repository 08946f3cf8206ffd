package data

// Part is one row of the parts book.
type Part struct {
	Code      string
	Title     string
	UnitCost  Money // ex VAT
	InStock   int   // when it was counted
	CountedOn Date  // unknown: before everything that the yard tells of
	LeadDays  int   // calendar days from order to shelf
	Supplier  string
	Bin       string // where it lies on the dealer's shelves; blank in the built-in book
	Source    Source
}

// BuiltIn reports whether a part is of the built-in book, of which no yard counted the
// stock.
func (p Part) BuiltIn() bool { return p.Source.File == builtInName("parts.csv") }

type rawPart struct {
	Part      string `csv:"part" need:"yes"`
	Title     string `csv:"title" need:"yes"`
	UnitCost  string `csv:"unit_cost" need:"yes"`
	InStock   string `csv:"in_stock"`
	CountedOn string `csv:"counted_on"`
	LeadDays  string `csv:"lead_days"`
	Supplier  string `csv:"supplier"`
	Bin       string `csv:"bin"`
}

func parsePart(raw *rawPart, c *cells, at Source) Part {
	c.need("unit_cost", raw.UnitCost, "the price of one, ex VAT")
	return Part{
		Code:      c.bookCode("part", raw.Part),
		Title:     c.needLabel("title", raw.Title),
		UnitCost:  c.money("unit_cost", raw.UnitCost).Value,
		InStock:   c.whole("in_stock", raw.InStock, 0, 1_000_000).Value,
		CountedOn: c.date("counted_on", raw.CountedOn),
		LeadDays:  c.whole("lead_days", raw.LeadDays, 0, 1000).Value,
		Supplier:  c.label("supplier", raw.Supplier),
		Bin:       c.label("bin", raw.Bin),
		Source:    at,
	}
}
