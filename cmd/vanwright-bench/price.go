package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"github.com/vanwright/vanwright/pricing/hedonic"
)

type priceOptions struct {
	data, target, folds string
	level               float64
}

func newPriceCommand() *cobra.Command {
	var opts priceOptions
	cmd := &cobra.Command{
		Use:   "price --data CSV --target COLUMN --folds CSV",
		Short: "Cross-validate the price model on any table",
		Long: `Cross-validate the price model on any table with a positive target.

Columns whose every value is a number, or blank, are numeric features; the rest
are categories. Where the data hold the first column of the folds file, that
column pairs the two files and is no feature; otherwise the rows pair by their
order. A column named Id is never a feature. A row without a fold serves every
fit and is never predicted; a row without a target above zero serves none.

Prints CSV: row (its key, or its number from 1), fold, actual, predicted, low,
high. Nothing is tuned on the rows that are predicted. Standard error then says
the mean error, and the share of prices inside their intervals: of all rows and
of each quarter by predicted price.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runPrice(cmd.OutOrStdout(), cmd.ErrOrStderr(), opts)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&opts.data, "data", "", "table with a header line")
	flags.StringVar(&opts.target, "target", "", "column to predict, above zero")
	flags.StringVar(&opts.folds, "folds", "", "table that gives each row its fold")
	flags.Float64Var(&opts.level, "level", 0.90, "share of rows the interval should hold")
	for _, name := range []string{"data", "target", "folds"} {
		if err := cmd.MarkFlagRequired(name); err != nil {
			panic(err) // the flag is defined above
		}
	}
	return cmd
}

func runPrice(w, said io.Writer, opts priceOptions) error {
	data, err := readTableFile(opts.data)
	if err != nil {
		return err
	}
	folds, err := readTableFile(opts.folds)
	if err != nil {
		return err
	}
	sample, err := newPriceSample(data, folds, opts.target)
	if err != nil {
		return err
	}
	predictions, err := sample.crossValidate(hedonic.Options{Level: opts.level})
	if err != nil {
		return err
	}
	if err := writePredictions(w, predictions); err != nil {
		return err
	}
	return summarisePrices(predictions).write(said)
}

func readTableFile(path string) (table, error) {
	f, err := os.Open(path)
	if err != nil {
		return table{}, err
	}
	defer f.Close()
	t, err := readTable(f)
	if err != nil {
		return table{}, fmt.Errorf("read %s: %w", path, err)
	}
	return t, nil
}

// heldOut is one row predicted by a model that never saw its fold.
type heldOut struct {
	row, fold                    string
	actual, predicted, low, high float64
}

// crossValidate predicts every row that has a fold and a usable target, in the
// order of the data.
func (s *priceSample) crossValidate(opts hedonic.Options) ([]heldOut, error) {
	out := make([]heldOut, len(s.rows))
	for _, fold := range s.foldNames() {
		train := slices.Clone(s.rows)
		for i := range train {
			if s.folds[i] == fold || !s.usable(i) {
				train[i].Weight = 0
			}
		}
		model, err := hedonic.Fit(train, s.spec, opts)
		if err != nil {
			return nil, fmt.Errorf("fold %s: %w", fold, err)
		}
		for i, r := range s.rows {
			if s.folds[i] != fold {
				continue
			}
			p, err := model.Predict(r)
			if err != nil {
				return nil, fmt.Errorf("row %s: %w", s.keys[i], err)
			}
			out[i] = heldOut{s.keys[i], fold, r.Target, p.Value, p.Low, p.High}
		}
	}
	return slices.DeleteFunc(out, func(h heldOut) bool { return h.fold == "" }), nil
}

func writePredictions(w io.Writer, rows []heldOut) error {
	out := csv.NewWriter(w)
	records := [][]string{{"row", "fold", "actual", "predicted", "low", "high"}}
	number := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	for _, h := range rows {
		records = append(records, []string{h.row, h.fold, number(h.actual), number(h.predicted), number(h.low), number(h.high)})
	}
	return out.WriteAll(records)
}
