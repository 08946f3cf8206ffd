package main

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"
)

func TestRecordsEndOutsideQuotes(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		want       []string
	}{
		{"none", "", nil},
		{"two", "a,b\nc,d\n", []string{"a,b\n", "c,d\n"}},
		{"a line end within quotes", "a,\"b\nc\"\nd\n", []string{"a,\"b\nc\"\n", "d\n"}},
		{"quotes within quotes", "\"say \"\"yes\"\"\n\"\"\",b\nc\n", []string{"\"say \"\"yes\"\"\n\"\"\",b\n", "c\n"}},
		{"an empty field in quotes", "\"\"\na\n", []string{"\"\"\n", "a\n"}},
		{"no line end at the end", "a\nb", []string{"a\n", "b"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for r := range records([]byte(tt.text)) {
				got = append(got, string(r))
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

// FuzzRecords holds what package table may write against encoding/csv.
func FuzzRecords(f *testing.F) {
	f.Add("a", "b\nc", "\"")
	f.Add("", "\n", "\"\n\"")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		var text bytes.Buffer
		w := csv.NewWriter(&text)
		rows := [][]string{{a, b}, {c, a}, {b, c}}
		if err := w.WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		n := 0
		for r := range records(text.Bytes()) {
			one, err := csv.NewReader(bytes.NewReader(r)).ReadAll()
			if err != nil || len(one) != 1 {
				t.Fatalf("%q is %d rows: %v", r, len(one), err)
			}
			n++
		}
		if n != len(rows) {
			t.Errorf("%d rows of %d in %q", n, len(rows), text.String())
		}
	})
}

// A report larger than a block arrives in several, which put together are the
// report.
func TestALargeReportTravelsInBlocks(t *testing.T) {
	var report, want strings.Builder
	report.WriteString("x,y\n")
	for i := range 20_000 {
		row := strings.Repeat("n", i%40) + ",\"a\nb\"\n"
		report.WriteString(row)
		want.WriteString("\"north, south\"," + row)
	}
	var got strings.Builder
	place, count := 0, 0
	for b := range blocks("north, south", []byte(report.String())) {
		if b.Place != place || b.Header != "yard,x,y\n" || b.Yard != "north, south" || len(b.Text) > blockBytes+100 {
			t.Fatalf("block at %d of %d bytes, want at %d: %q", b.Place, len(b.Text), place, b.Header)
		}
		place += b.Rows
		count++
		got.Write(b.Text)
	}
	if got.String() != want.String() || place != 20_000 || count < 3 {
		t.Errorf("%d rows in %d blocks are not the report", place, count)
	}
}
