package policyfile

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/spf13/cast"
	"github.com/spf13/pflag"

	"github.com/vanwright/vanwright/data"
)

// Key is one key of policy.yaml, which is also a flag and an environment
// variable of vanwright.
type Key struct {
	Name string // as in policy.yaml
	what string
	set  func(*data.Policy, any) error
	show func(data.Policy) string
}

// Flag is the key's name as a flag: bid-step of bid_step.
func (k Key) Flag() string { return strings.ReplaceAll(k.Name, "_", "-") }

// Keys are all keys, in the order in which they are explained.
var Keys = []Key{
	decimalKey("vat_rate", "standard rate of VAT, as a fraction", func(p *data.Policy) *decimal.Decimal { return &p.VATRate }),
	decimalKey("labour_cost_per_hour", "workshop's own cost, pounds ex VAT", func(p *data.Policy) *decimal.Decimal { return &p.LabourCostPerHour }),
	decimalKey("target_profit_pct", "profit wanted, percent of price less VAT", func(p *data.Policy) *decimal.Decimal { return &p.TargetProfitPct }),
	decimalKey("target_profit_min", "least profit wanted, pounds a van", func(p *data.Policy) *decimal.Decimal { return &p.TargetProfitMin }),
	decimalKey("pitch_cost_per_day", "pounds a day for a van's place", func(p *data.Policy) *decimal.Decimal { return &p.PitchCostPerDay }),
	decimalKey("stocking_rate", "interest a year on cost, as a fraction", func(p *data.Policy) *decimal.Decimal { return &p.StockingRate }),
	decimalKey("warranty_cost", "pounds a van, ex VAT", func(p *data.Policy) *decimal.Decimal { return &p.WarrantyCost }),
	decimalKey("selling_cost", "pounds a van, ex VAT", func(p *data.Policy) *decimal.Decimal { return &p.SellingCost }),
	decimalKey("bid_step", "bids are whole multiples of this, pounds", func(p *data.Policy) *decimal.Decimal { return &p.BidStep }),
	listKey("price_endings", "last three digits of an advised price, as 495,995", func(p *data.Policy) *[]int { return &p.PriceEndings }),
	floatKey("confidence", "chance with which an opening bid meets the target", func(p *data.Policy) *float64 { return &p.Confidence }),
	floatKey("min_tread_mm", "tread below this is replaced before retail", func(p *data.Policy) *float64 { return &p.MinTreadMM }),
	floatKey("tyre_age_years", "tyres of this age are replaced before retail", func(p *data.Policy) *float64 { return &p.TyreAgeYears }),
	listKey("damp_bands", "percent of moisture from which a point is watched, resealed, repaired, structural", func(p *data.Policy) *[]int { return &p.DampBands }),
	intKey("horizon_days", "days over which prices are planned", func(p *data.Policy) *int { return &p.HorizonDays }),
	intKey("reprice_days", "least days between two prices", func(p *data.Policy) *int { return &p.RepriceDays }),
	decimalKey("trade_disposal_share", "of market value, what the trade pays at the horizon", func(p *data.Policy) *decimal.Decimal { return &p.TradeDisposalShare }),
	{
		Name: "open_at", what: "address at which the reports are opened, for the squares of job cards",
		set: func(p *data.Policy, v any) error {
			s, err := cast.ToStringE(v)
			p.OpenAt = s
			return err
		},
		show: func(p data.Policy) string { return p.OpenAt },
	},
	{
		Name: "region", what: "whose bank holidays the workshop keeps: " + strings.Join(data.Regions, ", "),
		set: func(p *data.Policy, v any) error {
			s, err := cast.ToStringE(v)
			p.Region = s
			return err
		},
		show: func(p data.Policy) string { return p.Region },
	},
	{
		Name: "without_proof", what: "what is done where nothing proves that work was done: " + strings.Join(data.WithoutProofWords, ", "),
		set: func(p *data.Policy, v any) error {
			s, err := cast.ToStringE(v)
			p.WithoutProof = s
			return err
		},
		show: func(p data.Policy) string { return p.WithoutProof },
	},
	{
		Name: "seed", what: "of every search and simulation",
		set: func(p *data.Policy, v any) error {
			n, err := wholeNumber(v)
			p.Seed = int64(n)
			return err
		},
		show: func(p data.Policy) string { return strconv.FormatInt(p.Seed, 10) },
	},
	intKey("plan_schedules", "schedules that the workshop plan may try; 0: by the number of jobs", func(p *data.Policy) *int { return &p.PlanSchedules }),
	intKey("move_minutes", "minutes a technician spends to bring a van into a bay", func(p *data.Policy) *int { return &p.MoveMinutes }),
	intKey("drive_minutes", "minutes a technician spends to get from one site to another within a day", func(p *data.Policy) *int { return &p.DriveMinutes }),
	intKey("break_minutes", "minutes of the break in a day of more than six hours", func(p *data.Policy) *int { return &p.BreakMinutes }),
	decimalKey("change_cost", "pounds, where a job of the next three working days moves to another day or person", func(p *data.Policy) *decimal.Decimal { return &p.ChangeCost }),
	intKey("max_rejects", "rejected rows above which a run fails; 0: no limit", func(p *data.Policy) *int { return &p.MaxRejects }),
}

// AddFlags makes a hidden flag of every key: they are many, and the root's help
// says that they exist.
func AddFlags(flags *pflag.FlagSet) {
	for _, k := range Keys {
		flags.String(k.Flag(), "", k.what)
		_ = flags.MarkHidden(k.Flag())
	}
}

// plainNumber keeps exponents, infinities and NaN out of money and rates.
var plainNumber = regexp.MustCompile(`^-?(\d{1,9}(\.\d{1,9})?|\.\d{1,9})$`)

func number(v any) (string, error) {
	s, err := cast.ToStringE(v)
	if s = strings.TrimSpace(s); err != nil || !plainNumber.MatchString(s) {
		return "", errors.New("a plain number such as 0.20 or 1200")
	}
	return s, nil
}

func wholeNumber(v any) (int, error) {
	s, err := number(v)
	if err != nil {
		return 0, err
	}
	n, err := strconv.Atoi(s)
	if err != nil {
		return 0, errors.New("a whole number")
	}
	return n, nil
}

// integers reads a list, or a single number, of a settings file, or what was
// written as either in a flag.
func integers(v any) ([]int, error) {
	var items []any
	switch v := v.(type) {
	case string:
		for _, w := range strings.FieldsFunc(v, func(r rune) bool { return strings.ContainsRune(" ,;[]", r) }) {
			items = append(items, w)
		}
	case []any:
		items = v
	default:
		items = append(items, v)
	}
	list := make([]int, 0, len(items))
	for _, item := range items {
		n, err := wholeNumber(item)
		if err != nil {
			return nil, errors.New("a list of whole numbers such as [495, 995]")
		}
		list = append(list, n)
	}
	return list, nil
}

func decimalKey(name, what string, at func(*data.Policy) *decimal.Decimal) Key {
	return Key{name, what, func(p *data.Policy, v any) error {
		s, err := number(v)
		if err == nil {
			*at(p), err = decimal.NewFromString(s)
		}
		return err
	}, func(p data.Policy) string { return at(&p).String() }}
}

func floatKey(name, what string, at func(*data.Policy) *float64) Key {
	return Key{name, what, func(p *data.Policy, v any) error {
		s, err := number(v)
		if err == nil {
			*at(p), err = strconv.ParseFloat(s, 64)
		}
		return err
	}, func(p data.Policy) string { return strconv.FormatFloat(*at(&p), 'g', -1, 64) }}
}

func intKey(name, what string, at func(*data.Policy) *int) Key {
	return Key{name, what, func(p *data.Policy, v any) error {
		n, err := wholeNumber(v)
		*at(p) = n
		return err
	}, func(p data.Policy) string { return strconv.Itoa(*at(&p)) }}
}

func listKey(name, what string, at func(*data.Policy) *[]int) Key {
	return Key{
		Name: name, what: what,
		set: func(p *data.Policy, v any) error {
			list, err := integers(v)
			*at(p) = list
			return err
		},
		show: func(p data.Policy) string { return strings.Trim(fmt.Sprint(*at(&p)), "[]") },
	}
}
