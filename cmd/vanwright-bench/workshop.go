package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"github.com/vanwright/vanwright/cmd/vanwright-bench/internal/replay"
	"github.com/vanwright/vanwright/data"
)

type workshopOptions struct {
	seeds     int
	first     int
	days      int
	schedules int
	change    int
	yard      string
	asPlanned bool
	knowing   bool
	export    string
}

func newWorkshopCommand() *cobra.Command {
	var opts workshopOptions
	cmd := &cobra.Command{
		Use:   "workshop [--seeds N] [--days N] [--schedules N] [--change-cost POUNDS] [--yard quiet|busy] [--as-planned]",
		Short: "Replay a made-up workshop by the nightly plan and by a foreman's rules",
		Long: `Run a made-up workshop of five or six people for some days, planned anew each night by
the code that vanwright run uses, and by four rules that a foreman goes by. True
hours are drawn from the labour book's three points; people fall sick, parts are
late, and the first work on a van may show more. The same draws are given to
each way of working, and to each van alone in the workshop: about what no order of
vans saves. Prints CSV: a line for each seed and way, and then a line
for each way with means and the spread over seeds (standard deviation): pounds
of delay in hand, what days past a promise cost besides and the sum, as the plan
counts them; promises missed of those that fell due; mean days to ready; vans
ready; how many of the jobs that people were told of in the evening for the next day
kept day and person; and of the vans that were told a day by which they are ready
four times in five, how many were.

With --export nothing is replayed: the problems of so many small yards are written as
JSON into a folder, each with the engine's plan and bound, for cpsat.py beside this
program, which holds another solver against them.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runWorkshop(cmd.Context(), opts, cmd.OutOrStdout())
		},
	}
	cmd.Flags().IntVar(&opts.seeds, "seeds", 20, "yards to draw")
	cmd.Flags().IntVar(&opts.first, "first-seed", 1, "of these yards")
	cmd.Flags().IntVar(&opts.days, "days", 84, "days of each, weekends included: 84 have 60 working days")
	cmd.Flags().IntVar(&opts.schedules, "schedules", 0, "schedules that each night's plan may try; 0: as vanwright run")
	cmd.Flags().StringVar(&opts.yard, "yard", "quiet", "quiet: only the valeter is busy; busy: everybody is")
	cmd.Flags().StringVar(&opts.export, "export", "", "folder for the problems of small yards, in place of a replay")
	cmd.Flags().BoolVar(&opts.asPlanned, "as-planned", false, "let nothing happen that the plan does not know of, but for vans that come in")
	cmd.Flags().BoolVar(&opts.knowing, "knowing", false, "plan as well with true hours, hidden work, late parts and absences known beforehand")
	cmd.Flags().IntVar(&opts.change, "change-cost", -1, "the policy's change_cost in pounds; below 0: its default")
	return cmd
}

func runWorkshop(ctx context.Context, opts workshopOptions, out io.Writer) error {
	if opts.seeds < 1 || opts.days < 7 {
		return fmt.Errorf("--seeds %d, --days %d: at least 1 and 7", opts.seeds, opts.days)
	}
	at := slices.IndexFunc(replay.Kinds, func(k replay.Kind) bool { return k.Name == opts.yard })
	if at < 0 {
		return fmt.Errorf("--yard %q: quiet or busy", opts.yard)
	}
	kind := replay.Kinds[at]
	kind.AsPlanned = opts.asPlanned
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		return err
	}
	policy := data.DefaultPolicy()
	policy.PlanSchedules = opts.schedules
	if opts.change >= 0 {
		policy.ChangeCost = data.Pounds(float64(opts.change))
	}
	if opts.export != "" {
		return exportWorkshops(ctx, opts.export, opts.seeds, books, policy)
	}
	w := csv.NewWriter(out)
	if err := w.Write([]string{"seed", "way", "pounds_in_hand", "pounds_late", "pounds", "missed", "promised", "mean_days", "ready", "told", "kept", "told_p80", "true_p80"}); err != nil {
		return err
	}
	ways := append(slices.Clone(replay.Ways), replay.Alone)
	if opts.knowing {
		ways = append(ways, replay.Knowing)
	}
	all := map[string][]replay.Outcome{}
	for seed := opts.first; seed < opts.first+opts.seeds; seed++ {
		for _, way := range ways {
			got, err := replay.Run(ctx, books, policy, kind, way, opts.days, uint64(seed))
			if err != nil {
				return err
			}
			all[way] = append(all[way], got)
			if err := w.Write(append([]string{strconv.Itoa(seed), way}, outcomeCells(got)...)); err != nil {
				return err
			}
			w.Flush()
		}
	}
	for _, way := range ways {
		mean, spread := meanAndSpread(all[way])
		if err := w.Write(append([]string{"mean", way}, mean...)); err != nil {
			return err
		}
		if err := w.Write(append([]string{"spread", way}, spread...)); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

func outcomeCells(o replay.Outcome) []string {
	var cells []string
	for _, v := range outcomeFigures(o) {
		cells = append(cells, strconv.FormatFloat(v, 'f', 1, 64))
	}
	return cells
}

func outcomeFigures(o replay.Outcome) []float64 {
	return []float64{
		o.Pounds, o.LatePounds, o.Pounds + o.LatePounds, float64(o.Missed), float64(o.Promised), o.MeanDays, float64(o.Ready),
		float64(o.Told), float64(o.Kept), float64(o.Told80), float64(o.True80),
	}
}

func meanAndSpread(outcomes []replay.Outcome) (mean, spread []string) {
	var columns [][]float64
	for _, o := range outcomes {
		for k, v := range outcomeFigures(o) {
			if k == len(columns) {
				columns = append(columns, nil)
			}
			columns[k] = append(columns[k], v)
		}
	}
	for _, values := range columns {
		n, sum, squares := float64(len(values)), 0.0, 0.0
		for _, v := range values {
			sum += v
		}
		for _, v := range values {
			squares += (v - sum/n) * (v - sum/n)
		}
		mean = append(mean, strconv.FormatFloat(sum/n, 'f', 1, 64))
		spread = append(spread, strconv.FormatFloat(math.Sqrt(squares/max(n-1, 1)), 'f', 1, 64))
	}
	return mean, spread
}
