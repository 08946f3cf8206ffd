package policyfile

import (
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/data"
)

// FuzzPolicy reads any bytes as policy.yaml. They are refused in words, or give
// a policy whose every number is finite and in range, and which comes out the
// same when the settings that run.json would show are given as policy.yaml.
func FuzzPolicy(f *testing.F) {
	demo, err := os.ReadFile(filepath.Join("..", "sample", "demo", "yard", "policy.yaml"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(demo)
	for _, s := range []string{
		"", "{}", "vat_rate: .nan", "vat_rate: .inf", "bid_step: 1e999", "confidence: 0x1p-1", "seed: -9999999999", "seed: 999999999",
		"price_endings: [495, 995]", "price_endings: 495,995", "price_endings: 995", "price_endings: []", "price_endings: [.nan]", "price_endings: {a: 1}", "price_endings: [[1], 2]",
		"vat_rate: &a 0.2\nstocking_rate: *a", "a: &a [*a]", "a: &a [1,1]\nb: &b [*a,*a]\nc: [*b,*b]", "vat_rate: 0.2\nvat_rate: 0.1", "VAT_Rate: 0.1",
		"vat_rate: 2026-03-09", "vat_rate: !!binary AAAA", "region: 3", "region: [none]", "region: none", "horizon_days: 1_000", "horizon_days: 010", "? [a]\n: b",
		"vat.rate: 0.2", "vat_rate:\n  x: 1", "\xef\xbb\xbfvat_rate: 0.2", "\xff\xfe", "---\n...\n---\nvat_rate: 0.1", "- a", "%YAML 9.9\n---\n", "vat_rate: ''", "null: null", "1: 2",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		policy, given, err := Read(viper.New(), nil, "policy.yaml", text)
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" {
				t.Fatal("an error that says nothing")
			}
			return
		}
		if err := policy.Validate(); err != nil {
			t.Fatalf("in force, and not valid: %v", err)
		}
		for _, v := range []float64{policy.Confidence, policy.MinTreadMM, policy.TyreAgeYears} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("in force: %+v", policy)
			}
		}
		var again strings.Builder
		for _, key := range slices.Sorted(maps.Keys(given)) {
			fmt.Fprintf(&again, "%s: %s\n", key, given[key])
		}
		policyAgain, givenAgain, err := Read(viper.New(), nil, "policy.yaml", []byte(again.String()))
		if err != nil {
			t.Fatalf("%v, of\n%s", err, again.String())
		}
		if diff := cmp.Diff(policy, policyAgain, cmp.Comparer(data.Money.Equal)); diff != "" {
			t.Fatalf("given back, the settings differ: %s", diff)
		}
		if diff := cmp.Diff(given, givenAgain); diff != "" {
			t.Fatalf("given back, the settings read otherwise: %s", diff)
		}
	})
}
