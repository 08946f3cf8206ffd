package data

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
)

// Body is the shape of a van's living part.
type Body string

// The bodies that the tables may name.
const (
	PanelVan   Body = "panel-van"
	RisingRoof Body = "rising-roof"
	LowProfile Body = "low-profile"
	Overcab    Body = "overcab"
	AClass     Body = "a-class"
)

// Bodies lists every Body in the order in which reports show them.
var Bodies = []Body{PanelVan, RisingRoof, LowProfile, Overcab, AClass}

// Status is where a van stands in the dealer's hands.
type Status string

// The states of a van.
const (
	Offered   Status = "offered"   // somebody else's; a bid is wanted
	Owned     Status = "owned"     // bought, work not begun
	Preparing Status = "preparing" // in the workshop
	Ready     Status = "ready"     // for sale
	Sold      Status = "sold"
)

// Statuses lists every Status.
var Statuses = []Status{Offered, Owned, Preparing, Ready, Sold}

// InHand reports whether the dealer owns the van and has not sold it.
func (s Status) InHand() bool { return s == Owned || s == Preparing || s == Ready }

// VATScheme says how VAT falls on a van's sale.
type VATScheme string

// The two schemes.
const (
	MarginScheme VATScheme = "margin"     // VAT on the margin only
	Qualifying   VATScheme = "qualifying" // bought with VAT shown; VAT on the whole price
)

// PurchaseSource is from whom the dealer bought or may buy.
type PurchaseSource string

// The sources of stock.
const (
	PartExchange PurchaseSource = "part-exchange"
	Private      PurchaseSource = "private"
	Trade        PurchaseSource = "trade"
	Auction      PurchaseSource = "auction"
)

// EquipmentWords are the words that a van's equipment list may hold.
var EquipmentWords = []string{
	"cassette-toilet", "gas-locker", "gas-tank", "gas-heater", "diesel-heater",
	"electric-heater", "water-heater", "hookup", "socket-230v", "three-way-fridge",
	"compressor-fridge", "hob", "oven", "awning", "solar", "battery-lead-acid",
	"battery-agm", "battery-lithium", "reversing-camera", "external-shower",
	"freshwater-tank", "waste-tank", "swivel-seats", "rising-roof", "drop-down-bed",
	"television", "towbar", "smoke-alarm", "co-alarm", "fire-extinguisher",
	"rear-rack", "ladder", "steadies", "bunk-ladder",
}

// Van is one row of vans.csv.
type Van struct {
	StockID         string
	Reg, VIN        string
	Maker, Model    string
	Body            Body
	Chassis, Fuel   string
	Gearbox         string // "manual", "automatic" or blank
	FirstRegistered Date
	Mileage         int // miles, ≥ 0
	Berths, Belts   Opt[int]
	LengthMM        Opt[int]
	HeightMM        Opt[int] // with all that is on the roof
	FrontTyrePsi    Opt[int] // cold, as the plate or the maker has it for a loaded van
	RearTyrePsi     Opt[int]
	MaxMassKg       Opt[int] // plated maximum mass
	RunningMassKg   Opt[int] // mass in running order
	FrontAxleKg     Opt[int] // plated axle masses
	RearAxleKg      Opt[int]
	OptionsKg       Opt[int] // extras fitted beyond the mass in running order
	WeighedKg       Opt[int] // what a weighbridge said of the whole van, and of each axle
	WeighedFrontKg  Opt[int]
	WeighedRearKg   Opt[int]
	WeighedWith     []string // WeighedWithWords aboard at the weighing; passenger once for each
	Keepers, Keys   Opt[int]
	Site            string
	PurchaseSource  PurchaseSource // column source; blank where not said
	VAT             VATScheme      // blank in the table is MarginScheme with VATAssumed
	VATAssumed      bool
	Status          Status
	Cost            Opt[Money] // paid or allowed, VAT inside where Qualifying; unknown for Offered
	Acquired        Date
	Listed          Date
	Asking          Opt[Money] // VAT inside
	SoldOn          Date
	SoldPrice       Opt[Money] // VAT inside
	Guide           Opt[Money] // a price guide's retail figure, VAT inside
	FinanceOwed     Opt[Money]
	PromisedOn      Date
	ReservedOn      Date      // a customer has it kept
	DeliveredOn     Date      // handed to the customer; known only for a Sold van
	VATDoubt        bool      // no column: the papers make the margin scheme doubtful; see pricing.VATDoubt
	VATOnInvoice    Opt[bool] // whether the purchase invoice shows VAT; unknown where it was not looked at
	BoughtFrom      string    // who sold it to the dealer; for the stock book alone, as are the next three
	PurchaseInvoice string
	SoldTo          string
	SaleInvoice     string
	Salvage         string // blank, A, B, S or N
	Imported        bool   // imported by the dealer
	Equipment       []string
	Source          Source
}

// Has reports whether the equipment word is on the van's list.
func (v Van) Has(word string) bool {
	return slices.Contains(v.Equipment, word)
}

// AgeYears returns the van's age on a day in years of 365.25 days, never
// below zero.
func (v Van) AgeYears(on Date) float64 { return max(0, on.YearsSince(v.FirstRegistered)) }

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
	HeightMM        string `csv:"height_mm"`
	FrontTyrePsi    string `csv:"front_tyre_psi"`
	RearTyrePsi     string `csv:"rear_tyre_psi"`
	MaxMassKg       string `csv:"max_mass_kg"`
	RunningMassKg   string `csv:"running_mass_kg"`
	FrontAxleKg     string `csv:"front_axle_kg"`
	RearAxleKg      string `csv:"rear_axle_kg"`
	OptionsKg       string `csv:"options_kg"`
	WeighedKg       string `csv:"weighed_kg"`
	WeighedFrontKg  string `csv:"weighed_front_kg"`
	WeighedRearKg   string `csv:"weighed_rear_kg"`
	WeighedWith     string `csv:"weighed_with"`
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
	ReservedOn      string `csv:"reserved_on"`
	DeliveredOn     string `csv:"delivered_on"`
	VATOnInvoice    string `csv:"vat_on_invoice"`
	BoughtFrom      string `csv:"bought_from"`
	PurchaseInvoice string `csv:"purchase_invoice"`
	SoldTo          string `csv:"sold_to"`
	SaleInvoice     string `csv:"sale_invoice"`
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
	// WeighedWithWords are what may be aboard a van on a weighbridge. The driver
	// and each passenger count 75 kg.
	WeighedWithWords = []string{"driver", "passenger", "water", "fuel", "gas", "load"}
)

// Ranges of vans.csv and sales.csv: outside them a number is a slip of the
// hand. Common practice, no source.
const (
	MaxMileage               = 999_999
	MaxPlaces                = 20 // berths or belts
	MinLengthMM, MaxLengthMM = 2_000, 15_000
	MinHeightMM, MaxHeightMM = 1_700, 4_500
	MinTyrePsi, MaxTyrePsi   = 20, 110
	MinMassKg, MaxMassKg     = 500, 20_000
	MinAxleKg                = 200
	MaxOptionsKg             = 3_000
	MaxKeepers, MaxVanKeys   = 50, 20
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
	if deviceName.MatchString(value) {
		c.refuse(column, value, column+".device", "a stock_id that Windows can have as a file name, unlike this one, which is a device to it")
		return ""
	}
	return strings.Clone(value)
}

// deviceName are the names that Windows keeps for devices, whatever the ending of the
// file: a van's page could not be kept under one. From memory.
var deviceName = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9]|lpt[0-9])$`)

func isStockID(s string) bool {
	for i := range len(s) {
		b := s[i]
		if !(b >= 'A' && b <= 'Z' || b >= 'a' && b <= 'z' || b >= '0' && b <= '9' || b == '-') {
			return false
		}
	}
	return s != "" && len(s) <= 20
}

// LatestSold is the day from which on the n vans sold last were sold, or all of
// them where there are fewer; those of one day belong together. It is unknown
// where n is 0 or none was sold.
func LatestSold(vans []Van, n int) Date {
	var days []Date
	for i := range vans {
		if vans[i].Status == Sold && !vans[i].SoldOn.IsZero() {
			days = append(days, vans[i].SoldOn)
		}
	}
	if n <= 0 || len(days) == 0 {
		return 0
	}
	slices.Sort(days)
	return days[max(0, len(days)-n)]
}

// vanKey keeps vans apart. Stock numbers become file names, and some file
// systems do not tell v7.html from V7.html.
var vanKey = uniqueKey[Van]{
	column: "stock_id",
	value:  func(v *Van) string { return v.StockID },
	of:     func(v *Van) string { return strings.ToLower(v.StockID) },
	shown:  func(v *Van) string { return "stock_id " + v.StockID },
	source: func(v *Van) *Source { return &v.Source },
	same: func(a, b *Van) bool {
		x, y := *a, *b
		x.Source, x.StockID, y.Source, y.StockID = Source{}, "", Source{}, ""
		return reflect.DeepEqual(x, y)
	},
	prefer: func(a, b *Van) int { return strings.Compare(a.StockID, b.StockID) },
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
		Mileage:         c.needWhole("mileage", raw.Mileage, 0, MaxMileage),
		Berths:          c.whole("berths", raw.Berths, 0, MaxPlaces),
		Belts:           c.whole("belts", raw.Belts, 0, MaxPlaces),
		LengthMM:        c.whole("length_mm", raw.LengthMM, MinLengthMM, MaxLengthMM),
		HeightMM:        c.whole("height_mm", raw.HeightMM, MinHeightMM, MaxHeightMM),
		FrontTyrePsi:    c.psi("front_tyre_psi", raw.FrontTyrePsi),
		RearTyrePsi:     c.psi("rear_tyre_psi", raw.RearTyrePsi),
		MaxMassKg:       c.whole("max_mass_kg", raw.MaxMassKg, MinMassKg, MaxMassKg),
		RunningMassKg:   c.whole("running_mass_kg", raw.RunningMassKg, MinMassKg, MaxMassKg),
		FrontAxleKg:     c.whole("front_axle_kg", raw.FrontAxleKg, MinMassKg, MaxMassKg),
		RearAxleKg:      c.whole("rear_axle_kg", raw.RearAxleKg, MinMassKg, MaxMassKg),
		OptionsKg:       c.whole("options_kg", raw.OptionsKg, 0, MaxOptionsKg),
		WeighedKg:       c.whole("weighed_kg", raw.WeighedKg, MinMassKg, MaxMassKg),
		WeighedFrontKg:  c.whole("weighed_front_kg", raw.WeighedFrontKg, MinAxleKg, MaxMassKg),
		WeighedRearKg:   c.whole("weighed_rear_kg", raw.WeighedRearKg, MinAxleKg, MaxMassKg),
		WeighedWith:     repeatedWords(c, "weighed_with", raw.WeighedWith, WeighedWithWords),
		Keepers:         c.whole("keepers", raw.Keepers, 0, MaxKeepers),
		Keys:            c.whole("keys", raw.Keys, 0, MaxVanKeys),
		Site:            c.label("site", raw.Site),
		PurchaseSource:  word(c, "source", raw.Source, PurchaseSources),
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
		ReservedOn:      c.past("reserved_on", raw.ReservedOn),
		DeliveredOn:     c.past("delivered_on", raw.DeliveredOn),
		VATOnInvoice:    c.optYesNo("vat_on_invoice", raw.VATOnInvoice),
		BoughtFrom:      c.name("bought_from", raw.BoughtFrom),
		PurchaseInvoice: c.name("purchase_invoice", raw.PurchaseInvoice),
		SoldTo:          c.name("sold_to", raw.SoldTo),
		SaleInvoice:     c.name("sale_invoice", raw.SaleInvoice),
		Salvage:         word(c, "salvage", raw.Salvage, SalvageWords),
		Imported:        c.yesNo("imported", raw.Imported),
		Equipment:       words(c, "equipment", raw.Equipment, EquipmentWords),
		Source:          at,
	}
	c.id = v.StockID
	if v.VAT == "" && !c.refused("vat") {
		v.VAT, v.VATAssumed = MarginScheme, true
	}
	checkVan(v, raw, c)
	return v
}

// PsiOfBar is how many pounds a square inch make one bar: 100,000 Pa at 6,894.757 Pa each.
const PsiOfBar = 14.50377

// psi reads an optional tyre pressure in psi, and tells one in bar.
func (c *cells) psi(column, value string) Opt[int] {
	if bar, ok := parseDecimal(trim(value)); ok && bar >= 1 && bar < 10 {
		c.refuse(column, trim(value), column+".unit", fmt.Sprintf("psi, not bar: %v bar are %.0f psi", bar, bar*PsiOfBar))
		return Opt[int]{}
	}
	return c.whole(column, value, MinTyrePsi, MaxTyrePsi)
}

// checkVan refuses what the cells of a van say against each other.
func checkVan(v Van, raw *rawVan, c *cells) {
	if v.RunningMassKg.Known && v.MaxMassKg.Known && v.RunningMassKg.Value > v.MaxMassKg.Value {
		c.refuse("running_mass_kg", raw.RunningMassKg, "running_mass_kg.order",
			fmt.Sprintf("at most max_mass_kg, %d", v.MaxMassKg.Value))
	}
	for _, axle := range []struct {
		column, value string
		kg            Opt[int]
	}{{"weighed_front_kg", raw.WeighedFrontKg, v.WeighedFrontKg}, {"weighed_rear_kg", raw.WeighedRearKg, v.WeighedRearKg}} {
		if axle.kg.Known && v.WeighedKg.Known && axle.kg.Value > v.WeighedKg.Value {
			c.refuse(axle.column, axle.value, axle.column+".order", fmt.Sprintf("at most weighed_kg, %d", v.WeighedKg.Value))
		}
	}
	c.notBefore("sold_on", v.SoldOn, "acquired", v.Acquired)
	c.notBefore("delivered_on", v.DeliveredOn, "acquired", v.Acquired)
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
	if v.Status != Sold && v.DeliveredOn != 0 {
		c.refuse("delivered_on", raw.DeliveredOn, "delivered_on.status", sold)
	}
	switch {
	case v.Status != Sold && v.SoldPrice.Known:
		c.refuse("sold_price", raw.SoldPrice, "sold_price.status", sold)
	case v.Status == Sold && !v.SoldPrice.Known && !c.refused("sold_price"):
		c.refuse("sold_price", raw.SoldPrice, "sold_price.missing", "the price of the sale, as the status is sold")
	}
}
