package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"github.com/spf13/cobra"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/cmd/internal/sample/synth"
	"github.com/vanwright/vanwright/data"
)

// salesPerVan is how many past sales a made-up yard has for each van where the
// user does not say.
const salesPerVan = 10

// synthOptions are the flags of vanwright synth as they were given.
type synthOptions struct {
	vans, sales int
	seed        int64
	asOf        string
	out         string
}

func newSynthCommand() *cobra.Command {
	var o synthOptions
	cmd := &cobra.Command{
		Use:   "synth --vans N --out DIR",
		Short: "write a made-up yard of any size, for benchmarks",
		Long: `Synth writes the input files of a made-up yard: vans, about 50 readings and 10
papers for each, past sales, and a workshop with its team and progress. Makers,
models, people and marks are invented; prices and times to sell follow models
that the program's source sets down. The same flags give the same bytes on every
machine. The folder must be empty or not there yet.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !cmd.Flags().Changed("sales") {
				o.sales = salesPerVan * o.vans
			}
			return runSynth(cmd, o)
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&o.vans, "vans", 0, "`N` vans, sold and offered ones included")
	flags.IntVar(&o.sales, "sales", 0, "`N` past sales (default 10 for each van)")
	flags.Int64Var(&o.seed, "seed", 1, "`N`; another seed is another yard")
	flags.StringVar(&o.asOf, "as-of", demo.AsOf.String(), "`DATE` on which the yard is seen")
	flags.StringVar(&o.out, "out", "", "`DIR` to write to")
	return cmd
}

func runSynth(cmd *cobra.Command, o synthOptions) error {
	switch {
	case o.vans < 1:
		return usagef("synth needs --vans, a whole number from 1")
	case o.sales < 0:
		return usagef("--sales is %d; expected 0 or more", o.sales)
	case o.out == "":
		return usagef("synth needs --out, the folder to write to")
	}
	asOf, err := data.ParseDate(o.asOf)
	if err != nil {
		return usagef("--as-of is %q; expected %w", o.asOf, err)
	}
	spec := synth.NewSpec(o.vans, o.sales, o.seed, asOf)
	if err := spec.Validate(); err != nil {
		return usageError{err}
	}
	if err := emptyFolder(o.out); err != nil {
		return fmt.Errorf("write a made-up yard: %w", err)
	}
	start := time.Now()
	n, err := synth.Write(cmd.Context(), o.out, spec)
	if err != nil {
		return fmt.Errorf("write a made-up yard: %w", err)
	}
	fmt.Fprintf(cmd.OutOrStdout(), "wrote %d vans, %d readings, %d papers, %d sales and %d jobs to %s in %.1f s\n",
		n.Vans, n.Readings, n.Documents, n.Sales, n.Progress, o.out, time.Since(start).Seconds())
	return nil
}

// emptyFolder makes the folder where it is missing and refuses one that holds
// anything.
func emptyFolder(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return os.MkdirAll(dir, 0o755)
	case err != nil:
		return err
	case len(entries) > 0:
		return fmt.Errorf("%s is not empty", dir)
	}
	return nil
}
