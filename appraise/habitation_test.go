package appraise

import (
	"slices"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Lead-acid volts and charge: vanjunkies.co.uk; AGM and lithium from memory.
func TestRestVolts(t *testing.T) {
	tests := []struct {
		name, battery string
		volts         float64
		want          data.Verdict
		reason        string
	}{
		{"lead-acid, full", "battery-lead-acid", 12.7, data.Sound, "about 100% charged for lead-acid"},
		{"lead-acid at the wear limit", "battery-lead-acid", 12.4, data.Sound, "about 70%"},
		{"lead-acid below it", "battery-lead-acid", 12.3, data.Worn, "about 60%"},
		{"lead-acid half full at the limit", "battery-lead-acid", 12.2, data.Worn, "about 50%"},
		{"lead-acid flat", "battery-lead-acid", 11.9, data.Defect, "about 20%"},
		{"AGM at 12.3 V is half full", "battery-agm", 12.3, data.Worn, "about 50% charged for AGM, as lead acid at 12.20 V"},
		{"AGM at 12.25 V is less", "battery-agm", 12.25, data.Defect, "charged for AGM"},
		{"lithium in its flat part", "battery-lithium", 13.0, data.Sound, "only a capacity test does"},
		{"lithium nearly empty", "battery-lithium", 12.5, data.Defect, "about 10% charged for lithium"},
		{"kind not said", "", 12.5, data.Sound, "if lead-acid (the van's list does not say)"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			van := plainVan()
			van.Equipment = []string{tt.battery}
			f := findingAt(t, assess(t, van, []data.Reading{read(batteryRestVolts, "", tt.volts)}, nil), batteryRestVolts, "")
			if f.Verdict != tt.want || !strings.Contains(f.Reason, tt.reason) {
				t.Errorf("got %v, %q; want %v, … %q", f.Verdict, f.Reason, tt.want, tt.reason)
			}
		})
	}
}

func TestChargeAndRestVoltsAreInverse(t *testing.T) {
	for _, c := range chemistries {
		for pct := 0.0; pct <= 100; pct += 2.5 {
			if got := c.charge(c.rest(pct)); got-pct > 1e-6 || pct-got > 1e-6 {
				t.Errorf("%s: %v %% gives %v V, which gives %v %%", c.name, pct, c.rest(pct), got)
			}
		}
	}
}

// 12 V only with the engine running: practicalmotorhome.com, caravanclub.co.uk.
func TestTheFridgeOn12VCountsOnlyWithTheEngineRunning(t *testing.T) {
	tests := []struct {
		name, note string
		word, want data.Verdict
	}{
		{"works", "engine running, cold after two hours", data.Sound, data.Sound},
		{"dead with the engine off proves nothing", "engine off, no light", data.Defect, data.Untested},
		{"cold with the engine off proves nothing", "tried with engine not running", data.Sound, data.Untested},
		{"dead with the engine running", "engine running", data.Defect, data.Defect},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := assess(t, plainVan(), []data.Reading{said(fridge12V, "", tt.word, tt.note)}, nil)
			f := findingAt(t, a, fridge12V, "")
			if f.Verdict != tt.want {
				t.Errorf("got %v, want %v: %s", f.Verdict, tt.want, f.Reason)
			}
			listed := slices.ContainsFunc(a.Untested, func(u Untested) bool { return u.Checkpoint == fridge12V })
			if listed != (tt.want == data.Untested) {
				t.Errorf("listed as untested: %v", listed)
			}
		})
	}
}

// Hose five years after its date: maker's handbook at easymanua.ls. Regulator ten
// years: marineheating.co.uk. Alarms end on their day.
func TestDatesOnParts(t *testing.T) {
	tests := []struct {
		checkpoint, value string
		want              data.Verdict
		reason            string
	}{
		{"gas-hose-date", "2021-03-10", data.Worn, "4.9 years since 10 Mar 2021"},
		{"gas-hose-date", "2021-03-09", data.Defect, "5.0 years since 9 Mar 2021 is at or above the defect limit of 5 years"},
		{"gas-hose-date", "2024-01-01", data.Sound, "2.1 years since"},
		{"gas-regulator-date", "2016-03-09", data.Defect, "10.0 years"},
		{"gas-regulator-date", "2018-03-09", data.Sound, "8.0 years"},
		{coAlarmExpiry, "2026-03-09", data.Defect, "expired on 9 Mar 2026"},
		{coAlarmExpiry, "2026-03-10", data.Worn, "expires on 10 Mar 2026, in 1 day"},
		{coAlarmExpiry, "2026-06-01", data.Sound, "expires on 1 Jun 2026"},
		{smokeAlarmExpiry, "2020-01-01", data.Defect, "expired on 1 Jan 2020"},
	}
	for _, tt := range tests {
		t.Run(tt.checkpoint+" "+tt.value, func(t *testing.T) {
			r := text(tt.checkpoint, "", tt.value)
			r.Day = day(t, tt.value)
			f := findingAt(t, assess(t, plainVan(), []data.Reading{r}, nil), tt.checkpoint, "")
			if f.Verdict != tt.want || !strings.HasPrefix(f.Reason, tt.reason) {
				t.Errorf("got %v, %q; want %v, %q …", f.Verdict, f.Reason, tt.want, tt.reason)
			}
		})
	}
}
