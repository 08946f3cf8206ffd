// Package attention lists what somebody should do today about the vans that are
// not sold, what hangs on it in pounds, and who.
//
// In go vans as a run worked them out, the workshop's plan and the rejected
// rows; out comes one list, ranked by kind, then day, then pounds. It is what
// attention.csv, the front page and the mail show.
//
//	things := attention.List(vans, plan, yard.Rejects, policy, asOf)
package attention

import (
	"cmp"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
)

// Kind is what sort of thing there is to do.
type Kind string

// The kinds, in the order in which the list has them.
const (
	Unsafe  Kind = "unsafe"  // do not hand over, drive or use
	Promise Kind = "promise" // a promised day that may not be kept
	Bid     Kind = "bid"     // an offer that waits for an answer
	Blocked Kind = "blocked" // work that stands still
	Order   Kind = "order"   // a part to order today
	Price   Kind = "price"   // an asking price to set or change
	Paper   Kind = "paper"   // a paper that is missing or about to run out
	VAT     Kind = "vat"     // a VAT scheme for the accountant to confirm
	Money   Kind = "money"   // profit that is not there
	Data    Kind = "data"    // rows or values that are missing or wrong
)

// Kinds lists the kinds in their order.
var Kinds = []Kind{Unsafe, Promise, Bid, Blocked, Order, Price, Paper, VAT, Money, Data}

var kindTitles = map[Kind]string{
	Unsafe: "Unsafe: do not hand over", Promise: "Promises at risk: ring the customer", Bid: "Bids to answer",
	Blocked: "Work that stands still", Order: "Parts to order today", Price: "Prices to change",
	Paper: "Papers missing or expiring", VAT: "VAT to confirm", Money: "Money at stake", Data: "Records to put right",
}

// Title is the heading that a list of the kind stands under.
func (k Kind) Title() string { return kindTitles[k] }

// Thing is one thing to do. Pounds of different things are never added up: they
// may be the same pounds, or of another sort.
type Thing struct {
	Rank    int
	StockID string // blank where it concerns no one van
	Kind    Kind
	What    string    // one sentence without a stop
	Due     data.Date // unknown where no day is set
	Pounds  data.Opt[data.Money]
	Meaning string // what Pounds is, such as "maximum bid"; blank without Pounds
	Who     string // a technician, a supplier or one of the roles below
}

// leads are how things of a kind begin, whatever the van.
var leads = map[Kind]string{
	Unsafe: "unsafe, do not hand over, drive or use: ", Promise: "ring the customer: ", Bid: "answer the seller: ",
	Blocked: "work stands still, waiting for ",
}

// Short is What without what the title of its kind says already.
func (t Thing) Short() string { return strings.TrimPrefix(t.What, leads[t.Kind]) }

// Worth writes the pounds of a thing with what they are; blank where What says them.
func (t Thing) Worth() string {
	if !t.Pounds.Known {
		return ""
	}
	pounds := data.InPounds(t.Pounds.Value)
	if strings.Contains(t.What, pounds) {
		return ""
	}
	return pounds + " " + t.Meaning
}

// The roles that things fall to where no name is known.
const (
	Workshop   = "workshop"
	Sales      = "sales"
	Buyer      = "buyer"
	PartsDesk  = "parts desk"
	Office     = "office"
	Accountant = "accountant"
	Owner      = "owner"
)

// Van is what a run found out about one van. Quote, Bid and Margin are nil where
// they do not apply.
type Van struct {
	data.Van
	Assessment *appraise.Assessment
	Jobs       []prep.Job
	Progress   []data.Progress // every row of it, those of one day in the order in which they were read
	Quote      *pricing.Quote
	Bid        *pricing.Bid
	Margin     *pricing.MarginRow
}

// list gathers things, each about the van in hand.
type list struct {
	policy data.Policy
	asOf   data.Date
	things []Thing
}

func (l *list) add(t Thing) { l.things = append(l.things, t) }

// List returns what there is to do on a day: in the order of Kinds, then by day
// (those without one last), then by pounds, the most first, then by stock_id and
// what it says. A sold van needs
// nothing but to be known of while its buyer may reject it.
func List(vans []Van, plan prep.Plan, rejects []data.Reject, policy data.Policy, asOf data.Date) []Thing {
	queued := map[string]*prep.QueueRow{}
	for i := range plan.Queue {
		queued[plan.Queue[i].Van.StockID] = &plan.Queue[i]
	}
	l := list{policy: policy, asOf: asOf}
	for i := range vans {
		if vans[i].Status == data.Sold {
			l.sold(&vans[i])
			continue
		}
		l.van(&vans[i], queued[vans[i].StockID])
	}
	l.lacking(plan.Shortfalls)
	l.orders(plan.Parts)
	l.rejects(rejects)
	slices.SortFunc(l.things, compare)
	for i := range l.things {
		l.things[i].Rank = i + 1
	}
	return l.things
}

func compare(a, b Thing) int {
	return cmp.Or(
		cmp.Compare(slices.Index(Kinds, a.Kind), slices.Index(Kinds, b.Kind)),
		knownFirst(!a.Due.IsZero(), !b.Due.IsZero()),
		cmp.Compare(a.Due, b.Due),
		knownFirst(a.Pounds.Known, b.Pounds.Known),
		b.Pounds.Value.Cmp(a.Pounds.Value),
		cmp.Compare(a.StockID, b.StockID),
		cmp.Compare(a.What, b.What),
	)
}

func knownFirst(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}
