package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/pages"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/cmd/internal/write/workbook"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
)

func newRunCommand(v *viper.Viper) *cobra.Command {
	cmd := yardCommand(v, &cobra.Command{
		Use:   "run --yard DIR --out DIR",
		Short: "the nightly batch: read the whole yard and replace the reports",
		Long: `Run reads the whole yard, works everything out, and replaces the reports as a
whole or not at all: they are written beside the old ones and swapped in at the
end. A second run on the same folder at the same time says so and stops.

With --keep N the reports that are replaced stay, the newest N of them, in a
folder beside the reports: DIR.kept/2026-03-09 and so on, named after their
as-of date; a second set of the same date is called DIR.kept/2026-03-09.2.
Open shows them, since compares with them, and restore lays out the yard that
they were made from.

Where much of the yard is gone that the last reports had, or the as-of date is
before theirs or in the future, the run stops and says what is missing. With
--accept-loss it goes on.
` + exitHelp,
		Args: cobra.NoArgs,
	}, runRun)
	cmd.Flags().String("out", "", "`DIR` of the reports; it is replaced")
	cmd.Flags().Int("keep", 0, "keep the `N` newest sets of replaced reports in DIR.kept")
	cmd.Flags().Bool(acceptLoss, false, "go on although much of the yard is gone")
	cmd.Flags().Bool("json", false, "print one line of JSON at the end")
	return cmd
}

func runRun(cmd *cobra.Command, s settings, _ []string) error {
	if s.Out == "" {
		return usagef("no folder for the reports: give --out DIR")
	}
	summary, err := runBatch(cmd, s)
	if err != nil {
		return err
	}
	if s.JSON {
		return json.NewEncoder(cmd.OutOrStdout()).Encode(summary)
	}
	if !s.Quiet {
		summary.print(cmd.OutOrStdout())
	}
	return nil
}

// runBatch does the whole nightly job and says what came of it.
func runBatch(cmd *cobra.Command, s settings) (_ summary, err error) {
	restore := func() {}
	defer func() { restore() }()
	ctx := cmd.Context()
	doing := "reading the yard"
	defer func() { err = interrupted(ctx, err, doing) }()
	writing, err := swap.BeginKeeping(s.Out, s.keeping(), s.Yard)
	if err != nil {
		return summary{}, err
	}
	defer writing.Abort() // does nothing once committed

	s.Log.Debug().Str("yard", s.Yard).Stringer("as_of", s.AsOf).Msg("read the yard")
	// What is refused is refused in little memory; what is not is worked on in much.
	yard, err := loadYard(cmd, s, func() {
		restore()
		restore = holdMemory(s.Yard)
	})
	if err != nil {
		return summary{}, err
	}
	shown, err := drawPhotos(ctx, writing, yard)
	if err != nil {
		return summary{}, err
	}
	for _, w := range yard.Warnings {
		s.Log.Info().Msg(w)
	}
	if err := s.tellRejects(yard, "rows rejected: see rejects.csv, or vanwright check"); err != nil {
		return summary{}, err
	}
	old := oldReports(writing)
	if err := s.keepYard(yard, old, writing); err != nil {
		return summary{}, err
	}
	doing = "working out the reports"
	step, stop := progress(cmd.ErrOrStderr(), len(yard.Vans), s.Quiet)
	result, err := night.Run(ctx, yard, s.Policy, s.AsOf, night.RunOptions{
		Workers: s.Workers, Previous: tables.Schedule(old), Progress: step,
	})
	stop()
	if err != nil {
		return summary{}, err
	}
	hangPhotos(result, shown)
	doing = "writing the reports"
	if err := writeReports(ctx, writing, old, result, s); err != nil {
		return summary{}, err
	}
	if err := writing.Commit(); err != nil {
		return summary{}, err
	}
	if err := writing.Leftover(); err != nil {
		s.Log.Warn().Err(err).Msg("the reports are replaced, but the old ones could not be put away; the next run tries again")
	}
	return summarise(result, s), nil
}

// oldReports are the reports that stand now; nil where there are none.
func oldReports(w *swap.Writing) fs.FS {
	if dir := w.Old(); dir != "" {
		return os.DirFS(dir)
	}
	return nil
}

// writeReports fills the new folder, with all sorts of files side by side;
// run.json comes last and closes the set.
func writeReports(ctx context.Context, w *swap.Writing, old fs.FS, result *night.Result, s settings) error {
	changed := tables.Changes(result, old)
	var outputs []tables.Output
	err := parallel.Do(ctx, s.Workers,
		func() (err error) {
			outputs, err = tables.Write(w.Create, result, changed)
			return err
		},
		func() error {
			if err := pages.Write(w.Create, result, changed); err != nil {
				return fmt.Errorf("write pages: %w", err)
			}
			if err := pages.WritePhonePages(w.Create, result); err != nil {
				return fmt.Errorf("write pages: %w", err)
			}
			return nil
		},
		func() error {
			if err := workbook.Write(w.Create, result); err != nil {
				return fmt.Errorf("write the workbook: %w", err)
			}
			return nil
		},
	)
	if err != nil {
		return err
	}
	return tables.NewRun(version(), result, outputs, s.Given).Write(w.Create)
}

// progress shows a bar while vans are worked on, on a terminal only.
func progress(stderr io.Writer, vans int, quiet bool) (step, stop func()) {
	if quiet || !onTerminal(stderr) {
		return nil, func() {}
	}
	bar := progressbar.NewOptions(vans,
		progressbar.OptionSetWriter(stderr),
		progressbar.OptionSetDescription("vans"),
		progressbar.OptionShowCount(),
		progressbar.OptionClearOnFinish(),
	)
	return func() { _ = bar.Add(1) }, func() { _ = bar.Finish() }
}

// summary is the one line of JSON at the end of a run.
type summary struct {
	Version  string         `json:"version"`
	AsOf     data.Date      `json:"as_of"`
	Reports  string         `json:"reports"`
	Vans     int            `json:"vans"`
	Status   map[string]int `json:"status"`
	Read     int            `json:"rows_read"`
	Accepted int            `json:"rows_accepted"`
	Rejected int            `json:"rows_rejected"`
	Bids     int            `json:"bids"`
	InHand   string         `json:"profit_in_hand"` // expected of the vans in hand
	Gain     string         `json:"plan_gain"`
	Warnings int            `json:"warnings"`
	lines    []string       // for people
}

func summarise(r *night.Result, s settings) summary {
	sum := summary{
		Version: version(), AsOf: r.AsOf, Reports: s.Out, Vans: len(r.Vans), Status: map[string]int{},
		Gain: data.FormatMoney(r.Plan.Gain), Warnings: len(r.Yard.Warnings) + len(r.Market.Notes),
	}
	for _, in := range r.Yard.Inputs {
		sum.Read += in.Read
		sum.Accepted += in.Accepted
		sum.Rejected += in.Rejected
	}
	sum.Warnings += len(r.Plan.Warnings())
	totals := totalsOf(r)
	for i := range r.Vans {
		v := &r.Vans[i]
		sum.Status[string(v.Status)]++
		if v.Bid != nil && v.Bid.Known {
			sum.Bids++
		}
	}
	sum.InHand = data.FormatMoney(totals.inHand.Profit)
	sum.lines = totals.lines(r, sum)
	return sum
}

func (s summary) print(w io.Writer) {
	for _, line := range s.lines {
		fmt.Fprintln(w, line)
	}
	fmt.Fprintln(w, filepath.Join(s.Reports, "index.html"))
}
