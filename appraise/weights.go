package appraise

import (
	"fmt"
	"math"

	"github.com/vanwright/vanwright/data"
)

// passengerKg is the mass that the rules give each person (Regulation (EU)
// 1230/2012, Annex I Part A 2.6.2.1).
const passengerKg = 75

// Upper masses for driving licences in kilograms (edwardsleisure.co.uk).
const (
	licenceBKg  = 3500
	licenceC1Kg = 7500
)

// optionKg are usual masses of equipment that may have been added after the
// running mass was fixed. Common practice, no source.
var optionKg = []struct {
	word string
	kg   int
}{
	{"awning", 35}, {"towbar", 35}, {"solar", 12}, {"television", 8}, {"gas-tank", 20},
	{"reversing-camera", 2}, {"external-shower", 2},
}

// weigh works out what a van may carry. The driver is inside the running mass.
func weigh(van data.Van) Weights {
	w := Weights{MinimumSource: "Regulation (EU) 2021/535, Annex XIII: 10 kg for each seat and 10 kg for each metre of length"}
	if van.MaxMassKg.Known {
		switch m := van.MaxMassKg.Value; {
		case m <= licenceBKg:
			w.Licence = "B"
		case m <= licenceC1Kg:
			w.Licence = "C1"
		default:
			w.Licence = "C"
		}
	}
	if van.FrontAxleKg.Known && van.RearAxleKg.Known {
		w.AxleSumKg = van.FrontAxleKg.Value + van.RearAxleKg.Value
		w.AxleSumShort = van.MaxMassKg.Known && w.AxleSumKg < van.MaxMassKg.Value
	}
	remark := func(serious bool, format string, args ...any) {
		w.Remarks = append(w.Remarks, Note{Text: fmt.Sprintf(format, args...), Serious: serious, Source: van.Source})
	}
	if w.AxleSumShort {
		remark(true, "The plated axle masses add up to %d kg, less than the maximum mass of %d kg: one of the three is wrong.", w.AxleSumKg, van.MaxMassKg.Value)
	}
	if w.Licence == "C1" || w.Licence == "C" {
		remark(false, "At %d kg the driver needs licence category %s; C1 ends at 70 unless renewed.", van.MaxMassKg.Value, w.Licence)
	}
	if !van.MaxMassKg.Known || !van.RunningMassKg.Known {
		return w
	}
	w.Known = true
	w.PayloadKg = van.MaxMassKg.Value - van.RunningMassKg.Value
	if w.PayloadKg <= 0 {
		remark(true, "The mass in running order, %d kg, leaves nothing below the maximum mass of %d kg.", van.RunningMassKg.Value, van.MaxMassKg.Value)
	}
	if !van.Belts.Known || van.Belts.Value < 1 {
		remark(false, "Number of belts not recorded, so payload with passengers was not worked out.")
		return w
	}
	seats := van.Belts.Value
	w.AllBeltsKg = w.PayloadKg - passengerKg*(seats-1)
	if van.LengthMM.Known {
		w.MinimumKg = int(math.Ceil(10*float64(seats) + float64(van.LengthMM.Value)/100 - 1e-9))
		w.BelowMinimum = w.AllBeltsKg < w.MinimumKg
	}
	switch {
	case w.AllBeltsKg < 0:
		remark(true, "With all %d seats occupied it is %d kg over its maximum mass before any luggage.", seats, -w.AllBeltsKg)
	case w.BelowMinimum:
		remark(true, "With all %d seats occupied, payload left %d kg; minimum %d kg.", seats, w.AllBeltsKg, w.MinimumKg)
	default:
		if extra, words := options(van); van.LengthMM.Known && extra > 0 && w.AllBeltsKg-extra < w.MinimumKg {
			remark(false, "Options (%s) usually weigh about %d kg; if the mass in running order leaves them out, payload falls below the minimum of %d kg. Only a weighbridge will tell.", words, extra, w.MinimumKg)
		}
	}
	return w
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
