package workbook

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"github.com/vanwright/vanwright/data"
)

// column is one column of a sheet: cell returns nil for a blank, or a string,
// int, float64, data.Date or formula. row is the row of the sheet, from 2.
type column[R any] struct {
	title string  // its name in the CSV reports, which heading puts into words
	width float64 // in characters; a header that needs more gets it
	kind  kind
	cell  func(r R, row int) any
}

// wide leaves room for the heading, on two lines and with the button of its filter,
// and for the total below the rows, which is bold.
func (c column[R]) wide(total any) float64 {
	wide := c.width
	if f, ok := total.(formula); ok {
		total = f.result
	}
	if sum, ok := total.(data.Money); ok && c.kind == money {
		wide = max(wide, 1.15*float64(len(data.FormatMoney(sum))+5))
	}
	// What a line break leaves of the heading.
	h := heading(c.title)
	for i := range h {
		if h[i] == ' ' && i >= len(h)/2-1 {
			return max(wide, 1.1*float64(max(i, len(h)-i))+4)
		}
	}
	return max(wide, 1.1*float64(len(h))+4)
}

// longest is how wide the words of the first rows are. A longer text than names and
// numbers have is cut by the next cell.
func (c column[R]) longest(rows []R) float64 {
	const most, looked = 24, 200
	if c.kind != words || c.width > most {
		return 0
	}
	n := 0
	for i, r := range rows[:min(len(rows), looked)] {
		if text, ok := c.cell(r, i+2).(string); ok {
			n = max(n, utf8.RuneCountInString(text))
		}
	}
	return 1.15*float64(min(n, most)) + 2
}

// perPage is how many characters stand side by side on a landscape A4 page in
// print that can still be read.
const perPage = 275

// printed is how many columns from the first on a page holds. The columns of a sheet
// begin with those that somebody prints; the rest are for the screen.
func printed(widths []float64) int {
	wide := 0.0
	for i, w := range widths {
		if wide += w; wide > perPage {
			return i
		}
	}
	return len(widths)
}

// formula is a live cell with the result that is shown until it is worked out.
type formula struct {
	text   string
	result any
	counts bool // the result is a number of rows, whatever its column holds
}

// kind is how a column shows its values.
type kind int

const (
	words kind = iota
	prose      // words that may take several lines
	whole
	money
	onePlace
	day
)

// codes are the number formats of the kinds. Amounts below zero have a minus
// and no colour: a colour alone says nothing on paper.
var codes = [...]string{
	words: "@", prose: "@", whole: "#,##0", money: `£#,##0.00;-£#,##0.00`, onePlace: "0.0", day: "dd mmm yyyy",
}

// styles are the style numbers of a workbook.
type styles struct {
	header [len(codes)]int
	body   [len(codes)]int
	total  [len(codes)]int
}

func newStyles(f *excelize.File) (s styles, err error) {
	add := func(style excelize.Style) int {
		id, e := f.NewStyle(&style)
		err = errors.Join(err, e)
		return id
	}
	bold := &excelize.Font{Bold: true, Family: "Calibri", Size: 11} // the library's own, but bold
	line := []excelize.Border{{Type: "bottom", Color: "#555555", Style: 1}}
	above := []excelize.Border{{Type: "top", Color: "#555555", Style: 1}}
	for k := range codes {
		align, head := &excelize.Alignment{Vertical: "top"}, "right"
		if kind(k) == words || kind(k) == prose {
			head = "left"
			align.Horizontal, align.Indent = "left", 1 // clear of numbers before it
			align.WrapText = kind(k) == prose
		}
		s.header[k] = add(excelize.Style{
			Font: bold, Border: line,
			Fill:      excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"#E8ECEF"}},
			Alignment: &excelize.Alignment{Vertical: "center", Horizontal: head, Indent: align.Indent, WrapText: true},
		})
		s.body[k] = add(excelize.Style{CustomNumFmt: &codes[k], Alignment: align})
		s.total[k] = add(excelize.Style{CustomNumFmt: &codes[k], Alignment: align, Border: above, Font: bold})
	}
	return s, err
}

// writeSheet streams a sheet: a header that stays in view and filters the rows,
// the rows, and below them a line of totals, if there is one.
func writeSheet[R any](b *book, name string, columns []column[R], rows []R, sums map[string]any) error {
	last := letter(len(columns) - 1)
	fit := true
	landscape, a4, all, one := "landscape", 9, 0, 1
	widths := make([]float64, len(columns))
	for i, c := range columns {
		widths[i] = max(c.wide(sums[c.title]), c.longest(rows))
	}
	side := len(columns)
	if !b.whole {
		side = printed(widths)
	}
	bottom := len(rows) + 1
	if sums != nil {
		bottom++
	}
	margin := 0.4 // inches
	err := errors.Join(
		b.file.AutoFilter(name, fmt.Sprintf("A1:%s%d", last, len(rows)+1), nil),
		// After the filter, which resets the properties of its sheet.
		b.file.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}),
		b.file.SetPageLayout(name, &excelize.PageLayoutOptions{Orientation: &landscape, Size: &a4, FitToWidth: &one, FitToHeight: &all}),
		b.file.SetPageMargins(name, &excelize.PageLayoutMarginsOptions{Left: &margin, Right: &margin, Top: &margin, Bottom: &margin}),
		b.file.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: quoted(name) + "!$1:$1", Scope: name}),
		b.file.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", RefersTo: fmt.Sprintf("%s!$A$1:$%s$%d", quoted(name), letter(side-1), bottom), Scope: name}),
		b.file.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L" + b.title + ": &A&Rpage &P of &N"}),
	)
	if err != nil {
		return err
	}
	w, err := b.file.NewStreamWriter(name)
	if err != nil {
		return err
	}
	// From the last to the first: the library puts each before the others, and
	// they must stand in order.
	for i, wide := range slices.Backward(widths) {
		if err := w.SetColWidth(i+1, i+1, wide); err != nil {
			return err
		}
	}
	err = w.SetPanes(&excelize.Panes{Freeze: true, XSplit: 1, YSplit: 1, TopLeftCell: "B2", ActivePane: "bottomRight"})
	if err != nil {
		return err
	}
	cells, line := make([]excelize.Cell, len(columns)), make([]any, len(columns))
	for i, c := range columns {
		cells[i] = excelize.Cell{StyleID: b.styles.header[c.kind], Value: heading(c.title)}
		line[i] = &cells[i]
	}
	if err := w.SetRow("A1", line, excelize.RowOpts{Height: 33}); err != nil {
		return err
	}
	for i, r := range rows {
		lines := 1
		for j, c := range columns {
			cells[j] = cellOf(c.cell(r, i+2), b.styles.body[c.kind])
			if text, ok := cells[j].Value.(string); ok && c.kind == prose {
				lines = max(lines, linesOf(text, int(widths[j])-2))
			}
		}
		if err := w.SetRow(fmt.Sprintf("A%d", i+2), line, heightOf(lines)...); err != nil {
			return err
		}
	}
	if sums != nil {
		for j, c := range columns {
			style := b.styles.total[c.kind]
			if f, ok := sums[c.title].(formula); ok && f.counts {
				style = b.styles.total[whole]
			}
			cells[j] = cellOf(sums[c.title], style)
		}
		if err := w.SetRow(fmt.Sprintf("A%d", len(rows)+2), line); err != nil {
			return err
		}
	}
	return w.Flush()
}

// linesOf is how many lines of a width, in characters, words take.
func linesOf(text string, width int) int {
	lines, used := 1, 0
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if used > 0 && used+1+n > width {
			lines, used = lines+1, 0
		}
		used += 1 + n
	}
	return lines
}

// heightOf makes a row as high as its lines: a program that opens a workbook may
// leave one of several lines as low as the others.
func heightOf(lines int) []excelize.RowOpts {
	if lines == 1 {
		return nil
	}
	return []excelize.RowOpts{{Height: min(15*float64(lines), excelize.MaxRowHeight)}}
}

// quoted is a sheet's name as a reference has it.
func quoted(sheet string) string {
	if strings.Contains(sheet, " ") {
		return "'" + sheet + "'"
	}
	return sheet
}

func cellOf(v any, style int) excelize.Cell {
	if f, ok := v.(formula); ok {
		return excelize.Cell{StyleID: style, Formula: f.text, Value: plain(f.result)}
	}
	return excelize.Cell{StyleID: style, Value: plain(v)}
}

// plain turns a value into one that the library writes as it should: a day as
// its serial number, money as a number, an unknown day as a blank.
func plain(v any) any {
	switch v := v.(type) {
	case data.Date:
		if v.IsZero() {
			return nil
		}
		return v.DaysSince(serialZero)
	case data.Money:
		return v.InexactFloat64()
	case string:
		if v == "" {
			return nil
		}
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
	}
	return v
}

// serialZero is day 0 of a workbook's calendar for every day since March 1900.
var serialZero = data.NewDate(1899, 12, 30)

// optMoney is a known amount, or a blank.
func optMoney(m data.Opt[data.Money]) any {
	if !m.Known {
		return nil
	}
	return m.Value
}

func optDecimal(d data.Opt[decimal.Decimal]) any { return optMoney(d) }

func optInt(n data.Opt[int]) any {
	if !n.Known {
		return nil
	}
	return n.Value
}

// letter is the name of a column counted from 0.
func letter(i int) string {
	name, err := excelize.ColumnNumberToName(i + 1)
	if err != nil {
		panic(err) // no sheet has so many columns
	}
	return name
}
