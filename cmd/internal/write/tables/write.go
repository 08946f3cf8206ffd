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
	"github.com/vanwright/vanwright/prep"
)

// Create makes one file of the new reports.
type Create func(name string) (io.WriteCloser, error)

// Output is one report as run.json names it.
type Output struct {
	Name string `json:"name"`
	Rows int    `json:"rows"`
}

// Writer writes every CSV report of a run. Findings and jobs, which are more
// than all else together, are written as the vans pass; the rest at the end.
type Writer struct {
	create   Create
	findings *passing[finding]
	jobs     *passing[*prep.Job]
	todo     []func() (Output, error)
}

// Begin begins the reports that are written as the vans pass. Reports are
// written side by side, each by one goroutine at a time, so create must bear
// several callers.
func Begin(create Create) (*Writer, error) {
	w := &Writer{create: create}
	var err error
	if w.findings, err = begin(create, findings); err != nil {
		return nil, err
	}
	if w.jobs, err = begin(create, jobs); err != nil {
		return nil, err
	}
	return w, nil
}

// Pass writes what there is to say of a stretch of vans; see night.Along.
func (w *Writer) Pass(stretch int, vans []night.Van) error {
	return errors.Join(w.findings.pass(stretch, findingsOf(vans)), w.jobs.pass(stretch, jobsOf(vans)))
}

// Finish writes the rest when all vans have passed, and says what was written,
// in the order of the contract. The error is that of the first report, in this
// order, that could not be written.
func (w *Writer) Finish(r *night.Result, changed []Change) ([]Output, error) {
	w.todo = append(w.todo, w.findings.finish)
	write(w, papers, vans(r))
	w.todo = append(w.todo, w.jobs.finish)
	write(w, partsNeeded, slices.Values(r.Plan.Parts))
	write(w, blocks, slices.Values(r.Plan.Blocks))
	write(w, queue, slices.Values(r.Plan.Queue))
	write(w, prices, vansWhere(r, func(v *night.Van) bool { return v.Quote != nil }))
	write(w, bids, vansWhere(r, func(v *night.Van) bool { return v.Bid != nil }))
	write(w, margins, vansWhere(r, func(v *night.Van) bool { return v.Margin != nil }))
	write(w, stockBook, stockBookRows(r))
	write(w, rejects, slices.Values(r.Yard.Rejects))
	write(w, changes, slices.Values(changed))
	write(w, notTested, untestedRows(r))
	write(w, delays, slices.Values(r.Plan.Delays))
	write(w, calibration, slices.Values(r.Learnt.Factors()))
	write(w, marginTotals, slices.Values(r.Totals()))
	write(w, realised, slices.Values(r.Months))
	write(w, realisedVans, slices.Values(r.Outcomes))
	return w.run()
}

// Write writes every CSV report of a run whose vans have not passed.
func Write(create Create, r *night.Result, changed []Change) ([]Output, error) {
	w, err := Begin(create)
	if err != nil {
		return nil, err
	}
	for n, vans := range r.Stretches() {
		if err := w.Pass(n, vans); err != nil {
			return nil, err
		}
	}
	return w.Finish(r, changed)
}

// atOnce is how many reports are written at once.
const atOnce = 2

func write[R any](w *Writer, t csvout.Table[R], rows iter.Seq[R]) {
	w.todo = append(w.todo, func() (Output, error) {
		f, err := w.create(t.Name())
		if err != nil {
			return Output{}, err
		}
		n, err := t.Write(f, rows)
		return Output{t.Name(), n}, errors.Join(err, f.Close())
	})
}

// run writes the reports, and begins none after an error.
func (w *Writer) run() ([]Output, error) {
	done := make([]Output, len(w.todo))
	err := night.Each(context.Background(), atOnce, len(w.todo), func(i int) (err error) {
		done[i], err = w.todo[i]()
		return err
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
