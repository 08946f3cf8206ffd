package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"

	"github.com/spf13/cobra"

	"github.com/vanwright/vanwright/cmd/vanwright-bench/internal/lifetime"
	"github.com/vanwright/vanwright/pricing/survival"
)

type saleTimeOptions struct {
	data, time, event string
	covariates        []string
}

func newSaleTimeCommand() *cobra.Command {
	var opts saleTimeOptions
	cmd := &cobra.Command{
		Use:   "sale-time --data CSV --time COLUMN --event COLUMN [--covariates A,B]",
		Short: "Fit times to an event on any table",
		Long: `Fit right-censored times on any table: Kaplan-Meier, Weibull and Cox.

The time column is positive. The event column is 1, true or yes where the event
was seen, and 0, false or no where the watching stopped before it. A covariate
whose every value is a number is taken as it comes. Any other becomes a column of
0 and 1 for each of its levels but the base, which is the level that the file
names first; such a column is called covariate=level.

Prints JSON: n, events; the Kaplan-Meier median with its 95 % limits (on the log
scale; null where never reached), for all rows and by level of each covariate
with at most eight; the Weibull fit (log time, so a positive coefficient is a
longer time); the Cox fits with Efron's and Breslow's treatment of ties (log
hazard, so a positive coefficient is a shorter time), null without covariates.

EXIT STATUS: 0 done, 1 the data could not be read or a fit has no estimate.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runSaleTime(cmd.OutOrStdout(), opts)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&opts.data, "data", "", "table with a header line")
	flags.StringVar(&opts.time, "time", "", "column of times, above zero")
	flags.StringVar(&opts.event, "event", "", "column that says whether the event was seen")
	flags.StringSliceVar(&opts.covariates, "covariates", nil, "columns to explain the time by")
	for _, name := range []string{"data", "time", "event"} {
		if err := cmd.MarkFlagRequired(name); err != nil {
			panic(err) // the flag is defined above
		}
	}
	return cmd
}

func runSaleTime(w io.Writer, opts saleTimeOptions) error {
	f, err := os.Open(opts.data)
	if err != nil {
		return err
	}
	defer f.Close()
	table, err := readSaleTimes(f, opts)
	if err != nil {
		return err
	}
	report, err := fitSaleTimes(table)
	if err != nil {
		return fmt.Errorf("%s: %w", opts.data, err)
	}
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(report)
}

// saleTimeReport is the JSON that sale-time prints. Maps are printed by sorted
// key, so the same table gives the same bytes.
type saleTimeReport struct {
	N           int                 `json:"n"`
	Events      int                 `json:"events"`
	KaplanMeier kaplanMeierReport   `json:"kaplan_meier"`
	ByLevel     []levelReport       `json:"kaplan_meier_by_level"`
	Weibull     weibullReport       `json:"weibull"`
	Cox         map[string]coxEntry `json:"cox"`
}

type kaplanMeierReport struct {
	Median  *float64 `json:"median"`
	Lower95 *float64 `json:"lower_95"`
	Upper95 *float64 `json:"upper_95"`
}

type levelReport struct {
	Covariate string `json:"covariate"`
	Level     string `json:"level"`
	N         int    `json:"n"`
	Events    int    `json:"events"`
	kaplanMeierReport
}

type weibullReport struct {
	Coefficients   map[string]float64 `json:"coefficients"`
	StandardErrors map[string]float64 `json:"standard_errors"` // log(scale) among them
	Scale          float64            `json:"scale"`
	LogLikNull     float64            `json:"log_likelihood_null"`
	LogLik         float64            `json:"log_likelihood"`
}

type coxEntry struct {
	Coefficients   map[string]float64 `json:"coefficients"`
	StandardErrors map[string]float64 `json:"standard_errors"`
	LogLikNull     float64            `json:"log_likelihood_null"` // at coefficients of 0
	LogLik         float64            `json:"log_likelihood"`
	Concordance    float64            `json:"concordance"`
}

func fitSaleTimes(t *saleTimeTable) (*saleTimeReport, error) {
	report := &saleTimeReport{N: len(t.times), ByLevel: []levelReport{}}
	var err error
	if report.KaplanMeier, report.Events, err = kaplanMeier(t.times, t.events); err != nil {
		return nil, err
	}
	for _, c := range t.covariates {
		for _, level := range c.fewLevels() {
			times, events := t.where(c, level)
			entry := levelReport{Covariate: c.name, Level: level, N: len(times)}
			if entry.kaplanMeierReport, entry.Events, err = kaplanMeier(times, events); err != nil {
				return nil, err
			}
			report.ByLevel = append(report.ByLevel, entry)
		}
	}
	weibull, err := t.weibull(t.x, t.names)
	if err != nil {
		return nil, err
	}
	null, err := t.weibull(nil, nil)
	if err != nil {
		return nil, err
	}
	report.Weibull = weibullReport{
		Coefficients:   byName(weibull.Names, weibull.Coef),
		StandardErrors: byName(append(weibull.Names[:len(weibull.Names):len(weibull.Names)], survival.LogScaleName), weibull.StdErr),
		Scale:          weibull.Scale, LogLikNull: null.LogLik, LogLik: weibull.LogLik,
	}
	if len(t.names) == 0 {
		return report, nil
	}
	report.Cox = map[string]coxEntry{}
	for _, ties := range []lifetime.Ties{lifetime.Efron, lifetime.Breslow} {
		fit, err := lifetime.FitCox(t.times, t.events, t.x, t.names, ties)
		if err != nil {
			return nil, err
		}
		report.Cox[ties.String()] = coxEntry{
			Coefficients: byName(fit.Names, fit.Coef), StandardErrors: byName(fit.Names, fit.StdErr),
			LogLikNull: fit.LogLikNull, LogLik: fit.LogLik, Concordance: fit.Concordance,
		}
	}
	return report, nil
}

// weibull fits the model that vanwright uses to some covariates of the table.
func (t *saleTimeTable) weibull(x [][]float64, names []string) (*survival.AFT, error) {
	sample, err := survival.NewSample(t.times, t.events, x, names)
	if err != nil {
		return nil, err
	}
	return sample.Fit(nil)
}

func kaplanMeier(times []float64, events []bool) (r kaplanMeierReport, seen int, err error) {
	curve, err := lifetime.KaplanMeier(times, events)
	if err != nil {
		return r, 0, err
	}
	for _, e := range events {
		if e {
			seen++
		}
	}
	if median, ok := curve.Median(); ok {
		r.Median = &median
	}
	low, high := curve.QuantileLimits(0.5, 0.95)
	r.Lower95, r.Upper95 = unlessNever(low), unlessNever(high)
	return r, seen, nil
}

// unlessNever is nil, and null in JSON, for a time that is never reached.
func unlessNever(t float64) *float64 {
	if math.IsInf(t, 1) {
		return nil
	}
	return &t
}

func byName(names []string, figures []float64) map[string]float64 {
	m := make(map[string]float64, len(names))
	for i, name := range names {
		m[name] = figures[i]
	}
	return m
}
