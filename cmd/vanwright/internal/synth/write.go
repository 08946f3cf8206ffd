package synth

import (
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
// refuses to write over a file. After an error the folder holds a part of the
// yard.
func Write(dir string, s Spec) (Counts, error) {
	var files []*os.File
	counts, err := WriteTo(func(name string) (io.Writer, error) {
		f, err := os.OpenFile(filepath.Join(dir, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err == nil {
			files = append(files, f)
		}
		return f, err
	}, s)
	for _, f := range files {
		err = errors.Join(err, f.Close())
	}
	return counts, err
}

// WriteTo makes up the yard and writes each table to what create returns for its
// name.
func WriteTo(create func(name string) (io.Writer, error), s Spec) (Counts, error) {
	if err := s.validate(); err != nil {
		return Counts{}, err
	}
	var tables []*Table
	var err error
	open := func(name, header string) *Table {
		w, e := create(name)
		if e != nil {
			err = errors.Join(err, fmt.Errorf("create %s: %w", name, e))
			w = io.Discard
		}
		t := NewTable(w, header)
		tables = append(tables, t)
		return t
	}
	vans := open("vans.csv", VansHeader)
	readings := open("readings.csv", ReadingsHeader)
	documents := open("documents.csv", DocumentsHeader)
	progress := open("progress.csv", ProgressHeader)
	sales := open("sales.csv", SalesHeader)
	team := open("team.csv", TeamHeader)
	bays := open("bays.csv", BaysHeader)
	absence := open("absence.csv", AbsenceHeader)
	if err != nil {
		return Counts{}, err
	}

	people := s.team()
	s.writeVans(people, vans, readings, documents, progress)
	d := new(Draws)
	for n := range s.Sales {
		sales.Sale(s.NewSale(d, n))
	}
	for _, t := range people {
		team.Technician(t)
	}
	for _, b := range s.bays() {
		bays.Bay(b)
	}
	for _, a := range s.absences(d, people) {
		absence.Absence(a)
	}
	for _, t := range tables {
		err = errors.Join(err, t.Flush())
	}
	return Counts{vans.Rows, readings.Rows, documents.Rows, progress.Rows, sales.Rows}, err
}

// writeVans writes each van with its readings, papers and work, one van at a
// time.
func (s Spec) writeVans(people []data.Technician, vans, readings, documents, progress *Table) {
	d := new(Draws)
	var read []data.Reading
	var papers []data.Document
	var work []data.Progress
	for n := range s.Vans {
		c := s.newCase(d, n)
		vans.Van(c.Van)
		work = s.progress(d, c, people, work[:0])
		for _, p := range work {
			progress.Progress(p)
		}

		seen := c.Van.Acquired
		thorough := 1.0
		if c.Van.Status == data.Offered {
			seen, thorough = s.AsOf.AddDays(-1), 0.7
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
}
