package data

import (
	"errors"
	"fmt"
	"net/url"
	"slices"

	"github.com/shopspring/decimal"
)

// Policy is the dealer's own rules: policy.yaml, with what the environment and
// the command line say on top. Rates are fractions (0.20 is 20 %).
type Policy struct {
	VATRate            decimal.Decimal // standard rate of VAT
	LabourCostPerHour  Money           // workshop's own cost, ex VAT
	TargetProfitPct    decimal.Decimal // of price less VAT
	TargetProfitMin    Money           // pounds a van
	PitchCostPerDay    Money           // pounds a day for the place on the forecourt
	StockingRate       decimal.Decimal // interest a year on cost, simple, actual/365
	WarrantyCost       Money           // pounds a van, ex VAT
	SellingCost        Money           // pounds a van, ex VAT
	BidStep            Money           // bids are whole multiples of this
	PriceEndings       []int           // last three digits of an advised price
	Confidence         float64         // chance with which an opening bid should meet the target
	MinTreadMM         float64         // tread below this is replaced before retail
	TyreAgeYears       float64         // tyres at or above this age are replaced before retail
	DampBands          []int           // edges of a moisture meter's bands in percent: watched, dried and resealed, repaired, structural
	HorizonDays        int             // days over which prices are planned
	RepriceDays        int             // least days between two changes of price
	TradeDisposalShare decimal.Decimal // of market value, what the trade pays at the horizon
	Region             string          // whose bank holidays the workshop keeps
	OpenAt             string          // where the dealer opens the reports, for the squares of job cards; blank: nowhere
	Seed               int64           // of every search and simulation
	PlanSchedules      int             // schedules that the workshop plan may try; 0: by the number of jobs
	MoveMinutes        int             // a technician spends to bring a van into a bay
	DriveMinutes       int             // a technician spends to get from one site to another
	BreakMinutes       int             // of a break in a day of more than six hours; it makes the day end later
	ChangeCost         Money           // pounds that it costs people when a job planned for the next three working days moves to another day or person
	WithoutProof       string          // one of WithoutProofWords, where the labour book leaves it open
	MaxRejects         int             // rejected rows above which a yard is not worked on; 0: no limit
}

// Regions lists the values of Policy.Region.
var Regions = []string{"england-wales", "scotland", "northern-ireland", "none"}

// DefaultPolicy is what holds where a yard says nothing.
func DefaultPolicy() Policy {
	d := decimal.RequireFromString
	return Policy{
		VATRate:            d("0.20"),
		LabourCostPerHour:  d("32.00"),
		TargetProfitPct:    d("8.0"),
		TargetProfitMin:    d("1200"),
		PitchCostPerDay:    d("4.50"),
		StockingRate:       d("0.085"),
		WarrantyCost:       d("350"),
		SellingCost:        d("450"),
		BidStep:            d("50"),
		PriceEndings:       []int{495, 995},
		Confidence:         0.80,
		MinTreadMM:         3.0,
		TyreAgeYears:       7,
		DampBands:          []int{15, 20, 25, 30},
		HorizonDays:        180,
		RepriceDays:        28,
		TradeDisposalShare: d("0.80"),
		Region:             "england-wales",
		Seed:               1,
		PlanSchedules:      0,
		MoveMinutes:        15,
		DriveMinutes:       45,
		BreakMinutes:       30,
		ChangeCost:         d("15"),
		WithoutProof:       DoWithoutProof,
		MaxRejects:         100_000,
	}
}

// Validate refuses rates and amounts that no dealer means, each in one
// sentence that names the key.
func (p Policy) Validate() error {
	var errs []error
	amount := func(key string, v, lo, hi decimal.Decimal) {
		if v.LessThan(lo) || v.GreaterThan(hi) {
			errs = append(errs, fmt.Errorf("%s is %s; expected %s to %s", key, v, lo, hi))
		}
	}
	number := func(key string, v, lo, hi float64) {
		if !(v >= lo && v <= hi) {
			errs = append(errs, fmt.Errorf("%s is %v; expected %v to %v", key, v, lo, hi))
		}
	}
	n := decimal.NewFromInt
	amount("vat_rate", p.VATRate, n(0), decimal.RequireFromString("0.5"))
	amount("labour_cost_per_hour", p.LabourCostPerHour, n(0), n(500))
	amount("target_profit_pct", p.TargetProfitPct, n(0), n(60))
	amount("target_profit_min", p.TargetProfitMin, n(0), n(100_000))
	amount("pitch_cost_per_day", p.PitchCostPerDay, n(0), n(500))
	amount("stocking_rate", p.StockingRate, n(0), n(1))
	amount("warranty_cost", p.WarrantyCost, n(0), n(20_000))
	amount("selling_cost", p.SellingCost, n(0), n(20_000))
	amount("bid_step", p.BidStep, n(1), n(5_000))
	amount("trade_disposal_share", p.TradeDisposalShare, n(0), n(1))
	number("confidence", p.Confidence, 0.5, 0.99)
	number("min_tread_mm", p.MinTreadMM, 1.6, 8)
	number("tyre_age_years", p.TyreAgeYears, 1, 10)
	number("horizon_days", float64(p.HorizonDays), 14, 1095)
	number("reprice_days", float64(p.RepriceDays), 1, 365)
	number("plan_schedules", float64(p.PlanSchedules), 0, 10_000_000)
	number("move_minutes", float64(p.MoveMinutes), 0, 240)
	number("drive_minutes", float64(p.DriveMinutes), 0, 240)
	number("break_minutes", float64(p.BreakMinutes), 0, 120)
	amount("change_cost", p.ChangeCost, n(0), n(1_000))
	number("max_rejects", float64(p.MaxRejects), 0, 100_000_000)
	if len(p.PriceEndings) == 0 {
		errs = append(errs, errors.New("price_endings is empty; expected at least one, such as 995"))
	}
	for _, e := range p.PriceEndings {
		if e < 0 || e > 999 {
			errs = append(errs, fmt.Errorf("price_endings has %d; expected 0 to 999", e))
		}
	}
	if at, err := url.Parse(p.OpenAt); p.OpenAt != "" && (err != nil || at.Host == "" || at.Scheme != "http" && at.Scheme != "https") {
		errs = append(errs, fmt.Errorf("open_at is %q; expected an address such as http://192.168.1.20:8088", p.OpenAt))
	}
	if b := p.DampBands; len(b) != 4 || !(0 < b[0] && b[0] < b[1] && b[1] < b[2] && b[2] < b[3] && b[3] <= 100) {
		errs = append(errs, fmt.Errorf("damp_bands is %v; expected four rising percentages such as [15, 20, 25, 30]", b))
	}
	if !slices.Contains(Regions, p.Region) {
		errs = append(errs, fmt.Errorf("region is %q; expected one of %v", p.Region, Regions))
	}
	if !slices.Contains(WithoutProofWords, p.WithoutProof) {
		errs = append(errs, fmt.Errorf("without_proof is %q; expected one of %v", p.WithoutProof, WithoutProofWords))
	}
	return errors.Join(errs...)
}
