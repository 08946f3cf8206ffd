package data

import (
	"fmt"
	"strings"
)

// rawVan is a row of vans.csv as it was read.
type rawVan struct {
	StockID         string `csv:"stock_id" need:"yes"`
	Reg             string `csv:"reg"`
	VIN             string `csv:"vin"`
	Maker           string `csv:"maker" need:"yes"`
	Model           string `csv:"model" need:"yes"`
	Body            string `csv:"body" need:"yes"`
	Chassis         string `csv:"chassis"`
	Fuel            string `csv:"fuel"`
	Gearbox         string `csv:"gearbox"`
	FirstRegistered string `csv:"first_registered" need:"yes"`
	Mileage         string `csv:"mileage" need:"yes"`
	Berths          string `csv:"berths"`
	Belts           string `csv:"belts"`
	LengthMM        string `csv:"length_mm"`
	MaxMassKg       string `csv:"max_mass_kg"`
	RunningMassKg   string `csv:"running_mass_kg"`
	FrontAxleKg     string `csv:"front_axle_kg"`
	RearAxleKg      string `csv:"rear_axle_kg"`
	Keepers         string `csv:"keepers"`
	Keys            string `csv:"keys"`
	Site            string `csv:"site"`
	Source          string `csv:"source"`
	VAT             string `csv:"vat"`
	Status          string `csv:"status" need:"yes"`
	Cost            string `csv:"cost"`
	Acquired        string `csv:"acquired"`
	Listed          string `csv:"listed"`
	Asking          string `csv:"asking"`
	SoldOn          string `csv:"sold_on"`
	SoldPrice       string `csv:"sold_price"`
	Guide           string `csv:"guide"`
	FinanceOwed     string `csv:"finance_owed"`
	PromisedOn      string `csv:"promised_on"`
	Salvage         string `csv:"salvage"`
	Imported        string `csv:"imported"`
	Equipment       string `csv:"equipment"`
}

// The closed lists of vans.csv that have no type of their own.
var (
	GearboxWords    = []string{"manual", "automatic"}
	PurchaseSources = []PurchaseSource{PartExchange, Private, Trade, Auction}
	VATSchemes      = []VATScheme{MarginScheme, Qualifying}
	SalvageWords    = []string{"A", "B", "S", "N"}
)

// Ranges of vans.csv and sales.csv: outside them a number is a slip of the
// hand. Common practice, no source.
const (
	maxMileage             = 999_999
	maxPlaces              = 20 // berths or belts
	minLength, maxLength   = 2_000, 15_000
	minMassKg, maxMassKg   = 500, 20_000
	maxKeepers, maxVanKeys = 50, 20
)

// stockID reads a stock number: 1 to 20 of A-Z a-z 0-9 and hyphen, so that it
// can stand in a file name anywhere.
func (c *cells) stockID(column, value string) string {
	value = trim(value)
	const expected = "1 to 20 of A-Z, a-z, 0-9 and -"
	if !c.need(column, value, expected) {
		return ""
	}
	if !isStockID(value) {
		c.refuse(column, value, column+".form", expected)
		return ""
	}
	return strings.Clone(value)
}

func isStockID(s string) bool {
	for i := range len(s) {
		b := s[i]
		if !(b >= 'A' && b <= 'Z' || b >= 'a' && b <= 'z' || b >= '0' && b <= '9' || b == '-') {
			return false
		}
	}
	return s != "" && len(s) <= 20
}

// parseVan checks one row of vans.csv by itself.
func parseVan(raw *rawVan, c *cells, at Source) Van {
	v := Van{
		StockID:         c.stockID("stock_id", raw.StockID),
		Reg:             c.name("reg", raw.Reg),
		VIN:             c.name("vin", raw.VIN),
		Maker:           c.needLabel("maker", raw.Maker),
		Model:           c.needLabel("model", raw.Model),
		Body:            needWord(c, "body", raw.Body, Bodies),
		Chassis:         c.label("chassis", raw.Chassis),
		Fuel:            c.label("fuel", raw.Fuel),
		Gearbox:         word(c, "gearbox", raw.Gearbox, GearboxWords),
		FirstRegistered: c.needPast("first_registered", raw.FirstRegistered),
		Mileage:         c.needWhole("mileage", raw.Mileage, 0, maxMileage),
		Berths:          c.whole("berths", raw.Berths, 0, maxPlaces),
		Belts:           c.whole("belts", raw.Belts, 0, maxPlaces),
		LengthMM:        c.whole("length_mm", raw.LengthMM, minLength, maxLength),
		MaxMassKg:       c.whole("max_mass_kg", raw.MaxMassKg, minMassKg, maxMassKg),
		RunningMassKg:   c.whole("running_mass_kg", raw.RunningMassKg, minMassKg, maxMassKg),
		FrontAxleKg:     c.whole("front_axle_kg", raw.FrontAxleKg, minMassKg, maxMassKg),
		RearAxleKg:      c.whole("rear_axle_kg", raw.RearAxleKg, minMassKg, maxMassKg),
		Keepers:         c.whole("keepers", raw.Keepers, 0, maxKeepers),
		Keys:            c.whole("keys", raw.Keys, 0, maxVanKeys),
		Site:            c.label("site", raw.Site),
		BoughtFrom:      word(c, "source", raw.Source, PurchaseSources),
		VAT:             word(c, "vat", raw.VAT, VATSchemes),
		Status:          needWord(c, "status", raw.Status, Statuses),
		Cost:            c.money("cost", raw.Cost),
		Acquired:        c.past("acquired", raw.Acquired),
		Listed:          c.date("listed", raw.Listed),
		Asking:          c.price("asking", raw.Asking),
		SoldOn:          c.past("sold_on", raw.SoldOn),
		SoldPrice:       c.money("sold_price", raw.SoldPrice),
		Guide:           c.price("guide", raw.Guide),
		FinanceOwed:     c.money("finance_owed", raw.FinanceOwed),
		PromisedOn:      c.date("promised_on", raw.PromisedOn),
		Salvage:         word(c, "salvage", raw.Salvage, SalvageWords),
		Imported:        c.yesNo("imported", raw.Imported),
		Equipment:       words(c, "equipment", raw.Equipment, EquipmentWords),
		Source:          at,
	}
	if v.VAT == "" && !c.refused("vat") {
		v.VAT, v.VATAssumed = MarginScheme, true
	}
	checkVan(v, raw, c)
	return v
}

// checkVan refuses what the cells of a van say against each other.
func checkVan(v Van, raw *rawVan, c *cells) {
	if v.RunningMassKg.Known && v.MaxMassKg.Known && v.RunningMassKg.Value > v.MaxMassKg.Value {
		c.refuse("running_mass_kg", raw.RunningMassKg, "running_mass_kg.order",
			fmt.Sprintf("at most max_mass_kg, %d", v.MaxMassKg.Value))
	}
	c.notBefore("sold_on", v.SoldOn, "acquired", v.Acquired)
	if v.Status == "" {
		return
	}
	if v.Status == Offered && v.Cost.Known {
		c.refuse("cost", raw.Cost, "cost.offered", "a blank: nothing has been paid for an offered van")
	}
	const sold = "a blank, or status sold"
	switch {
	case v.Status != Sold && v.SoldOn != 0:
		c.refuse("sold_on", raw.SoldOn, "sold_on.status", sold)
	case v.Status == Sold && v.SoldOn == 0 && !c.refused("sold_on"):
		c.refuse("sold_on", raw.SoldOn, "sold_on.missing", "the day of the sale, as the status is sold")
	}
	switch {
	case v.Status != Sold && v.SoldPrice.Known:
		c.refuse("sold_price", raw.SoldPrice, "sold_price.status", sold)
	case v.Status == Sold && !v.SoldPrice.Known && !c.refused("sold_price"):
		c.refuse("sold_price", raw.SoldPrice, "sold_price.missing", "the price of the sale, as the status is sold")
	}
}

// vanIndex knows every stock_id of vans.csv, for the tables that name one.
type vanIndex struct {
	accepted map[string]string // stock_id to the one copy of it that records share
	rejected map[string]int    // stock_id to line, where no row of it was accepted
	folded   map[string]string // without regard to case, to say what was meant
}

// parseVans returns a parser of vans.csv that keeps stock_ids apart, and the
// index that note fills as it is settled which rows are used.
func parseVans() (rowParser[rawVan, Van], *vanIndex) {
	ix := &vanIndex{accepted: map[string]string{}, rejected: map[string]int{}, folded: map[string]string{}}
	return func(raw *rawVan, c *cells, at Source) Van {
		v := parseVan(raw, c, at)
		// Stock numbers become file names, and some file systems do not tell
		// v7.html from V7.html.
		c.unique("stock_id", v.StockID, strings.ToLower(v.StockID))
		return v
	}, ix
}

// note adds the stock_id of a row of vans.csv.
func (ix *vanIndex) note(stockID string, line int, accepted bool) {
	if accepted {
		ix.accepted[stockID] = stockID
		ix.folded[strings.ToLower(stockID)] = stockID
		delete(ix.rejected, stockID)
	} else if _, ok := ix.accepted[stockID]; !ok {
		ix.rejected[stockID] = line
	}
}

// find reads the stock_id of another table and refuses one whose van is not
// there, saying which way it is missing.
func (ix *vanIndex) find(c *cells, value string) string {
	value = trim(value)
	if value == c.lastVan && value != "" {
		return c.lastVan
	}
	if id, ok := ix.accepted[value]; ok {
		c.lastVan = id
		return id
	}
	if !c.need("stock_id", value, "the stock_id of a van of vans.csv") {
		return ""
	}
	switch line, ok := ix.rejected[value]; {
	case ok:
		c.refuse("stock_id", value, "stock_id.rejected",
			fmt.Sprintf("a van that was accepted; its row, vans.csv:%d, was rejected", line))
	case ix.folded[strings.ToLower(value)] != "":
		c.refuse("stock_id", value, "stock_id.unknown",
			fmt.Sprintf("a van of vans.csv; did you mean %q?", ix.folded[strings.ToLower(value)]))
	default:
		c.refuse("stock_id", value, "stock_id.unknown", "a van of vans.csv; there is none of this stock_id")
	}
	return ""
}
