package appraise

import (
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// 7 m and 4 seats ask for 10 × (4 + 7) = 110 kg: itineo.co.uk. 3,500 − 2,900 − 75
// × 3 = 375, less options of 150 is 225: reckoned from the same rule. Passenger 75
// kg: Regulation (EU) 1230/2012. Licences: edwardsleisure.co.uk.
func TestWeights(t *testing.T) {
	some := data.Some[int]
	tests := []struct {
		name                        string
		maxMass, running, belts, mm data.Opt[int]
		front, rear                 data.Opt[int]
		want                        Weights
	}{
		{"the published example", some(3500), some(2900), some(4), some(7000), some(1850), some(2000),
			Weights{Known: true, PayloadKg: 600, AllBeltsKg: 375, MinimumKg: 110, Licence: "B", AxleSumKg: 3850}},
		{"below the minimum", some(3500), some(3200), some(4), some(7400), some(1750), some(2000),
			Weights{Known: true, PayloadKg: 300, AllBeltsKg: 75, MinimumKg: 114, BelowMinimum: true, Licence: "B", AxleSumKg: 3750}},
		{"at the minimum it is not below", some(3500), some(3165), some(4), some(7000), some(1750), some(2000),
			Weights{Known: true, PayloadKg: 335, AllBeltsKg: 110, MinimumKg: 110, Licence: "B", AxleSumKg: 3750}},
		{"axles add up to less than the whole", some(4200), some(3050), some(2), some(7000), some(1900), some(2200),
			Weights{Known: true, PayloadKg: 1150, AllBeltsKg: 1075, MinimumKg: 90, Licence: "C1", AxleSumKg: 4100, AxleSumShort: true}},
		{"a heavy lorry chassis", some(7501), some(6000), some(2), some(9000), some(2500), some(5500),
			Weights{Known: true, PayloadKg: 1501, AllBeltsKg: 1426, MinimumKg: 110, Licence: "C", AxleSumKg: 8000}},
		{"running mass unknown", some(3500), data.Opt[int]{}, some(4), some(7000), data.Opt[int]{}, data.Opt[int]{},
			Weights{Licence: "B"}},
		{"nothing known", data.Opt[int]{}, data.Opt[int]{}, data.Opt[int]{}, data.Opt[int]{}, data.Opt[int]{}, data.Opt[int]{}, Weights{}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := weights(data.Van{MaxMassKg: tt.maxMass, RunningMassKg: tt.running, Belts: tt.belts, LengthMM: tt.mm, FrontAxleKg: tt.front, RearAxleKg: tt.rear})
			serious := 0
			for _, r := range got.Remarks {
				if r.Serious {
					serious++
				}
			}
			wantSerious := 0
			if tt.want.BelowMinimum || tt.want.AxleSumShort {
				wantSerious = 1
			}
			if serious != wantSerious {
				t.Errorf("got %d serious remarks, want %d: %v", serious, wantSerious, got.Remarks)
			}
			got.Remarks = nil
			if got.Known != tt.want.Known || got.PayloadKg != tt.want.PayloadKg || got.AllBeltsKg != tt.want.AllBeltsKg ||
				got.MinimumKg != tt.want.MinimumKg || got.BelowMinimum != tt.want.BelowMinimum || got.Licence != tt.want.Licence ||
				got.AxleSumKg != tt.want.AxleSumKg || got.AxleSumShort != tt.want.AxleSumShort {
				t.Errorf("got %+v\nwant %+v", got, tt.want)
			}
		})
	}
}

// weights are those of a van that nobody looked at.
func weights(van data.Van, points ...point) Weights {
	in := inspection{van: van, asOf: asOfTests, points: points}
	return in.weigh()
}

// A van of 3,500 kg with 4 belts. 75 kg a person: Regulation (EU) 1230/2012. The
// driver is in the running mass, and not on a public ticket (redcar-cleveland.gov.uk).
func TestTheMeasuredMassBeatsTheBrochures(t *testing.T) {
	base := data.Van{MaxMassKg: data.Some(3500), RunningMassKg: data.Some(2900), Belts: data.Some(4), LengthMM: data.Some(7000)}
	with := func(change func(v *data.Van)) data.Van {
		v := base
		change(&v)
		return v
	}
	ticket := func(kg float64, note string) point {
		return point{Reading: &data.Reading{Checkpoint: weighbridgeTicket, TakenOn: asOfTests, Number: data.Some(kg), Note: note}}
	}
	tests := []struct {
		name     string
		van      data.Van
		points   []point
		payload  int // with the driver
		allBelts int
		measured bool
	}{
		{"brochure: 3500 − 2900; three more people", base, nil, 600, 375, false},
		{"options beyond the running mass", with(func(v *data.Van) { v.OptionsKg = data.Some(150) }), nil, 450, 225, false},
		{"weighed empty: four people to come", with(func(v *data.Van) { v.WeighedKg = data.Some(3000) }), nil, 425, 200, true},
		{"a measured mass includes the options", with(func(v *data.Van) { v.WeighedKg, v.OptionsKg = data.Some(3000), data.Some(150) }), nil, 425, 200, true},
		{"weighed with the driver", with(func(v *data.Van) { v.WeighedKg, v.WeighedWith = data.Some(3000), []string{"driver"} }), nil, 500, 275, true},
		{"weighed with the driver and two", with(func(v *data.Van) {
			v.WeighedKg, v.WeighedWith = data.Some(3000), []string{"driver", "passenger", "passenger"}
		}), nil, 500, 425, true},
		{"water and load aboard are not taken off again", with(func(v *data.Van) { v.WeighedKg, v.WeighedWith = data.Some(3000), []string{"driver", "water", "load"} }), nil, 500, 275, true},
		{"more people than belts", with(func(v *data.Van) {
			v.WeighedKg, v.Belts, v.WeighedWith = data.Some(3000), data.Some(1), []string{"driver", "passenger"}
		}), nil, 500, 500, true},
		{"a ticket counts nobody", base, []point{ticket(3000, "empty")}, 425, 200, true},
		{"a ticket whose note says driver", base, []point{ticket(3000, "3,000 kg with Driver and half a tank")}, 500, 275, true},
		{"a ticket without the driver", base, []point{ticket(3000, "weighed without driver")}, 425, 200, true},
		{"vans.csv before the ticket", with(func(v *data.Van) { v.WeighedKg = data.Some(3000) }), []point{ticket(2800, "")}, 425, 200, true},
		{"a weight without a running mass", with(func(v *data.Van) { v.WeighedKg, v.RunningMassKg = data.Some(3000), data.Opt[int]{} }), nil, 425, 200, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := weights(tt.van, tt.points...)
			if w.PayloadKg != tt.payload || w.AllBeltsKg != tt.allBelts || w.Measured != tt.measured || !w.Known {
				t.Errorf("payload %d, with all belts %d, measured %v; want %d, %d, %v", w.PayloadKg, w.AllBeltsKg, w.Measured, tt.payload, tt.allBelts, tt.measured)
			}
			if tt.measured != (w.ToleranceKg == 0) {
				t.Errorf("a tolerance of %d kg", w.ToleranceKg)
			}
		})
	}
}

func TestAnAxleOverItsPlate(t *testing.T) {
	w := weights(data.Van{
		MaxMassKg: data.Some(3500), WeighedKg: data.Some(3300), FrontAxleKg: data.Some(1750), RearAxleKg: data.Some(2000),
		WeighedFrontKg: data.Some(1250), WeighedRearKg: data.Some(2050),
	})
	if w.FrontLeftKg != data.Some(500) || w.RearLeftKg != data.Some(-50) {
		t.Errorf("left: front %v, rear %v; want 500 and -50", w.FrontLeftKg, w.RearLeftKg)
	}
	if r := w.Remarks[0]; !r.Serious || r.Text != "The rear axle weighs 2050 kg, 50 kg over its plate." {
		t.Errorf("got %+v", r)
	}
}

// 5 % of 2,900 kg is 145: 245 left less 145 is below 110.
func TestTheToleranceIsSaidWhereNothingWasWeighed(t *testing.T) {
	van := data.Van{MaxMassKg: data.Some(3500), RunningMassKg: data.Some(2900), OptionsKg: data.Some(130), Belts: data.Some(4), LengthMM: data.Some(7000)}
	w := weights(van)
	if w.ToleranceKg != 145 || len(w.Remarks) != 1 || !strings.HasPrefix(w.Remarks[0].Text, "Not weighed: the mass in running order may be out by 5%, which is 145 kg") {
		t.Errorf("got %d kg, %v", w.ToleranceKg, w.Remarks)
	}
}

// Zero-emission vans may be driven on B to 4,250 kg: practicalmotorhome.com.
func TestLicences(t *testing.T) {
	for _, tt := range []struct {
		kg         int
		fuel, want string
	}{
		{3500, "diesel", "B"}, {3501, "diesel", "C1"}, {4250, "electric", "B"}, {4251, "electric", "C1"}, {7500, "diesel", "C1"}, {7501, "diesel", "C"},
	} {
		if got := weights(data.Van{MaxMassKg: data.Some(tt.kg), Fuel: tt.fuel}).Licence; got != tt.want {
			t.Errorf("%d kg, %s: licence %s, want %s", tt.kg, tt.fuel, got, tt.want)
		}
	}
}

// Masses of options: common practice, no source.
func TestAHeavyOptionListIsWarnedOf(t *testing.T) {
	van := data.Van{MaxMassKg: data.Some(3500), RunningMassKg: data.Some(3150), Belts: data.Some(4), LengthMM: data.Some(7000)}
	said := func() (options int) {
		for _, r := range weights(van).Remarks {
			if strings.HasPrefix(r.Text, "Options") && !r.Serious {
				options++
			}
		}
		return options
	}
	if said() != 0 {
		t.Fatal("125 kg are left and 110 needed, and no option is fitted")
	}
	van.Equipment = []string{"awning", "solar"}
	if said() != 1 {
		t.Error("47 kg of options leave less than 110, and it is not said")
	}
	if van.OptionsKg = data.Some(10); said() != 0 {
		t.Error("the options' own mass is known, and a usual one is still spoken of")
	}
}
