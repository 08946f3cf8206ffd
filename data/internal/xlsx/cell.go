package xlsx

import (
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// What a cell should have held that holds no value of its own.
const (
	WantNoError = "a value; the formula of this cell ends in an error"
	WantResult  = "a value; the formula of this cell has no saved result: open the workbook in a spreadsheet and save it"
)

// cell returns a cell as it would stand in a CSV file: days as 2026-03-09,
// numbers without the noise of binary fractions, text as it is, a formula by
// its saved result. expected is set where the cell has no value that can be
// used. raw is the cell as saved.
func (s *sheetReader) cell(row, column int, raw string) (value, expected string, err error) {
	at, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		return "", "", err
	}
	f := s.book.file
	kind, err := f.GetCellType(s.sheet, at)
	if err != nil {
		return "", "", err
	}
	if raw == "" {
		return s.blank(at, kind)
	}
	switch kind {
	case excelize.CellTypeError:
		return raw, WantNoError, nil
	case excelize.CellTypeBool:
		return s.truth(column, raw), "", nil
	case excelize.CellTypeDate: // written out as 2026-03-09T00:00:00
		day, _, _ := strings.Cut(raw, "T")
		return day, "", nil
	case excelize.CellTypeNumber, excelize.CellTypeUnset:
		style, err := f.GetCellStyle(s.sheet, at)
		if err != nil {
			return "", "", err
		}
		format, err := s.book.format(style)
		return format.show(raw, s.book.date1904), "", err
	}
	return raw, "", nil
}

// blank looks twice at a cell that seems to hold nothing, so that nothing is
// lost: a formula that was never worked out, or text that the workbook lacks.
func (s *sheetReader) blank(at string, kind excelize.CellType) (value, expected string, err error) {
	switch kind {
	case excelize.CellTypeSharedString:
		_, err = s.book.file.GetCellValue(s.sheet, at, excelize.Options{RawCellValue: true})
	case excelize.CellTypeUnset, excelize.CellTypeNumber:
		formula, err := s.book.file.GetCellFormula(s.sheet, at)
		if err == nil && formula != "" {
			return "=" + formula, WantResult, nil
		}
		return "", "", err
	}
	return "", "", err
}

// truth returns a ticked cell as its column wants it.
func (s *sheetReader) truth(column int, raw string) string {
	yes := raw == "1" || strings.EqualFold(raw, "TRUE")
	switch {
	case s.yesNo[column-1] && yes:
		return "yes"
	case s.yesNo[column-1]:
		return "no"
	case yes:
		return "TRUE"
	}
	return "FALSE"
}

// numberFormat is how the cells of a style show their numbers, as far as it
// changes what they mean.
type numberFormat struct {
	day     bool // a serial number is a calendar day
	percent bool
	zeros   int // whole numbers are filled up with zeros to so many digits
}

func (b *Book) format(style int) (numberFormat, error) {
	if f, ok := b.formats[style]; ok {
		return f, nil
	}
	s, err := b.file.GetStyle(style)
	if err != nil {
		return numberFormat{}, err
	}
	code := builtInCode(s.NumFmt)
	if s.CustomNumFmt != nil {
		code = *s.CustomNumFmt
	}
	f := readFormat(code)
	b.formats[style] = f
	return f, nil
}

// builtInCode gives a code of the same kind for the number formats that a
// workbook names by number alone: ECMA-376 part 1, 18.8.30. 27 to 36 and 50 to
// 58 are days in East Asian editions; 18 to 21 and 45 to 47 are times of day.
func builtInCode(id int) string {
	switch {
	case id >= 14 && id <= 17, id == 22, id >= 27 && id <= 31, id == 36, id >= 50 && id <= 54, id == 57, id == 58:
		return "yyyy-mm-dd"
	case id == 9 || id == 10:
		return "0%"
	}
	return ""
}

// readFormat reads a format code such as dd/mm/yyyy;@ by its first section,
// leaving quoted text, [conditions] and escaped characters out.
func readFormat(code string) numberFormat {
	var plain strings.Builder
	for i := 0; i < len(code) && code[i] != ';'; i++ {
		switch c := code[i]; c {
		case '"', '[':
			end := strings.IndexByte(code[i+1:], map[byte]byte{'"': '"', '[': ']'}[c])
			if end < 0 {
				end = len(code) - i - 2
			}
			i += 1 + end
		case '\\', '_', '*':
			i++
		default:
			plain.WriteByte(c)
		}
	}
	p := strings.ToLower(plain.String())
	if p == "general" || p == "" {
		return numberFormat{}
	}
	f := numberFormat{percent: strings.Contains(p, "%")}
	f.day = strings.ContainsAny(p, "yd") || strings.Contains(p, "m") && !strings.ContainsAny(p, "hs")
	if strings.Trim(p, "0") == "" && len(p) > 1 {
		f.zeros = len(p)
	}
	return f
}

// show writes a saved number as its format means it.
func (f numberFormat) show(raw string, date1904 bool) string {
	n, err := strconv.ParseFloat(raw, 64)
	if err != nil || math.IsInf(n, 0) || math.IsNaN(n) || math.Abs(n) >= 1e21 {
		return raw
	}
	switch {
	case f.day:
		if day := serialDay(n, date1904); day != "" {
			return day
		}
	case f.percent:
		return plainNumber(100*n) + "%"
	}
	s := plainNumber(n)
	if n >= 0 && n == math.Trunc(n) && len(s) < f.zeros && f.zeros <= 20 {
		s = strings.Repeat("0", f.zeros-len(s)) + s
	}
	return s
}

// plainNumber writes a number with the 15 digits that a spreadsheet stands by,
// without an exponent: 12495.5 for 12495.499999999998.
func plainNumber(n float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(n, 'g', 15, 64), 64)
	if err != nil {
		rounded = n
	}
	if rounded == 0 {
		rounded = 0 // not -0
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// serialDay turns a serial number into a day; blank where it is none. Days are
// counted from 1 January 1900 as day 1, with a 29 February 1900 that never was
// as day 60, or from 1 January 1904 as day 0: ECMA-376 part 1, 18.17.4.1. The
// time of day is left out; half a second makes up for binary fractions.
func serialDay(n float64, date1904 bool) string {
	const last = 2958465 // 9999-12-31
	days := int(math.Floor(n + 0.5/86400))
	from := time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC)
	switch {
	case n < 0 || n > last:
		return ""
	case date1904:
		from = time.Date(1904, time.January, 1, 0, 0, 0, 0, time.UTC)
	case days == 60:
		return "1900-02-29"
	case days < 60:
		days++
	}
	return from.AddDate(0, 0, days).Format(time.DateOnly)
}
