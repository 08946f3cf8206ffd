package form

import (
	"github.com/vanwright/vanwright/cmd/internal/offline"
	"github.com/vanwright/vanwright/data"
)

// Cells of vans.csv and of every row of readings.csv that the form asks for.
var (
	identity = []offline.Field{
		{Name: "reg", Label: "Registration", Kind: "text"},
		{Name: "stock_id", Label: "Stock number", Kind: "code", Required: true,
			Hint: "Letters, digits and hyphens, 20 at most. Follows the registration until you type your own."},
		{Name: "maker", Label: "Maker", Kind: "text", Required: true},
		{Name: "model", Label: "Model", Kind: "text", Required: true},
		{Name: "first_registered", Label: "First registered", Kind: "date", Required: true, Past: true},
		{Name: "mileage", Label: "Mileage", Kind: "whole", High: data.MaxMileage, Unit: "miles", Required: true},
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
		{Name: "berths", Label: "Berths", Kind: "whole", High: data.MaxPlaces},
		{Name: "belts", Label: "Belted seats", Kind: "whole", High: data.MaxPlaces},
		{Name: "length_mm", Label: "Length", Kind: "whole", Low: data.MinLengthMM, High: data.MaxLengthMM, Unit: "mm"},
		{Name: "height_mm", Label: "Height with all on the roof", Kind: "whole", Low: data.MinHeightMM, High: data.MaxHeightMM, Unit: "mm"},
		{Name: "front_tyre_psi", Label: "Front tyre pressure on the plate", Kind: "whole", Low: data.MinTyrePsi, High: data.MaxTyrePsi, Unit: "psi"},
		{Name: "rear_tyre_psi", Label: "Rear tyre pressure on the plate", Kind: "whole", Low: data.MinTyrePsi, High: data.MaxTyrePsi, Unit: "psi"},
		{Name: "max_mass_kg", Label: "Maximum mass on the plate", Kind: "whole", Low: data.MinMassKg, High: data.MaxMassKg, Unit: "kg"},
		{Name: "running_mass_kg", Label: "Mass in running order", Kind: "whole", Low: data.MinMassKg, High: data.MaxMassKg, Unit: "kg"},
		{Name: "front_axle_kg", Label: "Front axle on the plate", Kind: "whole", Low: data.MinMassKg, High: data.MaxMassKg, Unit: "kg"},
		{Name: "rear_axle_kg", Label: "Rear axle on the plate", Kind: "whole", Low: data.MinMassKg, High: data.MaxMassKg, Unit: "kg"},
		{Name: "keepers", Label: "Keepers, including present", Kind: "whole", High: data.MaxKeepers},
		{Name: "keys", Label: "Keys handed over", Kind: "whole", High: data.MaxVanKeys},
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
