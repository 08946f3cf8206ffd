package data

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// sameYard compares what two yards hold.
func sameYard(a, b *Yard) string {
	return cmp.Diff(a, b, cmpopts.IgnoreUnexported(Yard{}), cmpopts.IgnoreFields(Yard{}, "Books"))
}

func TestLoadErrors(t *testing.T) {
	for _, tc := range []struct {
		name string
		yard fstest.MapFS
		want string
	}{
		{"no vans.csv", fstest.MapFS{"sales.csv": {Data: []byte("x")}}, "the yard has no vans.csv, the one file that is required"},
		{"vans.csv is a folder", fstest.MapFS{"vans.csv/x": {}}, "vans.csv is a folder; expected a file"},
		{"vans.csv is empty", yardOf("vans.csv", ""), "vans.csv is empty; expected a header line with stock_id, maker, model, body, first_registered, mileage, status"},
		{"an optional file without a needed column", yardOf("readings.csv", "stock_id,taken,checkpoint\n"), `readings.csv lacks the required column "taken_on"`},
		{"a needed column misspelt", yardOf("vans.csv", "stock_id,maker,model,body,first_regstered,mileage,statsu\n"),
			`vans.csv lacks the required columns "first_registered" (did you mean it by "first_regstered"?), "status" (did you mean it by "statsu"?)`},
		{"a repeated column", yardOf("vans.csv", vansHeader+",Mileage\n"), `vans.csv has the column "mileage" 2 times`},
		{"two files at fault", yardOf("team.csv", "technician\n", "sales.csv", "sale_id,maker,model,body,first_registered,mileage,sold_on\n"),
			"sales.csv lacks the required column \"sold_price\"\nteam.csv lacks the required columns \"skills\", \"mon\", \"tue\", \"wed\", \"thu\", \"fri\""},
		{"an archive with the wrong name", yardOf("readings.csv", "PK\x05\x06\x00\x00"), "readings.csv is an empty zip archive, not a CSV file; save the sheet as CSV"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			y, err := Load(context.Background(), tc.yard, LoadOptions{})
			if err == nil || err.Error() != tc.want || y != nil {
				t.Errorf("got %v, %v; want %q", y, err, tc.want)
			}
		})
	}
}

func TestMissingFolder(t *testing.T) {
	_, err := Load(context.Background(), os.DirFS(filepath.Join(t.TempDir(), "nowhere")), LoadOptions{})
	if !errors.Is(err, ErrNoYard) || !errors.Is(err, fs.ErrNotExist) || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v; want ErrNoYard in one line", err)
	}
	_, err = Load(context.Background(), fstest.MapFS{"notes.txt": {}}, LoadOptions{})
	if !errors.Is(err, ErrNoVans) {
		t.Errorf("got %v; want ErrNoVans", err)
	}
}

func TestCancelledLoadStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Load(ctx, yardOf(), LoadOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v; want context.Canceled", err)
	}
}

func TestMissingFilesAndStraysAreSaid(t *testing.T) {
	y := mustLoad(t, yardOf("reading.csv", "x", "sales.ods", "x", "notes.txt", "x", "old/vans.csv", "x", ".hidden/vans.csv", "x", "vans.csv",
		"stock_id,maker,model,body,first_registered,mileage,status,colour,keeprs\n"))
	want := []string{
		`vans.csv: unknown columns were left out: "colour", "keeprs" (did you mean "keepers"?)`,
		"readings.csv is missing: there is no condition report of any van",
		"documents.csv is missing: no papers are known of any van",
		"sales.csv is missing: prices come from guide in vans.csv, or are left blank with a reason",
		"team.csv is missing: a default team is assumed",
		"bays.csv is missing: default bays are assumed",
		"absence.csv is missing: nobody is away, bank holidays apart",
		"progress.csv is missing: no job has been begun",
	}
	if diff := cmp.Diff(y.Warnings, want); diff != "" {
		t.Errorf("got (-), want (+):\n%s", diff)
	}
	var rejects []string
	for _, r := range y.Rejects {
		rejects = append(rejects, r.String())
	}
	want = []string{
		"old:1: expected tables in the yard itself, and slips in slips; this folder is not read",
		`reading.csv:1: expected the name of a table; this file is not read; did you mean "readings.csv"?`,
		"sales.ods:1: expected the name of a table; this file is not read",
	}
	if diff := cmp.Diff(rejects, want); diff != "" {
		t.Errorf("rejects: got (-), want (+):\n%s", diff)
	}
	if len(y.Vans) != 0 || len(y.Inputs) != 4 {
		t.Errorf("got vans %v and inputs %v; want none, and vans.csv with what is not read", y.Vans, y.Inputs)
	}
}

func TestInputsAreCountedAndDigested(t *testing.T) {
	y := mustLoad(t, yardOf("bays.csv", "bay,kind,count\nOne,ramp,1\n\nTwo,lawn,1\n,,\nThree,valet\n"))
	want := InputFile{
		Name: "bays.csv", Size: 53, Read: 3, Accepted: 1, Rejected: 2,
		// printf 'bay,kind,count\nOne,ramp,1\n\nTwo,lawn,1\n,,\nThree,valet\n' | sha256sum
		SHA256: "1182500f5eb18e73d995688113fe0960f3c5c989861afbf7a3055cdf9a0591b4",
	}
	if diff := cmp.Diff(y.Inputs[1], want); diff != "" {
		t.Errorf("got (-), want (+):\n%s", diff)
	}
}

// The kinds of error that data/README.md lists, one of each, in one yard.
func TestOneErrorOfEachKind(t *testing.T) {
	y := mustLoad(t, yardOf(
		"vans.csv", "stock_id,maker,model,body,first_registered,mileage,belts,status,cost,acquired,sold_on,sold_price\n"+
			"V1,A,H,overcab,2018-05-01,42000,4,owned,20000,2026-01-05,,\n"+ // its key stands twice
			"V2,A,H,overcab,2018-05-01,-5,4,owned,,,,\n"+ // mileage below zero
			"V3,A,H,overcab,2018-05-01,42000,4,sold,20000,2026-01-05,2026-01-04,25000\n"+ // sold before acquired
			"V4,A,H,overcab,2018-05-01,42000,4,offered,20000,,,\n"+ // a cost on an offered van
			"V5,A,H,overcab,2018-05-01,42000,21,owned,,,,\n"+ // belts above 20
			"V1,A,H,overcab,2018-05-01,42000,4,owned,,,,\n"+ // with other figures
			"V6,A,H,overcab\n"+ // ragged
			"V7,A,\"H,overcab,2018-05-01,42000,4,owned,,,,\n"+ // an open quote
			"V8,A,H,overcab,2018-05-01,42000,4,owned,,,,\n", // good
		"readings.csv", "stock_id,taken_on,checkpoint,position,value,unit,verdict\n"+
			"V9,2026-03-01,awning,,,,sound\n"+ // no such van
			"V5,2026-03-01,awning,,,,sound\n"+ // a van that was rejected
			"V8,2026-03-01,damp,offside-rear-low,20,mm,\n"+ // another unit
			"V8,2026-03-01,damp,offside-rear-low,20,percent,\n", // good
	))
	var got []string
	for _, r := range y.Rejects {
		got = append(got, fmt.Sprintf("%s:%d %s", r.File, r.Line, r.Rule))
	}
	want := []string{
		"vans.csv:2 stock_id.duplicate", "vans.csv:3 mileage.range", "vans.csv:4 sold_on.order", "vans.csv:5 cost.offered", "vans.csv:6 belts.range",
		"vans.csv:7 stock_id.duplicate", "vans.csv:8 row.columns", "vans.csv:9 row.quote",
		"readings.csv:2 stock_id.unknown", "readings.csv:3 stock_id.rejected", "readings.csv:4 unit.other",
	}
	if diff := cmp.Diff(got, want); diff != "" {
		t.Errorf("got (-), want (+):\n%s", diff)
	}
	if len(y.Vans) != 1 || len(y.Readings["V8"]) != 1 {
		t.Errorf("kept %d vans and %d readings of V8; want 1 and 1", len(y.Vans), len(y.Readings["V8"]))
	}
	for _, r := range y.Rejects {
		if r.Expected == "" || !strings.HasPrefix(r.String(), fmt.Sprintf("%s:%d: ", r.File, r.Line)) {
			t.Errorf("%q does not say where or what was expected", r)
		}
	}
}

// The same tables in every dress that data/README.md allows give the same yard.
func TestDressOfAFileDoesNotMatter(t *testing.T) {
	vans := vansHeader + ",asking,equipment,site\nV1,Aldmoor,Heron £5,overcab,2018-05-01,42000,owned,31995,hob;oven,\"Yard\nNorth\"\n"
	plain := mustLoad(t, yardOf("vans.csv", vans))
	semicolons := strings.NewReplacer(",", ";", "hob;oven", "\"hob;oven\"").Replace(vans)
	for _, tc := range []struct{ name, in string }{
		{"byte order mark", "\uFEFF" + vans},
		{"semicolons", semicolons},
		{"tabs", strings.ReplaceAll(vans, ",", "\t")},
		{"Windows-1252", strings.ReplaceAll(vans, "£", "\xA3")},
		{"UTF-16", string(utf16Bytes(vans))},
		{"header in its own spelling", strings.Replace(vans, vansHeader, "STOCK ID,Maker,MODEL,Body,First-Registered,mile_age,Status", 1)},
		{"words in their own spelling", strings.NewReplacer("overcab", "OverCab", "owned", "Owned", "hob;oven", " Hob ;OVEN;").Replace(vans)},
		{"money and numbers in their own spelling", strings.NewReplacer("31995", "\"£31,995.00\"", "42000", "\"42,000\"").Replace(vans)},
		{"dates in their own spelling", strings.Replace(vans, "2018-05-01", "1 May 2018", 1)},
		{"no line end at the end", strings.TrimSuffix(vans, "\n")},
		{"spaces round cells", strings.Replace(vans, "V1,Aldmoor", " V1 , Aldmoor ", 1)},
	} {
		t.Run(tc.name, func(t *testing.T) {
			y := mustLoad(t, yardOf("vans.csv", tc.in))
			if diff := cmp.Diff(y.Vans, plain.Vans); diff != "" || len(y.Rejects) > 0 {
				t.Errorf("got (-), want (+):\n%s%v", diff, y.Rejects)
			}
		})
	}
	t.Run("Windows line ends", func(t *testing.T) { // inside a cell too, as encoding/csv has them
		y := mustLoad(t, yardOf("vans.csv", strings.ReplaceAll(vans, "\n", "\r\n")))
		if diff := cmp.Diff(y.Vans, plain.Vans); diff != "" {
			t.Errorf("got (-), want (+):\n%s", diff)
		}
	})
}

// manyRows makes a yard of n vans with readings and papers in mixed order, some
// of them bad.
func manyRows(n int, rng *rand.Rand) fstest.MapFS {
	var readings, documents []string
	var vans strings.Builder
	vans.WriteString(vansHeader + "\n")
	for i := range n {
		fmt.Fprintf(&vans, "V%d,Aldmoor,Heron,overcab,2018-05-01,%d,owned\n", i, 1000*i)
		for day := 1; day <= 4; day++ {
			readings = append(readings,
				fmt.Sprintf("V%d,2026-03-0%d,damp,offside-rear-low,%d,percent,,\n", i, day, rng.IntN(110)),
				fmt.Sprintf("V%d,2026-03-0%d,tyre-tread,spare,%d,mm,,\"said\nV%d\"\n", i, rng.IntN(4)+1, rng.IntN(9), i))
			documents = append(documents, fmt.Sprintf("V%d,invoice,2025-01-0%d,%d\n", i, day, rng.IntN(90000)))
		}
	}
	rng.Shuffle(len(readings), func(i, j int) { readings[i], readings[j] = readings[j], readings[i] })
	return yardOf("vans.csv", vans.String(),
		"readings.csv", "stock_id,taken_on,checkpoint,position,value,unit,verdict,note\n"+strings.Join(readings, ""),
		"documents.csv", "stock_id,kind,dated,mileage\n"+strings.Join(documents, ""))
}

func TestWorkersDoNotMatter(t *testing.T) {
	yard := manyRows(50, rand.New(rand.NewPCG(1, 2)))
	want, err := Load(context.Background(), yard, LoadOptions{AsOf: asOf, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(want.Rejects) == 0 || len(want.Readings) != 50 {
		t.Fatalf("the yard has %d rejects and readings of %d vans; it should have some and 50", len(want.Rejects), len(want.Readings))
	}
	for _, workers := range []int{0, 2, 8} {
		got, err := Load(context.Background(), yard, LoadOptions{AsOf: asOf, Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		if diff := sameYard(got, want); diff != "" {
			t.Errorf("%d workers: got (-), want (+):\n%s", workers, diff)
		}
	}
}

// Reading for the vans that are not sold gives of them what reading everything
// gives.
func notSold([]Van) func(*Van) bool { return func(v *Van) bool { return v.Status != Sold } }

func TestUnsoldVansAlone(t *testing.T) {
	yard := manyRows(25, rand.New(rand.NewPCG(3, 4)))
	vans := strings.SplitAfter(string(yard["vans.csv"].Data), "\n")
	vans[0] = vansHeader + ",sold_on,sold_price\n"
	for i := range vans[1:] {
		if row, ok := strings.CutSuffix(vans[i+1], ",owned\n"); ok && i%3 == 0 {
			vans[i+1] = row + ",sold,2020-03-01,20000\n"
		} else if ok {
			vans[i+1] = row + ",owned,,\n"
		}
	}
	yard["vans.csv"] = &fstest.MapFile{Data: []byte(strings.Join(vans, ""))}
	all := mustLoad(t, yard)
	some, err := Load(context.Background(), yard, LoadOptions{AsOf: asOf, Wanted: notSold})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(some.Vans, all.Vans); diff != "" {
		t.Errorf("vans: got (-), want (+):\n%s", diff)
	}
	if diff := cmp.Diff(some.Progress, all.Progress); diff != "" {
		t.Errorf("progress: got (-), want (+):\n%s", diff)
	}
	read, left := 0, 0
	for _, v := range all.Vans {
		if v.Status == Sold {
			// Rows that go on over several lines are read all the same.
			left += len(all.Readings[v.StockID]) - len(some.Readings[v.StockID])
			if n := len(some.Documents[v.StockID]); n > 0 {
				t.Errorf("%s is sold, and has %d documents", v.StockID, n)
			}
			continue
		}
		read += len(all.Readings[v.StockID])
		if diff := cmp.Diff(some.Readings[v.StockID], all.Readings[v.StockID]); diff != "" {
			t.Errorf("readings: got (-), want (+):\n%s", diff)
		}
		if diff := cmp.Diff(some.Documents[v.StockID], all.Documents[v.StockID]); diff != "" {
			t.Errorf("documents: got (-), want (+):\n%s", diff)
		}
	}
	if read == 0 || left == 0 {
		t.Fatalf("%d readings of vans in the yard, %d of sold ones left out: the check says little", read, left)
	}
	ofUnsold := func(rs []Reject) []Reject {
		return slices.DeleteFunc(slices.Clone(rs), func(r Reject) bool {
			id, _, _ := strings.Cut(r.Row, ",")
			v, known := all.Van(id)
			return known && v.Status == Sold
		})
	}
	if diff := cmp.Diff(ofUnsold(some.Rejects), ofUnsold(all.Rejects)); diff != "" {
		t.Errorf("rejects: got (-), want (+):\n%s", diff)
	}
	for i, in := range some.Inputs {
		if in.Read != all.Inputs[i].Read {
			t.Errorf("%s: read %d with skipped rows; want %d", in.Name, in.Read, all.Inputs[i].Read)
		}
	}
}

func TestFileThatIsTooLarge(t *testing.T) {
	yard := yardOf()
	_, err := Load(context.Background(), bigFile{yard, "readings.csv"}, LoadOptions{})
	if err == nil || err.Error() != "readings.csv is larger than 1024 MiB, the most that is read" {
		t.Errorf("got %v", err)
	}
}

// bigFile is a yard with one file that says it is 2 GiB long.
type bigFile struct {
	fstest.MapFS
	name string
}

func (b bigFile) Open(name string) (fs.File, error) {
	if name != b.name {
		return b.MapFS.Open(name)
	}
	f, err := b.MapFS.Open("vans.csv")
	return bigHandle{f}, err
}

type bigHandle struct{ fs.File }

func (b bigHandle) Stat() (fs.FileInfo, error) {
	info, err := b.File.Stat()
	return bigInfo{info}, err
}

type bigInfo struct{ fs.FileInfo }

func (bigInfo) Size() int64 { return 2 << 30 }
