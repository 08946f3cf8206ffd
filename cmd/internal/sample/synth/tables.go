package synth

import (
	"bufio"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/vanwright/vanwright/data"
)

// Table writes one of the yard's input tables, comma separated with LF ends.
type Table struct {
	out   *bufio.Writer
	row   []byte
	first bool
	err   error // the first one; later rows are dropped
	Rows  int   // data rows written
}

// NewTable writes the header and returns the table.
func NewTable(w io.Writer, header string) *Table {
	t := &Table{out: bufio.NewWriterSize(w, 64<<10), row: make([]byte, 0, 1024)}
	_, t.err = t.out.WriteString(header + "\n")
	return t
}

// The headers of the tables, in the order that their writers below keep.
const (
	VansHeader = "stock_id,reg,vin,maker,model,body,chassis,fuel,gearbox,first_registered,mileage," +
		"berths,belts,length_mm,max_mass_kg,running_mass_kg,front_axle_kg,rear_axle_kg,keepers,keys," +
		"site,source,vat,status,cost,acquired,listed,asking,sold_on,sold_price,guide,finance_owed," +
		"promised_on,salvage,imported,equipment"
	ReadingsHeader  = "stock_id,taken_on,inspector,checkpoint,position,value,unit,verdict,note"
	DocumentsHeader = "stock_id,kind,dated,mileage,evidence,covers,held,expires,note"
	SalesHeader     = "sale_id,maker,model,body,chassis,gearbox,first_registered,mileage,berths,length_mm," +
		"grade,listed,asking,sold_on,sold_price,vat"
	TeamHeader     = "technician,skills,mon,tue,wed,thu,fri,sat,sun"
	BaysHeader     = "bay,kind,count"
	AbsenceHeader  = "technician,from,to"
	ProgressHeader = "stock_id,job,state,hours_spent,done_on,technician"
)

func (t *Table) begin() { t.row, t.first = t.row[:0], true }

func (t *Table) text(s string) {
	t.comma()
	if !strings.ContainsAny(s, ",\"\r\n") {
		t.row = append(t.row, s...)
		return
	}
	t.row = append(t.row, '"')
	t.row = append(t.row, strings.ReplaceAll(s, `"`, `""`)...)
	t.row = append(t.row, '"')
}

func (t *Table) comma() {
	if !t.first {
		t.row = append(t.row, ',')
	}
	t.first = false
}

func (t *Table) number(n int) {
	t.comma()
	t.row = strconv.AppendInt(t.row, int64(n), 10)
}

func (t *Table) maybe(n data.Opt[int]) {
	if t.comma(); n.Known {
		t.row = strconv.AppendInt(t.row, int64(n.Value), 10)
	}
}

func (t *Table) money(m data.Opt[data.Money]) {
	if t.comma(); m.Known {
		t.row = append(t.row, m.Value.String()...)
	}
}

func (t *Table) hours(h float64) {
	t.comma()
	t.row = strconv.AppendFloat(t.row, h, 'f', -1, 64)
}

func (t *Table) date(d data.Date) {
	if t.comma(); !d.IsZero() {
		t.row = d.Time().AppendFormat(t.row, time.DateOnly)
	}
}

func (t *Table) words(list []string) { t.text(strings.Join(list, ";")) }

func (t *Table) end() {
	t.row = append(t.row, '\n')
	if t.err == nil {
		_, t.err = t.out.Write(t.row)
	}
	t.Rows++
}

// Flush writes what is buffered and returns the first error of all.
func (t *Table) Flush() error {
	if t.err != nil {
		return t.err
	}
	return t.out.Flush()
}

// Van writes a row of vans.csv.
func (t *Table) Van(v data.Van) {
	t.begin()
	for _, s := range []string{v.StockID, v.Reg, v.VIN, v.Maker, v.Model, string(v.Body), v.Chassis, v.Fuel, v.Gearbox} {
		t.text(s)
	}
	t.date(v.FirstRegistered)
	t.number(v.Mileage)
	for _, n := range []data.Opt[int]{v.Berths, v.Belts, v.LengthMM, v.MaxMassKg, v.RunningMassKg,
		v.FrontAxleKg, v.RearAxleKg, v.Keepers, v.Keys} {
		t.maybe(n)
	}
	for _, s := range []string{v.Site, string(v.PurchaseSource), string(v.VAT), string(v.Status)} {
		t.text(s)
	}
	t.money(v.Cost)
	t.date(v.Acquired)
	t.date(v.Listed)
	t.money(v.Asking)
	t.date(v.SoldOn)
	t.money(v.SoldPrice)
	t.money(v.Guide)
	t.money(v.FinanceOwed)
	t.date(v.PromisedOn)
	t.text(v.Salvage)
	t.text(map[bool]string{true: "yes", false: "no"}[v.Imported])
	t.words(v.Equipment)
	t.end()
}

// Reading writes a row of readings.csv.
func (t *Table) Reading(r data.Reading) {
	t.begin()
	t.text(r.StockID)
	t.date(r.TakenOn)
	t.text(r.Inspector)
	t.text(r.Checkpoint)
	t.text(r.Position)
	t.text(r.Value)
	t.text(r.Unit)
	t.text(r.Verdict.String())
	t.text(r.Note)
	t.end()
}

// Document writes a row of documents.csv.
func (t *Table) Document(p data.Document) {
	t.begin()
	t.text(p.StockID)
	t.text(p.Kind)
	t.date(p.Dated)
	t.maybe(p.Mileage)
	t.text(p.Evidence)
	t.words(p.Covers)
	t.text(p.Held)
	t.date(p.Expires)
	t.text(p.Note)
	t.end()
}

// Sale writes a row of sales.csv.
func (t *Table) Sale(s data.Sale) {
	t.begin()
	for _, word := range []string{s.SaleID, s.Maker, s.Model, string(s.Body), s.Chassis, s.Gearbox} {
		t.text(word)
	}
	t.date(s.FirstRegistered)
	t.number(s.Mileage)
	t.maybe(s.Berths)
	t.maybe(s.LengthMM)
	t.maybe(s.Grade)
	t.date(s.Listed)
	t.money(s.Asking)
	t.date(s.SoldOn)
	t.money(s.SoldPrice)
	t.text(string(s.VAT))
	t.end()
}

// Technician writes a row of team.csv.
func (t *Table) Technician(p data.Technician) {
	t.begin()
	t.text(p.Name)
	t.words(p.Skills)
	for i := range 7 {
		t.hours(p.HoursOn(time.Weekday((i + 1) % 7)))
	}
	t.end()
}

// Bay writes a row of bays.csv.
func (t *Table) Bay(b data.Bay) {
	t.begin()
	t.text(b.Name)
	t.text(b.Kind)
	t.number(b.Count)
	t.end()
}

// Absence writes a row of absence.csv.
func (t *Table) Absence(a data.Absence) {
	t.begin()
	t.text(a.Technician)
	t.date(a.From)
	t.date(a.To)
	t.end()
}

// Progress writes a row of progress.csv.
func (t *Table) Progress(p data.Progress) {
	t.begin()
	t.text(p.StockID)
	t.text(p.Job)
	t.text(string(p.State))
	if p.HoursSpent.Known {
		t.hours(p.HoursSpent.Value)
	} else {
		t.comma()
	}
	t.date(p.DoneOn)
	t.text(p.Technician)
	t.end()
}

// Raw writes a row that is already in the form of the table.
func (t *Table) Raw(row string) {
	t.begin()
	t.row = append(t.row, row...)
	t.end()
}
