package workbook

import (
	"strings"

	"github.com/vanwright/vanwright/data"
)

// headings are what columns are called in the workbooks, by their name in the CSV
// reports, where more is needed than to take the underscores out.
var headings = map[string]string{
	"stock_id": "Stock no.", "reg": "Reg", "vin": "VIN", "by": "Total by",
	"days_held": "Days in stock", "days_to_sell": "Days to sell (typical)", "price_basis": "Price is",
	"vat": "VAT", "prep": "Preparation", "prep_p50": "Preparation, likely", "prep_p80": "Preparation, 80% likely to be within",
	"prep_days": "Days to prepare", "ready_days_p50": "Days until ready, likely", "ready_days_p80": "Days until ready, 80% likely to be within", "untested_risk": "Of it for untested points",
	"profit_pct": "Profit %", "profit_low": "Profit, low (9 in 10)", "profit_high": "Profit, high (9 in 10)",
	"vat_scheme": "VAT scheme", "scheme": "VAT scheme", "reckoned": "Profit worked out",
	"profit_reported": "Profit as reported", "check": "Difference", "paid": "Purchase price",
	"market_value": "Estimated value", "market_low": "Value, low (9 in 10)", "market_high": "Value, high (9 in 10)",
	"comparables": "Past sales of the model", "sell_within_60_pct": "% likely to sell within 60 days",
	"price_ladder": "Planned prices", "ticket": "Asking price", "nearest_sales": "Nearest past sales",
	"plan_gain": "Price plan earns more", "start_gain": "Of it by the first price", "steps_gain": "Of it by price drops",
	"next_price_from": "Next price from", "max_bid": "Maximum bid", "stand_in_value": "Stand-in value (PX)",
	"confidence_pct": "% chance of the target profit", "counted": "Vans counted",
	"output_vat": "Output VAT", "input_vat": "Input VAT", "margin_vat": "VAT on margins", "vat_due": "VAT due",
	"cost_net": "Cost less input VAT", "price_less_vat": "Price less VAT", "on": "Date", "source": "Source", "purchase_source": "Source",
}

// inCodes are the columns of month end that hold a code, which a sheet puts into
// words.
var inCodes = map[string]bool{"scheme": true, "vat_scheme": true, "purchase_source": true, "kind": true}

// heading is what a column is called.
func heading(name string) string {
	if h, ok := headings[name]; ok {
		return h
	}
	return data.Heading(strings.ReplaceAll(name, "_", "-"))
}
