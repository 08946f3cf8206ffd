package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"github.com/vanwright/vanwright/cmd/vanwright-bench/internal/instance"
	"github.com/vanwright/vanwright/prep/schedule"
)

type scheduleOptions struct {
	dir       string
	schedules int
	seed      uint64
}

func newScheduleCommand() *cobra.Command {
	var opts scheduleOptions
	cmd := &cobra.Command{
		Use:   "schedule --dir DIR --schedules N [--seed N]",
		Short: "Schedule public instances and print their makespans as CSV",
		Long: `Schedule every .sm (PSPLIB) and .def (multi-skill) file under a folder, by the
engine and the kind of problem that vanwright run uses, and print CSV on
standard output: instance, makespan, lower_bound, schedules, milliseconds.

A forward or a backward pass counts as one schedule. The makespan follows from
the seed and the count alone; only the milliseconds depend on the machine.
Every schedule is verified before it is printed.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runSchedule(cmd.Context(), opts, cmd.OutOrStdout())
		},
	}
	cmd.Flags().StringVar(&opts.dir, "dir", "", "folder with .sm and .def files, searched with its subfolders")
	cmd.Flags().IntVar(&opts.schedules, "schedules", 5_000, "schedules to generate for each instance at most")
	cmd.Flags().Uint64Var(&opts.seed, "seed", 1, "seed of the random choices")
	if err := cmd.MarkFlagRequired("dir"); err != nil {
		panic(err) // the flag is defined above
	}
	return cmd
}

func runSchedule(ctx context.Context, opts scheduleOptions, out io.Writer) error {
	if opts.schedules < 1 {
		return fmt.Errorf("--schedules %d: at least 1", opts.schedules)
	}
	files, err := instanceFiles(opts.dir)
	if err != nil {
		return err
	}
	w := csv.NewWriter(out)
	if err := w.Write([]string{"instance", "makespan", "lower_bound", "schedules", "milliseconds"}); err != nil {
		return err
	}
	for _, file := range files {
		row, err := scheduleFile(ctx, opts, file)
		if err != nil {
			return err
		}
		if err := w.Write(row); err != nil {
			return err
		}
		w.Flush()
	}
	return w.Error()
}

// instanceFiles lists the instances under a folder, sorted by path.
func instanceFiles(dir string) ([]string, error) {
	var files []string
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() && instance.Known(path) {
			files = append(files, path)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list instances: %w", err)
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("no .sm or .def file under %s", dir)
	}
	slices.Sort(files)
	return files, nil
}

func scheduleFile(ctx context.Context, opts scheduleOptions, file string) ([]string, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	problem, err := instance.Read(f, file)
	if err != nil {
		return nil, err
	}
	began := time.Now()
	got, err := schedule.Solve(ctx, problem, schedule.Options{Objective: schedule.Makespan, Schedules: opts.schedules, Seed: opts.seed})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	took := time.Since(began)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := schedule.Verify(problem, got); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return []string{
		strings.TrimSuffix(filepath.Base(file), filepath.Ext(file)),
		strconv.Itoa(got.Value),
		strconv.Itoa(got.LowerBound),
		strconv.Itoa(got.Schedules),
		strconv.FormatFloat(float64(took.Microseconds())/1000, 'f', 3, 64),
	}, nil
}
