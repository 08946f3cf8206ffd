package deskpage

import (
	"github.com/vanwright/vanwright/cmd/internal/offline"
	"github.com/vanwright/vanwright/data"
)

// Action is one thing that happens in the office. Its fields are cells of one
// table, by the names of the columns; what else goes into the row is the script's.
type Action struct {
	Code   string
	Title  string
	Vans   string // statuses of the vans to choose from; blank: no van
	NoVan  string // what no van means; blank: one must be chosen
	New    bool   // a van that is not on the list may be entered
	Fields []offline.Field
}

// field names carry the action's code, so that each input has an id of its own.
func fields(action string, list ...offline.Field) []offline.Field {
	for i := range list {
		list[i].Name = action + "-" + list[i].Name
	}
	return list
}

func day(name, label string) offline.Field {
	return offline.Field{Name: name, Label: label, Kind: "date", Required: true, Past: true}
}

func text(name, label string) offline.Field {
	return offline.Field{Name: name, Label: label, Kind: "text"}
}

func money(name, label string) offline.Field {
	return offline.Field{Name: name, Label: label, Kind: "money", Unit: "£", Required: true}
}

func choice(name, label string, options ...offline.Choice) offline.Field {
	return offline.Field{Name: name, Label: label, Kind: "choice", Options: options}
}

var yesNo = []offline.Choice{{Word: "yes", Title: "Yes"}, {Word: "no", Title: "No"}}

// stages of a van that was bought and is not sold.
var stages = []offline.Choice{{Word: "preparing", Title: "Being prepared"}, {Word: "ready", Title: "Ready on the forecourt"}}

const (
	inHand = "owned preparing ready"
	unsold = "offered " + inHand
)

var actions = []Action{
	{Code: "bought", Title: "Van bought", Vans: "offered", New: true, Fields: fields("bought",
		day("acquired", "Bought on"), money("cost", "Price paid"), text("bought_from", "Bought from"), text("purchase_invoice", "Purchase invoice"),
		choice("source", "Source", offline.Titled([]string{"part-exchange", "private", "trade", "auction"})...),
		choice("vat_on_invoice", "Does the invoice show VAT?", yesNo...))},
	{Code: "stage", Title: "Preparation begun or finished", Vans: inHand, Fields: fields("stage",
		offline.Field{Name: "status", Label: "Where is it now?", Kind: "choice", Required: true, Options: stages})},
	{Code: "listed", Title: "Van listed for sale", Vans: inHand, Fields: fields("listed",
		day("listed", "Listed on"), money("asking", "Asking price"),
		choice("status", "Where is it now?", stages...))},
	{Code: "priced", Title: "Price changed", Vans: inHand, Fields: fields("priced", money("asking", "New asking price"))},
	{Code: "reserved", Title: "Van reserved", Vans: inHand, Fields: fields("reserved", day("reserved_on", "Reserved on"))},
	{Code: "promised", Title: "Day promised to a customer", Vans: inHand, Fields: fields("promised",
		offline.Field{Name: "promised_on", Label: "Promised for", Kind: "date", Required: true})},
	{Code: "paper", Title: "Paper arrived", Vans: unsold, Fields: fields("paper",
		offline.Field{Name: "kind", Label: "Which paper?", Kind: "choice", Required: true, Options: offline.Titled(data.DocumentKinds)},
		offline.Field{Name: "dated", Label: "Dated", Kind: "date", Past: true},
		offline.Field{Name: "expires", Label: "Expires", Kind: "date"},
		offline.Field{Name: "mileage", Label: "Mileage on it", Kind: "whole", High: data.MaxMileage},
		choice("evidence", "Evidence", offline.Titled([]string{"original", "stamp", "copy", "online", "verbal"})...), text("note", "Note"))},
	{Code: "ordered", Title: "Part ordered", Vans: inHand, NoVan: "For stock", Fields: fields("ordered",
		offline.Field{Name: "part", Label: "Part", Kind: "part", Required: true},
		offline.Field{Name: "quantity", Label: "How many?", Kind: "whole", Low: 1, High: 999, Required: true},
		day("ordered_on", "Ordered on"), offline.Field{Name: "due_on", Label: "Due on", Kind: "date"},
		offline.Field{Name: "unit_cost", Label: "Cost of one, ex VAT", Kind: "money", Unit: "£"}, text("supplier", "Supplier"))},
	{Code: "arrived", Title: "Part arrived", Fields: fields("arrived",
		offline.Field{Name: "order", Label: "Which order?", Kind: "order", Required: true}, day("arrived_on", "Arrived on"))},
	{Code: "cost", Title: "Cost booked", Vans: unsold + " sold", Fields: fields("cost",
		day("on", "Invoice dated"),
		offline.Field{Name: "kind", Label: "What for?", Kind: "choice", Required: true, Options: offline.Titled(data.CostKinds)},
		money("cost", "Cost, ex VAT"), text("invoice", "Invoice"), text("note", "Note"))},
	{Code: "sold", Title: "Van sold", Vans: inHand, Fields: fields("sold",
		day("sold_on", "Sold on"), money("sold_price", "Price, VAT included"), text("sold_to", "Sold to"), text("sale_invoice", "Sale invoice"))},
	{Code: "deal", Title: "Part exchange agreed", Vans: inHand, Fields: fields("deal",
		offline.Field{Name: "taking", Label: "Van taken in", Kind: "taking", Required: true},
		day("on", "Agreed on"), money("sold_price", "Price of the van sold"), money("allowance", "Allowance for the van taken in"),
		text("customer", "Customer"), text("sale_invoice", "Sale invoice"))},
	{Code: "delivered", Title: "Van handed over", Vans: inHand + " sold", Fields: fields("delivered", day("delivered_on", "Handed over on"))},
}
