package data

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data/internal/csvtable"
	"pgregory.net/rapid"
)

// A record that held a cell as it was read would hold the text of its file.
func TestRecordsDoNotHoldTheirFile(t *testing.T) {
	if testing.Short() {
		t.Skip("measures memory on a large file")
	}
	const vans, filler = 200, 40_000
	var v, r, d, s, p strings.Builder
	wide := strings.Repeat("x", filler)
	fmt.Fprintf(&v, "%s,reg,vin,chassis,fuel,site,source,vat,equipment,cost,filler\n", vansHeader)
	r.WriteString("stock_id,taken_on,inspector,checkpoint,position,value,unit,verdict,note,filler\n")
	d.WriteString("stock_id,kind,dated,evidence,covers,held,note,filler\n")
	s.WriteString("sale_id,maker,model,body,chassis,gearbox,first_registered,mileage,sold_on,sold_price,vat,filler\n")
	p.WriteString("stock_id,job,state,hours_spent,done_on,technician,filler\n")
	for i := range vans {
		fmt.Fprintf(&v, "V%d,Maker %d,Model %d,overcab,2018-05-01,42000,owned,R%d,Z%d,C%d,F%d,S%d,trade,margin,hob;oven,%d,%s\n", i, i, i, i, i, i, i, i, i, wide)
		fmt.Fprintf(&r, "V%d,2026-03-01,I%d,damp,offside-p%d-low,1%d.5,percent,,note %d,%s\n", i, i, i, i%10, i, wide)
		fmt.Fprintf(&d, "V%d,invoice,2025-01-01,original,hob,yes,note %d,%s\n", i, i, wide)
		fmt.Fprintf(&s, "S%d,Maker %d,Model %d,overcab,C%d,manual,2018-05-01,42000,2026-01-01,%d,margin,%s\n", i, i, i, i, 20000+i, wide)
		fmt.Fprintf(&p, "V%d,road-test,done,1.5,2026-03-01,T%d,%s\n", i, i, wide)
	}
	yard := yardOf("vans.csv", v.String(), "readings.csv", r.String(), "documents.csv", d.String(), "sales.csv", s.String(), "progress.csv", p.String())
	load := func() *Yard {
		y := mustLoad(t, yard)
		if len(y.Rejects) > 0 || len(y.Readings) != vans || len(y.Sales) != vans || len(y.Progress) != vans || len(y.Documents) != vans {
			t.Fatalf("the yard is not read whole: %v", y.Rejects[:min(1, len(y.Rejects))])
		}
		return y
	}
	held := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	load() // what is made once is made
	before := held()
	y := load()
	after := held()
	if most := uint64(4 << 20); after > before+most { // each of the files has 8 MB
		t.Errorf("the yard holds %d bytes; want at most %d", after-before, most)
	}
	runtime.KeepAlive(y)
	runtime.KeepAlive(yard)
}

// The numbers that are read without strconv are those that strconv reads.
func TestParseDecimalIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`-?([0-9]{1,12}(\.[0-9]{1,12})?|\.[0-9]{1,12})`).Draw(t, "number")
		got, ok := parseDecimal(s)
		want, err := strconv.ParseFloat(s, 64)
		if !ok || err != nil || math.Float64bits(got) != math.Float64bits(want) {
			t.Fatalf("%s: got %v, %t; want %v, %v", s, got, ok, want, err)
		}
	})
}

// Every reading stays, whether the rows of a van stand together or not.
func TestByVan(t *testing.T) {
	for _, tc := range []struct{ name, in, want string }{
		{"none", "", ""},
		{"together", "a1 a2 b3", "a: a1 a2; b: b3"},
		{"apart", "a1 b2 a3 c4 b5", "a: a1 a3; b: b2 b5; c: c4"},
		{"in another order", "b1 a2", "b: b1; a: a2"},
		{"across the end of a piece", "a1 b2 | b3 c4 | c5 | c6 b7", "a: a1; b: b2 b3 b7; c: c4 c5 c6"},
		{"a piece of nothing", "a1 | | b2", "a: a1; b: b2"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var pieces [][]string
			for piece := range strings.SplitSeq(tc.in, "|") {
				pieces = append(pieces, strings.Fields(piece))
			}
			vans, groups := byVan(pieces, func(s *string) string { return (*s)[:1] })
			var got []string
			for i, van := range vans {
				got = append(got, van+": "+strings.Join(groups[i], " "))
				if cap(groups[i]) != len(groups[i]) {
					t.Errorf("an append to the records of %s would write over another's", van)
				}
			}
			if strings.Join(got, "; ") != tc.want {
				t.Errorf("got %q; want %q", got, tc.want)
			}
		})
	}
}

// A line is passed over where it is surely a whole row of a van that nobody
// asked for.
func TestLinesOfOtherVans(t *testing.T) {
	wanted := map[string]bool{"v1": true, "ab-2": true}
	columns := []string{"stock_id", "note"}
	for _, tc := range []struct {
		name, line string
		columns    []string
		others     bool
	}{
		{"a wanted van", "V1,a\n", columns, false},
		{"in another letter case", "aB-2,a\n", columns, false},
		{"with spaces about it", " v1 ,a\n", columns, false},
		{"another van", "V12,a\n", columns, true},
		{"another van, with text in quotes", "V12,\"a, b\"\n", columns, true},
		{"another van, with a quote left open", "V12,\"a\n", columns, false},
		{"a stock_id in quotes", "\"V12\",a\n", columns, false},
		{"one that is not ASCII", "V12é,a\n", columns, false},
		{"a blank one", ",a\n", columns, false},
		{"a line without a separator", "V12\n", columns, false},
		{"the stock_id in another column", "V12,a\n", []string{"note", "stock_id"}, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := newVanLines(csvtable.Header{Names: tc.columns, Comma: ','}, wanted)
			if got := s.others([]byte(tc.line)); got != tc.others {
				t.Errorf("%q: %t, want %t", tc.line, got, tc.others)
			}
		})
	}
}

func TestCancelledReadingStops(t *testing.T) {
	f := &file{Text: csvtable.Plain([]byte("the_name,note\n" + strings.Repeat("a,1\n", 1000))), name: "pairs.csv"}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := readTable(ctx, f, columnsOf[rawPair](), tableOptions{spanBytes: 10}, parsePair); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v; want context.Canceled", err)
	}
}
