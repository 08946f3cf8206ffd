package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/write/photos"
	"github.com/vanwright/vanwright/data"
)

func newCheckCommand(v *viper.Viper) *cobra.Command {
	return yardCommand(v, &cobra.Command{
		Use:   "check --yard DIR",
		Short: "read and validate a yard, and print every problem",
		Long: `Check reads the whole yard as run does, prints each row that would be rejected
as file:line: reason, and says what was read. Of more than three rows that follow
each other and are rejected for the same cell, the first is printed and the others
are counted. It writes nothing.
` + exitHelp,
		Args: cobra.NoArgs,
	}, func(cmd *cobra.Command, s settings, _ []string) error { return runCheck(cmd, s) })
}

func runCheck(cmd *cobra.Command, s settings) error {
	yard, err := loadYard(cmd, s, nil)
	if err != nil {
		return err
	}
	if err := photos.Reject(cmd.Context(), yard, photos.All); err != nil {
		return err
	}
	printProblems(cmd.OutOrStdout(), yard)
	if s.Strict && len(yard.Rejects) > 0 {
		return rejectedError{len(yard.Rejects)}
	}
	return nil
}

// mostAlike is how many rows in a row are listed that are rejected for the same
// cell with the same value. A van whose own row was rejected may have hundreds of
// readings, which would bury that row; rejects.csv has each.
const mostAlike = 3

// alike counts the rejects at the start of a list that are alike.
func alike(rejects []data.Reject) int {
	first := rejects[0]
	n := 1
	for n < len(rejects) {
		r := rejects[n]
		if r.File != first.File || r.Rule != first.Rule || r.Value != first.Value || r.Expected != first.Expected || r.Also != first.Also {
			break
		}
		n++
	}
	return n
}

// printProblems lists rejects, warnings and what was read of each file.
func printProblems(w io.Writer, yard *data.Yard) {
	for rest := yard.Rejects; len(rest) > 0; {
		fmt.Fprintln(w, rest[0])
		told := 1
		if n := alike(rest); n > mostAlike {
			fmt.Fprintf(w, "%s: %d more rows to line %d for the same reason\n", rest[0].File, n-1, rest[n-1].Line)
			told = n
		}
		rest = rest[told:]
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
