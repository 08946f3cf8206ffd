package night_test

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// sheet is a table of a workbook to be.
type sheet struct {
	name string
	rows [][]string
}

var (
	plainInteger = regexp.MustCompile(`^(0|[1-9][0-9]{0,8})$`)
	plainDay     = regexp.MustCompile(`^20[0-9]{2}-[01][0-9]-[0-3][0-9]$`)
)

// workbook writes a workbook by hand, part by part as ECMA-376 has them, so that
// no library that reads it has written it. Texts are shared or stand in their cell,
// numbers may be text, days may be serial numbers.
func workbook(t testing.TB, rng *rand.Rand, sheets ...sheet) []byte {
	t.Helper()
	var content, rels, list, shared strings.Builder
	parts := map[string]string{}
	texts := map[string]int{}
	numbers, days, share := rng.IntN(2) == 0, rng.IntN(2) == 0, rng.IntN(2) == 0
	for i, s := range sheets {
		var body strings.Builder
		gap := 0
		for r, row := range s.rows {
			if r > 0 && rng.IntN(6) == 0 {
				gap++ // a row without cells
			}
			n := r + 1 + gap
			fmt.Fprintf(&body, `<row r="%d">`, n)
			for c, value := range row {
				at := fmt.Sprintf("%s%d", columnName(c), n)
				switch {
				case value == "":
				case r > 0 && numbers && plainInteger.MatchString(value):
					fmt.Fprintf(&body, `<c r="%s"><v>%s</v></c>`, at, value)
				case r > 0 && days && plainDay.MatchString(value):
					fmt.Fprintf(&body, `<c r="%s" s="1"><v>%d</v></c>`, at, serial(t, value))
				case share:
					if _, ok := texts[value]; !ok {
						texts[value] = len(texts)
						fmt.Fprintf(&shared, `<si><t xml:space="preserve">%s</t></si>`, escaped(value))
					}
					fmt.Fprintf(&body, `<c r="%s" t="s"><v>%d</v></c>`, at, texts[value])
				default:
					fmt.Fprintf(&body, `<c r="%s" t="inlineStr"><is><t>%s</t></is></c>`, at, escaped(value))
				}
			}
			body.WriteString("</row>")
		}
		id := i + 1
		parts[fmt.Sprintf("xl/worksheets/sheet%d.xml", id)] = `<worksheet xmlns="` + mainNS + `"><sheetData>` + body.String() + `</sheetData></worksheet>`
		fmt.Fprintf(&content, `<Override PartName="/xl/worksheets/sheet%d.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>`, id)
		fmt.Fprintf(&rels, `<Relationship Id="rId%d" Type="%s/worksheet" Target="worksheets/sheet%d.xml"/>`, id, relNS, id)
		fmt.Fprintf(&list, `<sheet name="%s" sheetId="%d" r:id="rId%d"/>`, s.name, id, id)
	}
	const head = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"
	parts["[Content_Types].xml"] = head + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/>` +
		`<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>` + content.String() + `</Types>`
	parts["_rels/.rels"] = head + `<Relationships xmlns="` + packageNS + `"><Relationship Id="rId1" Type="` + relNS + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`
	parts["xl/workbook.xml"] = head + `<workbook xmlns="` + mainNS + `" xmlns:r="` + relNS + `"><sheets>` + list.String() + `</sheets></workbook>`
	parts["xl/_rels/workbook.xml.rels"] = head + `<Relationships xmlns="` + packageNS + `">` + rels.String() +
		`<Relationship Id="rId901" Type="` + relNS + `/styles" Target="styles.xml"/><Relationship Id="rId902" Type="` + relNS + `/sharedStrings" Target="sharedStrings.xml"/></Relationships>`
	parts["xl/styles.xml"] = head + `<styleSheet xmlns="` + mainNS + `"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/></cellXfs></styleSheet>`
	parts["xl/sharedStrings.xml"] = head + `<sst xmlns="` + mainNS + `">` + shared.String() + `</sst>`

	var out bytes.Buffer
	w := zip.NewWriter(&out)
	order := []string{"[Content_Types].xml", "_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", "xl/sharedStrings.xml"}
	for i := range sheets {
		order = append(order, fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1))
	}
	for _, name := range order {
		to, err := w.Create(name)
		if err == nil {
			_, err = to.Write([]byte(parts[name]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

const (
	mainNS    = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
	relNS     = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	packageNS = "http://schemas.openxmlformats.org/package/2006/relationships"
)

// columnName is A of 0; sheets here have fewer than 26 columns.
func columnName(c int) string { return string(rune('A' + c)) }

func escaped(text string) string {
	var out strings.Builder
	_ = xml.EscapeText(&out, []byte(text)) // a Builder takes all
	return out.String()
}

// serial is a day as a spreadsheet keeps it: days since 30 December 1899.
func serial(t testing.TB, day string) int {
	d, err := time.Parse(time.DateOnly, day)
	if err != nil {
		t.Fatal(err)
	}
	return int(d.Sub(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)).Hours() / 24)
}

// savedSheet is the XML of a sheet as encoding/xml alone understands it.
type savedSheet struct {
	Rows []struct {
		Number string `xml:"r,attr"`
		Cells  []struct {
			At     string   `xml:"r,attr"`
			Type   string   `xml:"t,attr"`
			Value  string   `xml:"v"`
			Inline []string `xml:"is>t"`
			Parts  []string `xml:"is>r>t"`
			Of     *string  `xml:"f"`
		} `xml:"c"`
	} `xml:"sheetData>row"`
}

type savedTexts struct {
	Items []struct {
		Text  []string `xml:"t"`
		Parts []string `xml:"r>t"`
	} `xml:"si"`
}

// countRows reads a sheet without the library that vanwright reads it with, and
// counts the rows below the header that hold anything in its columns. err: it is no
// XML. sure is false where the sheet says itself badly what stands where.
func countRows(part, texts []byte) (n int, sure bool, err error) {
	var s savedSheet
	if err := strictly(part, &s); err != nil {
		return 0, false, err
	}
	var shared savedTexts
	if err := strictly(texts, &shared); err != nil {
		return 0, false, err
	}
	width, last := 0, 0
	for _, row := range s.Rows {
		number := last + 1
		if row.Number != "" {
			if number, err = strconv.Atoi(row.Number); err != nil || number <= last {
				return 0, false, fmt.Errorf("row %q after row %d", row.Number, last)
			}
		}
		last = number
		held := map[int]bool{}
		column := -1
		for _, c := range row.Cells {
			at := column + 1
			if c.At != "" {
				letters := strings.TrimRight(c.At, "0123456789")
				if len(letters) != 1 || letters[0] < 'A' || letters[0] > 'Z' {
					return 0, false, nil
				}
				if strings.TrimPrefix(c.At, letters) != strconv.Itoa(number) {
					return 0, false, fmt.Errorf("cell %s in row %d", c.At, number)
				}
				at = int(letters[0] - 'A')
			}
			if at <= column {
				return 0, false, fmt.Errorf("two cells in column %d of row %d, or in no order", at+1, number)
			}
			column = at
			text := c.Value
			switch c.Type {
			case "s":
				i, err := strconv.Atoi(c.Value)
				if err != nil || i < 0 || i >= len(shared.Items) {
					return 0, false, nil
				}
				text = strings.Join(append(shared.Items[i].Text, shared.Items[i].Parts...), "")
			case "inlineStr":
				text = strings.Join(append(c.Inline, c.Parts...), "")
			case "", "n", "b", "e", "str", "d":
			default:
				return 0, false, nil
			}
			held[at] = strings.TrimSpace(text) != "" || c.Of != nil
		}
		if width == 0 {
			for at, something := range held {
				if something {
					width = max(width, at+1)
				}
			}
			continue
		}
		for at, something := range held {
			if something && at < width {
				n++
				break
			}
		}
	}
	return n, true, nil
}

// strictly reads XML, and to its end.
func strictly(text []byte, into any) error {
	d := xml.NewDecoder(bytes.NewReader(text))
	if err := d.Decode(into); err != nil {
		return err
	}
	for {
		if _, err := d.Token(); err != nil {
			if err.Error() == "EOF" {
				return nil
			}
			return err
		}
	}
}
