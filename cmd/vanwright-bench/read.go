package main

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"runtime/metrics"
	"slices"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

type readOptions struct {
	yard    string
	bid     bool
	times   int
	workers int
}

func newReadCommand() *cobra.Command {
	var opts readOptions
	cmd := &cobra.Command{
		Use:   "read --yard DIR [--bid] [--times N] [--workers N]",
		Short: "Read a yard and compare the time with a plain pass over its files",
		Long: `Read and validate every table of a yard, and pass over the same files with
encoding/csv alone on one core, taking turns. Prints one line of CSV:
mib and rows of the files, plain_seconds and load_seconds (medians of wall
time), their ratio, and peak_heap_mib, the most memory in use for objects while
the yard was read, garbage not yet collected included.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runRead(cmd.Context(), opts, cmd.OutOrStdout())
		},
	}
	cmd.Flags().StringVar(&opts.yard, "yard", "", "folder of CSV files, such as vanwright synth writes")
	cmd.Flags().BoolVar(&opts.bid, "bid", false, "read what a bid needs in place of everything")
	cmd.Flags().IntVar(&opts.times, "times", 5, "how often each is measured")
	cmd.Flags().IntVar(&opts.workers, "workers", 0, "as in vanwright run (0: one for each processor)")
	if err := cmd.MarkFlagRequired("yard"); err != nil {
		panic(err) // the flag is defined above
	}
	return cmd
}

func runRead(ctx context.Context, opts readOptions, out io.Writer) error {
	if opts.times < 1 {
		return fmt.Errorf("--times %d: at least 1", opts.times)
	}
	yard := os.DirFS(opts.yard)
	var o data.LoadOptions
	if opts.bid {
		o = night.BidOptions()
	}
	o.Workers = opts.workers
	var plain, load []time.Duration
	var peak, bytes uint64
	var rows int
	for range opts.times {
		runtime.GC()
		begin := time.Now()
		var err error
		if bytes, rows, err = plainPass(yard); err != nil {
			return err
		}
		plain = append(plain, time.Since(begin))

		runtime.GC()
		stop := watchHeap()
		begin = time.Now()
		_, err = data.Load(ctx, yard, o)
		load = append(load, time.Since(begin))
		peak = max(peak, stop())
		if err != nil {
			return err
		}
	}
	p, l := median(plain).Seconds(), median(load).Seconds()
	w := csv.NewWriter(out)
	for _, row := range [][]string{
		{"mib", "rows", "plain_seconds", "load_seconds", "ratio", "peak_heap_mib"},
		{
			strconv.FormatUint(bytes>>20, 10), strconv.Itoa(rows), fmt.Sprintf("%.3f", p), fmt.Sprintf("%.3f", l),
			fmt.Sprintf("%.2f", l/p), strconv.FormatUint(peak>>20, 10),
		},
	} {
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// plainPass reads every CSV file of a folder with encoding/csv and throws the
// rows away. It returns how many bytes and rows, headers included, there were.
func plainPass(yard fs.FS) (bytes uint64, rows int, err error) {
	names, err := fs.Glob(yard, "*.csv")
	if err != nil {
		return 0, 0, err
	}
	if len(names) == 0 {
		return 0, 0, errors.New("no CSV files in the folder of the yard")
	}
	for _, name := range names {
		n, err := plainRows(yard, name, &bytes)
		if err != nil {
			return 0, 0, fmt.Errorf("%s: %w", name, err)
		}
		rows += n
	}
	return bytes, rows, nil
}

func plainRows(yard fs.FS, name string, bytes *uint64) (rows int, err error) {
	f, err := yard.Open(name)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.ReuseRecord = true
	for {
		if _, err := r.Read(); errors.Is(err, io.EOF) {
			*bytes += uint64(r.InputOffset())
			return rows, nil
		} else if err != nil {
			return 0, err
		}
		rows++
	}
}

// watchHeap looks at the memory in use for objects every few milliseconds until
// the function it returns is called, which returns the most that was seen.
func watchHeap() (stop func() uint64) {
	end, most := make(chan struct{}), make(chan uint64)
	go func() {
		var peak uint64
		sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for {
			metrics.Read(sample)
			peak = max(peak, sample[0].Value.Uint64())
			select {
			case <-end:
				most <- peak
				return
			case <-tick.C:
			}
		}
	}()
	return func() uint64 {
		close(end)
		return <-most
	}
}

func median(times []time.Duration) time.Duration {
	slices.Sort(times)
	return times[len(times)/2]
}
