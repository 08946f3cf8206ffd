package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/pricing/hedonic"
)

// table is a CSV file with a header line.
type table struct {
	header  []string
	records [][]string
}

func readTable(r io.Reader) (table, error) {
	records, err := csv.NewReader(r).ReadAll()
	if err != nil {
		return table{}, err
	}
	if len(records) == 0 {
		return table{}, errors.New("no header line")
	}
	header := records[0]
	for i, name := range header {
		header[i] = strings.TrimSpace(strings.TrimPrefix(name, "\ufeff"))
	}
	return table{header, records[1:]}, nil
}

// values is column c, or nil if the table has no such column.
func (t table) values(name string) []string {
	c := slices.Index(t.header, name)
	if c < 0 {
		return nil
	}
	out := make([]string, len(t.records))
	for i, r := range t.records {
		out[i] = strings.TrimSpace(r[c])
	}
	return out
}

// priceSample is a table made ready for the price model. A fold of "" is none.
type priceSample struct {
	spec  hedonic.Spec
	rows  []hedonic.Row
	keys  []string
	folds []string
}

func newPriceSample(data, folds table, target string) (*priceSample, error) {
	s := &priceSample{}
	key, err := s.pair(data, folds)
	if err != nil {
		return nil, err
	}
	targets := data.values(target)
	if targets == nil {
		return nil, fmt.Errorf("data have no column %q, only %s", target, strings.Join(data.header, ", "))
	}
	s.rows = make([]hedonic.Row, len(data.records))
	for i, v := range targets {
		s.rows[i].Weight = 1
		if s.rows[i].Target, err = strconv.ParseFloat(v, 64); err != nil {
			s.rows[i].Target = math.NaN()
		}
	}
	for _, name := range data.header {
		if name != target && name != key && !strings.EqualFold(name, "id") {
			s.addFeature(name, data.values(name))
		}
	}
	return s, nil
}

// addFeature adds a column as a numeric where it can be read as one.
func (s *priceSample) addFeature(name string, values []string) {
	numbers := make([]float64, len(values))
	known := 0
	for i, v := range values {
		if v == "" || v == "NA" {
			numbers[i] = math.NaN()
			continue
		}
		n, err := strconv.ParseFloat(v, 64)
		if err != nil || math.IsNaN(n) || math.IsInf(n, 0) {
			s.spec.Categories = append(s.spec.Categories, hedonic.Category{Name: name})
			for i := range s.rows {
				s.rows[i].Categories = append(s.rows[i].Categories, values[i])
			}
			return
		}
		numbers[i] = n
		known++
	}
	if known == 0 {
		return
	}
	s.spec.Numerics = append(s.spec.Numerics, hedonic.Numeric{Name: name, Curve: true})
	for i := range s.rows {
		s.rows[i].Numerics = append(s.rows[i].Numerics, numbers[i])
	}
}

// pair gives each row of data its key and fold, and returns the name of the key
// column: "" where rows pair by their order.
func (s *priceSample) pair(data, folds table) (key string, err error) {
	foldColumn := slices.IndexFunc(folds.header, func(h string) bool { return strings.EqualFold(h, "fold") })
	if foldColumn < 0 {
		foldColumn = len(folds.header) - 1
	}
	fold := folds.values(folds.header[foldColumn])
	s.folds = make([]string, len(data.records))
	if first := folds.header[0]; foldColumn != 0 && slices.Contains(data.header, first) {
		of := map[string]string{}
		for i, k := range folds.values(first) {
			if _, ok := of[k]; ok {
				return "", fmt.Errorf("folds give %s %q twice", first, k)
			}
			of[k] = fold[i]
		}
		s.keys = data.values(first)
		for i, k := range s.keys {
			s.folds[i] = of[k]
		}
		return first, nil
	}
	if len(fold) != len(data.records) {
		return "", fmt.Errorf("folds have %d rows and data %d, and no column pairs them", len(fold), len(data.records))
	}
	copy(s.folds, fold)
	for i := range data.records {
		s.keys = append(s.keys, strconv.Itoa(i+1))
	}
	return "", nil
}

// usable says whether row i has a target that a fit can take.
func (s *priceSample) usable(i int) bool {
	return s.rows[i].Target > 0 && !math.IsInf(s.rows[i].Target, 1)
}

// foldNames lists the folds in order of first sight.
func (s *priceSample) foldNames() []string {
	var names []string
	for _, f := range s.folds {
		if f != "" && !slices.Contains(names, f) {
			names = append(names, f)
		}
	}
	return names
}
