package data

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// slipRow is slip.csv of an id and a minute of 8 March 2026.
func slipRow(id string, minute int) string {
	return fmt.Sprintf("slip,made,by\n%s,2026-03-08T09:%02d:00Z,R. Fell\n", id, minute)
}

// zipOf packs files, given as name, content, name, content.
func zipOf(t testing.TB, files ...string) []byte {
	t.Helper()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for i := 0; i < len(files); i += 2 {
		to, err := w.Create(files[i])
		if err == nil {
			_, err = io.WriteString(to, files[i+1])
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

// withSlips adds slips to a yard: a folder for a map of files, a zip for bytes.
func withSlips(yard fstest.MapFS, slips map[string]any) fstest.MapFS {
	out := maps.Clone(yard)
	for name, content := range slips {
		switch c := content.(type) {
		case []byte:
			out["slips/"+name] = &fstest.MapFile{Data: c}
		case map[string]string:
			for file, text := range c {
				out["slips/"+name+"/"+file] = &fstest.MapFile{Data: []byte(text)}
			}
		}
	}
	return out
}

// news is a yard with two slips that say all sorts of things.
func news(t testing.TB) fstest.MapFS {
	base := yardOf(
		"vans.csv", vansHeader+",reg,asking,site\nV1,A,H,overcab,2018-05-01,42000,owned,AB01 CDE,30000,North\nV2,A,H,overcab,2018-05-01,1,owned,,,\n",
		"readings.csv", "stock_id,taken_on,checkpoint,position,value\nV1,2026-03-01,damp,offside-rear-low,18\nV1,2026-03-08,damp,offside-rear-low,17\n",
		"progress.csv", "stock_id,job,state,on\nV1,valet,open,2026-03-01\n",
		"orders.csv", "part,stock_id,quantity,ordered_on,due_on\ngas-hose-hp,V1,2,2026-03-01,2026-03-12\n",
	)
	return withSlips(base, map[string]any{
		"b.zip": zipOf(t, "slip.csv", slipRow("slip-000b", 20), "vans.csv", "stock_id,site,asking,status,listed\nV1,-,29500,ready,2026-03-08\n",
			"readings.csv", "stock_id,taken_on,checkpoint,position,value\nV1,2026-03-08,damp,offside-rear-low,21\n",
			"progress.csv", "stock_id,job,state,on\nV1,valet,done,2026-03-08\n",
			"orders.csv", "part,stock_id,quantity,ordered_on,arrived_on\ngas-hose-hp,V1,2,2026-03-01,2026-03-08\n",
			"photos.csv", "stock_id,checkpoint,position,file,taken_on,note,customer\nV1,damp,offside-rear-low,photos/1.jpg,2026-03-08,wet,yes\nV1,,,2.jpg,,,\n",
			"photos/1.jpg", picture),
		"a": map[string]string{"slip.csv": slipRow("slip-000a", 10), "vans.csv": vansHeader + "\nV3,B,K,panel-van,2020-01-01,9000,offered\n",
			"costs.csv": "stock_id,on,kind,cost\nV3,2026-03-08,transport,80\n"},
	})
}

func TestSlipsAreLaidOverTheTables(t *testing.T) {
	y := mustLoad(t, news(t))
	var got []string
	for _, v := range y.Vans {
		got = append(got, fmt.Sprintf("%s %s %q asks %v from %s", v.StockID, v.Status, v.Site, v.Asking.Value, v.Source))
	}
	for _, r := range y.Readings["V1"] {
		got = append(got, fmt.Sprintf("damp %s on %s from %s", r.Value, r.TakenOn, r.Source))
	}
	got = append(got, fmt.Sprintf("valet %s, before that %s", y.Progress["V1"][0].State, y.ProgressHistory["V1"][0].State),
		fmt.Sprintf("%d order, arrived on %s", len(y.Orders), y.Orders[0].ArrivedOn),
		fmt.Sprintf("costs %v", y.Costs["V3"][0].Amount))
	for _, s := range y.Slips {
		got = append(got, fmt.Sprintf("%s by %s in %s", s.ID, s.By, s.File))
	}
	want := []string{
		`V1 ready "" asks 29500 from vans.csv:2`, `V2 owned "" asks 0 from vans.csv:3`, `V3 offered "" asks 0 from slips/a/vans.csv:2`,
		"damp 18 on 2026-03-01 from readings.csv:2", "damp 21 on 2026-03-08 from slips/b/readings.csv:2",
		"valet done, before that open", "1 order, arrived on 2026-03-08", "costs 80",
		"slip-000a by R. Fell in slips/a", "slip-000b by R. Fell in slips/b.zip",
	}
	if diff := cmp.Diff(got, want); diff != "" {
		t.Errorf("got (-), want (+):\n%s", diff)
	}
	if len(y.Rejects) != 1 || y.Rejects[0].String() != `slips/b/photos.csv:3: column "file": "2.jpg": expected a picture that is there in photos` {
		t.Errorf("rejects %v", y.Rejects)
	}
	p := y.Photos[0]
	r, err := p.Open()
	if err != nil {
		t.Fatal(err)
	}
	content, err := io.ReadAll(r)
	if err != nil || r.Close() != nil || string(content) != picture || p.File != "slips/b/photos/1.jpg" || p.Size != int64(len(picture)) || !p.Customer {
		t.Errorf("photo %+v holds %q, %v", p, content, err)
	}
	for _, in := range y.Inputs {
		if in.Read != in.Accepted+in.Rejected || len(in.SHA256) != 64 {
			t.Errorf("%+v", in)
		}
	}
}

func TestTheSameSlipIsReadOnce(t *testing.T) {
	base := yardOf("vans.csv", vansHeader+"\nV1,A,H,overcab,2018-05-01,42000,owned\n")
	one := zipOf(t, "slip.csv", slipRow("slip-000a", 10), "costs.csv", "stock_id,on,kind,cost\nV1,2026-03-08,transport,80\n")
	y := mustLoad(t, withSlips(base, map[string]any{"A1.zip": one, "A1 (1).zip": one}))
	if n := total(y.Costs); n != 1 || len(y.Rejects) != 0 || !slices.Contains(y.Warnings, "slips/A1 (1).zip is the slip slips/A1.zip once more, and was not read again") {
		t.Errorf("%d costs, rejects %v, warnings %q", n, y.Rejects, y.Warnings)
	}
	other := zipOf(t, "slip.csv", slipRow("slip-000a", 10), "costs.csv", "stock_id,on,kind,cost\nV1,2026-03-08,transport,90\n")
	y = mustLoad(t, withSlips(base, map[string]any{"A1.zip": one, "A2.zip": other}))
	if total(y.Costs) != 1 || len(y.Rejects) != 1 || y.Rejects[0].Rule != "slip.twice" {
		t.Errorf("another slip of the same id: costs %v, rejects %v", y.Costs, y.Rejects)
	}
}

func TestASlipOfTomorrowIsNotReadYet(t *testing.T) {
	base := yardOf("vans.csv", vansHeader+"\nV1,A,H,overcab,2018-05-01,42000,owned\n")
	y := mustLoad(t, withSlips(base, map[string]any{"x": map[string]string{
		"slip.csv":  "slip,made,by\nslip-000a,2026-03-10T00:30:00+01:00,\n",
		"costs.csv": "stock_id,on,kind,cost\nV1,2026-03-08,transport,80\n",
	}}))
	if total(y.Costs) != 0 || len(y.Slips) != 0 || !slices.Contains(y.Warnings, "slips/x was made on 2026-03-10, after the as-of date 2026-03-09, and was not read yet") {
		t.Errorf("costs %v, warnings %q", y.Costs, y.Warnings)
	}
}

// Two phones gave two vans one stock number: the later slip is refused whole.
func TestASlipThatBringsAnotherVanIsRefusedWhole(t *testing.T) {
	columns := vansHeader + ",vin,reg\n"
	bring := func(id string, minute int, van, reading string) map[string]string {
		return map[string]string{"slip.csv": slipRow(id, minute), "vans.csv": columns + van + "\n",
			"readings.csv": "stock_id,taken_on,checkpoint,verdict\n" + reading + "\n"}
	}
	base := yardOf("vans.csv", columns+"V1,A,H,overcab,2018-05-01,42000,owned,,AB01 CDE\n")
	y := mustLoad(t, withSlips(base, map[string]any{
		"first":  bring("slip-000a", 1, "V7,A,H,overcab,2018-05-01,1,offered,VIN1,", "V7,2026-03-08,awning,sound"),
		"second": bring("slip-000b", 2, "V7,A,H,overcab,2018-05-01,2,offered,VIN2,", "V7,2026-03-08,water-pump,worn"),
		"mark":   bring("slip-000c", 3, "V1,A,H,overcab,2018-05-01,3,offered,,ZZ01 ZZZ", "V1,2026-03-08,awning,sound"),
		"plate":  map[string]string{"slip.csv": slipRow("slip-000d", 4), "vans.csv": "stock_id,reg\nV1,ED01 TOR\n"},
	}))
	if v, _ := y.Van("V7"); v.Mileage != 1 || len(y.Readings["V7"]) != 1 || len(y.Readings["V1"]) != 0 {
		t.Errorf("V7 %+v with %v", v, y.Readings)
	}
	if v, _ := y.Van("V1"); v.Reg != "ED01 TOR" {
		t.Errorf("a new plate for a known van was not taken: %q", v.Reg)
	}
	var got []string
	for _, r := range y.Rejects {
		got = append(got, fmt.Sprintf("%s:%d %s", r.File, r.Line, r.Rule))
		if !strings.Contains(r.Expected, "slip-000") || !strings.Contains(r.Expected, "all of the slip is refused") {
			t.Error(r.Expected)
		}
	}
	want := []string{"slips/second/vans.csv:2 slip.refused", "slips/mark/vans.csv:2 slip.refused",
		"slips/second/readings.csv:2 slip.refused", "slips/mark/readings.csv:2 slip.refused"}
	if diff := cmp.Diff(got, want); diff != "" {
		t.Errorf("got (-), want (+):\n%s", diff)
	}
}

// What is no slip, or would harm, is one reject each, and all else is read.
func TestSlipsThatCannotBeRead(t *testing.T) {
	row := slipRow("slip-000a", 1)
	many := []string{"slip.csv", row}
	for i := range 10_000 {
		many = append(many, fmt.Sprintf("photos/%d.jpg", i), "")
	}
	link := func() []byte {
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		h := &zip.FileHeader{Name: "vans.csv"}
		h.SetMode(fs.ModeSymlink | 0o777)
		to, err := w.CreateHeader(h)
		if err == nil {
			_, err = io.WriteString(to, "/etc/passwd")
		}
		if err != nil || w.Close() != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	good := zipOf(t, "slip.csv", row)
	for _, tc := range []struct {
		name string
		slip any
		want string
	}{
		{"no slip.csv", zipOf(t, "vans.csv", vansHeader+"\n"), "a slip: it has no slip.csv"},
		{"a short id", zipOf(t, "slip.csv", slipRow("abc", 1)), `"abc": expected 8 to 64 letters, digits and hyphens`},
		{"a time without its offset", zipOf(t, "slip.csv", "slip,made\nslip-000a,2026-03-08T09:00:00\n"), "expected a time with its offset"},
		{"two rows", zipOf(t, "slip.csv", row+"slip-000b,2026-03-08T09:00:00Z,\n"), "has 2 rows; expected one"},
		{"half a zip", good[:len(good)/2], "it is cut short or damaged"},
		{"a text", []byte("hello"), "it is cut short or damaged"},
		{"10,000 files", zipOf(t, many...), "it has more than 1000 files"},
		{"a name that climbs", zipOf(t, "slip.csv", row, "../vans.csv", ""), `leads out of it, "../vans.csv"`},
		{"an absolute name", zipOf(t, "slip.csv", row, "/etc/vans.csv", ""), `leads out of it, "/etc/vans.csv"`},
		{"a Windows name", zipOf(t, "slip.csv", row, `C:\vans.csv`, ""), "leads out of it"},
		{"a name that climbs in Windows", zipOf(t, "slip.csv", row, `photos\..\..\x`, ""), "leads out of it"},
		{"a link", link(), "its vans.csv is a link"},
		{"a table twice", zipOf(t, "slip.csv", row, "vans.csv", "", "VANS.csv", ""), "it has VANS.csv twice"},
		{"a bomb", zipOf(t, "slip.csv", row, "readings.csv", strings.Repeat("0", 60<<20)), "have more than 8 MiB"},
		{"a picture too large", zipOf(t, "slip.csv", row, "photos/1.jpg", strings.Repeat("0", 20<<20)), "has more than 16 MiB"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			yard := withSlips(yardOf("vans.csv", vansHeader+"\nV1,A,H,overcab,2018-05-01,42000,owned\n"), map[string]any{
				"bad.zip": tc.slip, "good": map[string]string{"slip.csv": slipRow("slip-000g", 9), "costs.csv": "stock_id,on,kind,cost\nV1,2026-03-08,transport,80\n"},
			})
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			y := mustLoad(t, yard)
			runtime.ReadMemStats(&after)
			if len(y.Rejects) != 1 || !strings.Contains(y.Rejects[0].String(), tc.want) || !strings.HasPrefix(y.Rejects[0].String(), "slips/bad") {
				t.Errorf("got %v; want one of slips/bad with %q", y.Rejects, tc.want)
			}
			if total(y.Costs) != 1 {
				t.Error("the good slip was not read")
			}
			if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 128 {
				t.Errorf("took %d MiB", took)
			}
		})
	}
}

// A table of a slip that lacks a column is one reject; its other tables count.
func TestATableOfASlipThatCannotBeRead(t *testing.T) {
	y := mustLoad(t, withSlips(yardOf("vans.csv", vansHeader+"\nV1,A,H,overcab,2018-05-01,42000,owned\n"), map[string]any{"x": map[string]string{
		"slip.csv": slipRow("slip-000a", 1), "readings.csv": "stock_id,value\nV1,3\nV1,4\n", "notes.csv": "a\n", "labour.csv": "job\n",
		"costs.csv": "stock_id,on,kind,cost\nV1,2026-03-08,transport,80\n",
	}}))
	var got []string
	for _, r := range y.Rejects {
		got = append(got, r.String())
	}
	want := []string{
		`slips/x/readings.csv:1: expected a table; this file lacks the required columns "taken_on", "checkpoint"`,
		"slips/x/labour.csv:1: expected a table of the yard, or a picture in photos; this file is not read",
		"slips/x/notes.csv:1: expected a table of the yard, or a picture in photos; this file is not read",
	}
	if diff := cmp.Diff(got, want); diff != "" || total(y.Costs) != 1 {
		t.Errorf("%d costs; got (-), want (+):\n%s", total(y.Costs), diff)
	}
}

// A first month from an empty folder: the slips bring the vans.
func TestAYardOfSlipsAlone(t *testing.T) {
	y := mustLoad(t, withSlips(fstest.MapFS{}, map[string]any{"x": map[string]string{
		"slip.csv": slipRow("slip-000a", 1), "vans.csv": vansHeader + "\nV1,A,H,overcab,2018-05-01,42000,offered\n",
	}}))
	if len(y.Vans) != 1 || len(y.Rejects) != 0 {
		t.Errorf("vans %v, rejects %v", y.Vans, y.Rejects)
	}
}

// A slip that was put beside the tables in place of the folder is said.
func TestASlipInTheWrongPlaceIsSaid(t *testing.T) {
	yard := yardOf("vans.csv", vansHeader+"\n")
	yard["A1.zip"] = &fstest.MapFile{Data: zipOf(t, "slip.csv", slipRow("slip-000a", 1))}
	if y := mustLoad(t, yard); len(y.Rejects) != 1 || y.Rejects[0].File != "A1.zip" {
		t.Errorf("rejects %v", y.Rejects)
	}
}

// anywhere compares yards but for file and line.
var anywhere = cmp.Options{
	cmpopts.IgnoreTypes(Source{}), cmpopts.IgnoreUnexported(Yard{}, Photo{}), cmpopts.IgnoreFields(Yard{}, "Books", "Inputs", "Warnings", "Rejects", "Slips"),
	cmpopts.EquateEmpty(),
}

// Rows say the same wherever they stand: in tables or in slips, and in whatever
// order.
func TestRowsMayStandAnywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("a long property")
	}
	rapid.Check(t, func(t *rapid.T) {
		header := map[string]string{
			"vans.csv":      vansHeader + ",asking,site,sold_on,sold_price",
			"readings.csv":  "stock_id,taken_on,checkpoint,position,value,verdict,note",
			"documents.csv": "stock_id,kind,dated,held,note",
			"progress.csv":  "stock_id,job,state,hours_spent,on",
			"orders.csv":    "part,stock_id,quantity,ordered_on",
			"costs.csv":     "stock_id,on,kind,cost,note",
			"sales.csv":     "sale_id,maker,model,body,first_registered,mileage,sold_on,sold_price",
			"absence.csv":   "technician,from,to",
		}
		rows := map[string][]string{}
		add := func(table, format string, args ...any) {
			rows[table] = append(rows[table], fmt.Sprintf(format, args...))
		}
		day := func() string {
			return fmt.Sprintf("2026-0%d-%02d", rapid.IntRange(1, 2).Draw(t, "month"), rapid.IntRange(1, 28).Draw(t, "day"))
		}
		points := map[string]bool{}
		for i := range rapid.IntRange(1, 6).Draw(t, "vans") {
			if rapid.Bool().Draw(t, "sold") {
				add("vans.csv", "V%d,A,H,overcab,2018-05-01,%d,sold,,North,%s,%d", i, 1000*i, day(), 20000+i)
			} else {
				add("vans.csv", "V%d,A,H,overcab,2018-05-01,%d,owned,%d,,,", i, 1000*i, 20000+i)
			}
			for range rapid.IntRange(0, 6).Draw(t, "readings") {
				on, point := day(), rapid.SampledFrom([]string{"damp,offside-rear-low,18,,", "damp,roof-front-mid,12,,a note", "awning,,,worn,", "tyre-tread,spare,29,,"}).Draw(t, "point")
				checkpoint, _, _ := strings.Cut(point, ",,")
				if key := fmt.Sprint(i, on, checkpoint); !points[key] {
					points[key] = true
					add("readings.csv", "V%d,%s,%s", i, on, point)
				}
			}
			for range rapid.IntRange(0, 3).Draw(t, "papers") {
				add("documents.csv", "V%d,%s,%s,yes,", i, rapid.SampledFrom([]string{"mot", "invoice"}).Draw(t, "kind"), day())
			}
			for k := range rapid.IntRange(0, 3).Draw(t, "progress") {
				add("progress.csv", "V%d,valet,%s,%d,2026-02-%02d", i, rapid.SampledFrom([]string{"open", "started", "done"}).Draw(t, "state"), k, k+1)
			}
			for k := range rapid.IntRange(0, 2).Draw(t, "orders") {
				add("orders.csv", "gas-hose-hp,V%d,%d,2026-02-%02d", i, k+1, k+1)
			}
			for range rapid.IntRange(0, 2).Draw(t, "costs") {
				add("costs.csv", "V%d,%s,parts,%d,", i, day(), rapid.IntRange(1, 3).Draw(t, "cost"))
			}
			add("sales.csv", "S%d,A,H,overcab,2016-05-01,%d,2025-05-01,%d", i, i, 20000+i)
		}
		add("absence.csv", ",%s,", day())

		tables, scattered := fstest.MapFS{}, fstest.MapFS{}
		slips := make([]map[string]string, rapid.IntRange(1, 4).Draw(t, "slips"))
		for i := range slips {
			slips[i] = map[string]string{"slip.csv": slipRow(fmt.Sprintf("slip-%04d", i), i)}
		}
		for _, table := range slices.Sorted(maps.Keys(header)) {
			inOrder := header[table] + "\n" + strings.Join(rows[table], "\n") + "\n"
			tables[table] = &fstest.MapFile{Data: []byte(inOrder)}
			own := header[table] + "\n"
			for _, row := range rapid.Permutation(rows[table]).Draw(t, table) {
				if i := rapid.IntRange(-1, len(slips)-1).Draw(t, "place"); i < 0 {
					own += row + "\n"
				} else {
					if slips[i][table] == "" {
						slips[i][table] = header[table] + "\n"
					}
					slips[i][table] += row + "\n"
				}
			}
			scattered[table] = &fstest.MapFile{Data: []byte(own)}
		}
		for i, files := range slips {
			scattered = withSlips(scattered, map[string]any{fmt.Sprintf("s%d", i): files})
		}
		load := func(fsys fs.FS) *Yard {
			y, err := Load(context.Background(), fsys, LoadOptions{AsOf: asOf})
			if err != nil {
				t.Fatal(err)
			}
			return y
		}
		want, got := load(tables), load(scattered)
		if diff := cmp.Diff(got, want, anywhere); diff != "" {
			t.Fatalf("in slips (-), in tables (+):\n%s", diff)
		}
		said := func(y *Yard) (out []string) {
			for _, r := range y.Rejects {
				out = append(out, r.Row+" "+r.Rule)
			}
			slices.Sort(out)
			return out
		}
		if diff := cmp.Diff(said(got), said(want)); diff != "" {
			t.Fatalf("rejects in slips (-), in tables (+):\n%s", diff)
		}
		folded, err := Fold(context.Background(), scattered, LoadOptions{AsOf: asOf})
		if err != nil && !strings.Contains(err.Error(), "did you mean 2.9?") {
			t.Fatal(err)
		}
		if err == nil {
			if diff := cmp.Diff(load(foldedYard(scattered, folded)), want, anywhere); diff != "" {
				t.Fatalf("folded (-), in tables (+):\n%s", diff)
			}
		}
	})
}

// foldedYard is a yard as it is once its slips are folded in.
func foldedYard(yard fstest.MapFS, f *Folded) fstest.MapFS {
	out := maps.Clone(yard)
	for _, s := range f.Slips {
		maps.DeleteFunc(out, func(name string, _ *fstest.MapFile) bool {
			return name == s.File || strings.HasPrefix(name, s.File+"/")
		})
	}
	for name, table := range f.Tables {
		out[name] = &fstest.MapFile{Data: table}
	}
	for name := range f.Photos {
		out[name] = &fstest.MapFile{Data: []byte(picture)}
	}
	return out
}

func TestFoldedSlipsSayTheSame(t *testing.T) {
	yard := news(t)
	if _, err := Fold(t.Context(), yard, LoadOptions{AsOf: asOf}); err == nil || !strings.HasPrefix(err.Error(), "mend or take away first: slips/b/photos.csv:3") {
		t.Errorf("a slip with a reject: %v", err)
	}
	b := yard["slips/b.zip"]
	yard["slips/b.zip"] = &fstest.MapFile{Data: rewrite(t, b.Data, func(name string, part []byte) []byte { return bytes.Replace(part, []byte("V1,,,2.jpg,,,\n"), nil, 1) })}
	yard["slips/b (1).zip"] = yard["slips/b.zip"]
	yard["vans.csv"] = &fstest.MapFile{Data: []byte(strings.ReplaceAll(strings.Replace(string(yard["vans.csv"].Data), ",site", ",site,Our own", 1), "North", "North,\"kept; as it is\""))}
	yard["vans.csv"].Data = bytes.Replace(yard["vans.csv"].Data, []byte("owned,,,\n"), []byte("owned,,,,x\n"), 1)
	want := mustLoad(t, yard)
	folded, err := Fold(t.Context(), yard, LoadOptions{AsOf: asOf})
	if err != nil {
		t.Fatal(err)
	}
	after := foldedYard(yard, folded)
	got := mustLoad(t, after)
	ignore := cmp.Options{anywhere, cmpopts.IgnoreFields(Photo{}, "File")}
	if diff := cmp.Diff(got, want, ignore); diff != "" {
		t.Errorf("folded (-), before (+):\n%s", diff)
	}
	if len(got.Rejects) != 0 || len(got.Slips) != 0 || got.Photos[0].File != "photos/slip-000b-1.jpg" {
		t.Errorf("rejects %v, slips %v, photos %v", got.Rejects, got.Slips, got.Photos)
	}
	wantVans := vansHeader + ",reg,asking,site,Our own,listed\nV1,A,H,overcab,2018-05-01,42000,ready,AB01 CDE,29500,,kept; as it is,2026-03-08\n" +
		"V2,A,H,overcab,2018-05-01,1,owned,,,,x,\nV3,B,K,panel-van,2020-01-01,9000,offered,,,,,\n"
	if diff := cmp.Diff(string(folded.Tables["vans.csv"]), wantVans); diff != "" {
		t.Errorf("vans.csv: got (-), want (+):\n%s", diff)
	}
}

// FuzzSlip reads any bytes as a zip, and as the tables of a slip: no panic, each
// row accounted for, and what the yard itself has is read all the same.
func FuzzSlip(f *testing.F) {
	good := zipOf(f, "slip.csv", slipRow("slip-000a", 1), "vans.csv", vansHeader+"\nV1,A,H,overcab,2018-05-01,42000,owned\n")
	f.Add(good, []byte(slipRow("slip-000b", 2)), []byte("stock_id,asking\nV1,-\n"), []byte("stock_id,taken_on,checkpoint,verdict\nV1,2026-03-01,awning,sound\n"))
	f.Add(good[:len(good)-9], []byte("slip,made\nslip-000b,2026-03-08T09:00:00+14:00\n"), []byte("stock_id,vin\nV1,X\nv1,Y\n"), []byte("x"))
	f.Fuzz(func(t *testing.T, archive, slip, vans, readings []byte) {
		yard := withSlips(smallBooks(), map[string]any{"a.zip": archive, "b": map[string]string{"slip.csv": string(slip), "vans.csv": string(vans), "readings.csv": string(readings)}})
		yard["vans.csv"] = &fstest.MapFile{Data: []byte(vansHeader + ",vin\nV1,A,H,overcab,2018-05-01,42000,owned,X\n")}
		y, err := Load(context.Background(), yard, LoadOptions{AsOf: asOf})
		if err != nil {
			t.Fatal(err) // rows that do not add up among others
		}
		if _, ok := y.Van("V1"); !ok {
			t.Fatal("V1 is gone")
		}
	})
}
