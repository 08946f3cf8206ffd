package appraise

import (
	"slices"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// The short walk is what costs most when it is missed. "Common practice, no
// source": damp, tyres and brakes are looked at on every van.
func TestShortWalkHasWhatCostsMost(t *testing.T) {
	books := builtIn(t)
	short := ShortWalk(books, data.DefaultPolicy(), 40)
	if len(short) != 40 {
		t.Fatalf("%d points, want 40", len(short))
	}
	for _, code := range []string{damp, tyreCode, tyreTread, "brake-pad", "gas-hose-date", "floor-soft"} {
		if !slices.Contains(short, code) {
			t.Errorf("%s is not in it", code)
		}
	}
	for _, code := range []string{"horn", "interior-clean", "tow-eye"} {
		if slices.Contains(short, code) {
			t.Errorf("%s is in it", code)
		}
	}
	if all := ShortWalk(books, data.DefaultPolicy(), 10_000); len(all) != len(books.Checkpoints) {
		t.Errorf("%d of %d points", len(all), len(books.Checkpoints))
	}
}

func TestWhatAFormAsksOfPoints(t *testing.T) {
	books := builtIn(t)
	n := map[string]int{}
	for _, c := range books.Checkpoints {
		if IsDampSurvey(c.Code) {
			n["damp"]++
		}
		if AnsweredBy(c.Code) == "keys" {
			n["keys"]++
		}
		if words := LimitsBarredBy(c.Code); slices.Contains(words, "battery-lithium") && !slices.Contains(words, "battery-lead-acid") {
			n["volts"]++
		}
	}
	if n["damp"] != 1 || n["keys"] != 1 || n["volts"] != 1 {
		t.Errorf("got %v, want one of each", n)
	}
}
