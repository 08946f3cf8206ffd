package workbook

import (
	"errors"
	"io"

	"github.com/xuri/excelize/v2"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

// Name is where the workbook stands among the reports.
const Name = "margin/margin.xlsx"

// Write writes the workbook of a run.
func Write(create func(name string) (io.WriteCloser, error), r *night.Result) error {
	b, err := build(r)
	if err != nil {
		return err
	}
	defer b.file.Close()
	out, err := create(Name)
	if err != nil {
		return err
	}
	return errors.Join(b.file.Write(out), out.Close())
}

// sheetNames are the sheets of a run's workbook in their order.
var sheetNames = []string{"Margin", "Totals", "Prices", "Bids", "Stock"}

// book is the workbook while it is made.
type book struct {
	file   *excelize.File
	title  string
	whole  bool // all columns are printed
	styles styles
}

func build(r *night.Result) (*book, error) {
	f := excelize.NewFile()
	b := &book{file: f}
	margins, prices, bids := rowsOf(r)
	err := errors.Join(
		b.prepare(r.AsOf, "Margin as of "+r.AsOf.Words(), sheetNames),
		writeSheet(b, "Margin", marginColumns(), margins, marginTotals(margins, r.Totals)),
		writeSheet(b, "Totals", totalColumns(margins), totalRows(r.Totals), nil),
		writeSheet(b, "Prices", priceColumns(), prices, nil),
		writeSheet(b, "Bids", bidColumns(), bids, nil),
		b.stock(margins),
	)
	if err != nil {
		f.Close()
		return nil, err
	}
	return b, nil
}

// prepare sets what belongs to the workbook as a whole. Its times are those of
// the as-of date: a workbook says when its figures hold, not when a computer
// ran.
func (b *book) prepare(asOf data.Date, title string, sheets []string) error {
	b.title = title
	day := asOf.Time()
	stamp := day.Format("2006-01-02T15:04:05Z")
	b.file.SetZipWriter(func(to io.Writer) excelize.ZipWriter { return &sortedZip{to: to, modified: day} })
	fullCalc := true
	err := errors.Join(
		b.file.SetDocProps(&excelize.DocProperties{
			Title: title, Creator: "vanwright", LastModifiedBy: "vanwright",
			Created: stamp, Modified: stamp,
		}),
		b.file.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &fullCalc}),
		b.file.SetSheetName("Sheet1", sheets[0]),
	)
	for _, name := range sheets[1:] {
		_, e := b.file.NewSheet(name)
		err = errors.Join(err, e)
	}
	if err != nil {
		return err
	}
	b.styles, err = newStyles(b.file)
	return err
}

// rowsOf picks the vans of each sheet, by stock_id.
func rowsOf(r *night.Result) (margins, prices, bids []*night.Van) {
	for i := range r.Vans {
		v := &r.Vans[i]
		if v.Margin != nil {
			margins = append(margins, v)
		}
		if v.Quote != nil {
			prices = append(prices, v)
		}
		if v.Bid != nil {
			bids = append(bids, v)
		}
	}
	return margins, prices, bids
}
