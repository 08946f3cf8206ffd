package night_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io/fs"
	"maps"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// smallTables are a small yard in which every table has something to say.
func smallTables() map[string]string {
	return map[string]string{
		"vans.csv": "stock_id,maker,model,body,first_registered,mileage,status,asking,equipment,sold_on,sold_price\n" +
			"V1,Aldmoor,Heron £5,overcab,2018-05-01,42000,ready,31995,hob;oven,,\nV2,Aldmoor,Tern,a-class,2016-03-01,51000,owned,,,,\n" +
			"V3,Café,Knot,panel-van,2020-01-01,9000,sold,24995,,2026-02-01,24500\nV4,Aldmoor,Heron,barge,2018-05-01,42000,owned,,,,\n",
		"readings.csv": "stock_id,taken_on,checkpoint,position,value,verdict,note\nV1,2026-03-01,damp,offside-rear-low,18,,wet\nV1,2026-02-01,damp,offside-rear-low,12,,\n" +
			"V2,2026-03-01,tyre-tread,spare,29,,\nV2,2026-03-01,awning,,,worn,torn at the left end\nV9,2026-03-01,awning,,,worn,\n",
		"documents.csv": "stock_id,kind,dated,held,note\nV1,mot,2025-04-01,yes,\nV1,invoice,2024-04-01,yes,cambelt\nV2,mot,2025-09-01,yes,\n",
		"progress.csv":  "stock_id,job,state,hours_spent,on\nV1,valet,open,,2026-02-01\nV1,valet,done,2,2026-02-03\nV2,valet,started,1h15,2026-02-02\n",
		"sales.csv":     "sale_id,maker,model,body,first_registered,mileage,sold_on,sold_price\nS1,Aldmoor,Heron,overcab,2016-05-01,42000,2025-05-01,30000\nS2,Aldmoor,Tern,a-class,2016-05-01,42000,2025-06-01,28000\n",
		"costs.csv":     "stock_id,on,kind,cost,invoice\nV1,2026-02-01,parts,84.50,A1\nV2,2026-02-01,sublet,120,A2\n",
		"orders.csv":    "part,stock_id,quantity,ordered_on,arrived_on\ngas-hose-hp,V1,2,2026-02-20,\ngas-hose-hp,,5,2026-02-21,2026-02-27\n",
	}
}

const smallPolicy = "vat_rate: 0.2\nbid_step: 25\nprice_endings: [495, 995]\nconfidence: 0.75\nregion: scotland\nmin_tread_mm: 2.5\nhorizon_days: 120\n"

// tableNames are those of smallTables, in one order.
func tableNames() []string { return slices.Sorted(maps.Keys(smallTables())) }

// cellsOf splits a table that is known to be good.
func cellsOf(t testing.TB, text string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func joined(rows [][]string, comma rune, quoted bool) string {
	var out strings.Builder
	for _, row := range rows {
		for i, c := range row {
			if i > 0 {
				out.WriteRune(comma)
			}
			if quoted || strings.ContainsAny(c, "\"\n"+string(comma)) {
				c = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
			}
			out.WriteString(c)
		}
		out.WriteByte('\n')
	}
	return out.String()
}

// rearranged changes the order of rows, adds a column that nobody reads and spells
// the header another way.
func rearranged(rng *rand.Rand, rows [][]string) [][]string {
	rows = slices.Clone(rows)
	if rng.IntN(2) == 0 {
		rng.Shuffle(len(rows)-1, func(i, j int) { rows[i+1], rows[j+1] = rows[j+1], rows[i+1] })
	}
	if rng.IntN(3) == 0 {
		for i := range rows {
			rows[i] = append(slices.Clone(rows[i]), []string{"our own", "", "x y"}[min(i, rng.IntN(3))])
		}
		rows[0][len(rows[0])-1] = "our own"
	}
	if rng.IntN(3) == 0 {
		rows[0] = slices.Clone(rows[0])
		for i, name := range rows[0] {
			rows[0][i] = strings.ToUpper(strings.ReplaceAll(name, "_", []string{" ", "-", ""}[rng.IntN(3)]))
		}
	}
	return rows
}

// dress changes how a table is written, and nothing that it says.
func dress(rng *rand.Rand, rows [][]string) []byte {
	text := joined(rows, []rune{',', ';', '\t'}[rng.IntN(3)], rng.IntN(3) == 0)
	if rng.IntN(3) == 0 {
		text = strings.Replace(text, "\n", "\n\n", 1+rng.IntN(3))
	}
	text = strings.ReplaceAll(text, "\n", []string{"\n", "\r\n", "\r", "\r\r\n", "\u2028"}[rng.IntN(5)])
	switch rng.IntN(5) {
	case 0:
		text = "\uFEFF" + text
	case 1:
		return utf16Bytes(text)
	case 2:
		text = strings.NewReplacer("£", "\xA3", "é", "\xE9").Replace(text)
	}
	return []byte(text)
}

// utf16Bytes is text of the first plane as UTF-16 with its byte order mark.
func utf16Bytes(text string) []byte {
	out := []byte{0xFF, 0xFE}
	for _, r := range text {
		out = append(out, byte(r), byte(r>>8))
	}
	return out
}

// dressPolicy changes how settings are written, and nothing that they say.
func dressPolicy(rng *rand.Rand, text string) []byte {
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	rng.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
	for i, line := range lines {
		key, value, _ := strings.Cut(line, ": ")
		if rng.IntN(3) == 0 {
			key = strings.ToUpper(key)
		}
		switch list := strings.HasPrefix(value, "["); {
		case list && rng.IntN(2) == 0:
			value = "\n  - " + strings.ReplaceAll(strings.Trim(value, "[]"), ", ", "\n  - ")
		case !list && rng.IntN(3) == 0:
			value = []string{`"` + value + `"`, "'" + value + "'", "   " + value + "  # ours"}[rng.IntN(3)]
		}
		lines[i] = key + ": " + value
		if rng.IntN(4) == 0 {
			lines[i] = "# what we agreed\n\n" + lines[i]
		}
	}
	text = strings.Join(lines, "\n")
	if rng.IntN(4) == 0 {
		text = "---\n" + text
	}
	if rng.IntN(3) == 0 {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	if rng.IntN(4) == 0 {
		text = "\uFEFF" + text
	}
	return []byte(text)
}

// damage changes what a text says, in ways that happen on the way.
func damage(rng *rand.Rand, b []byte) []byte {
	b = bytes.Clone(b)
	for range 1 + rng.IntN(4) {
		if len(b) == 0 {
			break
		}
		at := rng.IntN(len(b))
		switch rng.IntN(7) {
		case 0:
			b = b[:at]
		case 1:
			b[at] = byte(rng.IntN(256))
		case 2:
			b = slices.Insert(b, at, []byte{'"', ',', '\r', '\n', 0, ';', ':'}[rng.IntN(7)])
		case 3:
			b = slices.Delete(b, at, min(len(b), at+1+rng.IntN(20)))
		case 4: // a line again
			lines := bytes.SplitAfter(b, []byte("\n"))
			b = append(b, lines[rng.IntN(len(lines))]...)
		case 5: // one line in the place of another
			lines := bytes.SplitAfter(b, []byte("\n"))
			lines[rng.IntN(len(lines))] = lines[rng.IntN(len(lines))]
			b = bytes.Join(lines, nil)
		case 6:
			b = append(b, b[at:]...)
		}
	}
	return b
}

var (
	anyCell      = regexp.MustCompile(`<c [^>]*>`)
	anyValue     = regexp.MustCompile(`<(v|t)>[^<]*</(v|t)>`)
	anyRow       = regexp.MustCompile(`<row [^>]*>`)
	anyWholeRow  = regexp.MustCompile(`<row .*?</row>`)
	anyWholeCell = regexp.MustCompile(`<c .*?</c>`)
)

// damageSheet changes the XML of a sheet where it holds cells.
func damageSheet(rng *rand.Rand, part []byte) []byte {
	pick := func(of *regexp.Regexp, with ...string) {
		found := of.FindAllIndex(part, -1)
		if len(found) == 0 {
			return
		}
		at := found[rng.IntN(len(found))]
		part = slices.Replace(bytes.Clone(part), at[0], at[1], []byte(with[rng.IntN(len(with))])...)
	}
	for range 1 + rng.IntN(3) {
		switch rng.IntN(6) {
		case 0:
			pick(anyCell, `<c>`, `<c r="A1">`, `<c r="B3" t="s">`, `<c r="XFD2">`, `<c r="2">`, `<c t="b">`, `<c t="e">`, `<c t="n" s="1">`, `<c s="99">`, `<c r="C2" t="x">`)
		case 1:
			pick(anyValue, `<v></v>`, `<v>1e400</v>`, `<v>99</v>`, `<v>-1</v>`, `<t> </t>`, `<f>1+1</f>`, `<v>&#0;</v>`, `<v>&lt;</v>`, `<t>a&#10;b</t>`, `<v><v>1</v></v>`, ``)
		case 2:
			pick(anyRow, `<row>`, `<row r="2">`, `<row r="0">`, `<row r="9999999">`, `<row r="x">`, `<row r="3" hidden="1">`, `<row r="900000">`)
		case 3:
			pick(anyWholeRow, ``, `<row r="2"/>`, `<row r="7"><c r="A7"/></row>`)
		case 4:
			pick(anyWholeCell, ``, `<c/>`, `<c r="D4"/>`, `<!-- <c r="A2"><v>1</v></c> -->`)
		case 5:
			part = damage(rng, part)
		}
	}
	return part
}

// rezip changes the parts of an archive; a part of nil is left out.
func rezip(t testing.TB, archive []byte, change func(name string, part []byte) []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for name, part := range partsOf(t, archive) {
		if part = change(name, part); part == nil {
			continue
		}
		to, err := w.Create(name)
		if err == nil {
			_, err = to.Write(part)
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

// partsOf unpacks a good archive, in its own order.
func partsOf(t testing.TB, archive []byte) func(yield func(string, []byte) bool) {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	if err != nil {
		t.Fatal(err)
	}
	return func(yield func(string, []byte) bool) {
		for _, p := range z.File {
			part, err := fs.ReadFile(z, p.Name)
			if err != nil {
				t.Fatal(err)
			}
			if !yield(p.Name, part) {
				return
			}
		}
	}
}
