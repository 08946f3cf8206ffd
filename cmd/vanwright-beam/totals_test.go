package main

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/pricing"
)

// totalsAreSums adds up, in whole pence, what the yards' own margin.csv say.
func totalsAreSums(t *testing.T, out, reports string) {
	columns := []string{"price", "cost", "vat", "prep", "warranty", "holding", "selling", "profit", "target_profit"}
	want := map[string][]int{} // by status: vans counted, then pence
	for _, y := range goodYards {
		table := rows(t, filepath.Join(reports, y.name, "margin.csv"))
		at := func(column string) int { return slices.Index(table[0], column) }
		for _, row := range table[1:] {
			if row[at("profit")] == "" {
				continue
			}
			sums := want[row[at("status")]]
			if sums == nil {
				sums = make([]int, 1+len(columns))
				want[row[at("status")]] = sums
			}
			sums[0]++
			for i, column := range columns {
				sums[i+1] += pence(t, row[at(column)])
			}
		}
	}
	table := rows(t, filepath.Join(out, "totals.csv"))
	at := func(column string) int { return slices.Index(table[0], column) }
	vans := 0
	for _, row := range table[1:] {
		n, _ := strconv.Atoi(row[at("vans")])
		vans += n
		if row[at("status")] == "offered" {
			continue // no margin yet
		}
		got := []int{0}
		got[0], _ = strconv.Atoi(row[at("counted")])
		for _, column := range columns {
			got = append(got, pence(t, row[at(column)]))
		}
		if !slices.Equal(got, want[row[0]]) {
			t.Errorf("%s: %d, want %d", row[0], got, want[row[0]])
		}
		delete(want, row[0])
	}
	if all := len(rows(t, filepath.Join(out, "papers.csv"))) - 1; vans != all || len(want) > 0 {
		t.Errorf("%d of %d vans, without %v", vans, all, want)
	}
	if got := fmt.Sprint(column(table[1:], 0)); got != "[offered owned preparing ready sold]" {
		t.Errorf("rows are %s", got)
	}
}

func pence(t *testing.T, amount string) int {
	t.Helper()
	n, err := strconv.Atoi(strings.Replace(amount, ".", "", 1))
	if err != nil || len(amount) < 4 || amount[len(amount)-3] != '.' {
		t.Fatalf("%q is not an amount", amount)
	}
	return n
}

func column(table [][]string, at int) []string {
	var cells []string
	for _, row := range table {
		cells = append(cells, row[at])
	}
	return cells
}

// A runner may add in any order, in any grouping, and send sums from worker to
// worker in between. In floats these amounts would not come to the same.
func TestSumsDoNotDependOnBundles(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	sums, inPence := make([]Sums, 1000), int64(0)
	for i := range sums {
		amount := random.Int64N(2_000_000_000_00) - 1_000_000_000_00
		inPence += amount
		sums[i] = Sums{Vans: 1, Counted: 1, Money: pricing.ProfitBreakdown{Price: decimal.New(1, 0), Profit: decimal.New(amount, -2)}}
	}
	for round := range 5 {
		left := slices.Clone(sums)
		random.Shuffle(len(left), func(i, j int) { left[i], left[j] = left[j], left[i] })
		for len(left) > 1 {
			i := random.IntN(len(left) - 1)
			merged := sumFn{}.MergeAccumulators(sent(t, left[i]), sent(t, left[i+1]))
			left = slices.Replace(left, i, i+2, merged)
		}
		got := left[0]
		if got.Vans != 1000 || got.Counted != 1000 || !got.Money.Profit.Equal(decimal.New(inPence, -2)) {
			t.Errorf("round %d: %+v, want a profit of %d pence", round, got, inPence)
		}
	}
}

// sent is what arrives at another worker.
func sent(t *testing.T, s Sums) Sums {
	t.Helper()
	text, err := encodeSums(s)
	if err != nil {
		t.Fatal(err)
	}
	got, err := decodeSums(text)
	if err != nil {
		t.Fatal(err)
	}
	return got
}
