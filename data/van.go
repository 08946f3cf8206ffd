package data

import "slices"

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
	MaxMassKg       Opt[int] // plated maximum mass
	RunningMassKg   Opt[int] // mass in running order
	FrontAxleKg     Opt[int] // plated axle masses
	RearAxleKg      Opt[int]
	Keepers, Keys   Opt[int]
	Site            string
	BoughtFrom      PurchaseSource // column source; blank where not said
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
