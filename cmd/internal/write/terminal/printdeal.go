package terminal

import (
	"bufio"
	"fmt"
	"io"
	"strings"
)

// giftWords say each way of giving in a few words.
var giftWords = map[string]string{
	"price":     "off the price",
	"allowance": "on the allowance",
	"work":      "spent on work at cost; no VAT comes off for it",
}

// Print writes the deal as text for a terminal: what it leaves first.
func (s *Deal) Print(w io.Writer) error {
	p := printer{bufio.NewWriter(w)}
	out, in := s.Selling, s.Taking
	p.line("sell  %s  %s", out.StockID, out.Van)
	p.line("take  %s  %s", in.StockID, in.Van)
	p.line("as of %s", s.AsOf.Words())
	p.line("")
	if cash, paid := strings.CutPrefix(s.Cash, "-"); paid {
		p.line("WE PAY THE CUSTOMER %s", pence(cash))
	} else {
		p.line("THE CUSTOMER PAYS %s", pence(s.Cash))
	}
	p.line("it leaves %s now, and %s once %s is sold", pence(s.LeavesNow), pence(s.LeavesLater), in.StockID)
	p.heading("What the customer pays", 1)
	p.amount(fmt.Sprintf("price of %s (%s)", out.StockID, out.Basis), s.Selling.Price)
	p.amount("less the allowance for "+in.StockID, minus(s.Allowance))
	p.amount(fmt.Sprintf("finance on %s, which we settle", in.StockID), s.Finance)
	p.amount("to pay", s.Cash)
	p.heading("Both vans", 1)
	p.line("  %-30s %16s %16s", "", out.StockID+" now", in.StockID+" later")
	for _, l := range []struct{ what, out, in string }{
		{"VAT scheme", out.VATScheme, in.VATScheme},
		{"price", pence(out.Price), pence(in.Price)},
		{"VAT", pence(minus(out.VAT)), pence(minus(in.VAT))},
		{"cost, less VAT reclaimed", pence(minus(out.Cost)), pence(minus(in.Cost))},
		{"preparation", pence(minus(out.Prep)), pence(minus(in.Prep))},
		{"warranty", pence(minus(out.Warranty)), pence(minus(in.Warranty))},
		{fmt.Sprintf("holding, %d and %d days", out.Days, in.Days), pence(minus(out.Holding)), pence(minus(in.Holding))},
		{"selling", pence(minus(out.Selling)), pence(minus(in.Selling))},
		{"profit", pence(out.Profit), pence(in.Profit)},
		{"target profit", pence(out.Target), pence(in.Target)},
	} {
		p.line("  %-30s %16s %16s", l.what, l.out, l.in)
	}
	p.heading("What the deal leaves", 1)
	p.amount("profit on "+out.StockID, out.Profit)
	over := "over-allowance"
	if strings.HasPrefix(s.Over, "-") {
		over = "under-allowance"
	}
	p.amount(fmt.Sprintf("%s: %s less %s", over, pence(s.Allowance), pence(s.StandIn)), minus(s.Over))
	p.amount("left now", s.LeavesNow)
	p.amount(fmt.Sprintf("left once %s is sold: %s and %s", in.StockID, pence(out.Profit), pence(in.Profit)), s.LeavesLater)
	p.heading("Cost to us of giving £500 more, cheapest first", len(s.Gifts))
	for _, g := range s.Gifts {
		p.amount(giftWords[g.How], g.Cost)
	}
	p.heading("Look here", len(s.Reasons))
	for _, r := range s.Reasons {
		p.wrapped("  - ", r, 0)
	}
	p.line("")
	p.line("An estimate: the dealer's accountant decides on VAT, and a person on the deal.")
	return p.Flush()
}

func (p printer) amount(what, money string) { p.line("  %-54s %14s", what, pence(money)) }

// minus turns the sign of an amount of a sheet; a zero has none.
func minus(money string) string {
	if rest, negative := strings.CutPrefix(money, "-"); negative {
		return rest
	}
	if money == "0.00" {
		return money
	}
	return "-" + money
}

// pence writes an amount of a sheet for people, as £15,350.00.
func pence(money string) string {
	money, negative := strings.CutPrefix(money, "-")
	pounds, rest, _ := strings.Cut(money, ".")
	for i := len(pounds) - 3; i > 0; i -= 3 {
		pounds = pounds[:i] + "," + pounds[i:]
	}
	sign := ""
	if negative {
		sign = "-"
	}
	return sign + "£" + pounds + "." + rest
}
