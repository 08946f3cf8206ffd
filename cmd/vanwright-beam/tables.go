package main

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// The group's own reports, beside those that each yard has. All but totals.csv
// get the column yard before the others, as every report of a yard does.
var (
	failedYards = csvout.New("failed-yards.csv", nil,
		csvout.Text("reason", func(err error) string { return oneSentence(err) }),
	)
	yardTotals = csvout.New("yards.csv", nil,
		csvout.Int("rows_read", func(y yardTotal) int { return y.read }),
		csvout.Int("rows_accepted", func(y yardTotal) int { return y.accepted }),
		csvout.Int("rows_rejected", func(y yardTotal) int { return y.rejected }),
		csvout.Int("vans", func(y yardTotal) int { return len(y.Vans) }),
		csvout.Int("in_hand", func(y yardTotal) int { return y.inHand }),
		csvout.Int("offered", func(y yardTotal) int { return y.offered }),
		csvout.Int("sold", func(y yardTotal) int { return y.sold }),
		csvout.Money("profit_in_hand", func(y yardTotal) data.Money { return y.profitInHand }),
		csvout.Money("profit_sold", func(y yardTotal) data.Money { return y.profitSold }),
		csvout.Money("plan_gain", func(y yardTotal) data.Money { return y.Plan.Gain }),
		csvout.List("warnings", func(y yardTotal) []string { return y.warnings }),
	)
	inputs = csvout.New("inputs.csv", []string{"file"},
		csvout.Text("file", func(in data.InputFile) string { return in.Name }),
		csvout.Value("size", func(in data.InputFile) string { return fmt.Sprint(in.Size) }),
		csvout.Text("sha256", func(in data.InputFile) string { return in.SHA256 }),
		csvout.Int("read", func(in data.InputFile) int { return in.Read }),
		csvout.Int("accepted", func(in data.InputFile) int { return in.Accepted }),
		csvout.Int("rejected", func(in data.InputFile) int { return in.Rejected }),
	)
	settings = csvout.New("settings.csv", []string{"setting"},
		csvout.Text("setting", func(s setting) string { return s.name }),
		csvout.Value("value", func(s setting) string { return s.value }),
	)
)

type setting struct{ name, value string }

// yardTotal is one yard's row of yards.csv.
type yardTotal struct {
	*night.Result
	read, accepted, rejected int
	inHand, offered, sold    int // vans
	profitInHand, profitSold data.Money
	warnings                 []string
}

func totalOf(r *night.Result) yardTotal {
	t := yardTotal{Result: r, warnings: slices.Concat(r.Yard.Warnings, r.Market.Notes)}
	if r.Plan.WorkshopNote != "" {
		t.warnings = append(t.warnings, r.Plan.WorkshopNote)
	}
	for _, in := range r.Yard.Inputs {
		t.read += in.Read
		t.accepted += in.Accepted
		t.rejected += in.Rejected
	}
	var inHand, sold []*pricing.MarginRow
	for i := range r.Vans {
		switch v := &r.Vans[i]; v.Status {
		case data.Offered:
			t.offered++
		case data.Sold:
			sold = append(sold, v.Margin)
		default:
			inHand = append(inHand, v.Margin)
		}
	}
	t.inHand, t.sold = len(inHand), len(sold)
	t.profitInHand, t.profitSold = pricing.Sum(inHand).Profit, pricing.Sum(sold).Profit
	return t
}

// writeYard sends what the group's own reports say of a yard that was costed.
func writeYard(send func(report string, text []byte), r *night.Result, given map[string]string) error {
	var inForce []setting
	for _, name := range slices.Sorted(maps.Keys(given)) {
		inForce = append(inForce, setting{name, given[name]})
	}
	if err := sendRows(send, failedYards); err != nil { // the header, where no yard fails
		return err
	}
	if err := sendRows(send, yardTotals, totalOf(r)); err != nil {
		return err
	}
	if err := sendRows(send, inputs, r.Yard.Inputs...); err != nil {
		return err
	}
	return sendRows(send, settings, inForce...)
}

// writeFailed sends what they say of one that could not be.
func writeFailed(send func(report string, text []byte), why error) error {
	return sendRows(send, failedYards, why)
}

func sendRows[R any](send func(report string, text []byte), t csvout.Table[R], rows ...R) error {
	var text bytes.Buffer
	_, err := t.Write(&text, slices.Values(rows))
	send(t.Name(), text.Bytes())
	return err
}

// shardName is the name of a part of a report: the report's own where there is
// one part, or else as in prices-00002-of-00010.csv.
func shardName(report string, shard, shards int) string {
	if shards == 1 {
		return report
	}
	return fmt.Sprintf("%s-%05d-of-%05d.csv", strings.TrimSuffix(report, ".csv"), shard, shards)
}
