package main

import (
	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/terminal"
)

func newBidCommand(v *viper.Viper) *cobra.Command {
	cmd := yardCommand(v, &cobra.Command{
		Use:   "bid --yard DIR STOCK_ID",
		Short: "what may be bid for one van, and why",
		Long: `Bid prints one van on one screen: the most that may be bid and what to open
with, where the price goes, the costliest work, what was not tested, what is
missing and what to ask the owner. It is an estimate; a person approves every
bid.
` + exitHelp,
		Args: cobra.ExactArgs(1),
	}, func(cmd *cobra.Command, s settings, args []string) error { return runBid(cmd, s, args[0]) })
	cmd.Flags().Bool("json", false, "print the same as one JSON object")
	return cmd
}

func runBid(cmd *cobra.Command, s settings, stockID string) error {
	yard, err := loadForBid(cmd, s)
	if err != nil {
		return err
	}
	result, van, err := night.BidFor(cmd.Context(), yard, s.Policy, s.AsOf, s.Workers, stockID)
	if err != nil {
		return err
	}
	return s.show(cmd.OutOrStdout(), terminal.New(result, van))
}
