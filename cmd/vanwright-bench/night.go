package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"
)

type nightOptions struct {
	yard    string
	program string
	asOf    string
	bid     string
	times   int
}

func newNightCommand() *cobra.Command {
	var opts nightOptions
	cmd := &cobra.Command{
		Use:   "night --yard DIR [--program FILE] [--as-of DATE] [--bid STOCK_ID] [--times N]",
		Short: "Run a whole night and compare the time with a plain pass over its files",
		Long: `Start vanwright run on a yard, and vanwright bid for one van of it where --bid
names one, as programs of their own, and pass over the files of the yard with
encoding/csv alone on one core, taking turns. Each run is a first night, into a
folder of its own. Prints one line of CSV: mib and rows of the files;
plain_seconds, run_seconds and bid_seconds (medians of wall time);
run_over_plain, the ratio; run_cpu_seconds; and run_peak_mib, the most memory
that the system saw the run hold, blank where it does not tell.

The folders are deleted at the end. On ext4 wait a minute before the next
measurement: it passes over the places of files deleted in the last minute, one
by one, which costs a run up to an eighth of its time.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runNight(cmd.Context(), opts, cmd.OutOrStdout())
		},
	}
	cmd.Flags().StringVar(&opts.yard, "yard", "", "folder of CSV files, such as vanwright synth writes")
	cmd.Flags().StringVar(&opts.program, "program", "vanwright", "the program to start")
	cmd.Flags().StringVar(&opts.asOf, "as-of", time.Now().Format(time.DateOnly), "`DATE` of the reports")
	cmd.Flags().StringVar(&opts.bid, "bid", "", "`STOCK_ID` of an offered van, to time a bid too")
	cmd.Flags().IntVar(&opts.times, "times", 3, "how often each is measured")
	if err := cmd.MarkFlagRequired("yard"); err != nil {
		panic(err) // the flag is defined above
	}
	return cmd
}

func runNight(ctx context.Context, opts nightOptions, out io.Writer) error {
	if opts.times < 1 {
		return fmt.Errorf("--times %d: at least 1", opts.times)
	}
	reports, err := os.MkdirTemp("", "vanwright-night-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(reports)
	var plain, run, cpu, bid []time.Duration
	var peak, bytes uint64
	var rows int
	for i := range opts.times {
		// The run first: a child's memory counts what its parent held.
		out := filepath.Join(reports, strconv.Itoa(i))
		night, err := started(ctx, opts.program, "run", "--quiet", "--yard", opts.yard, "--as-of", opts.asOf, "--out", out)
		if err != nil {
			return err
		}
		run, cpu, peak = append(run, night.wall), append(cpu, night.cpu), max(peak, night.peakBytes)
		if opts.bid != "" {
			one, err := started(ctx, opts.program, "bid", "--quiet", "--yard", opts.yard, "--as-of", opts.asOf, opts.bid)
			if err != nil {
				return err
			}
			bid = append(bid, one.wall)
		}
		begin := time.Now()
		if bytes, rows, err = plainPass(os.DirFS(opts.yard)); err != nil {
			return err
		}
		plain = append(plain, time.Since(begin))
	}
	seconds := func(d []time.Duration) string {
		if len(d) == 0 {
			return ""
		}
		return fmt.Sprintf("%.3f", median(d).Seconds())
	}
	memory := ""
	if peak > 0 {
		memory = strconv.FormatUint(peak>>20, 10)
	}
	w := csv.NewWriter(out)
	err = w.WriteAll([][]string{
		{"mib", "rows", "plain_seconds", "run_seconds", "run_over_plain", "run_cpu_seconds", "run_peak_mib", "bid_seconds"},
		{
			strconv.FormatUint(bytes>>20, 10), strconv.Itoa(rows), seconds(plain), seconds(run),
			fmt.Sprintf("%.1f", median(run).Seconds()/median(plain).Seconds()), seconds(cpu), memory, seconds(bid),
		},
	})
	return err
}

// usage is what one start of a program took.
type usage struct {
	wall, cpu time.Duration
	peakBytes uint64 // 0: not known
}

func started(ctx context.Context, program string, args ...string) (usage, error) {
	cmd := exec.CommandContext(ctx, program, args...)
	cmd.Stderr = os.Stderr
	begin := time.Now()
	if err := cmd.Run(); err != nil {
		return usage{}, fmt.Errorf("%s %s: %w", program, args[0], err)
	}
	return usage{
		wall:      time.Since(begin),
		cpu:       cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(),
		peakBytes: peakOf(cmd.ProcessState),
	}, nil
}
