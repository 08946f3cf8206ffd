package data

import (
	"bytes"
	"context"
	"encoding/csv"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/gocarina/gocsv"
	"github.com/google/go-cmp/cmp"
)

// mutableYard is a small yard in which every table has something to say.
func mutableYard() map[string]string {
	return map[string]string{
		"vans.csv": vansHeader + ",asking,equipment,sold_on,sold_price\n" +
			"V1,Aldmoor,Heron £5,overcab,2018-05-01,42000,ready,31995,hob;oven,,\nV2,Aldmoor,Tern,a-class,2016-03-01,51000,owned,,,,\n" +
			"V3,Café,Knot,panel-van,2020-01-01,9000,sold,24995,,2026-02-01,24500\nV4,Aldmoor,Heron,barge,2018-05-01,42000,owned,,,,\n",
		"readings.csv": "stock_id,taken_on,checkpoint,position,value,verdict,note\nV1,2026-03-01,damp,offside-rear-low,18,,wet\nV1,2026-02-01,damp,offside-rear-low,12,,\n" +
			"V2,2026-03-01,tyre-tread,spare,29,,\nV2,2026-03-01,awning,,,worn,torn at the left end\nV9,2026-03-01,awning,,,worn,\n",
		"documents.csv": "stock_id,kind,dated,held,note\nV1,mot,2025-04-01,yes,\nV1,invoice,2024-04-01,yes,cambelt\nV2,mot,2025-09-01,yes,\n",
		"progress.csv":  "stock_id,job,state,hours_spent,on\nV1,valet,open,,2026-02-01\nV1,valet,done,2,2026-02-03\nV2,valet,started,1h15,2026-02-02\n",
		"sales.csv":     "sale_id,maker,model,body,first_registered,mileage,sold_on,sold_price\nS1,Aldmoor,Heron,overcab,2016-05-01,42000,2025-05-01,30000\nS2,Aldmoor,Tern,a-class,2016-05-01,42000,2025-06-01,28000\n",
		"costs.csv":     "stock_id,on,kind,cost,invoice\nV1,2026-02-01,parts,84.50,A1\nV2,2026-02-01,sublet,120,A2\n",
	}
}

// cellsOfTable splits a table that is known to be good.
func cellsOfTable(t testing.TB, text string) [][]string {
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

// dress changes how a table is written, and nothing that it says.
func dress(rng *rand.Rand, rows [][]string) string {
	rows = slices.Clone(rows)
	if rng.IntN(2) == 0 {
		rng.Shuffle(len(rows)-1, func(i, j int) { rows[i+1], rows[j+1] = rows[j+1], rows[i+1] })
	}
	if rng.IntN(3) == 0 { // a column that nobody reads
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
	text := joined(rows, []rune{',', ';', '\t'}[rng.IntN(3)], rng.IntN(3) == 0)
	if rng.IntN(3) == 0 {
		text = strings.Replace(text, "\n", "\n\n", 1+rng.IntN(3))
	}
	text = strings.ReplaceAll(text, "\n", []string{"\n", "\r\n", "\r", "\r\r\n", "\u2028"}[rng.IntN(5)])
	switch rng.IntN(5) {
	case 0:
		text = "\uFEFF" + text
	case 1:
		return string(utf16Bytes(text))
	case 2:
		return strings.NewReplacer("£", "\xA3", "é", "\xE9").Replace(text)
	}
	return text
}

// damage changes what a table says, in ways that happen on the way.
func damage(rng *rand.Rand, text string) string {
	b := []byte(text)
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
			b = slices.Insert(b, at, []byte{'"', ',', '\r', '\n', 0, ';'}[rng.IntN(6)])
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
	return string(b)
}

// checkMutations dresses a yard in another way, which must not matter, and
// damages it, after which every row must still be accounted for.
func checkMutations(t *testing.T, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	load := func(tables map[string]string) (*Yard, error) {
		fsys := fstest.MapFS{}
		for name, text := range tables {
			fsys[name] = &fstest.MapFile{Data: []byte(text)}
		}
		return Load(context.Background(), fsys, LoadOptions{AsOf: asOf, Workers: 1 + rng.IntN(3)})
	}
	plain := mutableYard()
	want, err := load(plain)
	if err != nil {
		t.Fatal(err)
	}
	dressed, damaged := map[string]string{}, maps.Clone(plain)
	names := slices.Sorted(maps.Keys(plain))
	for _, name := range names {
		dressed[name] = dress(rng, cellsOfTable(t, plain[name]))
	}
	got, err := load(dressed)
	if err != nil {
		t.Fatalf("%v: %q", err, dressed)
	}
	if diff := cmp.Diff(got, want, anywhere); diff != "" || len(got.Rejects) != len(want.Rejects) {
		t.Fatalf("%d and %d rejects; dressed (-), plain (+):\n%s\n%q", len(got.Rejects), len(want.Rejects), diff, dressed)
	}

	hurt := names[rng.IntN(len(names))]
	damaged[hurt] = damage(rng, plain[hurt])
	got, err = load(damaged)
	if err != nil {
		if strings.Contains(err.Error(), "do not add up") || !strings.HasPrefix(err.Error(), hurt) {
			t.Fatalf("%v: %q", err, damaged[hurt])
		}
		return
	}
	// Where no quote is about, every line that holds something is a row.
	if text := damaged[hurt]; !strings.ContainsAny(text, "\"\r\x00") {
		lines := 0
		for line := range strings.Lines(text) {
			if strings.Trim(line, " \t\n,;\u00A0\u0085\u2028\v\f") != "" {
				lines++
			}
		}
		for _, in := range got.Inputs {
			if in.Name == hurt && in.Read != lines-1 {
				t.Fatalf("%s: read %d rows of %d lines: %q", hurt, in.Read, lines, text)
			}
		}
	}
}

func TestMutatedYards(t *testing.T) {
	n := uint64(300)
	if testing.Short() {
		n = 30
	}
	for seed := range n {
		checkMutations(t, seed)
	}
}

// FuzzMutatedYard is for long runs: go test ./data -run '^$' -fuzz FuzzMutatedYard -fuzztime 1h
func FuzzMutatedYard(f *testing.F) {
	f.Add(uint64(1))
	f.Fuzz(func(t *testing.T, seed uint64) { checkMutations(t, seed) })
}

// Another reader of CSV finds the same cells in the same columns.
func TestAnIndependentReaderFindsTheSame(t *testing.T) {
	plain := mutableYard()
	y := mustLoad(t, yardOf("vans.csv", plain["vans.csv"], "sales.csv", plain["sales.csv"]))
	var vans []rawVan
	var sales []rawSale
	if err := gocsv.UnmarshalString(plain["vans.csv"], &vans); err != nil {
		t.Fatal(err)
	}
	if err := gocsv.UnmarshalString(plain["sales.csv"], &sales); err != nil {
		t.Fatal(err)
	}
	for _, raw := range vans {
		v, ok := y.Van(raw.StockID)
		if ok != (raw.Body != "barge") || ok && (v.Model != raw.Model || v.FirstRegistered.String() != raw.FirstRegistered || strings.Join(v.Equipment, ";") != raw.Equipment) {
			t.Errorf("%+v was read as %+v", raw, v)
		}
	}
	for i, raw := range sales {
		if s := y.Sales[i]; s.SaleID != raw.SaleID || s.SoldOn.String() != raw.SoldOn || s.SoldPrice.Value.String() != raw.SoldPrice {
			t.Errorf("%+v was read as %+v", raw, s)
		}
	}
}
