package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
)

func newDemoCommand(v *viper.Viper) *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "write a made-up yard and do the whole job on it",
		Long: `Demo writes the built-in yard of an invented dealer to DIR/yard, runs it to
DIR/reports as of a fixed day, and prints what came of it.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runDemo(cmd, v, out)
		},
	}
	cmd.Flags().StringVar(&out, "out", "vanwright-demo", "`DIR` to write to")
	return cmd
}

func runDemo(cmd *cobra.Command, v *viper.Viper, out string) error {
	yard := filepath.Join(out, "yard")
	if err := demo.Write(yard); err != nil {
		return fmt.Errorf("write the demo yard: %w", err)
	}
	v.Set("yard", yard)
	v.Set("out", filepath.Join(out, "reports"))
	v.Set("as-of", demo.AsOf.String())
	s, err := readSettings(v, cmd)
	if err != nil {
		return err
	}
	s.AcceptLoss = true // the yard is written anew, whatever became of the last one
	summary, err := runBatch(cmd, s)
	if err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "yard         %s\n", yard)
	summary.print(cmd.OutOrStdout())
	return nil
}
