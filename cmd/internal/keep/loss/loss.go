// Package loss notices that much of a yard is gone.
//
// In go what a yard holds now and what the reports that are to be replaced say it
// held then; out comes one phrase for each thing that is missing, or none. A table
// cut short in a copy, a column sorted without the others, or a clock that was set
// back are all valid input, and would replace good reports without a word.
//
// What a yard holds is written as held.json into each set of reports. The package
// reads no table and decides nothing about what becomes of the run.
package loss

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// File is the name of what a yard held among the reports.
const File = "held.json"

// Held is what a yard holds, as far as the next run is held against it.
type Held struct {
	AsOf data.Date `json:"as_of"`
	// Rows are the data rows of each table, rejected ones too, whichever file,
	// sheet or slip they stand in. Those of vans are counted once for each van.
	Rows map[string]int `json:"rows"`
	// Vans are those not sold, with their readings as they were read.
	Vans map[string]Readings `json:"vans"`

	present map[string]bool // stock_ids that are not lost: sold, or in a row that was rejected
}

// Readings are the value and the verdict of a van's readings, by checkpoint,
// position and day.
type Readings map[string]string

const vans = "vans"

// Of gathers what a yard holds. before, which may be nil, is what it held: only of
// vans in it is it asked whether their rows were rejected.
func Of(yard *data.Yard, asOf data.Date, before *Held) Held {
	h := Held{AsOf: asOf, Rows: rows(yard.Inputs), Vans: map[string]Readings{}, present: map[string]bool{}}
	if _, ok := h.Rows[vans]; ok {
		h.Rows[vans] = len(yard.Vans)
		for _, in := range yard.Inputs {
			if data.TableOf(in.Name) == vans {
				h.Rows[vans] += in.Rejected
			}
		}
	}
	for i := range yard.Vans {
		v := &yard.Vans[i]
		if v.Status == data.Sold {
			h.present[v.StockID] = true
			continue
		}
		readings := Readings{}
		for _, r := range yard.Readings[v.StockID] {
			key := strings.Join([]string{r.Checkpoint, r.Position, r.TakenOn.String()}, " ")
			readings[key] = strings.TrimSpace(r.Value + " " + r.Verdict.String())
		}
		h.Vans[v.StockID] = readings
	}
	if before != nil {
		for id := range before.Vans {
			if yard.Refused(id) { // rejects.csv says so
				h.present[id] = true
			}
		}
	}
	return h
}

// rows adds up the rows of each table.
func rows(inputs []data.InputFile) map[string]int {
	sum := map[string]int{}
	for _, in := range inputs {
		if table := data.TableOf(in.Name); table != "" {
			sum[table] += in.Read
		}
	}
	return sum
}

// Write writes what a yard holds among the reports.
func (h Held) Write(create func(name string) (io.WriteCloser, error)) error {
	f, err := create(File)
	if err != nil {
		return err
	}
	enc := json.NewEncoder(f) // sorts the keys of maps
	enc.SetEscapeHTML(false)
	return errors.Join(enc.Encode(h), f.Close())
}

// Read reads what the yard held when a set of reports was made; nil where the set
// does not say. Of a set of an earlier version run.json tells the day and the rows.
func Read(reports fs.FS) (*Held, error) {
	text, err := fs.ReadFile(reports, File)
	if errors.Is(err, fs.ErrNotExist) {
		return readRun(reports)
	}
	if err != nil {
		return nil, err
	}
	var h Held
	if err := json.Unmarshal(text, &h); err != nil {
		return nil, fmt.Errorf("read %s: %w", File, err)
	}
	return &h, nil
}

func readRun(reports fs.FS) (*Held, error) {
	text, err := fs.ReadFile(reports, "run.json")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var run struct {
		AsOf   data.Date        `json:"as_of"`
		Inputs []data.InputFile `json:"inputs"`
	}
	if err := json.Unmarshal(text, &run); err != nil {
		return nil, fmt.Errorf("read run.json: %w", err)
	}
	return &Held{AsOf: run.AsOf, Rows: rows(run.Inputs)}, nil
}
