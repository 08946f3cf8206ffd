// Command vanwright-bench repeats the measurements that the project's result
// tables state: scheduling against public instances, prices against data sets
// held out, and times to sell against published fits.
//
// It reads the data it is pointed at and prints CSV on standard output. It
// never fetches anything and leaves no file behind.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"

	"github.com/spf13/cobra"
)

// commands lists the measurements, one to a file of this folder.
var commands = []func() *cobra.Command{
	newNightCommand,
	newPriceCommand,
	newReadCommand,
	newSaleTimeCommand,
	newScheduleCommand,
	newWorkshopCommand,
}

func newRootCommand() *cobra.Command {
	root := &cobra.Command{
		Use:           "vanwright-bench",
		Short:         "Repeat the measurements in vanwright's result tables",
		Args:          cobra.NoArgs,
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	for _, command := range commands {
		root.AddCommand(command())
	}
	return root
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := newRootCommand().ExecuteContext(ctx)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "vanwright-bench:", err)
		os.Exit(1)
	}
}
