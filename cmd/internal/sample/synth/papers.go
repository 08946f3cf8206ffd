package synth

import "github.com/vanwright/vanwright/data"

// Papers appends to list the documents that come with a van seen on a day: about
// ten for a young van with one keeper, fewer with every year and keeper. Share,
// usually 1, is how much of the rest was kept by owners like these.
func Papers(d *Draws, c Case, on data.Date, share float64, list []data.Document) []data.Document {
	f := folder{Draws: d, van: c.Van, on: on, share: share, list: list}
	f.age = c.Van.AgeYears(on)
	// A paper of today is there; one of ten years ago, of a van with four
	// keepers, is there one time in two.
	f.kept = mul(share, exp(mul(-0.03, f.age)-mul(0.1, float64(c.Van.Keepers.Or(2)-1))))
	f.milesAYear = float64(c.Van.Mileage) / max(0.3, f.age)

	f.registration()
	f.tests()
	f.engine()
	f.habitation()
	f.rest()
	return f.list
}

// folder is the folder of papers handed over with one van.
type folder struct {
	*Draws
	van        data.Van
	on         data.Date
	age        float64 // years
	share      float64
	kept       float64 // chance that a paper about last year was kept
	milesAYear float64
	list       []data.Document
}

func (f *folder) put(p data.Document) {
	p.StockID = f.van.StockID
	if p.Held == "" {
		p.Held = "yes"
	}
	f.list = append(f.list, p)
}

// mileageOn is what the odometer showed on an earlier day.
func (f *folder) mileageOn(day data.Date) data.Opt[int] {
	miles := float64(f.van.Mileage) - mul(f.milesAYear, f.on.YearsSince(day))
	return data.Some(max(5, whole(miles)))
}

// ago returns a day about so many years before the inspection, or false where
// the van was not yet on the road for a year.
func (f *folder) ago(years float64) (data.Date, bool) {
	day := onOrBefore(working, f.on.AddDays(-whole(mul(365.25, years))-f.between(0, 40)))
	return day, day > f.van.FirstRegistered.AddDays(300)
}

// tested returns the day of a test so many days before the inspection, but not
// before the van was on the road.
func (f *folder) tested(daysAgo int) data.Date {
	return max(onOrBefore(working, f.on.AddDays(-daysAgo)), f.van.FirstRegistered)
}

func (f *folder) registration() {
	switch {
	case f.chance(0.94):
		dated := f.van.FirstRegistered.AddDays(f.between(7, 30))
		if f.van.Keepers.Or(1) > 1 {
			dated = max(dated, f.on.AddDays(-f.between(100, 1500)))
		}
		f.put(data.Document{Kind: "registration", Dated: onOrBefore(working, min(dated, f.on)), Evidence: "original"})
	case f.chance(0.7):
		f.put(data.Document{Kind: "registration", Held: "promised"})
	default:
		f.put(data.Document{Kind: "registration", Held: "no"})
	}
}

// tests are the yearly roadworthiness tests, the first at three years of age.
// The last can be looked up, so it is there however few papers were kept.
func (f *folder) tests() {
	last := f.on.AddDays(-f.between(5, 380))
	for n := range 3 {
		dated := onOrBefore(working, last.AddDays(-n*368))
		if dated < f.van.FirstRegistered.AddMonths(35) || n > 0 && !f.chance(mul(f.share, 1-mul(0.25, float64(n)))) {
			continue
		}
		miles := f.mileageOn(dated)
		if f.chance(0.004) {
			miles = data.Some(miles.Value/2 + 1500) // written down wrong, or worse
		}
		f.put(data.Document{Kind: "mot", Dated: dated, Mileage: miles, Evidence: "online",
			Expires: dated.AddMonths(12)})
	}
}

func (f *folder) engine() {
	if f.chance(f.kept + 0.1) {
		f.put(data.Document{Kind: "service-book", Dated: onOrAfter(working, f.van.FirstRegistered.AddDays(10)),
			Mileage: data.Some(f.between(8, 40)), Evidence: "original"})
	}
	for n := range 3 {
		dated, ok := f.ago(0.3 + mul(1.05, float64(n)))
		if !ok || !f.chance(mul(f.kept, 0.8)) {
			continue
		}
		covers := []string{"engine-oil"}
		if f.chance(0.5) {
			covers = append(covers, "brake-fluid")
		}
		if f.chance(0.15) {
			covers = append(covers, "coolant")
		}
		f.put(data.Document{Kind: "invoice", Dated: dated, Mileage: f.mileageOn(dated),
			Evidence: pick(f.Draws, []string{"original", "original", "copy", "stamp"}), Covers: covers})
	}
	if dated, ok := f.ago(f.span(0.2, 4.5)); ok && f.age > 4.5 && f.chance(f.kept) {
		f.put(data.Document{Kind: "invoice", Dated: dated, Mileage: f.mileageOn(dated),
			Evidence: pick(f.Draws, []string{"original", "copy", "verbal"}), Covers: []string{"timing-belt", "coolant"}})
	}
	if dated, ok := f.ago(f.span(0.1, 4)); ok && f.chance(mul(f.kept, 0.4)) {
		f.put(data.Document{Kind: "invoice", Dated: dated, Mileage: f.mileageOn(dated),
			Evidence: "original", Covers: []string{"tyres"}})
	}
}

func (f *folder) habitation() {
	for n := range 2 {
		dated, ok := f.ago(0.4 + mul(1.1, float64(n)))
		if !ok || !f.chance(mul(f.kept, 0.7)) {
			continue
		}
		f.put(data.Document{Kind: "habitation-service", Dated: dated,
			Evidence: pick(f.Draws, []string{"original", "stamp", "copy"}),
			Covers:   []string{"habitation", "damp", "gas", "electrics"}})
	}
	if dated, ok := f.ago(f.span(0, 1.5)); ok && f.chance(mul(f.kept, 0.45)) {
		f.put(data.Document{Kind: "damp-report", Dated: dated, Evidence: "original", Covers: []string{"damp"}})
	}
	if f.chance(mul(f.kept, 0.4)) {
		dated := f.tested(f.between(10, 600))
		f.put(data.Document{Kind: "gas-certificate", Dated: dated,
			Evidence: "original", Covers: []string{"gas"}, Expires: dated.AddMonths(12)})
	}
	if f.van.Has("hookup") && f.chance(mul(f.kept, 0.35)) {
		dated := f.tested(f.between(10, 1400))
		f.put(data.Document{Kind: "electrical-certificate", Dated: dated, Evidence: "original",
			Covers: []string{"electrics"}, Expires: dated.AddMonths(36)})
	}
}

func (f *folder) rest() {
	switch {
	case f.chance(f.kept + 0.1):
		f.put(data.Document{Kind: "handbook", Evidence: "original"})
	case f.chance(0.3):
		f.put(data.Document{Kind: "handbook", Held: "promised"})
	}
	for _, appliance := range []string{"gas-heater", "diesel-heater", "three-way-fridge", "cassette-toilet", "awning"} {
		if f.van.Has(appliance) && f.chance(mul(f.kept, 0.55)) {
			f.put(data.Document{Kind: "handbook", Evidence: "original", Covers: []string{appliance}})
		}
	}
	if f.chance(mul(f.kept, 0.5)) {
		f.put(data.Document{Kind: "key-code", Evidence: "original"})
	}
	if f.age < 5 && f.chance(0.7) {
		f.put(data.Document{Kind: "warranty", Dated: f.van.FirstRegistered, Evidence: "original",
			Expires: f.van.FirstRegistered.AddMonths(36)})
	}
	if dated, ok := f.ago(f.span(0.1, 3)); ok && f.chance(0.05) {
		p := data.Document{Kind: "recall", Dated: dated, Evidence: "copy", Note: "work outstanding"}
		if f.chance(0.7) {
			p.Covers, p.Note = []string{"recall"}, "owner says the work was done"
		}
		f.put(p)
	}
}
