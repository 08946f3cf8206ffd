package tables

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"iter"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
)

// Create makes one file of the new reports.
type Create func(name string) (io.WriteCloser, error)

// Output is one report as run.json names it.
type Output struct {
	Name string `json:"name"`
	Rows int    `json:"rows"`
}

// report is one CSV file to write.
type report struct {
	name  string
	write func(io.Writer) (rows int, err error)
}

func of[R any](t csvout.Table[R], rows iter.Seq[R]) report {
	return report{t.Name(), func(w io.Writer) (int, error) { return t.Write(w, rows) }}
}

// reports are all CSV files of a run, in the order in which run.json names them.
func reports(r *night.Result, changed []Change) []report {
	return []report{
		of(findings, findingsOf(r.Vans)),
		of(papers, vans(r)),
		of(jobs, jobsOf(r.Vans)),
		of(partsNeeded, slices.Values(r.Plan.Parts)),
		of(blocks, slices.Values(r.Plan.Blocks)),
		of(queue, slices.Values(r.Plan.Queue)),
		of(prices, vansWhere(r, func(v *night.Van) bool { return v.Quote != nil })),
		of(bids, vansWhere(r, func(v *night.Van) bool { return v.Bid != nil })),
		of(margins, vansWhere(r, func(v *night.Van) bool { return v.Margin != nil })),
		of(stockBook, stockBookRows(r)),
		of(rejects, slices.Values(r.Yard.Rejects)),
		of(changes, slices.Values(changed)),
		of(notTested, untestedRows(r)),
		of(delays, slices.Values(r.Plan.Delays)),
		of(calibration, slices.Values(r.Learnt.Factors())),
		of(marginTotals, slices.Values(r.Totals)),
		of(realised, slices.Values(r.Months)),
		of(realisedVans, slices.Values(r.Outcomes)),
		of(toDo, slices.Values(r.ToDo)),
	}
}

// Write writes every CSV report of a run, several at once, so create must bear
// several callers. It says what was written, in the order of run.json. The error
// is that of the first report, in this order, that could not be written.
func Write(create Create, r *night.Result, changed []Change) ([]Output, error) {
	todo := reports(r, changed)
	done := make([]Output, len(todo))
	err := parallel.Each(context.Background(), 0, len(todo), func(i int) error {
		f, err := create(todo[i].name)
		if err != nil {
			return err
		}
		rows, err := todo[i].write(f)
		done[i] = Output{todo[i].name, rows}
		return errors.Join(err, f.Close())
	})
	if err != nil {
		return nil, err
	}
	return done, nil
}

// Run is run.json: what a run read, what it wrote and by which settings.
type Run struct {
	Version  string            `json:"version"`
	AsOf     data.Date         `json:"as_of"`
	Inputs   []data.InputFile  `json:"inputs"`
	Outputs  []Output          `json:"outputs"`
	Settings map[string]string `json:"settings"` // keys sorted by encoding/json
	Plan     PlanSummary       `json:"plan"`
	Warnings []string          `json:"warnings"`
}

// PlanSummary says how the workshop was planned.
type PlanSummary struct {
	Workshop      string `json:"workshop"` // which part is a default; blank where none
	Schedules     int    `json:"schedules"`
	GapPct        string `json:"gap_pct"` // how far from a proven lower bound, percent
	GainOverOrder string `json:"gain_over_arrival_order"`
}

// NewRun gathers run.json.
func NewRun(version string, r *night.Result, outputs []Output, settings map[string]string) Run {
	run := Run{
		Version: version, AsOf: r.AsOf, Inputs: r.Yard.Inputs, Outputs: outputs, Settings: settings,
		Plan: PlanSummary{
			Workshop:      r.Plan.WorkshopNote,
			Schedules:     r.Plan.Schedules,
			GapPct:        data.FormatDecimal(data.PercentOf(r.Plan.Gap, 1), 1),
			GainOverOrder: data.FormatMoney(r.Plan.Gain),
		},
		Warnings: append([]string{}, slices.Concat(r.Yard.Warnings, r.Market.Notes)...), // [] for none, not null
	}
	if run.Plan.Workshop != "" {
		run.Warnings = append(run.Warnings, run.Plan.Workshop)
	}
	return run
}

// Write writes run.json, the file that closes a set of reports.
func (run Run) Write(create Create) error {
	f, err := create("run.json")
	if err != nil {
		return err
	}
	enc := json.NewEncoder(f)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return errors.Join(enc.Encode(run), f.Close())
}
