package main

import (
	"context"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/terminal"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

func newDealCommand(v *viper.Viper) *cobra.Command {
	cmd := yardCommand(v, &cobra.Command{
		Use:   "deal --yard DIR --selling STOCK_ID --taking STOCK_ID --allowance MONEY",
		Short: "what a part-exchange deal leaves, and where its VAT goes",
		Long: `Deal reckons a part exchange as the two sales it is: a van in hand goes out, an
offered one comes in as part payment. It prints what the customer pays, how far
the allowance is above what the van taken in is worth, the finance to settle,
the VAT on each van, what the deal leaves now and what it leaves once the van
taken in is sold, and the cheapest way to give the customer £500.
` + exitHelp,
		Args: cobra.NoArgs,
	}, func(cmd *cobra.Command, s settings, _ []string) error {
		terms, err := readTerms(cmd)
		if err != nil {
			return err
		}
		return runDeal(cmd, s, terms)
	})
	cmd.Flags().String("selling", "", "`STOCK_ID` of the van in hand that is sold")
	cmd.Flags().String("taking", "", "`STOCK_ID` of the offered van that is taken in")
	cmd.Flags().String("allowance", "", "`MONEY` allowed for the van taken in: its purchase price")
	cmd.Flags().String("price", "", "`MONEY` agreed for the van sold, where it is not the asking price")
	cmd.Flags().Bool("json", false, "print the same as one JSON object")
	return cmd
}

// terms are what buyer and dealer agreed.
type terms struct {
	selling, taking string // stock_ids
	allowance       data.Money
	price           data.Opt[data.Money] // unknown: as asked, or else as advised
}

func readTerms(cmd *cobra.Command) (terms, error) {
	return termsOf(func(name string) string {
		s, _ := cmd.Flags().GetString(name) // can't fail: the flag is there and a string
		return s
	})
}

// termsOf reads terms from what text gives by the names of the flags.
func termsOf(text func(name string) string) (t terms, err error) {
	t.selling, t.taking = text("selling"), text("taking")
	switch {
	case t.selling == "":
		return t, usagef("no van to sell: give --selling STOCK_ID")
	case t.taking == "":
		return t, usagef("no van to take in: give --taking STOCK_ID")
	case text("allowance") == "":
		return t, usagef("nothing allowed for %s: give --allowance MONEY", t.taking)
	}
	if t.allowance, err = amount("allowance", text("allowance")); err != nil {
		return t, err
	}
	if text("price") != "" {
		t.price.Known = true
		t.price.Value, err = amount("price", text("price"))
	}
	return t, err
}

// amount reads a flag that holds money, zero or more.
func amount(flag, text string) (data.Money, error) {
	m, err := data.ParseMoney(text)
	if err != nil {
		return m, usagef("--%s is %q; expected %w", flag, text, err)
	}
	if m.IsNegative() {
		return m, usagef("--%s is %q; expected nothing below zero", flag, text)
	}
	return m, nil
}

func runDeal(cmd *cobra.Command, s settings, t terms) error {
	yard, err := loadForBid(cmd, s)
	if err != nil {
		return err
	}
	sheet, err := dealSheet(cmd.Context(), yard, s, t)
	if err != nil {
		return err
	}
	return s.show(cmd.OutOrStdout(), sheet)
}

// dealSheet works a deal out.
func dealSheet(ctx context.Context, yard *data.Yard, s settings, t terms) (sheet, error) {
	going, err := yard.Find(t.selling)
	if err != nil {
		return nil, err
	}
	coming, err := yard.Find(t.taking)
	if err != nil {
		return nil, err
	}
	if err := pricing.CanExchange(going, coming); err != nil {
		return nil, err
	}
	result, taking, err := night.BidFor(ctx, yard, s.Policy, s.AsOf, s.Workers, t.taking)
	if err != nil {
		return nil, err
	}
	selling, _ := result.Find(t.selling) // in hand, so among the vans of the result
	quote := result.Market.Quote(selling.Van, pricing.ConditionOf(selling.Assessment))
	row := pricing.Margin(selling.Assessment, selling.Jobs, yard.Costs[t.selling], quote, s.Policy, s.AsOf)
	exchange, err := pricing.NewExchange(row, t.price, *taking.Bid, t.allowance)
	if err != nil {
		return nil, err
	}
	return terminal.NewDeal(result, row, string(exchange.Basis), taking, pricing.NewDeal(exchange, s.Policy)), nil
}
