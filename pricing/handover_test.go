package pricing_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
)

// What the law and the trade's contracts forbid: Road Traffic Act 1988 section 75
// for an unsafe van, title for finance; the rest is common practice, no source.
func TestWhatForbidsAHandover(t *testing.T) {
	asOf := data.NewDate(2026, 3, 9)
	young := data.Van{FirstRegistered: asOf.AddDays(-300)}
	owed := young
	owed.FinanceOwed = data.Some(decimal.NewFromInt(4200))
	written := young
	written.Salvage = "B"
	hose := appraise.Finding{Checkpoint: &data.Checkpoint{Title: "Gas hose"}, Verdict: data.Unsafe, Reason: "14 mbar", Stops: true}
	for _, c := range []struct {
		fact string
		a    appraise.Assessment
		jobs []prep.Job
		want []string
	}{
		{"nothing on record", appraise.Assessment{Van: young}, nil, nil},
		{"an unsafe point, though its job is done", appraise.Assessment{Van: young, Findings: []appraise.Finding{hose, hose}},
			[]prep.Job{{Title: "Renew hose", Gate: "habitation", State: data.JobDone}}, []string{"Gas hose is unsafe: 14 mbar. Only a later reading lifts this"}},
		{"finance", appraise.Assessment{Van: owed}, nil, []string{"finance of £4,200 is owed on it"}},
		{"a write-off", appraise.Assessment{Van: written}, nil, []string{"salvage category B: it may not be sold for the road"}},
		{"open work it may not go without", appraise.Assessment{Van: young},
			[]prep.Job{{Title: "Brake pads", Gate: "roadworthy"}, {Title: "Valet", Gate: "presentation"}}, []string{"not done: Brake pads"}},
		{"no V5C", appraise.Assessment{Van: young, Papers: appraise.Papers{Missing: []string{"registration"}}}, nil, []string{"V5C missing"}},
	} {
		t.Run(c.fact, func(t *testing.T) {
			if diff := cmp.Diff(c.want, pricing.StopsHandover(&c.a, c.jobs, asOf)); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}
