package appraise

import (
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
			got := weigh(data.Van{MaxMassKg: tt.maxMass, RunningMassKg: tt.running, Belts: tt.belts, LengthMM: tt.mm, FrontAxleKg: tt.front, RearAxleKg: tt.rear})
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
			got.Remarks, got.MinimumSource = nil, ""
			if got.Known != tt.want.Known || got.PayloadKg != tt.want.PayloadKg || got.AllBeltsKg != tt.want.AllBeltsKg ||
				got.MinimumKg != tt.want.MinimumKg || got.BelowMinimum != tt.want.BelowMinimum || got.Licence != tt.want.Licence ||
				got.AxleSumKg != tt.want.AxleSumKg || got.AxleSumShort != tt.want.AxleSumShort {
				t.Errorf("got %+v\nwant %+v", got, tt.want)
			}
		})
	}
}

// Masses of options: common practice, no source.
func TestAHeavyOptionListIsWarnedOf(t *testing.T) {
	van := data.Van{MaxMassKg: data.Some(3500), RunningMassKg: data.Some(3150), Belts: data.Some(4), LengthMM: data.Some(7000)}
	if r := weigh(van).Remarks; len(r) != 0 {
		t.Fatalf("125 kg are left and 110 needed; got %v", r)
	}
	van.Equipment = []string{"awning", "solar"}
	if r := weigh(van).Remarks; len(r) != 1 || r[0].Serious {
		t.Errorf("47 kg of options leave less than 110; got %v, want one remark", r)
	}
}
