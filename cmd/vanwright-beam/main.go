// Command vanwright-beam costs a group of yards as one Apache Beam pipeline:
// appraisal, workshop plan and pricing of each yard by the packages, and with
// the rows, of vanwright run.
//
// In go the folders of the yards and a day; out comes one folder with each
// report for the whole group, the column yard before the others, and the
// group's totals. It runs within this process by default, and on Flink, Spark
// or Dataflow by --runner and the flags of the Beam SDK. It draws no pages:
// those are for the people of one yard.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/log"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/options/jobopts"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/x/beamx"
)

// The exit statuses, as those of vanwright.
const (
	exitFailed   = 1
	exitUsage    = 2
	exitRejected = 3
)

func main() {
	var o options
	addFlags(flag.CommandLine, &o)
	args, err := workerArgs(context.Background(), os.Args)
	if err != nil {
		os.Exit(exitStatus(err, os.Stderr))
	}
	os.Args = args
	flag.Parse()
	log.LogLevel = "warn" // what a runner says of its own doings
	beam.Init()           // does not return in a worker
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if flag.NArg() > 0 {
		os.Exit(exitStatus(usagef("unexpected %q: every option begins with --", flag.Arg(0)), os.Stderr))
	}
	os.Exit(exitStatus(run(ctx, o, os.Stdout, os.Stderr), os.Stderr))
}

// exitStatus tells an error as "vanwright-beam: sentence", and maps it.
func exitStatus(err error, stderr io.Writer) int {
	if err == nil {
		return 0
	}
	fmt.Fprintln(stderr, "vanwright-beam: "+oneSentence(err))
	var usage usageError
	var faulty faultyError
	switch {
	case errors.As(err, &usage):
		return exitUsage
	case errors.As(err, &faulty):
		return exitRejected
	}
	return exitFailed
}

// faultyError says that --strict was given and the yards are not faultless.
type faultyError struct{ failed, rejected int }

func (e faultyError) Error() string {
	return fmt.Sprintf("%d yards failed, %d rows were rejected, and --strict was given", e.failed, e.rejected)
}

// run costs the group and says what came of it.
func run(ctx context.Context, o options, stdout, stderr io.Writer) error {
	if err := o.check(ctx); err != nil {
		return err
	}
	yards, err := findYards(ctx, o)
	if err != nil {
		return err
	}
	if _, err := beamx.RunWithMetrics(ctx, newPipeline(o, yards)); err != nil {
		return fmt.Errorf("run the pipeline: %w", err)
	}
	if *jobopts.Async {
		fmt.Fprintf(stdout, "submitted; %s will close the set in %s\n", closing, o.Out)
		return nil
	}
	text, err := read(ctx, join(o.Out, closing))
	if err != nil {
		return fmt.Errorf("the pipeline ended without an error and without %s: %w", closing, err)
	}
	var g group
	if err := json.Unmarshal(text, &g); err != nil {
		return fmt.Errorf("read %s: %w", closing, err)
	}
	return g.tell(o, stdout, stderr)
}

// tell says what came of a run, and whether --strict allows it.
func (g group) tell(o options, stdout, stderr io.Writer) error {
	fmt.Fprintf(stdout, "%d yards, %d rows in %d files: %s\n", g.Yards-g.Failed, g.rows(""), len(g.Outputs), o.Out)
	if g.Failed > 0 {
		fmt.Fprintf(stderr, "vanwright-beam: %d of %d yards failed: see %s\n", g.Failed, g.Yards, failedYards.Name())
	}
	if rejected := g.rows("rejects"); o.Strict && g.Failed+rejected > 0 {
		return faultyError{g.Failed, rejected}
	}
	return nil
}
