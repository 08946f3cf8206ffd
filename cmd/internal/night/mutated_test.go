package night_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/shopspring/decimal"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
)

var asOf = data.NewDate(2026, 3, 9)

const (
	policyFile = "policy.yaml"
	bookFile   = "yard.xlsx"
)

// files are a yard by name: tables, workbooks, settings.
type files map[string][]byte

func plainFiles() files {
	f := files{policyFile: []byte(smallPolicy)}
	for name, text := range smallTables() {
		f[name] = []byte(text)
	}
	return f
}

// read reads settings and yard as the commands do.
func (f files) read(workers int) (*data.Yard, data.Policy, map[string]string, error) {
	policy, given, err := policyfile.Read(viper.New(), nil, policyFile, f[policyFile])
	if err != nil {
		return nil, policy, nil, err
	}
	fsys := fstest.MapFS{}
	for name, content := range f {
		if name != policyFile {
			fsys[name] = &fstest.MapFile{Data: content}
		}
	}
	s := night.Settings{Policy: policy, AsOf: asOf, Workers: workers, File: policyFile, Text: f[policyFile]}
	yard, err := night.Load(context.Background(), fsys, "here", s)
	return yard, policy, given, err
}

// reports works a yard through and returns its CSV reports, without the columns that
// name file and line, and without rejects.csv. What attention.csv says of a file it
// says in the order of their names.
func reports(t testing.TB, yard *data.Yard, policy data.Policy) map[string]string {
	t.Helper()
	policy.PlanSchedules = 3
	result, err := night.Run(context.Background(), yard, policy, asOf, night.RunOptions{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	folder := nighttest.Folder{}
	if _, err := tables.Write(folder.Create, result, nil); err != nil {
		t.Fatal(err)
	}
	var places []string
	for _, in := range yard.Inputs {
		if table := data.TableOf(in.Name); table != "" {
			places = append(places, in.Name, table+".csv")
		}
	}
	out := map[string]string{}
	for name, text := range folder {
		if name == "rejects.csv" {
			continue
		}
		rows, err := csv.NewReader(text).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		lines := make([]string, len(rows))
		at := slices.IndexFunc(rows[0], func(column string) bool { return column == "source" || column == "rank" && name == "attention.csv" })
		for i, row := range rows {
			if at >= 0 {
				row = slices.Delete(row, at, at+1)
			}
			lines[i] = strings.NewReplacer(places...).Replace(strings.Join(row, "|"))
		}
		if name == "attention.csv" {
			slices.Sort(lines[1:])
		}
		out[name] = strings.Join(lines, "\n")
	}
	return out
}

// plain is the yard that nobody touched, read and worked through once.
type plain struct {
	yard    *data.Yard
	policy  data.Policy
	given   map[string]string
	reports map[string]string
	read    map[string]int // rows of each table
}

var (
	untouchedOnce sync.Once
	untouchedYard plain
)

func untouched(t testing.TB) plain {
	t.Helper()
	untouchedOnce.Do(func() {
		yard, policy, given, err := plainFiles().read(1)
		if err != nil {
			t.Fatal(err)
		}
		untouchedYard = plain{yard, policy, given, reports(t, yard, policy), map[string]int{}}
		for _, in := range yard.Inputs {
			untouchedYard.read[in.Name] = in.Read
		}
	})
	return untouchedYard
}

// anywhere compares yards but for file and line.
var anywhere = cmp.Options{
	cmpopts.IgnoreTypes(data.Source{}), cmpopts.IgnoreUnexported(data.Yard{}, data.Photo{}), cmpopts.EquateEmpty(),
	cmpopts.IgnoreFields(data.Yard{}, "Books", "Inputs", "Warnings", "Rejects", "Slips"),
	cmp.Comparer(data.Money.Equal),
}

// checkMutations dresses a yard in another way, which must not matter to it or to its
// reports, and damages it, after which every row must still be accounted for.
func checkMutations(t *testing.T, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	checkDressed(t, rng)
	switch rng.IntN(4) {
	case 0, 1:
		checkDamagedTable(t, rng)
	case 2:
		checkDamagedBook(t, rng)
	case 3:
		checkDamagedPolicy(t, rng)
	}
}

func checkDressed(t *testing.T, rng *rand.Rand) {
	want := untouched(t)
	dressed := files{policyFile: dressPolicy(rng, smallPolicy)}
	books := rng.IntN(2) == 0
	var sheets []sheet
	for _, name := range tableNames() {
		rows := rearranged(rng, cellsOf(t, smallTables()[name]))
		word := strings.TrimSuffix(name, ".csv")
		switch {
		case books && rng.IntN(3) > 0:
			sheets = append(sheets, sheet{[]string{word, strings.ToUpper(word), strings.ToUpper(word[:1]) + word[1:]}[rng.IntN(3)], rows})
		case books && rng.IntN(2) == 0:
			dressed[word+".xlsx"] = workbook(t, rng, sheet{"Sheet1", rows})
		default:
			dressed[name] = dress(rng, rows)
		}
	}
	if sheets != nil {
		dressed[bookFile] = workbook(t, rng, sheets...)
	}
	yard, policy, given, err := dressed.read(1 + rng.IntN(3))
	if err != nil {
		t.Fatalf("%v: %q", err, dressed)
	}
	if diff := cmp.Diff(given, want.given); diff != "" {
		t.Fatalf("settings dressed (-), plain (+):\n%s\n%s", diff, dressed[policyFile])
	}
	if diff := cmp.Diff(yard, want.yard, anywhere); diff != "" || len(yard.Rejects) != len(want.yard.Rejects) {
		t.Fatalf("%d and %d rejects; dressed (-), plain (+):\n%s\n%q", len(yard.Rejects), len(want.yard.Rejects), diff, dressed)
	}
	for _, in := range yard.Inputs {
		if table := data.TableOf(in.Name); table != "" && in.Read != want.read[table+".csv"] {
			t.Fatalf("%s: %d rows read, want %d: %q", in.Name, in.Read, want.read[table+".csv"], dressed)
		}
	}
	if rng.IntN(8) == 0 {
		if diff := cmp.Diff(reports(t, yard, policy), want.reports); diff != "" {
			t.Fatalf("reports of dressed (-), of plain (+):\n%s\n%q", diff, dressed)
		}
	}
}

func checkDamagedTable(t *testing.T, rng *rand.Rand) {
	damaged, want := plainFiles(), untouched(t)
	names := tableNames()
	hurt := names[rng.IntN(len(names))]
	damaged[hurt] = damage(rng, damaged[hurt])
	yard, _, _, err := damaged.read(1 + rng.IntN(3))
	if err != nil {
		if strings.Contains(err.Error(), "do not add up") || !strings.HasPrefix(err.Error(), "read the yard here: "+hurt) {
			t.Fatalf("%v: %q", err, damaged[hurt])
		}
		return
	}
	for _, in := range yard.Inputs {
		if in.Name != hurt && in.Name != policyFile && in.Read != want.read[in.Name] {
			t.Fatalf("%s has %d rows where %s is damaged: %q", in.Name, in.Read, hurt, damaged[hurt])
		}
	}
	checkAgainstAnotherReader(t, yard, hurt, damaged[hurt])
}

// checkAgainstAnotherReader holds what was read of a table against what encoding/csv
// makes of it by itself, where that takes each line for a row.
func checkAgainstAnotherReader(t *testing.T, yard *data.Yard, name string, text []byte) {
	t.Helper()
	if !utf8.Valid(text) || bytes.ContainsFunc(text, func(r rune) bool {
		return r < ' ' && r != '\n' && r != '\t' || r == 0x7F || r == 0x85 || r == 0x2028 || r == 0x2029
	}) {
		return // another reader takes other line ends
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord = -1
	var header []string
	byLine := map[int]map[string]string{}
	for {
		row, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil || strings.Contains(strings.Join(row, ""), "\n") {
			return
		}
		if strings.TrimSpace(strings.Join(row, "")) == "" {
			continue
		}
		if header == nil {
			header = row
			continue
		}
		line, _ := r.FieldPos(0)
		byLine[line] = map[string]string{}
		for i, cell := range row {
			if i < len(header) {
				byLine[line][header[i]] = strings.TrimSpace(cell)
			}
		}
	}
	for _, in := range yard.Inputs {
		if in.Name == name && in.Read != len(byLine) {
			t.Fatalf("%s: read %d rows; another reader finds %d: %q", name, in.Read, len(byLine), text)
		}
	}
	same := func(at data.Source, column, got string) {
		t.Helper()
		if want, ok := byLine[at.Line][column]; at.File == name && (byLine[at.Line] == nil || ok && !strings.EqualFold(want, got)) {
			t.Fatalf("%s: line %d: %s is %q, to another reader %q: %q", name, at.Line, column, got, want, text)
		}
	}
	for _, v := range yard.Vans {
		same(v.Source, "stock_id", v.StockID)
		same(v.Source, "model", v.Model)
		same(v.Source, "maker", v.Maker)
	}
	for _, s := range yard.Sales {
		same(s.Source, "sale_id", s.SaleID)
		same(s.Source, "model", s.Model)
	}
	for _, readings := range yard.Readings {
		for _, r := range readings {
			same(r.Source, "stock_id", r.StockID)
			same(r.Source, "note", r.Note)
		}
	}
}

func checkDamagedBook(t *testing.T, rng *rand.Rand) {
	want := untouched(t)
	var sheets []sheet
	for _, name := range tableNames() {
		sheets = append(sheets, sheet{strings.TrimSuffix(name, ".csv"), cellsOf(t, smallTables()[name])})
	}
	whole := workbook(t, rng, sheets...)
	damaged := files{policyFile: []byte(smallPolicy)}
	inBytes := rng.IntN(2) == 0
	if inBytes { // of the archive as it lies on the disk
		damaged[bookFile] = damage(rng, whole)
	} else { // of a sheet that is packed well
		hurt := fmt.Sprintf("xl/worksheets/sheet%d.xml", 1+rng.IntN(len(sheets)))
		damaged[bookFile] = rezip(t, whole, func(name string, part []byte) []byte {
			if name == hurt {
				return damageSheet(rng, part)
			}
			return part
		})
	}
	yard, _, _, err := damaged.read(1 + rng.IntN(3))
	if err != nil {
		if strings.Contains(err.Error(), "do not add up") || !strings.Contains(err.Error(), bookFile) {
			t.Fatalf("%v: %q", err, damaged[bookFile])
		}
		return
	}
	if inBytes {
		// Nothing was hurt that counts, or it is said.
		diff := cmp.Diff(yard, want.yard, anywhere)
		if diff != "" && len(yard.Rejects) <= len(want.yard.Rejects) && len(yard.Warnings) <= len(want.yard.Warnings) {
			t.Fatalf("read without a word as something else: damaged (-), plain (+):\n%s\n%q", diff, damaged[bookFile])
		}
		return
	}
	parts := maps.Collect(partsOf(t, damaged[bookFile]))
	for i, s := range sheets {
		n, sure, err := countRows(parts[fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)], parts["xl/sharedStrings.xml"])
		for _, in := range yard.Inputs {
			if in.Name != bookFile+"/"+s.name {
				continue
			}
			if err != nil {
				t.Fatalf("%s was read, and another reader finds it broken: %v: %q", in.Name, err, parts[fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)])
			}
			if sure && in.Read != n {
				t.Fatalf("%s: read %d rows; another reader finds %d: %s", in.Name, in.Read, n, parts[fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)])
			}
		}
	}
}

// plainSetting is a line that any reader of settings understands alike.
var plainSetting = regexp.MustCompile(`^([a-z_]+): ([0-9]+(?:\.[0-9]+)?)$`)

func checkDamagedPolicy(t *testing.T, rng *rand.Rand) {
	damaged := plainFiles()
	damaged[policyFile] = damage(rng, damaged[policyFile])
	text := string(damaged[policyFile])
	yard, policy, given, err := damaged.read(1)
	if err != nil {
		if !strings.Contains(err.Error(), policyFile) && !strings.HasPrefix(err.Error(), "setting ") && !strings.HasPrefix(err.Error(), "policy: ") {
			t.Fatalf("%v: %q", err, text)
		}
		return
	}
	if err := policy.Validate(); err != nil {
		t.Fatalf("in force, and not valid: %v: %q", err, text)
	}
	if strings.ContainsAny(text, "\"'|>{&*#\r\t") {
		text = "" // a line may be part of another
	}
	for line := range strings.Lines(text) {
		m := plainSetting.FindStringSubmatch(strings.TrimSuffix(line, "\n"))
		if m == nil || strings.HasPrefix(m[2], "0") && len(m[2]) > 1 && m[2][1] != '.' {
			continue
		}
		if got, err := decimal.NewFromString(given[m[1]]); err != nil || !got.Equal(decimal.RequireFromString(m[2])) {
			t.Fatalf("%s is %s in force: %q", m[1], given[m[1]], text)
		}
	}
	for _, in := range yard.Inputs {
		if in.Name != policyFile && in.Read != untouched(t).read[in.Name] {
			t.Fatalf("%s has %d rows where the settings are damaged: %q", in.Name, in.Read, text)
		}
	}
	if rng.IntN(4) == 0 {
		checkMargin(t, reports(t, yard, policy)["margin.csv"])
	}
}

// checkMargin holds every row of margin.csv to what its columns are said to add up to.
func checkMargin(t *testing.T, report string) {
	t.Helper()
	rows := strings.Split(strings.TrimSpace(report), "\n")
	header := strings.Split(rows[0], "|")
	for _, row := range rows[1:] {
		cells := strings.Split(row, "|")
		amount := func(column string) decimal.Decimal {
			d, _ := decimal.NewFromString(cells[slices.Index(header, column)])
			return d
		}
		if cells[slices.Index(header, "profit")] == "" {
			continue
		}
		left := amount("price")
		for _, column := range []string{"vat", "cost", "prep", "warranty", "holding", "selling"} {
			left = left.Sub(amount(column))
		}
		if !left.Equal(amount("profit")) {
			t.Fatalf("profit is not what is left: %s\n%s", rows[0], row)
		}
	}
}

// TestMutatedYards breaks the yards of seeds from 0. VANWRIGHT_TEST_SEEDS=1000-3999 names
// others: unlike the fuzzer it gives up none that takes longer than ten seconds.
func TestMutatedYards(t *testing.T) {
	from, to := uint64(0), uint64(299)
	if testing.Short() {
		to = 29
	}
	if text := os.Getenv("VANWRIGHT_TEST_SEEDS"); text != "" {
		if _, err := fmt.Sscanf(text, "%d-%d", &from, &to); err != nil {
			t.Fatal(err)
		}
	}
	for seed := from; seed <= to; seed++ {
		checkMutations(t, seed)
	}
}

// FuzzMutatedYard is for long runs:
//
//	go test ./cmd/internal/night -run '^$' -fuzz FuzzMutatedYard -fuzztime 1h -fuzzminimizetime 10x
func FuzzMutatedYard(f *testing.F) {
	f.Add(uint64(1))
	f.Fuzz(func(t *testing.T, seed uint64) { checkMutations(t, seed) })
}
