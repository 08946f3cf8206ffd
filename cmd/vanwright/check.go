package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/batch"
	"github.com/vanwright/vanwright/data"
)

func newCheckCommand(v *viper.Viper) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "check --yard DIR",
		Short: "read and validate a yard, and print every problem",
		Long: `Check reads the whole yard as run does, prints each row that would be rejected
as file:line: reason, and says what was read. It writes nothing.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			s, err := readSettings(v, cmd)
			if err != nil {
				return err
			}
			return runCheck(cmd, s)
		},
	}
	addYardFlags(cmd.Flags())
	return cmd
}

func runCheck(cmd *cobra.Command, s settings) error {
	yard, err := loadYard(cmd, s)
	if err != nil {
		return err
	}
	printProblems(cmd.OutOrStdout(), yard)
	if s.Strict && len(yard.Rejects) > 0 {
		return rejectedError{len(yard.Rejects)}
	}
	return nil
}

// loadYard reads the yard with the settings in force.
func loadYard(cmd *cobra.Command, s settings) (*data.Yard, error) {
	return batch.Load(cmd.Context(), os.DirFS(s.Yard), s.Yard, s.forBatch())
}

// loadForBid reads of it what a bid needs. Whoever is strict wants to hear of
// every bad row.
func loadForBid(cmd *cobra.Command, s settings) (batch.ForBid, error) {
	b, err := batch.LoadForBid(cmd.Context(), os.DirFS(s.Yard), s.Yard, s.forBatch(), s.Strict)
	if err != nil {
		return b, err
	}
	return b, s.tellRejects(b.Yard, notUsed)
}

func (s settings) forBatch() batch.Settings {
	return batch.Settings{Policy: s.Policy, AsOf: s.AsOf, Workers: s.Workers, File: s.File, Text: s.Text}
}

// printProblems lists rejects, warnings and what was read of each file.
func printProblems(w io.Writer, yard *data.Yard) {
	for _, r := range yard.Rejects {
		fmt.Fprintln(w, r)
	}
	for _, warning := range yard.Warnings {
		fmt.Fprintln(w, "note: "+warning)
	}
	for _, in := range yard.Inputs {
		if strings.HasSuffix(in.Name, ".yaml") {
			continue // settings have no rows
		}
		fmt.Fprintf(w, "%s: %d read, %d accepted, %d rejected\n", in.Name, in.Read, in.Accepted, in.Rejected)
	}
	if len(yard.Rejects) == 0 {
		fmt.Fprintln(w, "no problems")
	}
}
