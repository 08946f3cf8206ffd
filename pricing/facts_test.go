package pricing

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/pricepath"
)

// The figures of these tests are worked by hand from what the comments of the
// package say, with round numbers; common practice, no source.

// unlearnt is a market that has seen no sale: its pace is the prior as stated, and
// what is asked is paid.
func unlearnt(change func(*data.Policy)) *Market {
	p := data.DefaultPolicy()
	if change != nil {
		change(&p)
	}
	m := NewMarket(nil, marketDay, p)
	m.buyers.typical = 1
	return m
}

func closeTo(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*max(1, math.Abs(want)) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

func TestPricesBetweenFourFifthsAndALittleAboveTheValue(t *testing.T) {
	tests := []struct {
		name    string
		endings []int
		value   float64
		guide   bool
		want    []float64
	}{
		{"10,000, in the usual endings", []int{495, 995}, 10_000, false, []float64{8495, 8995, 9495, 9995}},
		{"endings out of order come sorted", []int{995, 495}, 10_000, false, []float64{8495, 8995, 9495, 9995}},
		{"both ends count", []int{0}, 10_000, true, []float64{8000, 9000, 10_000}},
		{"a guide's figure is not bettered", []int{100}, 10_000, true, []float64{8100, 9100}},
		{"3 % above it is", []int{250}, 10_000, false, []float64{8250, 9250, 10_250}},
		{"no ending near: the value itself", []int{995}, 300.4, false, []float64{300}},
		{"never nothing", []int{995}, 0.2, false, []float64{1}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := unlearnt(func(p *data.Policy) { p.PriceEndings = tt.endings })
			got, standing := m.grid(data.Van{}, tt.value, tt.guide, 0)
			if diff := cmp.Diff(tt.want, got); diff != "" || standing != nil {
				t.Errorf("(-want +got)\n%s standing %v", diff, standing)
			}
		})
	}
}

// A price under 28 days old stands, at the price of the list that is nearest to
// what it brings, and the list reaches 1,000 beyond it.
func TestAYoungAskingPriceStands(t *testing.T) {
	listed := marketDay.AddDays(-10)
	asked := func(pounds int64) data.Opt[data.Money] { return data.Some(data.Pounds(float64(pounds))) }
	tests := []struct {
		name  string
		van   data.Van
		since int
		price float64 // 0: nothing stands
		free  int
		ends  [2]float64
	}{
		{"ten days old", data.Van{Status: data.Ready, Asking: asked(12_000), Listed: listed}, 10, 11_995, 18, [2]float64{8495, 12_995}},
		{"below the list", data.Van{Status: data.Ready, Asking: asked(5_000), Listed: listed}, 10, 4995, 18, [2]float64{4495, 9995}},
		{"its last day", data.Van{Status: data.Ready, Asking: asked(9_500), Listed: listed}, 27, 9495, 1, [2]float64{8495, 10_495}},
		{"28 days old", data.Van{Status: data.Ready, Asking: asked(12_000), Listed: listed}, 28, 0, 0, [2]float64{8495, 9995}},
		{"older", data.Van{Status: data.Ready, Asking: asked(12_000), Listed: listed}, 40, 0, 0, [2]float64{8495, 9995}},
		{"still in the workshop", data.Van{Status: data.Preparing, Asking: asked(12_000), Listed: listed}, 10, 0, 0, [2]float64{8495, 9995}},
		{"without a price", data.Van{Status: data.Ready, Listed: listed}, 10, 0, 0, [2]float64{8495, 9995}},
		{"listed on no known day", data.Van{Status: data.Ready, Asking: asked(12_000)}, 0, 0, 0, [2]float64{8495, 9995}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			grid, standing := unlearnt(nil).grid(tt.van, 10_000, false, tt.since)
			if got := [2]float64{grid[0], grid[len(grid)-1]}; got != tt.ends {
				t.Errorf("the list runs from %v to %v, want %v", got[0], got[1], tt.ends)
			}
			switch {
			case standing == nil:
				if tt.price != 0 {
					t.Errorf("nothing stands, want %v", tt.price)
				}
			case grid[standing.Price] != tt.price || standing.FreeIn != tt.free:
				t.Errorf("%v stands for %d days, want %v for %d", grid[standing.Price], standing.FreeIn, tt.price, tt.free)
			}
		})
	}
	m := unlearnt(func(p *data.Policy) { p.PriceEndings = []int{0} })
	cheap := data.Van{Status: data.Ready, Asking: asked(900), Listed: listed}
	if grid, _ := m.grid(cheap, 1000, false, 10); !slices.Equal(grid, []float64{1000}) {
		t.Errorf("900 asked: the list is %v, want 1000 alone, for nothing is given away", grid)
	}
	m = unlearnt(nil)
	m.buyers.typical = 0.95
	grid, standing := m.grid(tests[0].van, 10_000, false, 10)
	if grid[standing.Price] != 11_495 { // 12,000 asked brings 11,400
		t.Errorf("%v stands, want 11,495", grid[standing.Price])
	}
}

func TestTheNearestPrice(t *testing.T) {
	grid := []float64{1, 5, 9}
	for value, want := range map[float64]int{-3: 0, 1: 0, 3: 0, 3.1: 1, 6: 1, 7: 1, 8: 2, 20: 2} { // the lower of two as near
		if got := closest(grid, value); got != want {
			t.Errorf("%v: got %v, want %v", value, grid[got], grid[want])
		}
	}
}

func TestTheNextAskingPriceUp(t *testing.T) {
	m := unlearnt(nil) // ...495 and ...995
	for price, want := range map[string]string{"9990": "9995", "9995": "9995", "9996": "10495", "10000": "10495", "10496": "10995"} {
		if got := m.askingFor(pounds(price)); !got.Equal(pounds(want)) {
			t.Errorf("%s: got %s, want %s", price, got, want)
		}
	}
	m.buyers.typical = 0.97
	if got := m.askingFor(pounds("9700")); !got.Equal(pounds("10495")) { // 10,000 would bring it
		t.Errorf("9,700 at 3 %% off: got %s, want 10495", got)
	}
}

// By the prior a van at its value has sold with a chance of a half in 75 days, by
// the Weibull of scale 0.8: a hazard of log 2 × (days / 75)^1.25 up to a day. A
// price of p for a value of v has that times (p / v)^-5, 4 / 0.8 being 5; and on
// day d the value has lost d × 0.01 / 30.4 of itself.
func TestTheProblemOfAPrice(t *testing.T) {
	m := unlearnt(func(p *data.Policy) { p.HorizonDays = 60 })
	v := data.Van{Body: data.LowProfile, VAT: data.MarginScheme}
	hazard := func(days float64) float64 { return math.Ln2 * math.Pow(days/75, 1.25) }
	const since = 20
	problem := m.problem(v, 20_000, []float64{18_000, 20_000, 20_500}, since)
	chances := make([]float64, 3)
	for _, day := range []int{0, 1, 45} {
		problem.Chance(day, chances)
		at := hazard(float64(since+day+1)) - hazard(float64(since+day))
		for i, price := range []float64{0.9, 1, 1.025} {
			closeTo(t, fmt.Sprintf("chance on day %d at %v", day, price), chances[i], 1-math.Exp(-at*math.Pow(price, -5)))
		}
	}
	// Of a van that cost 82 % of its value, the margin bears a sixth.
	for i, price := range problem.Prices {
		closeTo(t, "left of a price", problem.Proceeds[i], price-(price-16_400)/6)
	}
	// At the horizon the trade pays 80 % of what the value has fallen to: less than
	// was paid, so that there is no VAT on it.
	closeTo(t, "left at the horizon", problem.Salvage, 0.8*20_000*(1-60*0.01/30.4))
	if problem.Days != 60 || problem.RepriceDays != 28 {
		t.Errorf("planned over %d days, %d between two prices; want 60 and 28", problem.Days, problem.RepriceDays)
	}
	// A body that stands for e^0.2 times as long sells at e^(-0.2 / 0.8) of the pace.
	m.timing.model.Coef[len(m.timing.model.Coef)-len(timedBodies)] = 0.2
	v.Body = timedBodies[0]
	m.problem(v, 20_000, []float64{20_000}, since).Chance(0, chances[:1])
	closeTo(t, "chance of a body that stands longer", chances[0], 1-math.Exp(-(hazard(since+1)-hazard(since))*math.Exp(-0.25)))
	v.Cost = data.Some(pounds("17000"))
	problem = m.problem(v, 20_000, []float64{20_000}, 0)
	closeTo(t, "left of a price where the cost is known", problem.Proceeds[0], 20_000-3_000.0/6)
}

func TestWhatAPlanGains(t *testing.T) {
	tests := []struct {
		name                 string
		still                []float64
		profit               float64
		atValue              int
		standing             *pricepath.Standing
		start, steps, gained string
	}{
		{"another start and steps", []float64{100, 300, 250}, 320, 0, nil, "200", "20", "220"},
		{"the value is the best start", []float64{100, 300, 250}, 320, 1, nil, "0", "20", "20"},
		{"steps that gain nothing", []float64{100, 300, 250}, 290, 0, nil, "200", "0", "200"},
		{"a price that must stand", []float64{100, 300, 250}, 320, 0, &pricepath.Standing{Price: 2}, "0", "70", "70"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var q Quote
			q.gains(&pricepath.Plan{Still: tt.still, Outcome: pricepath.Outcome{Profit: tt.profit}}, tt.atValue, tt.standing)
			if !q.StartGain.Value.Equal(pounds(tt.start)) || !q.StepsGain.Value.Equal(pounds(tt.steps)) || !q.Gain.Value.Equal(pounds(tt.gained)) {
				t.Errorf("got %s by the start, %s by steps, %s in all; want %s, %s, %s",
					q.StartGain.Value, q.StepsGain.Value, q.Gain.Value, tt.start, tt.steps, tt.gained)
			}
		})
	}
}

// A van that has stood is nearer its sale than one listed today: by the prior the
// chance of a day grows with the days on sale.
func TestAVanThatHasStoodGoesSooner(t *testing.T) {
	m := unlearnt(nil)
	m.buyers.typical = 0.95
	v := data.Van{
		Status: data.Ready, Body: data.LowProfile, VAT: data.MarginScheme,
		Guide: data.Some(pounds("20000")), Asking: data.Some(pounds("21000")), Listed: marketDay.AddDays(-100),
	}
	says := func(q Quote) (line string) {
		for _, r := range q.Reasons {
			if strings.HasPrefix(r, "listed for") {
				line = r
			}
		}
		return line
	}
	stood := m.Quote(v, Condition{})
	fresh := v
	fresh.Listed = marketDay
	today := m.Quote(fresh, Condition{})
	if stood.AtAsking.Days >= today.AtAsking.Days {
		t.Fatalf("%d days more after 100, %d from today", stood.AtAsking.Days, today.AtAsking.Days)
	}
	want := fmt.Sprintf("listed for 100 days: %d more expected at its asking price, against %d for a van listed today", stood.AtAsking.Days, today.AtAsking.Days)
	if got := says(stood); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := says(today); got != "" {
		t.Errorf("listed today: got %q, want nothing", got)
	}
	same := today // no more days than of a van listed today: nothing to speak of
	m.saySinceListed(&same, 100)
	if got := says(same); got != "" {
		t.Errorf("as many days as from today: got %q, want nothing", got)
	}
	workshop := v
	workshop.Status = data.Preparing // its days do not count while it can't be shown
	if q := m.Quote(workshop, Condition{}); q.AtAsking.Days != today.AtAsking.Days || says(q) != "" {
		t.Errorf("in the workshop: %d days and %q; want %d and nothing", q.AtAsking.Days, says(q), today.AtAsking.Days)
	}
	if !stood.usualSale.Value.Equal(pounds("19950")) {
		t.Errorf("21,000 asked at 5 %% off usually brings %s, want 19950", stood.usualSale.Value)
	}
}

// One step for two years, 15,000 miles, 500 mm, a year since the sale, a berth, a
// grade, another gearbox, and an asking price in place of one that was paid.
func TestHowUnlikeTwoVansAre(t *testing.T) {
	van := traits{ageYears: 6, miles: 30_000, lengthMM: 7000, berths: 4, grade: 2}
	tests := []struct {
		name   string
		change func(s *traits)
		want   float64
	}{
		{"alike", func(*traits) {}, 0},
		{"three years older", func(s *traits) { s.ageYears = 9 }, 1.5},
		{"three years newer", func(s *traits) { s.ageYears = 3 }, 1.5},
		{"30,000 miles more", func(s *traits) { s.miles = 60_000 }, 2},
		{"sold two years ago", func(s *traits) { s.daysAgo = 730 }, 2},
		{"a metre shorter", func(s *traits) { s.lengthMM = 6000 }, 2},
		{"of no known length", func(s *traits) { s.lengthMM = -1 }, 0},
		{"two berths fewer", func(s *traits) { s.berths = 2 }, 2},
		{"of no known berths", func(s *traits) { s.berths = -1 }, 0},
		{"three grades off", func(s *traits) { s.grade = 5 }, 3},
		{"of no known grade", func(s *traits) { s.grade = -1 }, 0},
		{"the other gearbox", func(s *traits) { s.automatic = true }, 1},
		{"still for sale", func(s *traits) { s.unsold = true }, 1},
		{"all at once", func(s *traits) {
			*s = traits{ageYears: 8, miles: 45_000, daysAgo: 365, lengthMM: 7500, berths: 5, grade: 3, automatic: true, unsold: true}
		}, 8},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			sale := van
			tt.change(&sale)
			closeTo(t, "steps", van.unlike(&sale), tt.want)
		})
	}
	for _, of := range []*float32{&van.lengthMM, &van.berths, &van.grade} {
		was := *of
		*of = -1
		sale := traits{ageYears: 6, miles: 30_000, lengthMM: 100, berths: 1, grade: 5}
		sale.lengthMM, sale.berths, sale.grade = van.lengthMM, van.berths, van.grade
		switch of {
		case &van.lengthMM:
			sale.lengthMM = 100
		case &van.berths:
			sale.berths = 1
		default:
			sale.grade = 5
		}
		closeTo(t, "what is unknown of the van counts for nothing", van.unlike(&sale), 0)
		*of = was
	}
	nought := traits{ageYears: 6, miles: 30_000, lengthMM: 0, berths: 0, grade: 0}
	some := traits{ageYears: 6, miles: 30_000, lengthMM: 500, berths: 1, grade: 1}
	closeTo(t, "nought is a number, of the van", nought.unlike(&some), 3)
	closeTo(t, "nought is a number, of the sale", some.unlike(&nought), 3)
}

func TestWhatTheTraitsAreReadFrom(t *testing.T) {
	m := unlearnt(nil)
	sale := data.Sale{
		FirstRegistered: marketDay.AddDays(-2000), SoldOn: marketDay.AddDays(-50), Mileage: 12_345,
		LengthMM: data.Some(6990), Berths: data.Some(3), Grade: data.Some(4), Gearbox: "automatic",
	}
	want := traits{ageYears: float32(1950 / 365.25), miles: 12_345, daysAgo: 50, lengthMM: 6990, berths: 3, grade: 4, automatic: true}
	near := cmp.Comparer(func(a, b float32) bool { return math.Abs(float64(a-b)) < 0.01 })
	if diff := cmp.Diff(want, m.traitsOfSale(&sale), cmp.AllowUnexported(traits{}), near); diff != "" {
		t.Errorf("sold: (-want +got)\n%s", diff)
	}
	sale.SoldOn, sale.Gearbox, sale.Berths = 0, "manual", data.Opt[int]{}
	want = traits{ageYears: float32(2000 / 365.25), miles: 12_345, lengthMM: 6990, berths: -1, grade: 4, unsold: true}
	if diff := cmp.Diff(want, m.traitsOfSale(&sale), cmp.AllowUnexported(traits{}), near); diff != "" {
		t.Errorf("for sale: (-want +got)\n%s", diff)
	}
	van := data.Van{FirstRegistered: marketDay.AddDays(-2000), Mileage: 777, Gearbox: "automatic", LengthMM: data.Some(6000)}
	want = traits{ageYears: float32(2000 / 365.25), miles: 777, lengthMM: 6000, berths: -1, grade: 1, automatic: true}
	if diff := cmp.Diff(want, m.traitsOfVan(&van, data.Some(1)), cmp.AllowUnexported(traits{}), near); diff != "" {
		t.Errorf("the van: (-want +got)\n%s", diff)
	}
	van.Gearbox = "manual"
	if m.traitsOfVan(&van, data.Opt[int]{}).automatic {
		t.Error("a manual van is taken for an automatic one")
	}
}

// Of a shelf the fifteen nearest are kept, the nearest first, and of two as near
// the one that stands first, which was sold last.
func TestTheLikestOfAShelf(t *testing.T) {
	m := unlearnt(nil)
	van := data.Van{FirstRegistered: marketDay, Mileage: 0}
	miles := []float32{9, 3, 7, 3, 1, 12, 5, 20, 2, 8, 4, 6, 11, 10, 13, 14, 15, 16, 0, 3} // thousands
	var shelf []int
	for _, v := range miles {
		shelf = append(shelf, len(m.traits))
		m.traits = append(m.traits, traits{miles: 1000 * v, lengthMM: -1, berths: -1, grade: -1})
	}
	var got []int
	for _, c := range m.likest(&van, data.Opt[int]{}, shelf) {
		got = append(got, c.sale)
	}
	if want := []int{18, 4, 8, 1, 3, 19, 10, 6, 11, 2, 9, 0, 13, 12, 5}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestAShelfHoldsTheLatestTwoHundred(t *testing.T) {
	m := unlearnt(nil)
	m.sales = nil
	for i := range 205 {
		s := data.Sale{SaleID: fmt.Sprint(i), Maker: "Larkfield", Model: "Rothmere 540", Body: data.LowProfile, SoldOn: marketDay.AddDays(-i)}
		m.sales = append(m.sales, &s)
	}
	m.sales = append(m.sales, &data.Sale{Maker: "Larkfield", Model: "Rothmere 540", Body: data.LowProfile, Listed: marketDay.AddDays(1)})
	m.stack()
	shelf := m.shelves[kinds("Larkfield", "Rothmere 540", data.LowProfile)[0]]
	if len(shelf) != 200 || shelf[0] != 205 || shelf[1] != 0 || shelf[199] != 198 {
		t.Errorf("%d on the shelf, from %d, %d to %d; want 200, from 205, 0 to 198", len(shelf), shelf[0], shelf[1], shelf[len(shelf)-1])
	}
}

func TestATermsRowOfTheModel(t *testing.T) {
	day := data.NewDate(2026, 4, 2) // the 92nd day of the year: spring at its height, by 365.25 days
	th := thing{
		maker: "Larkfield", model: "Rothmere 540", chassis: "c", gearbox: "manual", body: data.Overcab,
		registered: day.AddDays(-3653), on: day, mileage: 64_000, berths: data.Some(4), lengthMM: data.Some(6990),
	}
	row := th.row(6000, day.AddDays(731))
	years := 3653 / 365.25
	want := []float64{years, 64 - 6*years, 4, 6.99, math.NaN(), 1, 0, -731 / 365.25}
	for i, v := range row.Numerics {
		if math.IsNaN(want[i]) != math.IsNaN(v) || math.Abs(v-want[i]) > 0.01 {
			t.Errorf("%s: got %v, want %v", features.Numerics[i].Name, v, want[i])
		}
	}
	if want := []string{"overcab", "Larkfield", "Larkfield", "Rothmere 540", "manual", "c"}; !slices.Equal(row.Categories, want) || row.Weight != 1 {
		t.Errorf("got %q of weight %v, want %q of 1", row.Categories, row.Weight, want)
	}
	th.on = th.registered.AddDays(-10) // sold before it was registered, by a slip
	if age := th.row(6000, day).Numerics[0]; age != 0 {
		t.Errorf("%v years old before its first day, want 0", age)
	}
	for on, want := range map[data.Date][2]float64{
		data.NewDate(2026, 1, 1): {0, -1}, data.NewDate(2026, 7, 2): {0, 1}, data.NewDate(2026, 10, 1): {-1, 0},
	} {
		spring, summer := season(on)
		if math.Abs(spring-want[0]) > 0.02 || math.Abs(summer-want[1]) > 0.02 {
			t.Errorf("%s: got %.3f and %.3f, want %v", on, spring, summer, want)
		}
	}
}

func TestTheUsualMileageIsTheMiddleOne(t *testing.T) {
	sale := func(years float64, miles int, sold bool) data.Sale {
		s := data.Sale{FirstRegistered: marketDay.AddDays(-int(years * 365.25)), Mileage: miles, Listed: marketDay}
		if sold {
			s.Listed, s.SoldOn = marketDay.AddDays(-30), marketDay
		}
		return s
	}
	tests := []struct {
		name  string
		sales []data.Sale
		want  float64
	}{
		{"none", nil, 6000},
		{"too new to tell", []data.Sale{sale(0.4, 9000, true)}, 6000},
		{"three", []data.Sale{sale(10, 100_000, true), sale(10, 40_000, true), sale(10, 70_000, true)}, 7000},
		{"one still for sale counts to its listing", []data.Sale{sale(5, 25_000, false)}, 5000},
		{"the new one is left out", []data.Sale{sale(0.4, 9000, true), sale(5, 25_000, true)}, 5000},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := usualMileage(tt.sales); math.Abs(got-tt.want) > 5 {
				t.Errorf("got %.0f miles a year, want %.0f", got, tt.want)
			}
		})
	}
}

// Where standing costs nothing the dearest price of the list pays best: of a guide's
// 20,000 not more than that.
func TestAGuidePriceIsNotBettered(t *testing.T) {
	m := unlearnt(func(p *data.Policy) {
		p.PriceEndings = []int{0, 250}
		p.PitchCostPerDay, p.StockingRate = pounds("0"), pounds("0")
		p.HorizonDays = 1000
	})
	q := m.Quote(data.Van{Status: data.Owned, Body: data.LowProfile, VAT: data.MarginScheme, Guide: data.Some(pounds("20000"))}, Condition{})
	if q.Method != "guide" || !q.Price.Value.Equal(pounds("20000")) {
		t.Errorf("by %s, %s advised; want 20000 by guide", q.Method, q.Price.Value)
	}
}

// A sale that lies more than three and a half deviations from what the model says
// of it is of another kind or mistyped.
func TestASaleFarFromTheModelIsNoComparable(t *testing.T) {
	m := NewMarket(pastSales(30, marketDay), marketDay, data.DefaultPolicy())
	q := m.Quote(anyVan(), Condition{})
	for deviations, want := range map[float64]bool{-4: false, -3: true, 3: true, 4: false} {
		s := *m.sales[0]
		p, err := m.model.Predict(thingOfSale(&s, s.SoldOn).row(m.milesPerYear, m.asOf))
		if err != nil {
			t.Fatal(err)
		}
		s.SoldPrice = data.Some(data.Pounds(p.Value * math.Exp(deviations*q.LogSD)))
		if _, ok := m.bring(&s, &q); ok != want {
			t.Errorf("%v deviations off: a comparable %v, want %v", deviations, ok, want)
		}
	}
}
