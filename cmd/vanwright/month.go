package main

import (
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/month"
	"github.com/vanwright/vanwright/data"
)

func newMonthCommand(v *viper.Viper) *cobra.Command {
	cmd := yardCommand(v, &cobra.Command{
		Use:   "month --yard DIR MONTH --out DIR",
		Short: "a month's purchases, sales, stock and VAT for the accountant",
		Long: `Month writes, for a month such as 2026-03, a workbook and the same as CSV files:
what was bought, what was sold, the stock at the last day, VAT under the margin
scheme and on qualifying vans, the stock book of the margin scheme, costs paid and
claims, and apart from these what vanwright estimates. to-add.csv lists what the
books ask for and the yard does not hold. It reads the yard as it is today; a sale
after the month is left out. The accountant decides every question of VAT.

The folder is replaced as a whole or not at all.
` + exitHelp,
		Args: cobra.ExactArgs(1),
	}, func(cmd *cobra.Command, s settings, args []string) error { return runMonth(cmd, s, args[0]) })
	cmd.Flags().String("out", "", "`DIR` to write the month to; it is replaced")
	return cmd
}

func runMonth(cmd *cobra.Command, s settings, named string) error {
	at, err := time.Parse("2006-01", named)
	if err != nil {
		return usagef("the month is %q; expected one such as 2026-03", named)
	}
	if s.Out == "" {
		return usagef("no folder for the month: give --out DIR")
	}
	first := data.DateOf(at)
	if first > s.AsOf {
		return fmt.Errorf("the month %s has not begun on %s", named, s.AsOf)
	}
	if within, err := swap.Within(filepath.Dir(s.Out)); err != nil {
		return err
	} else if within {
		return fmt.Errorf("%s is in a folder of reports, where the next run would delete it: name another", s.Out)
	}
	writing, err := swap.Begin(s.Out, s.Yard)
	if err != nil {
		return err
	}
	defer writing.Abort() // does nothing once committed
	yard, err := loadYard(cmd, s, nil)
	if err != nil {
		return err
	}
	if err := s.tellRejects(yard, notUsed); err != nil {
		return err
	}
	result, err := night.Run(cmd.Context(), yard, s.Policy, s.AsOf, night.RunOptions{Workers: s.Workers})
	if err != nil {
		return err
	}
	m := month.Of(result, first)
	if err := m.Write(writing.Create); err != nil {
		return fmt.Errorf("write the month: %w", err)
	}
	if err := writing.Commit(); err != nil {
		return err
	}
	for _, line := range m.Lines() {
		fmt.Fprintln(cmd.OutOrStdout(), line)
	}
	fmt.Fprintln(cmd.OutOrStdout(), filepath.Join(s.Out, month.Workbook))
	return nil
}
