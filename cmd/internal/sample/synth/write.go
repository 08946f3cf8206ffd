package synth

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/vanwright/vanwright/data"
)

// Counts is how many rows were written to each table.
type Counts struct{ Vans, Readings, Documents, Progress, Sales int }

// Write makes up the yard and writes its tables to a folder that is there. It
// refuses to write over a file. After an error, or where ctx ends, the files
// that it made are gone again.
func Write(ctx context.Context, dir string, s Spec) (Counts, error) {
	var files []*os.File
	counts, err := WriteTo(ctx, func(name string) (io.Writer, error) {
		f, err := os.OpenFile(filepath.Join(dir, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
		return f, nil
	}, s)
	for _, f := range files {
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		for _, f := range files {
			err = errors.Join(err, os.Remove(f.Name()))
		}
		return Counts{}, err
	}
	return counts, nil
}

// WriteTo makes up the yard and writes each table to what create returns for its
// name.
func WriteTo(ctx context.Context, create func(name string) (io.Writer, error), s Spec) (Counts, error) {
	if err := s.Validate(); err != nil {
		return Counts{}, err
	}
	var tables []*Table
	var err error
	open := func(name string) *Table {
		w, e := create(name)
		if e != nil {
			err = errors.Join(err, fmt.Errorf("create %s: %w", name, e))
			w = io.Discard
		}
		t := NewTable(w, name)
		tables = append(tables, t)
		return t
	}
	vans := open("vans.csv")
	readings := open("readings.csv")
	documents := open("documents.csv")
	progress := open("progress.csv")
	sales := open("sales.csv")
	team := open("team.csv")
	bays := open("bays.csv")
	absence := open("absence.csv")
	if err != nil {
		return Counts{}, err
	}

	people := s.team()
	if err := s.writeVans(ctx, people, vans, readings, documents, progress); err != nil {
		return Counts{}, err
	}
	d := new(Draws)
	for n := range s.Sales {
		if n%1024 == 0 {
			if err := cmp.Or(ctx.Err(), sales.err); err != nil {
				return Counts{}, err
			}
		}
		sales.Sale(s.NewSale(d, n))
	}
	for _, t := range people {
		team.Technician(t)
	}
	for _, b := range s.bays() {
		bays.Bay(b)
	}
	for _, a := range s.absences(people) {
		absence.Absence(a)
	}
	for _, t := range tables {
		err = errors.Join(err, t.Flush())
	}
	return Counts{vans.Rows, readings.Rows, documents.Rows, progress.Rows, sales.Rows}, err
}

// writeVans writes each van with its readings, papers and work, one van at a
// time, until ctx ends.
func (s Spec) writeVans(ctx context.Context, people []data.Technician, vans, readings, documents, progress *Table) error {
	d := new(Draws)
	var read []data.Reading
	var papers []data.Document
	var work []data.Progress
	for n := range s.Vans {
		if n%256 == 0 {
			if err := cmp.Or(ctx.Err(), vans.err, readings.err, documents.err, progress.err); err != nil {
				return err
			}
		}
		c := s.newCase(d, n)
		vans.Van(c.Van)
		work = s.progress(d, c, people, work[:0])
		for _, p := range work {
			progress.Progress(p)
		}

		seen := c.Van.Acquired
		thorough := 1.0
		if c.Van.Status == data.Offered {
			seen, thorough = onOrBefore(trading, s.AsOf.AddDays(-1)), 0.7
		}
		d.reset(s.Seed, streamReadings, n)
		who := people[n%len(people)].Name
		read = Readings(d, Inspection{Case: c, On: seen, Inspector: who, Thorough: thorough}, read[:0])
		for _, r := range read {
			readings.Reading(r)
		}
		d.reset(s.Seed, streamPapers, n)
		papers = Papers(d, c, seen, 1, papers[:0])
		for _, p := range papers {
			documents.Document(p)
		}
	}
	return nil
}
