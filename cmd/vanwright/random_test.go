package main

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// randomYards is how many yards TestRandomYards makes; each takes half a
// second or so. Short tests make two.
const randomYards = 12

// TestRandomYards audits yards whose every setting, van, sale and shift is
// drawn from the whole range that is accepted, its ends above all.
func TestRandomYards(t *testing.T) {
	yards := uint64(randomYards)
	if testing.Short() {
		yards = 2
	}
	for seed := range yards {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			yard := draw{rand.New(rand.NewPCG(seed, 7))}.yard().write(t)
			out := filepath.Join(filepath.Dir(yard), "reports")
			runYard(t, yard, out, "2026-03-09")
			auditReports(t, yard, out)
			// A second night, which has a schedule to go on with.
			runYard(t, yard, out, "2026-03-10")
			auditReports(t, yard, out)
		})
	}
}

type draw struct{ *rand.Rand }

func (d draw) of(words ...string) string { return words[d.IntN(len(words))] }

// between draws an end of a range or a number within.
func (d draw) between(lo, hi int) int {
	switch d.IntN(6) {
	case 0:
		return lo
	case 1:
		return hi
	}
	return lo + d.IntN(hi-lo+1)
}

// pounds is an amount with odd pence, now and then absurd.
func (d draw) pounds(lo, hi int) string {
	return fmt.Sprintf("%d.%02d", d.between(lo, hi), d.IntN(100))
}

// day is a day before the as-of date, mostly a near one.
func (d draw) day() string {
	asOf := data.NewDate(2026, 3, 9)
	return asOf.AddDays(-d.of2(d.IntN(300), d.IntN(9000))).String()
}

func (d draw) of2(usual, seldom int) int {
	if d.IntN(8) == 0 {
		return seldom
	}
	return usual
}

func (d draw) yard() files {
	y := files{
		"policy.yaml": d.policy(), "vans.csv": d.vans(), "sales.csv": d.sales(), "team.csv": d.team(),
		"bays.csv":      fmt.Sprintf("bay,kind,count\nRamp,ramp,%d\nHall,habitation,%d\nShop,bodywork,%d\nWash,valet,%d\n", d.IntN(3), d.IntN(3), d.IntN(2), d.IntN(2)),
		"readings.csv":  d.readings(),
		"documents.csv": d.documents(),
		"progress.csv":  d.progress(),
	}
	for _, name := range []string{"sales.csv", "team.csv", "bays.csv", "readings.csv", "documents.csv", "progress.csv"} {
		if d.IntN(8) == 0 {
			delete(y, name)
		}
	}
	return y
}

func (d draw) policy() string {
	return fmt.Sprintf("plan_schedules: 30\nvat_rate: 0.%02d\nlabour_cost_per_hour: %d\ntarget_profit_pct: %d\ntarget_profit_min: %d\n"+
		"pitch_cost_per_day: %s\nstocking_rate: 0.%03d\nwarranty_cost: %s\nselling_cost: %d\nbid_step: %s\nprice_endings: [%d, %d]\n"+
		"confidence: 0.%d\nmin_tread_mm: %s\ntyre_age_years: %d\nhorizon_days: %d\nreprice_days: %d\ntrade_disposal_share: %s\nregion: %s\n",
		d.between(0, 50), d.between(0, 500), d.between(0, 60), d.of2(d.IntN(3000), 100_000),
		d.pounds(0, 40), d.between(0, 999), d.pounds(0, 900), d.of2(d.IntN(900), 20_000), d.of("1", "50", "33.33", "5000"), d.between(0, 999), d.between(0, 999),
		d.between(50, 99), d.of("1.6", "3", "8"), d.between(1, 10), d.between(14, 1095), d.between(1, 365), d.of("0", "0.8", "1"),
		d.of(data.Regions...))
}

func (d draw) vans() string {
	var b strings.Builder
	b.WriteString(vanHeader[:len(vanHeader)-1] + ",salvage,imported,finance_owed,promised_on\n")
	for i := range d.IntN(9) {
		status := d.of("owned", "preparing", "ready", "sold", "offered")
		row := map[string]string{"cost": d.pounds(0, 60_000), "acquired": d.day(), "asking": d.of("", d.pounds(1, 90_000))}
		switch {
		case status == "offered":
			row["cost"] = ""
		case d.IntN(8) == 0:
			row["cost"], row["acquired"] = d.of("", row["cost"]), ""
		}
		if status == "sold" {
			row["sold_on"], row["sold_price"] = "2026-03-09", d.pounds(0, 90_000)
		}
		fmt.Fprintf(&b, "V%d,%s,%s,%s,%s,%d,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s\n", i, d.of("Larkfield", "Tarnbrook", "Corvane"), d.of("Rothmere 540", "Sprig"),
			d.of("panel-van", "low-profile", "a-class"), d.day(), d.between(0, 999_999), status, d.of("margin", "qualifying", ""),
			row["cost"], row["acquired"], row["asking"], row["sold_on"], row["sold_price"], d.of("", d.pounds(1, 120_000)),
			d.of("", "", "", "A", "B", "S", "N"), d.of("", "", "yes"), d.of("", d.pounds(0, 50_000)), d.of("", "2026-03-11", "2025-01-01"))
	}
	return b.String()
}

func (d draw) sales() string {
	var b strings.Builder
	b.WriteString("sale_id,maker,model,body,first_registered,mileage,listed,asking,sold_on,sold_price,grade\n")
	level := d.between(1, 60_000)
	for i := range d.of2(d.IntN(60), d.IntN(600)) {
		sold, price := "2026-03-09", d.pounds(level/2+1, level+1)
		if d.IntN(4) == 0 {
			sold, price = "", ""
		}
		fmt.Fprintf(&b, "S%d,%s,%s,%s,%s,%d,%s,%s,%s,%s,%s\n", i, d.of("Larkfield", "Tarnbrook"), d.of("Rothmere 540", "Sprig"), d.of("panel-van", "low-profile"),
			d.day(), d.between(0, 200_000), d.of("", d.day()), d.of("", d.pounds(1, level)), sold, price, d.of("", "1", "5"))
	}
	return b.String()
}

func (d draw) team() string {
	var b strings.Builder
	b.WriteString("technician,skills,mon,tue,wed,thu,fri,sat,sun\n")
	for i := range d.IntN(5) {
		skills := d.of(strings.Join(data.Skills, ";"), "gas", "habitation;electrical", "mechanical;tyres;valet")
		fmt.Fprintf(&b, "T%d,%s,%d,%d,%d,%d,%d,%s,\n", i, skills, d.IntN(12), d.IntN(12), d.between(0, 24), d.IntN(12), d.IntN(12), d.of("", "0.25", "7.33"))
	}
	return b.String()
}

func (d draw) readings() string {
	var b strings.Builder
	b.WriteString("stock_id,taken_on,checkpoint,position,value,verdict\n")
	for range d.IntN(60) {
		point := d.of("tyre-tread,nearside-front,", "tyre-code,offside-rear,", "damp,offside-rear-low,", "damp,front-centre-high,", "battery-rest-volts,,", "gas-drop,,",
			"rcd-trip,,", "insulation,,", "brake-pad,nearside-rear,", "heater-gas,,", "hot-water-drain,,", "awning,,")
		value := d.of("", "0", "1.2", "31", "100", "0718", "11.9", "410")
		fmt.Fprintf(&b, "V%d,%s,%s%s,%s\n", d.IntN(9), d.day(), point, value, d.of("sound", "worn", "defect", "unsafe", "untested"))
	}
	return b.String()
}

func (d draw) documents() string {
	var b strings.Builder
	b.WriteString("stock_id,kind,dated,mileage,evidence,covers,held,expires\n")
	for range d.IntN(30) {
		fmt.Fprintf(&b, "V%d,%s,%s,%d,%s,%s,%s,%s\n", d.IntN(9), d.of(data.DocumentKinds...), d.day(), d.between(0, 999_999), d.of(data.EvidenceWords...),
			d.of("", "engine-oil", "timing-belt;damp", "gas"), d.of("yes", "promised", "no"), d.of("", "2026-03-09", "2999-01-01"))
	}
	return b.String()
}

func (d draw) progress() string {
	var b strings.Builder
	b.WriteString("stock_id,job,state,hours_spent,done_on,technician\n")
	for range d.IntN(25) {
		fmt.Fprintf(&b, "V%d,%s,%s,%s,%s,%s\n", d.IntN(9), d.of("intake-inspection", "tyre-axle", "heater-gas-service", "mot-test", "valet", "damp-local-repair", "gas-test"),
			d.of("open", "started", "awaiting-parts", "done", "dropped"), d.of("", "0", "0.5", "7.25", "1000"), d.of("", d.day()), d.of("", "T0", "nobody"))
	}
	return b.String()
}
