package form

import "github.com/vanwright/vanwright/cmd/internal/offline"

// unit is what a value in it may be, as package data takes it, so that a slip
// shows while the buyer still stands at the van.
type unit struct {
	Sign  string  `json:"sign"` // how it is written; blank: as its name
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Whole bool    `json:"whole"`
}

// units repeats the bounds of package data, which keeps them to itself; a test
// holds the two together. A unit that is not here takes any number up to a
// million.
var units = map[string]unit{
	"percent": {Sign: "%", High: 100},
	"mm":      {High: 20_000},
	"V":       {High: 1_000},
	"A":       {Low: -2_000, High: 2_000},
	"mbar":    {Low: -1_000, High: 20_000},
	"ms":      {High: 100_000},
	"megohm":  {High: 1_000_000},
	"degC":    {Sign: "°C", Low: -273.15, High: 1_500},
	"ppm":     {High: 1_000_000},
	"count":   {High: 10_000, Whole: true},
	"index":   {High: 279, Whole: true},
}

// unitOf is any number up to a million where the unit has no bounds.
func unitOf(name string) unit {
	if u, ok := units[name]; ok {
		return u
	}
	return unit{Low: -1_000_000, High: 1_000_000}
}

// Bounds of whole numbers are those of package data; a test holds them together.
var (
	identity = []offline.Field{
		{Name: "reg", Label: "Registration", Kind: "text"},
		{Name: "stock_id", Label: "Stock number", Kind: "code", Required: true,
			Hint: "Letters, digits and hyphens, 20 at most. Follows the registration until you type your own."},
		{Name: "maker", Label: "Maker", Kind: "text", Required: true},
		{Name: "model", Label: "Model", Kind: "text", Required: true},
		{Name: "first_registered", Label: "First registered", Kind: "date", Required: true, Past: true},
		{Name: "mileage", Label: "Mileage", Kind: "whole", High: 999_999, Unit: "miles", Required: true},
	}
	visit = []offline.Field{
		{Name: "taken_on", Label: "Inspected on", Kind: "date", Required: true, Past: true},
		{Name: "inspector", Label: "Inspected by", Kind: "text"},
	}
	plates = []offline.Field{
		{Name: "vin", Label: "VIN", Kind: "text", Hint: "17 characters, as on the plate."},
		{Name: "chassis", Label: "Base vehicle", Kind: "text"},
		{Name: "fuel", Label: "Fuel", Kind: "text"},
		{Name: "gearbox", Label: "Gearbox", Kind: "choice", Options: []offline.Choice{{Word: "manual", Title: "Manual"}, {Word: "automatic", Title: "Automatic"}}},
		{Name: "berths", Label: "Berths", Kind: "whole", High: 20},
		{Name: "belts", Label: "Belted seats", Kind: "whole", High: 20},
		{Name: "length_mm", Label: "Length", Kind: "whole", Low: 2_000, High: 15_000, Unit: "mm"},
		{Name: "max_mass_kg", Label: "Maximum mass on the plate", Kind: "whole", Low: 500, High: 20_000, Unit: "kg"},
		{Name: "running_mass_kg", Label: "Mass in running order", Kind: "whole", Low: 500, High: 20_000, Unit: "kg"},
		{Name: "front_axle_kg", Label: "Front axle on the plate", Kind: "whole", Low: 500, High: 20_000, Unit: "kg"},
		{Name: "rear_axle_kg", Label: "Rear axle on the plate", Kind: "whole", Low: 500, High: 20_000, Unit: "kg"},
		{Name: "keepers", Label: "Keepers, including present", Kind: "whole", High: 50},
		{Name: "keys", Label: "Keys handed over", Kind: "whole", High: 20},
		{Name: "site", Label: "Site", Kind: "text"},
	}
	past = []offline.Field{
		{Name: "source", Label: "Source", Kind: "choice", Options: []offline.Choice{
			{Word: "part-exchange", Title: "Part exchange"}, {Word: "private", Title: "Private owner"}, {Word: "trade", Title: "The trade"}, {Word: "auction", Title: "Auction"}}},
		{Name: "vat", Label: "VAT", Kind: "choice", Options: []offline.Choice{
			{Word: "margin", Title: "Margin scheme"}, {Word: "qualifying", Title: "Qualifying: VAT shown on the invoice"}}},
		{Name: "guide", Label: "Price guide's retail figure", Kind: "money", Unit: "£"},
		{Name: "finance_owed", Label: "Finance still owed", Kind: "money", Unit: "£"},
		{Name: "salvage", Label: "Written off", Kind: "choice", Options: []offline.Choice{
			{Word: "A", Title: "Category A"}, {Word: "B", Title: "Category B"}, {Word: "S", Title: "Category S"}, {Word: "N", Title: "Category N"}}},
		{Name: "imported", Label: "Imported by us", Kind: "choice", Options: []offline.Choice{{Word: "no", Title: "No"}, {Word: "yes", Title: "Yes"}}},
	}
)
