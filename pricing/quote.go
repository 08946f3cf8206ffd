package pricing

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/forecast"
)

// Quote is what a van that is not sold is worth here, what to ask for it, and
// how long that takes.
type Quote struct {
	Van    data.Van
	Market data.Opt[data.Money] // retail value after preparation, VAT inside
	Low    data.Opt[data.Money] // 90 % interval
	High   data.Opt[data.Money]
	LogSD  float64 // standard deviation of the logarithm of the price it will fetch
	Method string  // "sales", "guide" or "none"

	SameModelSales int // past sales of the same model, or else of the same maker
	Comparables    []Comparable
	Explained      []Effect
	// Price is what to sell at today; AskingPrice is what to ask for it, with the
	// room for haggling that past buyers took.
	Price        data.Opt[data.Money]
	AskingPrice  data.Opt[data.Money]
	ExpectedSale data.Opt[data.Money] // at the van's own asking price, where it has one
	AtAsking     *Outlook             // the same with its days; nil without an asking price or a value
	DaysToSell   data.Opt[int]        // by the price plan, median
	SellWithin60 data.Opt[decimal.Decimal]
	Ladder       []Step // later prices
	// Gain is what the price plan is expected to earn over asking the value and
	// never moving: by the price it starts at, and by its steps. None is negative.
	Gain, StartGain, StepsGain data.Opt[data.Money]

	Reasons []string

	usualSale data.Opt[data.Money] // what is usually paid where that much is asked
	asks      []forecast.Ask       // of the price plan
	draws     forecast.Draws       // what may come of it
	modelled  float64              // pounds, what the price model says before any marker is taken off
}

// Comparable is a past sale near the van, with what it would have fetched as
// this van.
type Comparable struct {
	Sale     data.Sale
	Adjusted data.Money // the sale's price adjusted to this van
	Distance float64
}

// Effect is one line of a price's explanation, in pounds.
type Effect struct {
	What   string
	Pounds data.Money
}

// Step is a price from a day on.
type Step struct {
	From  data.Date
	Price data.Money
}
