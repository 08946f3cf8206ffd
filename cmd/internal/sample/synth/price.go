package synth

import "github.com/vanwright/vanwright/data"

// The price model: ln(TruePrice) is the sum of these, each times what its
// comment says. All are made up.
const (
	PriceBase      = 11.035 // ln of about £62,000: a new van of grade 3 with every other term 0
	PriceAgeLog    = -0.42  // × ln(1 + age in years / PriceAgeKnee)
	PriceAgeKnee   = 3.0    // years
	PriceAgeYear   = -0.02  // × age in years
	PriceMileage   = -0.035 // × (miles − NormalMiles × age in years) / 10,000
	NormalMiles    = 5500   // miles a year
	PriceAutomatic = 0.055  // where the gearbox is automatic
	PriceBerth     = 0.025  // × (berths − 2)
	PriceLength    = 0.030  // × (length in metres − 6)
	PriceYear      = -0.020 // × years since PriceDriftFrom
	PriceNoise     = 0.06   // standard deviation of ln(sold price / TruePrice)
)

// PriceDriftFrom is the day on which the drift of the market is 0.
var PriceDriftFrom = data.NewDate(2024, 1, 1)

// BodyEffect is what a body adds to ln(price).
func BodyEffect(b data.Body) float64 {
	switch b {
	case data.RisingRoof:
		return -0.16
	case data.PanelVan:
		return -0.04
	case data.Overcab:
		return -0.08
	case data.AClass:
		return 0.20
	}
	return 0
}

// GradeEffect is what a grade, 1 best to 5, adds to ln(price).
func GradeEffect(grade int) float64 {
	return [...]float64{0.05, 0.02, 0, -0.06, -0.15}[grade-1]
}

// SeasonEffect is what the month of sale adds to ln(price); it sums to 0 over
// the year.
func SeasonEffect(d data.Date) float64 {
	return [...]float64{-0.010, 0.005, 0.010, 0.020, 0.020, 0.010,
		0.005, 0.005, -0.005, -0.015, -0.025, -0.020}[d.Month()-1]
}

// Traits are what the price model looks at.
type Traits struct {
	Maker, Model    string
	Body            data.Body
	Gearbox         string
	FirstRegistered data.Date
	Mileage         int // miles
	Berths          int
	LengthMM        int
	Grade           int // 1 best to 5
}

// TruePrice returns the median retail price in pounds, VAT inside, of a van sold
// on a day. A maker or model outside Models has no effect of its own.
func TruePrice(t Traits, on data.Date) float64 {
	m, _ := FindModel(t.Maker, t.Model)
	age := max(0, on.YearsSince(t.FirstRegistered))
	sum := PriceBase + MakerEffect(t.Maker) + m.Effect + BodyEffect(t.Body) + GradeEffect(t.Grade)
	sum += mul(PriceAgeLog, ln(1+age/PriceAgeKnee)) + mul(PriceAgeYear, age)
	sum += mul(PriceMileage, float64(t.Mileage)-mul(NormalMiles, age)) / 10_000
	if t.Gearbox == "automatic" {
		sum += PriceAutomatic
	}
	sum += mul(PriceBerth, float64(t.Berths-2))
	sum += mul(PriceLength, float64(t.LengthMM-6000)) / 1000
	sum += SeasonEffect(on) + mul(PriceYear, on.YearsSince(PriceDriftFrom))
	return exp(sum)
}
