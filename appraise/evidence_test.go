package appraise

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

// doneOn is a finished job of progress.csv.
func doneOn(t *testing.T, job, on string) data.Progress {
	t.Helper()
	return data.Progress{Job: job, State: data.JobDone, DoneOn: day(t, on), Source: data.Source{File: "progress.csv", Line: 2}}
}

// gasVan has gas and 230 V, and papers for both.
func gasVan() data.Van {
	van := plainVan()
	van.Equipment = []string{"gas-locker", "hob", "hookup"}
	return van
}

// A paper proves what was there when it was made. Common practice, no source.
func TestEvidenceEndsWhereWorkBegins(t *testing.T) {
	certificates := []data.Document{paper(t, "gas-certificate", "2025-12-10", 0), paper(t, "electrical-certificate", "2025-06-01", 0)}
	tests := []struct {
		name     string
		progress []data.Progress
		readings []data.Reading
		ended    []string // kind: why
		asks     []string // of gas-test and electrical-test
	}{
		{"nothing was done since", nil, nil, nil, nil},
		{"a regulator changed after the certificate", []data.Progress{doneOn(t, "gas-regulator", "2026-03-02")}, nil,
			[]string{"gas-certificate: work after it, on 2 Mar 2026: Replace the gas regulator"}, []string{"gas-test"}},
		{"a test on the day of the work counts as after it", []data.Progress{doneOn(t, "gas-regulator", "2025-12-10")}, nil, nil, nil},
		{"work before the certificate", []data.Progress{doneOn(t, "gas-regulator", "2025-12-09")}, nil, nil, nil},
		{"work that is still open has ended nothing yet", []data.Progress{{Job: "gas-regulator", State: data.JobStarted}}, nil, nil, nil},
		{"a fault found in it", nil, []data.Reading{said("gas-hose-condition", "", data.Defect, "cracked")},
			[]string{"gas-certificate: a fault was found on 2 Mar 2026 (Gas hose: cracks, kinks, ends)"}, []string{"gas-test"}},
		{"wear is no fault", nil, []data.Reading{said("gas-hose-condition", "", data.Worn, "stiff")}, nil, nil},
		{"work on another system", []data.Progress{doneOn(t, "rcd-replace", "2026-03-02")}, nil,
			[]string{"electrical-certificate: work after it, on 2 Mar 2026: Replace the RCD"}, []string{"electrical-test"}},
		{"looking again is no work", []data.Progress{doneOn(t, "gas-second-test", "2026-03-02")}, nil, nil, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := assessed(gasVan(), tt.readings, certificates, tt.progress, builtIn(t), data.DefaultPolicy(), asOfTests)
			var ended, asks []string
			for _, e := range a.Papers.Ended {
				ended = append(ended, e.Kind+": "+e.Why)
			}
			for _, r := range a.Requests {
				if (r.Job == "gas-test" || r.Job == "electrical-test") && strings.Contains(r.Because, "proves it no longer") {
					asks = append(asks, r.Job)
				}
			}
			if diff := cmp.Diff(tt.ended, ended); diff != "" {
				t.Errorf("ended (-want +got)\n%s", diff)
			}
			if diff := cmp.Diff(tt.asks, asks); diff != "" {
				t.Errorf("asked for (-want +got)\n%s", diff)
			}
			for _, e := range a.Papers.Ended {
				if !slices.Contains(a.Papers.Missing, e.Kind) {
					t.Errorf("%s has ended and is not missing: %v", e.Kind, a.Papers.Missing)
				}
			}
		})
	}
}

// In-house work is evidence of its kind; certificates need their paper.
func TestOurOwnWorkIsEvidence(t *testing.T) {
	tests := []struct {
		name    string
		job     string
		missing string
		still   bool
	}{
		{"a belt that we changed", "timing-belt", "timing-belt", false},
		{"a larger job that takes the belt in", "engine-major", "timing-belt", false},
		{"an oil service", "engine-service", "engine-oil", false},
		{"a habitation service", "habitation-service", "habitation-service", false},
		{"a gas test without its paper", "gas-test", "gas-certificate", true},
		{"a service's gas check without its paper", "habitation-service", "gas-certificate", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			van := gasVan()
			before := assessed(van, nil, nil, nil, builtIn(t), data.DefaultPolicy(), asOfTests)
			after := assessed(van, nil, nil, []data.Progress{doneOn(t, tt.job, "2026-02-01")}, builtIn(t), data.DefaultPolicy(), asOfTests)
			if !slices.Contains(before.Papers.Missing, tt.missing) {
				t.Fatalf("%s is not missing before: %v", tt.missing, before.Papers.Missing)
			}
			if got := slices.Contains(after.Papers.Missing, tt.missing); got != tt.still {
				t.Errorf("missing after: %v, want %v", got, tt.still)
			}
		})
	}
}

// Only a later reading or a dated certificate lifts a stop.
func TestUnsafeStopsTheVan(t *testing.T) {
	unsafeHose := said("gas-hose-condition", "", data.Unsafe, "it leaks") // read on 2026-03-02
	later := said("gas-hose-condition", "", data.Sound, "new hose")
	later.TakenOn = day(t, "2026-03-05")
	certificate := func(on string) data.Document { return paper(t, "gas-certificate", on, 0) }
	word := certificate("2026-03-05")
	word.Evidence = "verbal"
	tests := []struct {
		name     string
		readings []data.Reading
		docs     []data.Document
		progress []data.Progress
		stops    bool
	}{
		{"found", []data.Reading{unsafeHose}, nil, nil, true},
		{"mended alone", []data.Reading{unsafeHose}, nil, []data.Progress{doneOn(t, "gas-hose", "2026-03-04")}, true},
		{"its job was dropped", []data.Reading{unsafeHose}, nil, []data.Progress{{Job: "gas-hose", State: data.JobDropped}}, true},
		{"a later reading", []data.Reading{unsafeHose, later}, nil, nil, false},
		{"a certificate of before", []data.Reading{unsafeHose}, []data.Document{certificate("2026-03-01")}, nil, true},
		{"a certificate of the day", []data.Reading{unsafeHose}, []data.Document{certificate("2026-03-02")}, nil, false},
		{"mended and certified", []data.Reading{unsafeHose}, []data.Document{certificate("2026-03-05")}, []data.Progress{doneOn(t, "gas-hose", "2026-03-05")}, false},
		{"worked on after the certificate", []data.Reading{unsafeHose}, []data.Document{certificate("2026-03-04")}, []data.Progress{doneOn(t, "gas-hose", "2026-03-05")}, true},
		{"a word", []data.Reading{unsafeHose}, []data.Document{word}, nil, true},
		{"a certificate of another system", []data.Reading{unsafeHose}, []data.Document{paper(t, "electrical-certificate", "2026-03-05", 0)}, nil, true},
		{"a tyre, and an MOT since", []data.Reading{read(tyreTread, "nearside-front", 1.2)}, []data.Document{paper(t, "mot", "2026-03-03", 0)}, nil, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := assessed(gasVan(), tt.readings, tt.docs, tt.progress, builtIn(t), data.DefaultPolicy(), asOfTests)
			if got := len(a.Stops()) > 0; got != tt.stops {
				t.Errorf("stops: %v, want %v: %+v", got, tt.stops, a.Findings)
			}
		})
	}
	a := assessed(gasVan(), []data.Reading{unsafeHose}, nil, nil, builtIn(t), data.DefaultPolicy(), asOfTests)
	want := "Gas hose: cracks, kinks, ends is unsafe: reported unsafe: it leaks. Only a later reading or a dated gas certificate lifts this."
	if got := a.Stops()[0].Says(); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A job that was done answers its finding.
func TestWhatWasMendedIsSaid(t *testing.T) {
	tests := []struct {
		name    string
		reading data.Reading
		job     string
		on      string
		reason  string // the end of it
		reread  bool
	}{
		{"measured: read again", read("brake-pad", "nearside-front", 2), "brake-pads", "2026-03-04", "; mended on 4 Mar 2026, to be read again", true},
		{"a larger job took it in", read(tyreTread, "nearside-front", 2), "tyre-axle", "2026-03-04", "; mended on 4 Mar 2026, to be read again", true},
		{"seen, and no test proves it: closed", said("window-crazing", "rear", data.Defect, "cracked"), "window-replace", "2026-03-04", "; mended on 4 Mar 2026", false},
		{"done before it was found", read("brake-pad", "nearside-front", 2), "brake-pads", "2026-03-01", "", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := assessed(plainVan(), []data.Reading{tt.reading}, nil, []data.Progress{doneOn(t, tt.job, tt.on)}, builtIn(t), data.DefaultPolicy(), asOfTests)
			f := a.Findings[0]
			if f.Reread != tt.reread || !strings.HasSuffix(f.Reason, tt.reason) || (tt.reason == "") != f.MendedOn.IsZero() {
				t.Errorf("got %q, reread %v, mended on %v", f.Reason, f.Reread, f.MendedOn)
			}
		})
	}
}

// What nothing proves is done, told or asked for, and priced as such.
func TestWhatLacksProof(t *testing.T) {
	for way, want := range map[string]struct {
		asked, told, priced bool
	}{
		"":                    {asked: true},
		data.DoWithoutProof:   {asked: true},
		data.TellWithoutProof: {told: true},
		data.AskWithoutProof:  {priced: true},
	} {
		policy := data.DefaultPolicy()
		policy.WithoutProof = way
		a := assessed(plainVan(), nil, nil, nil, builtIn(t), policy, asOfTests)
		asked := len(jobsOf(a.Requests, "timing-belt")) > 0
		told := slices.ContainsFunc(a.Papers.Told, func(s string) bool { return strings.HasPrefix(s, "no evidence of a timing belt change") })
		priced := slices.ContainsFunc(a.Untested, func(u Untested) bool { return u.Job == "timing-belt" && u.Chance == proofChance })
		if asked != want.asked || told != want.told || priced != want.priced {
			t.Errorf("%q: work %v, told %v (%v), priced as a risk %v; want %+v", way, asked, told, a.Papers.Told, priced, want)
		}
	}
	policy := data.DefaultPolicy()
	policy.WithoutProof = data.TellWithoutProof
	a := assessed(gasVan(), nil, []data.Document{paper(t, "gas-certificate", "2025-12-10", 0)}, []data.Progress{doneOn(t, "gas-regulator", "2026-03-02")},
		builtIn(t), policy, asOfTests)
	if len(jobsOf(a.Requests, "gas-test")) == 0 {
		t.Error("work on gas is told of, not tested")
	}
}
