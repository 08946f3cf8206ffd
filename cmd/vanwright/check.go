package main

import (
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

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

// loadYard reads the yard with the settings in force, and counts the settings
// file among its inputs.
func loadYard(cmd *cobra.Command, s settings) (*data.Yard, error) {
	yard, err := data.Load(cmd.Context(), os.DirFS(s.Yard), data.LoadOptions{AsOf: s.AsOf, Workers: s.Workers, MaxRejects: s.Policy.MaxRejects})
	if err != nil {
		return nil, fmt.Errorf("read the yard %s: %w", s.Yard, err)
	}
	if s.File != "" {
		yard.Inputs = append(yard.Inputs, data.InputFile{
			Name: filepath.Base(s.File), Size: int64(len(s.Text)), SHA256: fmt.Sprintf("%x", sha256.Sum256(s.Text)),
		})
	}
	return yard, nil
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
