package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
)

// execute runs one command line and returns the exit status. Messages for the
// user go to stderr as "vanwright: sentence", lower case, no full stop.
func execute(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second signal ends the process at once
	answer := &answerWriter{to: stdout}
	root := newRootCommand()
	root.SetArgs(args)
	root.SetOut(answer)
	root.SetErr(stderr)
	cmd, err := root.ExecuteContextC(ctx)
	err = interrupted(ctx, err, "vanwright "+cmd.Name()+" was at work")
	if err == nil && answer.err != nil {
		err = fmt.Errorf("the work is done, but its answer could not be written: %w", answer.err)
	}
	if err != nil {
		fmt.Fprintf(stderr, "vanwright: %s\n", oneSentence(err))
	}
	return exitStatus(err)
}

// answerWriter writes to standard output and remembers the first error, so that a
// command whose answer could not be printed does not end as done.
type answerWriter struct {
	to  io.Writer
	err error
}

func (w *answerWriter) Write(p []byte) (int, error) {
	n, err := w.to.Write(p)
	if w.err == nil {
		w.err = err
	}
	return n, err
}

// interruptedError says what a signal stopped.
type interruptedError struct {
	doing string
	cause error
}

func (e interruptedError) Error() string {
	return fmt.Sprintf("stopped while %s, nothing replaced: %v", e.doing, e.cause)
}

func (e interruptedError) Unwrap() error { return e.cause }

// interrupted says of an error that a signal brought about what was being done. It
// returns any other error, and one that says so already, as it is.
func interrupted(ctx context.Context, err error, doing string) error {
	var said interruptedError
	if ctx.Err() == nil || !errors.Is(err, context.Canceled) || errors.As(err, &said) {
		return err
	}
	return interruptedError{doing, context.Cause(ctx)}
}

// oneSentence joins what errors.Join spread over lines.
func oneSentence(err error) string {
	return strings.ReplaceAll(strings.TrimSpace(err.Error()), "\n", "; ")
}

func newRootCommand() *cobra.Command {
	v := viper.New()
	root := &cobra.Command{
		Use:   "vanwright",
		Short: "appraise, prepare and price used motorhomes and campervans",
		Long: `vanwright reads a yard, a folder of plain tables, and writes a folder of
reports: what each van needs, what it will fetch and when, what may be bid for
it, and in what order the workshop should work.

Settings come from flags, then the environment (VANWRIGHT_…), then policy.yaml
in the yard, then built-in defaults. Every key of policy.yaml is also a flag:
bid_step is --bid-step.
` + exitHelp,
		Version:       version(),
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return cmd.Help()
		},
	}
	root.SetVersionTemplate(versionText())
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.CompletionOptions.HiddenDefaultCmd = true

	flags := root.PersistentFlags()
	flags.String("config", "", "settings `FILE` in place of policy.yaml in the yard")
	flags.String("log-level", "info", "least `LEVEL` to log: debug, info, warn or error")
	flags.Bool("quiet", false, "print no log below warnings and no progress")
	flags.Bool("strict", false, "stop with status 3, replacing nothing, where a row is rejected")
	flags.Int("workers", 0, "`N` files or vans worked on at once (0: one for each processor)")
	policyfile.AddFlags(flags)

	for _, build := range []func(*viper.Viper) *cobra.Command{
		newRunCommand, newCheckCommand, newBidCommand, newDealCommand, newDemoCommand, newBooksCommand,
		newFormCommand,
		newOpenCommand, newSinceCommand, newRestoreCommand, newMonthCommand, newFoldCommand,
	} {
		root.AddCommand(build(v))
	}
	root.AddCommand(newSynthCommand())
	usageArgs(root)
	return root
}

// usageArgs makes a wrong number of arguments, or an unknown command, wrong
// usage rather than a failure.
func usageArgs(cmd *cobra.Command) {
	if check := cmd.Args; check != nil {
		cmd.Args = func(c *cobra.Command, args []string) error {
			if err := check(c, args); err != nil {
				return usageError{err}
			}
			return nil
		}
	}
	for _, sub := range cmd.Commands() {
		usageArgs(sub)
	}
}
