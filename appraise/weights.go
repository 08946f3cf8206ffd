package appraise

import (
	"fmt"
	"math"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// passengerKg is the mass that the rules give each person (Regulation (EU)
// 1230/2012, Annex I Part A 2.6.2.1).
const passengerKg = 75

// Upper masses for driving licences in kilograms (edwardsleisure.co.uk).
const (
	licenceBKg         = 3500
	licenceBElectricKg = 4250 // zero-emission only, from 10 June 2025 (practicalmotorhome.com, secondary)
	licenceC1Kg        = 7500
)

// MinimumPayloadSource says where Weights.MinimumKg comes from.
const MinimumPayloadSource = "Regulation (EU) 2021/535, Annex XIII: 10 kg for each seat and 10 kg for each metre of length (secondary)"

// optionKg are usual masses of equipment that may have been added after the
// running mass was fixed. Common practice, no source.
var optionKg = []struct {
	word string
	kg   int
}{
	{"awning", 35}, {"towbar", 35}, {"solar", 12}, {"television", 8}, {"gas-tank", 20},
	{"reversing-camera", 2}, {"external-shower", 2},
}

// massTolerance is how far a maker's mass in running order may be out, as a share
// (Motor caravan approvals, pressreader.com 19 May 2022, secondary).
const massTolerance = 0.05

// weighing is a van on a weighbridge.
type weighing struct {
	kg     int
	people int // aboard, at passengerKg each
	source data.Source
	how    string
}

// weighed returns what a weighbridge said: vans.csv, or else the ticket's reading,
// on which no person is aboard unless its note says driver, as the driver gets out at
// a public weighbridge (redcar-cleveland.gov.uk, havering.gov.uk).
func (in *inspection) weighed() (w weighing, ok bool) {
	if van := in.van; van.WeighedKg.Known {
		w := weighing{kg: van.WeighedKg.Value, source: van.Source, how: "weighed"}
		for _, word := range van.WeighedWith {
			if word == "driver" || word == "passenger" {
				w.people++
			}
		}
		return w, true
	}
	first, end := in.run(weighbridgeTicket)
	for _, p := range in.points[first:end] {
		kg, known := number(p.Reading)
		if !known || p.TakenOn > in.asOf {
			continue
		}
		w := weighing{kg: int(math.Round(kg)), source: p.Source, how: "weighbridge ticket of " + p.TakenOn.Words()}
		if driverAboard(p.Note) {
			w.people = 1
		}
		return w, true
	}
	return weighing{}, false
}

// driverAboard reports whether a ticket's note says that the driver was weighed
// too.
func driverAboard(note string) bool {
	note = strings.ToLower(note)
	without := strings.Contains(note, "without driver") || strings.Contains(note, "without the driver") || strings.Contains(note, "no driver")
	return strings.Contains(note, "driver") && !without
}

// weigh works out what a van may carry.
//
// A measured mass beats the brochure's, and has the options in it. What was
// aboard when it was weighed is not taken off again, and what was not is not
// added, but for people: each seat with a belt that was empty counts at 75 kg. The
// brochure's mass in running order has the driver in it, and leaves the options
// out.
func (in *inspection) weigh() Weights {
	van := &in.van
	var w Weights
	remark := func(serious bool, format string, args ...any) {
		w.Remarks = append(w.Remarks, Note{Text: fmt.Sprintf(format, args...), Serious: serious, Source: van.Source})
	}
	w.licence(van, remark)
	w.axles(van, remark)
	if !van.MaxMassKg.Known {
		return w
	}
	on, measured := in.weighed()
	people := 1 // in the mass that is counted
	switch {
	case measured:
		w.Measured, w.MassKg, people = true, on.kg, on.people
		w.Basis = on.how
	case van.RunningMassKg.Known:
		w.MassKg = van.RunningMassKg.Value + van.OptionsKg.Or(0)
		w.ToleranceKg = int(math.Round(massTolerance * float64(van.RunningMassKg.Value)))
		w.Basis = "mass in running order"
		if van.OptionsKg.Known {
			w.Basis += " and options"
		}
	default:
		return w
	}
	w.Known = true
	w.PayloadKg = van.MaxMassKg.Value - w.MassKg - passengerKg*max(0, 1-people)
	if w.PayloadKg <= 0 {
		remark(true, "Its mass of %d kg (%s) leaves nothing below the maximum mass of %d kg.", w.MassKg, w.Basis, van.MaxMassKg.Value)
	}
	if !van.Belts.Known || van.Belts.Value < 1 {
		remark(false, "Number of belts not recorded, so payload with passengers was not worked out.")
		return w
	}
	seats := van.Belts.Value
	w.AllBeltsKg = van.MaxMassKg.Value - w.MassKg - passengerKg*max(0, seats-people)
	if van.LengthMM.Known {
		w.MinimumKg = int(math.Ceil(10*float64(seats) + float64(van.LengthMM.Value)/100 - 1e-9))
		w.BelowMinimum = w.AllBeltsKg < w.MinimumKg
	}
	short := van.LengthMM.Known && w.AllBeltsKg-w.ToleranceKg < w.MinimumKg
	switch {
	case w.AllBeltsKg < 0:
		remark(true, "With all %d seats occupied it is %d kg over its maximum mass before any luggage.", seats, -w.AllBeltsKg)
	case w.BelowMinimum:
		remark(true, "With all %d seats occupied, payload left %d kg; minimum %d kg.", seats, w.AllBeltsKg, w.MinimumKg)
	case short:
		remark(false, "Not weighed: the mass in running order may be out by 5%%, which is %d kg, and payload then falls below the minimum of %d kg. Only a weighbridge will tell.", w.ToleranceKg, w.MinimumKg)
	}
	if extra, words := options(*van); !measured && !van.OptionsKg.Known && !w.BelowMinimum && van.LengthMM.Known && extra > 0 && w.AllBeltsKg-extra < w.MinimumKg {
		remark(false, "Options (%s) usually weigh about %d kg; if the mass in running order leaves them out, payload falls below the minimum of %d kg. Only a weighbridge will tell.", words, extra, w.MinimumKg)
	}
	return w
}

// licence says which category of driving licence the van needs.
func (w *Weights) licence(van *data.Van, remark func(serious bool, format string, args ...any)) {
	if !van.MaxMassKg.Known {
		return
	}
	most := licenceBKg
	if strings.EqualFold(van.Fuel, "electric") {
		most = licenceBElectricKg
	}
	switch m := van.MaxMassKg.Value; {
	case m <= most:
		w.Licence = "B"
	case m <= licenceC1Kg:
		w.Licence = "C1"
	default:
		w.Licence = "C"
	}
	if w.Licence != "B" {
		remark(false, "At %d kg the driver needs licence category %s; C1 ends at 70 unless renewed.", van.MaxMassKg.Value, w.Licence)
	}
}

// axles compares the plated masses of the axles with the whole, and with what a
// weighbridge said of each.
func (w *Weights) axles(van *data.Van, remark func(serious bool, format string, args ...any)) {
	if van.FrontAxleKg.Known && van.RearAxleKg.Known {
		w.AxleSumKg = van.FrontAxleKg.Value + van.RearAxleKg.Value
		w.AxleSumShort = van.MaxMassKg.Known && w.AxleSumKg < van.MaxMassKg.Value
	}
	if w.AxleSumShort {
		remark(true, "The plated axle masses add up to %d kg, less than the maximum mass of %d kg: one of the three is wrong.", w.AxleSumKg, van.MaxMassKg.Value)
	}
	for _, axle := range []struct {
		name           string
		plated, weight data.Opt[int]
		left           *data.Opt[int]
	}{{"front", van.FrontAxleKg, van.WeighedFrontKg, &w.FrontLeftKg}, {"rear", van.RearAxleKg, van.WeighedRearKg, &w.RearLeftKg}} {
		if !axle.plated.Known || !axle.weight.Known {
			continue
		}
		*axle.left = data.Some(axle.plated.Value - axle.weight.Value)
		if axle.left.Value < 0 {
			remark(true, "The %s axle weighs %d kg, %d kg over its plate.", axle.name, axle.weight.Value, -axle.left.Value)
		}
	}
}

// options sums the usual masses of the equipment that counts as an option.
func options(van data.Van) (kg int, words string) {
	for _, o := range optionKg {
		if van.Has(o.word) {
			kg += o.kg
			if words != "" {
				words += ", "
			}
			words += data.Title(o.word)
		}
	}
	return kg, words
}
