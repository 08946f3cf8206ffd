package prep

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// paidFor is a finished job with what its parts came to; blank: nobody said.
func paidFor(job, parts string) data.Progress {
	p := data.Progress{Job: job, State: data.JobDone}
	if parts != "" {
		p.PartsSpent = data.Some(decimal.RequireFromString(parts))
	}
	return p
}

func TestWhatWasPaidForParts(t *testing.T) {
	part := func(amount string) data.Cost {
		return data.Cost{StockID: "V1", Kind: data.PartsCost, Amount: decimal.RequireFromString(amount)}
	}
	tests := []struct {
		name     string
		progress []data.Progress
		costs    []data.Cost
		orders   []data.Order
		want     []Spent
	}{
		{"a job says it: four tyres at 100", []data.Progress{paidFor("tyre-set", "480")}, nil, nil, []Spent{{"tyre", 400, 480}}},
		{"the van's costs say it: a hose and four tyres", []data.Progress{paidFor("tyre-set", ""), paidFor("gas-hose", "")}, []data.Cost{part("300"), part("120")}, nil, []Spent{{"", 412.5, 420}}},
		{"a job says it: the van's costs are not looked at", []data.Progress{paidFor("tyre-set", "480"), paidFor("gas-hose", "")}, []data.Cost{part("500")}, nil, []Spent{{"tyre", 400, 480}}},
		{"orders for the van say it better than its costs", []data.Progress{paidFor("tyre-set", "")}, []data.Cost{part("420")}, []data.Order{{StockID: "V1", Part: "tyre"}}, nil},
		{"a job for each place: of how many is not known", []data.Progress{paidFor("tyre-replace", "200"), paidFor("tyre-set", "")}, []data.Cost{part("420")}, nil, nil},
		{"work that goes on", []data.Progress{{Job: "tyre-set", State: data.JobStarted, PartsSpent: data.Some(decimal.NewFromInt(100))}}, []data.Cost{part("100")}, nil, nil},
		{"a job without parts", []data.Progress{paidFor("valet", "20")}, nil, nil, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			yard := &data.Yard{
				Books: books(t), Vans: []data.Van{{StockID: "V1"}}, Orders: tt.orders,
				Progress: map[string][]data.Progress{"V1": tt.progress}, Costs: map[string][]data.Cost{"V1": tt.costs},
			}
			if diff := cmp.Diff(tt.want, PartsSpent(yard)); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

// Ten jobs at 1.2 times the book, against a book that counts as five: all parts by 10 of
// 15, the tyre by that and 10 of 15 again. A slip of a nought teaches nothing.
func TestPartsPaidForCorrectTheBook(t *testing.T) {
	b := books(t)
	var spent []Spent
	for range 10 {
		spent = append(spent, Spent{"tyre", 400, 480})
	}
	spent = append(spent, Spent{"tyre", 400, 4800}, Spent{"", 400, 40})
	tyre, _ := LearnSupply(nil, spent, b).Books(b).Part("tyre")
	want := 100 * math.Pow(1.2, 10.0/15+5.0/15*10/15)
	if got := tyre.UnitCost.InexactFloat64(); math.Abs(got-want) > 0.01 {
		t.Errorf("a tyre at %.2f, want %.2f", got, want)
	}
	hose, _ := LearnSupply(nil, spent, b).Books(b).Part("hose")
	if got, want := hose.UnitCost.InexactFloat64(), 12.5*math.Pow(1.2, 10.0/15); math.Abs(got-want) > 0.01 {
		t.Errorf("a hose at %.2f, want %.2f", got, want)
	}
	for i := range spent {
		spent[i].Paid = spent[i].Book * (1 + 0.1*float64(i%3-1)) // ten per cent either way
	}
	if same, _ := LearnSupply(nil, spent, b).Books(b).Part("tyre"); math.Abs(same.UnitCost.InexactFloat64()/100-1) > 0.02 {
		t.Errorf("a record that agrees with the book makes a tyre %s", same.UnitCost)
	}
}
