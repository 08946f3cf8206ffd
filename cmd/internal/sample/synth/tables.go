package synth

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/vanwright/vanwright/data"
)

// Table writes one of the yard's input tables, with the columns that package
// data reads of it. A column that nothing is made up for stays blank.
type Table struct {
	out    *csv.Writer
	column map[string]int
	row    []string
	err    error // the first one; later rows are dropped
	Rows   int   // data rows written
}

// NewTable writes the header of a table such as vans.csv and returns the table.
func NewTable(w io.Writer, name string) *Table {
	columns := data.Columns(name)
	t := &Table{out: csv.NewWriter(w), column: map[string]int{}, row: make([]string, len(columns))}
	for i, c := range columns {
		t.column[c.Name] = i
		t.row[i] = c.Name
	}
	t.err = t.out.Write(t.row)
	return t
}

// cells are a row: the names of its columns, each before its text.
type cells []string

func (t *Table) write(row cells) {
	clear(t.row)
	for i := 0; i < len(row); i += 2 {
		t.row[t.column[row[i]]] = row[i+1]
	}
	if t.err == nil {
		t.err = t.out.Write(t.row)
	}
	t.Rows++
}

// Flush writes what is buffered and returns the first error of all.
func (t *Table) Flush() error {
	if t.err != nil {
		return t.err
	}
	t.out.Flush()
	return t.out.Error()
}

func number(n int) string { return strconv.Itoa(n) }

func maybe(n data.Opt[int]) string {
	if !n.Known {
		return ""
	}
	return number(n.Value)
}

func money(m data.Opt[data.Money]) string {
	if !m.Known {
		return ""
	}
	return m.Value.String()
}

func hours(h float64) string { return strconv.FormatFloat(h, 'f', -1, 64) }

func date(d data.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

func words(list []string) string { return strings.Join(list, ";") }

// Van writes a row of vans.csv.
func (t *Table) Van(v data.Van) {
	imported := "no"
	if v.Imported {
		imported = "yes"
	}
	t.write(cells{
		"stock_id", v.StockID, "reg", v.Reg, "vin", v.VIN, "maker", v.Maker, "model", v.Model, "body", string(v.Body),
		"chassis", v.Chassis, "fuel", v.Fuel, "gearbox", v.Gearbox, "first_registered", date(v.FirstRegistered),
		"mileage", number(v.Mileage), "berths", maybe(v.Berths), "belts", maybe(v.Belts), "length_mm", maybe(v.LengthMM),
		"max_mass_kg", maybe(v.MaxMassKg), "running_mass_kg", maybe(v.RunningMassKg), "front_axle_kg", maybe(v.FrontAxleKg),
		"rear_axle_kg", maybe(v.RearAxleKg), "keepers", maybe(v.Keepers), "keys", maybe(v.Keys), "site", v.Site,
		"source", string(v.PurchaseSource), "vat", string(v.VAT), "status", string(v.Status), "cost", money(v.Cost),
		"acquired", date(v.Acquired), "listed", date(v.Listed), "asking", money(v.Asking), "sold_on", date(v.SoldOn),
		"sold_price", money(v.SoldPrice), "guide", money(v.Guide), "finance_owed", money(v.FinanceOwed),
		"promised_on", date(v.PromisedOn), "salvage", v.Salvage, "imported", imported, "equipment", words(v.Equipment),
	})
}

// Reading writes a row of readings.csv.
func (t *Table) Reading(r data.Reading) {
	t.write(cells{
		"stock_id", r.StockID, "taken_on", date(r.TakenOn), "inspector", r.Inspector, "checkpoint", r.Checkpoint,
		"position", r.Position, "value", r.Value, "unit", r.Unit, "verdict", r.Verdict.String(), "note", r.Note,
	})
}

// Document writes a row of documents.csv.
func (t *Table) Document(p data.Document) {
	t.write(cells{
		"stock_id", p.StockID, "kind", p.Kind, "dated", date(p.Dated), "mileage", maybe(p.Mileage), "evidence", p.Evidence,
		"covers", words(p.Covers), "held", p.Held, "expires", date(p.Expires), "note", p.Note,
	})
}

// Sale writes a row of sales.csv.
func (t *Table) Sale(s data.Sale) {
	t.write(cells{
		"sale_id", s.SaleID, "maker", s.Maker, "model", s.Model, "body", string(s.Body), "chassis", s.Chassis,
		"gearbox", s.Gearbox, "first_registered", date(s.FirstRegistered), "mileage", number(s.Mileage),
		"berths", maybe(s.Berths), "length_mm", maybe(s.LengthMM), "grade", maybe(s.Grade), "listed", date(s.Listed),
		"asking", money(s.Asking), "sold_on", date(s.SoldOn), "sold_price", money(s.SoldPrice), "vat", string(s.VAT),
	})
}

// Technician writes a row of team.csv.
func (t *Table) Technician(p data.Technician) {
	row := cells{"technician", p.Name, "skills", words(p.Skills)}
	for day := time.Sunday; day <= time.Saturday; day++ {
		row = append(row, strings.ToLower(day.String()[:3]), hours(p.HoursOn(day)))
	}
	t.write(row)
}

// Bay writes a row of bays.csv.
func (t *Table) Bay(b data.Bay) {
	t.write(cells{"bay", b.Name, "kind", b.Kind, "count", number(b.Count)})
}

// Absence writes a row of absence.csv.
func (t *Table) Absence(a data.Absence) {
	t.write(cells{"technician", a.Technician, "from", date(a.From), "to", date(a.To)})
}

// Progress writes a row of progress.csv.
func (t *Table) Progress(p data.Progress) {
	row := cells{
		"stock_id", p.StockID, "job", p.Job, "state", string(p.State), "done_on", date(p.DoneOn), "technician", p.Technician,
	}
	if p.HoursSpent.Known {
		row = append(row, "hours_spent", hours(p.HoursSpent.Value))
	}
	t.write(row)
}
