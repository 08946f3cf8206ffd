package tables

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
	"github.com/vanwright/vanwright/pricing/attention"
)

// Create makes one file of the new reports.
type Create func(name string) (io.WriteCloser, error)

// Output is one report as run.json names it.
type Output struct {
	Name string `json:"name"`
	Rows int    `json:"rows"`
}

// File is a file of the reports and what it holds, for a list of links.
type File struct {
	Name  string
	Holds string
}

// Files lists the CSV reports, in the order in which run.json names them.
func Files() []File {
	files := make([]File, len(reports))
	for i, rep := range reports {
		files[i] = rep.File
	}
	return files
}

// report is one CSV report: what it holds, and how it is written.
type report struct {
	File
	write func(w io.Writer, found found) (rows int, err error)
}

// found is what reports are written of: a run, and what changed since the one
// before.
type found struct {
	*night.Result
	changed []Change
}

// of makes a report of rows that are walked.
func of[R any](t csvout.Table[R], holds string, rows func(f found, yield func(R) bool)) report {
	return report{File{t.Name(), holds}, func(w io.Writer, f found) (int, error) {
		return t.Write(w, func(yield func(R) bool) { rows(f, yield) })
	}}
}

// list makes a report of a list that the run has ready.
func list[R any](t csvout.Table[R], holds string, rows func(found) []R) report {
	return of(t, holds, func(f found, yield func(R) bool) { slices.Values(rows(f))(yield) })
}

// reports are all CSV reports.
var reports = []report{
	of(findings, "Every point read, its verdict and why", found.findings),
	of(papers, "What each van's papers prove and lack", found.allVans),
	of(jobs, "The work each van needs, with hours and cost", found.jobs),
	list(partsNeeded, "Parts to order, and by when", func(f found) []prep.PartNeed { return f.Plan.Parts }),
	list(blocks, "Who works on what, where and when", func(f found) []prep.Block { return f.Plan.Blocks }),
	list(queue, "When each van is ready", func(f found) []prep.QueueRow { return f.Plan.Queue }),
	of(prices, "What each van is worth and what to ask", vansWhere(func(v *night.Van) bool { return v.Quote != nil })),
	of(bids, "What may be bid for each van offered", vansWhere(func(v *night.Van) bool { return v.Bid != nil })),
	of(margins, "What each van leaves", vansWhere(func(v *night.Van) bool { return v.Margin != nil })),
	of(StockBook, "The particulars the margin scheme asks for", found.stockBook),
	list(vatMonths, "Output and input VAT by month and scheme", found.vatMonths),
	list(rejects, "Rows that were not used, and why", func(f found) []data.Reject { return f.Yard.Rejects }),
	list(changes, "What differs from the reports before", func(f found) []Change { return f.changed }),
	of(notTested, "Points that were not tested, and what they may hide", found.untested),
	list(delays, "The jobs that hold the queue up most", func(f found) []prep.Delay { return f.Plan.Delays }),
	list(calibration, "What the yard's own record makes of the books' figures", func(f found) []pricing.Learnt { return f.Record.Table() }),
	list(marginTotals, "What body, site and source leave", func(f found) []pricing.Total { return f.Totals }),
	list(realised, "How good prices and hours were, by month", func(f found) []month { return f.Months }),
	list(realisedVans, "How good prices and hours were, for each van sold", func(f found) []outcome { return f.Outcomes }),
	list(wanted, "What to buy: what each kind of van should earn a day on a pitch", func(f found) []pricing.Wanted { return f.Buying.Kinds }),
	list(oneMore, "What one more day of a skill, bay or pitch is worth", found.oneMore),
	list(toDo, "What somebody should do today, by rank", func(f found) []attention.Thing { return f.ToDo }),
}

// Write writes every CSV report of a run, several at once, so create must bear
// several callers. It says what was written, in the order of Files. The error is
// that of the first report, in this order, that could not be written.
func Write(create Create, r *night.Result, changed []Change) ([]Output, error) {
	done := make([]Output, len(reports))
	err := parallel.Each(context.Background(), 0, len(reports), func(i int) error {
		f, err := create(reports[i].Name)
		if err != nil {
			return err
		}
		rows, err := reports[i].write(f, found{r, changed})
		done[i] = Output{reports[i].Name, rows}
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
	Workshop     string `json:"workshop"` // which part is a default; blank where none
	Schedules    int    `json:"schedules"`
	Told         int    `json:"told"`                // jobs that people were told to do in the next three working days
	Kept         int    `json:"kept"`                // those of them that keep day and person
	GapPct       string `json:"gap_pct"`             // how far from a proven lower bound, percent
	GainOverRule string `json:"gain_over_best_rule"` // pounds, on average over what may happen; 0.00 where none is to be expected
	BestRule     string `json:"best_rule"`           // blank where the plan gains nothing
}

// NewRun gathers run.json.
func NewRun(version string, r *night.Result, outputs []Output, settings map[string]string) Run {
	run := Run{
		Version: version, AsOf: r.AsOf, Inputs: r.Yard.Inputs, Outputs: outputs, Settings: settings,
		Plan: PlanSummary{
			Workshop:     r.Plan.WorkshopNote,
			Schedules:    r.Plan.Schedules,
			Told:         r.Plan.Told,
			Kept:         r.Plan.Kept,
			GapPct:       data.FormatDecimal(data.PercentOf(r.Plan.Gap, 1), 1),
			GainOverRule: data.FormatMoney(r.Plan.Gain),
			BestRule:     r.Plan.BestRule,
		},
		Warnings: append([]string{}, slices.Concat(r.Yard.Warnings, r.Market.Notes)...), // [] for none, not null
	}
	run.Warnings = append(run.Warnings, r.Plan.Warnings()...)
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
