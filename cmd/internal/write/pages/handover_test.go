package pages

import (
	"slices"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/data"
)

// A handover on the forecourt is half an hour: about 40 steps for a van that has
// everything usual, fewer only where less is fitted.
func TestAHandoverWalkIsHalfAnHour(t *testing.T) {
	r := nighttest.Demo(t)
	s := &report{Result: r}
	full := 0
	for i := range r.Vans {
		v := &r.Vans[i]
		if !v.Status.InHand() {
			continue
		}
		for _, season := range []string{"summer", "winter"} {
			n := 0
			for _, h := range s.steps(v.Van, season) {
				if h.Essential {
					n++
				}
			}
			least := 30
			if len(v.Equipment) >= 16 {
				least, full = 35, full+1
			}
			if n < least || n > 45 {
				t.Errorf("%s with %d things fitted, in %s: %d steps, want %d to 45", v.StockID, len(v.Equipment), season, n, least)
			}
		}
	}
	if full < 10 {
		t.Errorf("only %d full vans were looked at", full)
	}
}

// What can hurt somebody at once is shown to whoever has it fitted, never left to
// the booklet.
func TestDangersAreShownAtEveryHandover(t *testing.T) {
	r := nighttest.Demo(t)
	for _, step := range []string{
		"gas-bottle-change", "gas-driving", "gas-smell-plan", "no-bbq", "vents-fixed", "hob-light", "hob-vents", "co-test", "co-signs",
		"smoke-test", "ext-where", "fire-plan", "exits-show", "rcd-test-monthly", "hookup-connect", "tyres-pressure", "weights-total", "drop-lock", "rise-check",
	} {
		if !slices.ContainsFunc(r.Yard.Books.Handover, func(h data.HandoverStep) bool { return h.Step == step && h.Essential && h.Season == "" }) {
			t.Errorf("%s is not shown at every handover", step)
		}
	}
}

// 1 inch is 25.4 mm; 1 bar is 14.50377 psi. A height is rounded up, both ways.
func TestHeightsAndPressuresInWords(t *testing.T) {
	for mm, want := range map[int]string{
		2880: "2.88 m (9 ft 6 in)",  // 113.4 in
		2881: "2.89 m (9 ft 6 in)",  // 113.4 in
		3048: "3.05 m (10 ft 0 in)", // 120 in
		3049: "3.05 m (10 ft 1 in)",
		2005: "2.01 m (6 ft 7 in)", // 78.9 in
	} {
		if got := heightWords(data.Some(mm)); got != want {
			t.Errorf("%d mm: %s, want %s", mm, got, want)
		}
	}
	for psi, want := range map[int]string{80: "80 psi (5.5 bar)", 58: "58 psi (4.0 bar)"} {
		if got := pressureWords(data.Some(psi)); got != want {
			t.Errorf("%d psi: %s, want %s", psi, got, want)
		}
	}
	if got := blankOr(heightWords(data.Opt[int]{})); got != "" {
		t.Errorf("an unknown height: %q, want a blank to write in", got)
	}
}
