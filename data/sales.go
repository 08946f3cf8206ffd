package data

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

// rawSale is a row of sales.csv as it was read.
type rawSale struct {
	SaleID          string `csv:"sale_id" need:"yes"`
	Maker           string `csv:"maker" need:"yes"`
	Model           string `csv:"model" need:"yes"`
	Body            string `csv:"body" need:"yes"`
	Chassis         string `csv:"chassis"`
	Gearbox         string `csv:"gearbox"`
	FirstRegistered string `csv:"first_registered" need:"yes"`
	Mileage         string `csv:"mileage" need:"yes"`
	Berths          string `csv:"berths"`
	LengthMM        string `csv:"length_mm"`
	Grade           string `csv:"grade"`
	Listed          string `csv:"listed"`
	Asking          string `csv:"asking"`
	SoldOn          string `csv:"sold_on" need:"yes"`
	SoldPrice       string `csv:"sold_price" need:"yes"`
	VAT             string `csv:"vat"`
}

// parseSale checks one row of sales.csv by itself. A sale without a price still
// says how long a van stood; a price without a day says nothing.
func parseSale(raw *rawSale, c *cells, at Source) Sale {
	s := Sale{
		SaleID:          c.name("sale_id", raw.SaleID),
		Maker:           c.needLabel("maker", raw.Maker),
		Model:           c.needLabel("model", raw.Model),
		Body:            needWord(c, "body", raw.Body, Bodies),
		Chassis:         c.label("chassis", raw.Chassis),
		Gearbox:         word(c, "gearbox", raw.Gearbox, GearboxWords),
		FirstRegistered: c.needPast("first_registered", raw.FirstRegistered),
		Mileage:         c.needWhole("mileage", raw.Mileage, 0, MaxMileage),
		Berths:          c.whole("berths", raw.Berths, 0, MaxPlaces),
		LengthMM:        c.whole("length_mm", raw.LengthMM, MinLengthMM, MaxLengthMM),
		Grade:           c.whole("grade", raw.Grade, 1, 5),
		Listed:          c.past("listed", raw.Listed),
		Asking:          c.price("asking", raw.Asking),
		SoldOn:          c.past("sold_on", raw.SoldOn),
		SoldPrice:       c.price("sold_price", raw.SoldPrice),
		VAT:             word(c, "vat", raw.VAT, VATSchemes),
		Source:          at,
	}
	c.need("sale_id", raw.SaleID, "a text; it is blank")
	c.notBefore("sold_on", s.SoldOn, "listed", s.Listed)
	if s.SoldPrice.Known && s.SoldOn == 0 && !c.refused("sold_on") {
		c.refuse("sold_on", raw.SoldOn, "sold_on.missing", "the day of the sale, as there is a sold_price")
	}
	return s
}

// saleKey keeps sale_ids apart.
var saleKey = uniqueKey[Sale]{
	column: "sale_id",
	value:  func(s *Sale) string { return s.SaleID },
	of:     func(s *Sale) string { return s.SaleID },
	shown:  func(s *Sale) string { return "sale_id " + s.SaleID },
	source: func(s *Sale) *Source { return &s.Source },
}
