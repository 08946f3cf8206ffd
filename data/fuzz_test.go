package data

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf16"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// seeds adds contents that have something odd in them, and returns the header.
func seeds(f *testing.F, header string, rows ...string) string {
	whole := header + "\n" + strings.Join(rows, "\n") + "\n"
	f.Add([]byte(whole))
	f.Add([]byte("\xEF\xBB\xBF" + strings.ReplaceAll(whole, "\n", "\r\n")))
	f.Add([]byte(strings.ReplaceAll(whole, ",", ";")))
	f.Add([]byte(strings.ReplaceAll(whole, ",", "\t")))
	f.Add([]byte(header + "\n" + strings.Join(rows, ",\"open\n")))
	f.Add([]byte(header + "\n\n,,\n" + strings.Join(rows, "\n\x00")))
	f.Add([]byte("sep=;\n" + whole + "\xA3"))
	f.Add(utf16Bytes(whole))
	f.Add([]byte(header + "\n\"" + strings.Join(rows, "\n\"\"x\n") + "\",\n\""))
	f.Add([]byte(strings.Join(rows, "\n"))) // what stands below the header that fuzzTable sets
	return header
}

// fuzzTable reads any bytes as one file of a yard, and as what stands below a
// good header: no panic, the same result twice, every row a record or a Reject,
// and every line of the file used exactly once.
func fuzzTable[R, T any](f *testing.F, name, header string, parser func() rowParser[R, T]) {
	check := func(t *testing.T, content []byte) {
		fsys := fstest.MapFS{name: {Data: content}}
		read := func() (*table[T], *file, error) {
			file, err := readFile(fsys, name, name, columnsOf[R]())
			if err != nil {
				return nil, nil, err
			}
			got, err := readTable(context.Background(), file, columnsOf[R](), tableOptions{asOf: asOf}, parser())
			return got, file, err
		}
		got, file, err := read()
		if err != nil {
			if !strings.HasPrefix(err.Error(), name) {
				t.Fatalf("the error does not name %s: %v", name, err)
			}
			return
		}
		if got.input.Read != got.input.Accepted+got.input.Rejected ||
			len(slices.Concat(got.records...)) != got.input.Accepted || len(got.rejects) != got.input.Rejected {
			t.Fatalf("counts %+v with %d records and %d rejects", got.input, len(slices.Concat(got.records...)), len(got.rejects))
		}
		lines := strings.Split(string(file.Body), "\n")
		last := got.header.Line
		for _, r := range got.rejects {
			if r.Line <= last || r.Line > len(lines) {
				t.Fatalf("reject on line %d after line %d of %d", r.Line, last, len(lines))
			}
			last = r.Line
			text := strings.Join(lines[r.Line-1:], "\n")
			if !strings.HasPrefix(text, strings.TrimSuffix(r.Row, "…")) {
				t.Fatalf("line %d is not the rejected row %q", r.Line, r.Row)
			}
			if r.Rule == "" || r.Expected == "" {
				t.Fatalf("reject without a reason: %+v", r)
			}
		}
		again, _, err := read()
		if err != nil || fmt.Sprint(again.rejects) != fmt.Sprint(got.rejects) || fmt.Sprint(again.records) != fmt.Sprint(got.records) {
			t.Fatalf("read again, the file gives something else: %v", err)
		}
		everyLineOnce(t, file, got.header)
	}
	f.Fuzz(func(t *testing.T, content []byte) {
		check(t, content)
		check(t, append([]byte(header+"\n"), content...))
	})
}

// everyLineOnce walks the rows again: between them there are only blank lines
// and rows without content, and none overlaps the next.
func everyLineOnce(t *testing.T, f *file, h csvtable.Header) {
	end := h.End
	lost := func(to int) {
		for _, b := range f.Body[end:to] {
			if !strings.ContainsRune(" \t\r\n\"\v\f\u0085\u00A0"+string(h.Comma), rune(b)) && b < 0x80 {
				t.Fatalf("lost between rows: %q", f.Body[end:to])
			}
		}
	}
	rows := f.Rows(h, csvtable.Span{Start: h.End, End: len(f.Body), Line: 1 + bytes.Count(f.Body[:h.End], []byte("\n"))}, 0)
	for row, ok := rows.Next(); ok; row, ok = rows.Next() {
		if row.Start < end {
			t.Fatalf("the row on line %d starts before the row above it ends", row.Line)
		}
		lost(row.Start)
		end = row.End
	}
	lost(len(f.Body))
}

// fuzzIndex knows two vans, one of them rejected.
func fuzzIndex() *vanIndex {
	return &vanIndex{
		accepted: map[string]string{"V1": "V1"}, rejected: map[string]Source{"V2": {"vans.csv", 3}}, anyCase: map[string]string{"v1": "V1"},
	}
}

func FuzzReadVans(f *testing.F) {
	header := seeds(f, vansHeader+",cost,acquired,sold_on,sold_price,equipment",
		"V1,Aldmoor,Heron,overcab,2018-05-01,\"42,000\",sold,£20000,1/2/2026,2 Mar 2026,24995.50,hob;oven",
		"../../etc,,,barge,30/12/1899,NaN,offered,1e999,,,,jacuzzi")
	fuzzTable(f, "vans.csv", header, func() rowParser[rawVan, Van] { return parseVan })
}

func FuzzReadReadings(f *testing.F) {
	header := seeds(f, "stock_id,taken_on,inspector,checkpoint,position,value,unit,verdict,note",
		"V1,2026-03-01,R. Fell,damp,offside-rear-low,18.5,%,worn,\"two\nlines\"",
		"V2,,,tyre-code,spare,0118,code,,", "V1,2026-03-01,,water-pump,,,,untested,", "V9,x,,dmap,y,NaN,z,w,")
	p := readingParser{vans: fuzzIndex(), books: builtInBooks(f)}
	fuzzTable(f, "readings.csv", header, func() rowParser[rawReading, Reading] { return p.parse })
}

func FuzzReadDocuments(f *testing.F) {
	header := seeds(f, "stock_id,kind,dated,mileage,evidence,covers,held,expires,note",
		"V1,invoice,2025-03-01,\"41,000\",original,engine-oil;hob,yes,,", "V1,mot,,,,,,01/01/1899,x", "V2,?,?,?,?,?,?,?,?")
	fuzzTable(f, "documents.csv", header, func() rowParser[rawDocument, Document] { return parseDocuments(fuzzIndex()) })
}

func FuzzReadSales(f *testing.F) {
	header := seeds(f, "sale_id,maker,model,body,first_registered,mileage,grade,listed,asking,sold_on,sold_price,vat",
		"S1,Aldmoor,Heron,overcab,2016-05-01,50000,2,2025-03-01,31995,2025-04-01,31000,margin", "S1,,,,,,9,,0,,5,none")
	fuzzTable(f, "sales.csv", header, func() rowParser[rawSale, Sale] { return parseSale })
}

func FuzzReadTeam(f *testing.F) {
	header := seeds(f, "technician,skills,mon,tue,wed,thu,fri,sat,sun", "R. Fell,gas;damp,8,7.5,,0,1,2,24", "r. fell,?,25,-1,NaN,0x1p4,1e9,1_0,x")
	fuzzTable(f, "team.csv", header, func() rowParser[rawTechnician, Technician] { return parseTechnician })
}

func FuzzReadBays(f *testing.F) {
	header := seeds(f, "bay,kind,count", "Ramp 1,ramp,1", "ramp 1,lawn,-1")
	fuzzTable(f, "bays.csv", header, func() rowParser[rawBay, Bay] { return parseBay })
}

func FuzzReadAbsence(f *testing.F) {
	header := seeds(f, "technician,from,to", ",2026-04-03,2026-04-06", "r. fell,3/4/2026,", "nobody,,2026-01-01")
	team := []Technician{{Name: "R. Fell"}}
	fuzzTable(f, "absence.csv", header, func() rowParser[rawAbsence, Absence] { return parseAbsences(team) })
}

func FuzzReadProgress(f *testing.F) {
	header := seeds(f, "stock_id,job,state,hours_spent,done_on,technician", "V1,road-test,done,1.5,2026-03-01,R. Fell", "V1,Road Test,open,,,", "V2,x,?,-1,2999-01-01,")
	books := builtInBooks(f)
	fuzzTable(f, "progress.csv", header, func() rowParser[rawProgress, Progress] { return parseProgress(fuzzIndex(), books) })
}

// Any bytes as a labour book: taken or refused with a sentence, never a panic;
// what is taken has only jobs that exist and no circle.
func FuzzReadLabourBook(f *testing.F) {
	seeds(f, strings.TrimSpace(labourHeader), "a,A,damp,habitation,1,2,3,48,b,sponge*2,habitation,", "b,B,gas,ramp,1,2,3,,a,,,", "c,C,tyres,ramp,3,2,1,,c,,,")
	parts := []Part{{Code: "sponge"}}
	f.Fuzz(func(t *testing.T, content []byte) {
		file, err := readFile(fstest.MapFS{"labour.csv": {Data: content}}, "labour.csv", "labour.csv", Columns("labour.csv"))
		if err != nil {
			return
		}
		got, err := readTable(context.Background(), file, Columns("labour.csv"), tableOptions{}, parseLabourJob)
		if err != nil || len(got.rejects) > 0 {
			return
		}
		b, err := NewBooks(nil, slices.Concat(got.records...), parts, nil)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without a sentence")
			}
			return
		}
		// Peeling off jobs whose predecessors are gone empties a book without
		// circles, and leaves the circle of one with.
		left := map[string][]string{}
		for _, j := range b.Labour {
			left[j.Code] = j.After
		}
		for peeled := true; peeled; {
			peeled = false
			for code, after := range left {
				free := true
				for _, a := range after {
					if _, waits := left[a]; waits {
						free = false
					}
				}
				if free {
					delete(left, code)
					peeled = true
				}
			}
		}
		if len(left) > 0 {
			t.Fatalf("a circle was taken: %v", left)
		}
	})
}

func FuzzReadCheckpointBook(f *testing.F) {
	seeds(f, strings.TrimSpace(checkHeader), "damp,Damp,living,percent,15,20,,high-bad,,", "x,X,,mm,3,2,1,low-bad,,", "y,Y,,,1,,,,z,")
	f.Fuzz(func(t *testing.T, content []byte) {
		file, err := readFile(fstest.MapFS{"checkpoints.csv": {Data: content}}, "checkpoints.csv", "checkpoints.csv", Columns("checkpoints.csv"))
		if err != nil {
			return
		}
		got, err := readTable(context.Background(), file, Columns("checkpoints.csv"), tableOptions{}, parseCheckpoint)
		if err != nil || len(got.rejects) > 0 {
			return
		}
		b, err := NewBooks(slices.Concat(got.records...), nil, nil, nil)
		if err != nil {
			return
		}
		for _, c := range b.Checkpoints {
			if again, ok := b.Checkpoint(c.Code); !ok || again.Source != c.Source {
				t.Fatalf("looking up %q gives %v, %t", c.Code, again, ok)
			}
		}
	})
}

// utf16Bytes writes a text as UTF-16 with its mark, little end first.
func utf16Bytes(s string) []byte {
	var out []byte
	for _, u := range utf16.Encode([]rune("\uFEFF" + s)) {
		out = append(out, byte(u), byte(u>>8))
	}
	return out
}
