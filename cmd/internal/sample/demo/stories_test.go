package demo

import (
	"slices"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// The stories that make the yard worth reading. Each must survive an edit of
// the tables.
func TestStories(t *testing.T) {
	yard := load(t)
	for _, story := range []struct {
		what string
		told bool
	}{
		{"damp in an over-cab corner rises",
			number(yard, "Q31", "damp", "overcab-offside-low", 0) == 17 &&
				number(yard, "Q31", "damp", "overcab-offside-low", 1) == 29},
		{"tyres with old codes, one new among them on an axle",
			value(yard, "LV153", "tyre-code", "nearside-front") == "4421" &&
				value(yard, "LV153", "tyre-code", "offside-front") == "3315"},
		{"no invoice for a timing belt", !covers(yard, "Q38", "timing-belt") && !covers(yard, "LV146", "timing-belt")},
		{"finance owed", van(yard, "Q32").FinanceOwed.Known && van(yard, "LV156").FinanceOwed.Known},
		{"one promised handbook", promised(yard, "handbook") == 1},
		{"a mileage that falls in one paper", falls(yard, "LV154") == 1},
		{"a mileage that falls and stays low", falls(yard, "Q34") >= 2},
		{"a gas hose out of date", value(yard, "LV155", "gas-hose-date", "") == "2017-04-01"},
		{"an RCD that trips too slowly", number(yard, "LV158", "rcd-trip", "", 0) > 300},
		{"a fridge that works on gas and mains but not on 12 V",
			verdict(yard, "LV146", "fridge-gas") == data.Sound && verdict(yard, "LV146", "fridge-mains") == data.Sound &&
				verdict(yard, "LV146", "fridge-12v") == data.Defect},
		{"an alarm past its date", value(yard, "LV158", "co-alarm-expiry", "") == "2023-08-01"},
		{"a recall without proof of the work",
			slices.ContainsFunc(yard.Documents["LV157"], func(p data.Document) bool { return p.Kind == "recall" && p.Covers == nil })},
		{"promised to a customer", van(yard, "LV144").PromisedOn == data.NewDate(2026, 3, 20)},
		{"140 days on the forecourt", AsOf.DaysSince(van(yard, "LV134").Listed) == 140},
		{"heavy options leave less than every belt's passenger needs",
			van(yard, "Q33").MaxMassKg.Value-van(yard, "Q33").RunningMassKg.Value-75*(van(yard, "Q33").Belts.Value-1) < 60},
		{"a lithium battery", van(yard, "Q33").Has("battery-lithium") && number(yard, "Q33", "battery-rest-volts", "", 0) > 13},
		{"an import under the margin scheme", van(yard, "LV152").Imported && van(yard, "LV152").VAT == data.MarginScheme},
		{"a test that has run out",
			slices.ContainsFunc(yard.Documents["LV149"], func(p data.Document) bool { return p.Kind == "mot" && p.Expires < AsOf })},
	} {
		if !story.told {
			t.Errorf("the yard no longer tells of: %s", story.what)
		}
	}
}

func TestNoVanIsTestedAtEveryPoint(t *testing.T) {
	yard := load(t)
	for _, v := range yard.Vans {
		seen := map[string]bool{}
		for _, r := range yard.Readings[v.StockID] {
			if r.Verdict != data.Untested {
				seen[r.Checkpoint] = true
			}
		}
		if len(seen) >= len(yard.Books.Checkpoints)/2 {
			t.Errorf("%s: %d checkpoints were tested", v.StockID, len(seen))
		}
	}
}

func TestWorkIsInEveryState(t *testing.T) {
	yard := load(t)
	seen := map[data.JobState]int{}
	for _, v := range yard.Vans {
		spent := 0
		for _, p := range yard.Progress[v.StockID] {
			seen[p.State]++
			if p.State == data.JobDone && p.HoursSpent.Known {
				spent++
			}
		}
		if v.Status == data.Sold && spent < 5 {
			t.Errorf("%s is sold with %d jobs of known hours", v.StockID, spent)
		}
	}
	for _, s := range data.JobStates {
		if seen[s] == 0 {
			t.Errorf("no job is %s", s)
		}
	}
}

// Marks and VINs that no vehicle carries: the age 01 was never a period of issue,
// and no country has the codes UA to UG. Q35 has an age that is not yet issued, so
// that there is a mark to ask about.
func TestMarksAndNumbersAreOfNoVehicle(t *testing.T) {
	for _, v := range load(t).Vans {
		age := "01"
		if v.StockID == "Q35" {
			age = "99"
		}
		if len(v.Reg) != 8 || v.Reg[2:4] != age {
			t.Errorf("%s: mark %s, want the age %s", v.StockID, v.Reg, age)
		}
		if len(v.VIN) != 17 || !strings.HasPrefix(v.VIN, "UAZ") || strings.ContainsAny(v.VIN, "IOQ") {
			t.Errorf("%s: VIN %s", v.StockID, v.VIN)
		}
	}
}

func van(y *data.Yard, id string) data.Van { v, _ := y.Van(id); return v }

// at returns the n-th reading of a point by day, or an empty one.
func at(y *data.Yard, id, checkpoint, position string, n int) data.Reading {
	var some []data.Reading
	for _, r := range y.Readings[id] {
		if r.Checkpoint == checkpoint && r.Position == position {
			some = append(some, r)
		}
	}
	slices.SortFunc(some, func(a, b data.Reading) int { return a.TakenOn.DaysSince(b.TakenOn) })
	if n >= len(some) {
		return data.Reading{}
	}
	return some[n]
}

func value(y *data.Yard, id, checkpoint, position string) string {
	return at(y, id, checkpoint, position, 0).Value
}

func number(y *data.Yard, id, checkpoint, position string, n int) float64 {
	return at(y, id, checkpoint, position, n).Number.Value
}

func verdict(y *data.Yard, id, checkpoint string) data.Verdict {
	return at(y, id, checkpoint, "", 0).Verdict
}

func covers(y *data.Yard, id, word string) bool {
	return slices.ContainsFunc(y.Documents[id], func(p data.Document) bool { return slices.Contains(p.Covers, word) })
}

func promised(y *data.Yard, kind string) int {
	n := 0
	for _, v := range y.Vans {
		for _, p := range y.Documents[v.StockID] {
			if p.Kind == kind && p.Held == "promised" {
				n++
			}
		}
	}
	return n
}

// falls counts the papers, by day, that show fewer miles than an earlier one.
func falls(y *data.Yard, id string) int {
	var dated []data.Document
	for _, p := range y.Documents[id] {
		if p.Mileage.Known && p.Dated != 0 {
			dated = append(dated, p)
		}
	}
	slices.SortFunc(dated, func(a, b data.Document) int { return a.Dated.DaysSince(b.Dated) })
	most, n := 0, 0
	for _, p := range dated {
		if p.Mileage.Value < most {
			n++
		}
		most = max(most, p.Mileage.Value)
	}
	return n
}
