package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/core/metrics"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/options/jobopts"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/x/beamx"
)

// costed is a yard that can be costed, with the cell that is to stand before its rows.
type costed struct{ name, cell string }

// goodYards are those of madeUpGroup and addDemo that can be costed, in order.
var goodYards = []costed{
	{"=north, by the sea", `"'=north, by the sea"`},
	{"saltmere", "saltmere"},
	{"thornholt", "thornholt"},
}

// TestTheGroupsRowsAreThoseOfRun costs a group as a pipeline and each yard by
// the program vanwright, on a second day, so that schedules keep to what people
// were told and changes are told. Every report of run must be there, byte for
// byte.
func TestTheGroupsRowsAreThoseOfRun(t *testing.T) {
	yards := madeUpGroup(t)
	addDemo(t, yards)
	reports := filepath.Join(t.TempDir(), "reports")
	runYards(t, yards, reports, "2026-03-06")

	out := filepath.Join(t.TempDir(), "out")
	costGroup(t, options{Yards: yards, Reports: reports, Out: out, AsOf: "2026-03-09", Shards: 1})
	said := runYards(t, yards, reports, "2026-03-09")

	for _, d := range differences(t, out, reports, goodYards) {
		t.Error(d)
	}
	for _, name := range []string{"changes.csv", "schedule.csv", "bids.csv", "rejects.csv"} {
		if len(rows(t, filepath.Join(out, name))) < 2 {
			t.Errorf("%s has no rows: the comparison says nothing of it", name)
		}
	}
	margin := rows(t, filepath.Join(out, "margin.csv"))
	if !slices.ContainsFunc(margin, func(row []string) bool { return slices.Contains(row, "thornholt") && slices.Contains(row, newsVan) }) {
		t.Error("the van that a slip tells of is not in margin.csv")
	}
	t.Run("failed yards fail with the words of run", func(t *testing.T) {
		failed := rows(t, filepath.Join(out, "failed-yards.csv"))[1:]
		if len(failed) != len(said) || len(failed) != 5 {
			t.Errorf("%d failed in the group, %d by run, want 5", len(failed), len(said))
		}
		for _, row := range failed {
			if row[1] != said[row[0]] {
				t.Errorf("%s failed with\n%s\nwant\n%s", row[0], row[1], said[row[0]])
			}
		}
	})
	t.Run("totals are the sums of margin.csv", func(t *testing.T) { totalsAreSums(t, out, reports) })
	t.Run("a changed report is noticed", func(t *testing.T) { changesAreNoticed(t, out, reports) })
}

// changesAreNoticed makes sure that the comparison can fail.
func changesAreNoticed(t *testing.T, out, reports string) {
	file := filepath.Join(out, "margin.csv")
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	lines := bytes.SplitAfter(whole, []byte("\n"))
	digit := bytes.Clone(whole)
	digit[len(digit)/2]++
	for name, text := range map[string][]byte{
		"a byte":           digit,
		"a row lost":       bytes.Join(slices.Delete(slices.Clone(lines), 3, 4), nil),
		"a row twice":      bytes.Join(slices.Insert(slices.Clone(lines), 3, lines[3]), nil),
		"rows out of turn": bytes.Join(slices.Insert(slices.Delete(slices.Clone(lines), 2, 3), 5, lines[2]), nil),
		"no line end":      bytes.TrimSuffix(whole, []byte("\n")),
	} {
		if err := os.WriteFile(file, text, 0o644); err != nil {
			t.Fatal(err)
		}
		if d := differences(t, out, reports, goodYards); len(d) != 1 || !strings.Contains(d[0], "margin.csv") {
			t.Errorf("%s: %q", name, d)
		}
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if d := differences(t, out, reports, goodYards); len(d) != 1 {
		t.Errorf("a report missing: %q", d)
	}
	if err := os.WriteFile(file, whole, 0o644); err != nil {
		t.Fatal(err)
	}
	if d := differences(t, out, reports, goodYards); len(d) != 0 {
		t.Errorf("put back: %q", d)
	}
}

// TestAChangedYardChangesItsRowsAlone costs two yards, changes what one van
// cost, and costs them again.
func TestAChangedYardChangesItsRowsAlone(t *testing.T) {
	yards := madeUpGroup(t)
	list := filepath.Join(t.TempDir(), "list")
	writeFile(t, list, "# two of the group\n\n"+filepath.Join(yards, goodYards[0].name)+"\n"+filepath.Join(yards, "thornholt")+"\n")
	cost := func() map[string][][]string {
		out := filepath.Join(t.TempDir(), "out")
		costGroup(t, options{List: list, Out: out, AsOf: "2026-03-09", Shards: 1})
		byYard := map[string][][]string{}
		for _, row := range rows(t, filepath.Join(out, "margin.csv"))[1:] {
			byYard[filepath.Base(row[0])] = append(byYard[filepath.Base(row[0])], row)
		}
		return byYard
	}
	before := cost()
	vans := filepath.Join(yards, "thornholt", "vans.csv")
	table := rows(t, vans)
	at := slices.Index(table[0], "cost")
	van := slices.IndexFunc(table, func(row []string) bool { return len(row) > at && row[at] != "" && row[at] != "cost" })
	table[van][at] = "12345"
	var text bytes.Buffer
	if err := csv.NewWriter(&text).WriteAll(table); err != nil {
		t.Fatal(err)
	}
	writeFile(t, vans, text.String())
	after := cost()
	same := func(yard string) bool {
		return slices.EqualFunc(before[yard], after[yard], slices.Equal[[]string])
	}
	if len(before) != 2 || !same("'"+goodYards[0].name) && !same(goodYards[0].name) || same("thornholt") {
		t.Errorf("of %d yards, the changed one is the same: %t", len(before), same("thornholt"))
	}
}

// TestCountersCount asks the runner for what the workers counted.
func TestCountersCount(t *testing.T) {
	o := options{Yards: madeUpGroup(t), Out: filepath.Join(t.TempDir(), "out"), AsOf: "2026-03-09", Shards: 1}
	if err := o.check(t.Context()); err != nil {
		t.Fatal(err)
	}
	yards, err := findYards(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	result, err := beamx.RunWithMetrics(context.Background(), newPipeline(o, yards))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]int64{}
	counters := result.Metrics().Query(func(r metrics.SingleResult) bool { return r.Namespace() == "vanwright" }).Counters()
	for _, c := range counters {
		got[c.Name()] += c.Result()
	}
	want := map[string]int64{
		"yards_read": 2, "yards_failed": 5,
		"vans":          int64(len(rows(t, filepath.Join(o.Out, "papers.csv"))) - 1), // one for each van
		"rows_rejected": int64(len(rows(t, filepath.Join(o.Out, "rejects.csv"))) - 1),
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("counted %v, want %v", got, want)
	}
}

// TestWorkersInOtherProcesses costs a group in a process that never saw the
// command line, as workers of a cluster do.
func TestWorkersInOtherProcesses(t *testing.T) {
	yards, here, there := madeUpGroup(t), filepath.Join(t.TempDir(), "out"), filepath.Join(t.TempDir(), "out")
	config := filepath.Join(t.TempDir(), "policy.yaml")
	writeFile(t, config, "plan_schedules: 10\nvat_rate: 0.175\n")
	costGroup(t, options{Yards: yards, Config: config, Out: here, AsOf: "2026-03-09", Shards: 1})

	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	command, err := json.Marshal(map[string]string{"command": exe})
	if err != nil {
		t.Fatal(err)
	}
	kind, what, binary := *jobopts.EnvironmentType, *jobopts.EnvironmentConfig, *jobopts.WorkerBinary
	defer func() {
		*jobopts.EnvironmentType, *jobopts.EnvironmentConfig, *jobopts.WorkerBinary = kind, what, binary
	}()
	*jobopts.EnvironmentType, *jobopts.EnvironmentConfig, *jobopts.WorkerBinary = "PROCESS", string(command), exe
	costGroup(t, options{Yards: yards, Config: config, Out: there, AsOf: "2026-03-09", Shards: 1})

	files, err := filepath.Glob(filepath.Join(here, "*"))
	if err != nil || len(files) < 24 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, file := range files {
		want, errWant := os.ReadFile(file)
		got, errGot := os.ReadFile(filepath.Join(there, filepath.Base(file)))
		if err := errors.Join(errWant, errGot); err != nil {
			t.Error(err)
		} else if d := firstDifference(got, want); d != "" {
			t.Errorf("%s: %s", filepath.Base(file), d)
		}
	}
	if text, err := os.ReadFile(filepath.Join(here, "settings.csv")); err != nil || !strings.Contains(string(text), "thornholt,vat_rate,0.175\n") {
		t.Errorf("--config is not in force: %v\n%s", err, text)
	}
}

// TestShardsPutTogetherAreTheWhole costs a group in two parts and in one.
func TestShardsPutTogetherAreTheWhole(t *testing.T) {
	yards, parts, whole := madeUpGroup(t), filepath.Join(t.TempDir(), "out"), filepath.Join(t.TempDir(), "out")
	costGroup(t, options{Yards: yards, Out: parts, AsOf: "2026-03-09", Shards: 2})
	costGroup(t, options{Yards: yards, Out: whole, AsOf: "2026-03-09", Shards: 1})
	seconds, err := filepath.Glob(filepath.Join(parts, "*-00001-of-00002.csv"))
	if err != nil || len(seconds) < 18 {
		t.Fatalf("%d second parts, %v", len(seconds), err)
	}
	for _, second := range seconds {
		name := strings.TrimSuffix(filepath.Base(second), "-00001-of-00002.csv")
		first := rawRecords(t, filepath.Join(parts, name+"-00000-of-00002.csv"))
		got := strings.Join(append(first, rawRecords(t, second)[1:]...), "")
		want, err := os.ReadFile(filepath.Join(whole, name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		if d := firstDifference([]byte(got), want); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

// differences compares the group's reports with those of the yards, and names
// the first line of each file that differs.
func differences(t *testing.T, out, reports string, yards []costed) []string {
	t.Helper()
	ofRun, err := filepath.Glob(filepath.Join(reports, yards[0].name, "*.csv"))
	if err != nil || len(ofRun) < 18 {
		t.Fatalf("run wrote %d reports: %v", len(ofRun), err)
	}
	var found []string
	for _, report := range ofRun {
		name := filepath.Base(report)
		var want []byte
		for i, y := range yards {
			records := rawRecords(t, filepath.Join(reports, y.name, name))
			if i == 0 {
				want = append(want, "yard,"+records[0]...)
			}
			for _, record := range records[1:] {
				want = append(want, y.cell+","+record...)
			}
		}
		got, err := os.ReadFile(filepath.Join(out, name))
		if err != nil {
			found = append(found, err.Error())
		} else if line := firstDifference(got, want); line != "" {
			found = append(found, name+": "+line)
		}
	}
	return found
}

func firstDifference(got, want []byte) string {
	if bytes.Equal(got, want) {
		return ""
	}
	g, w := strings.SplitAfter(string(got), "\n"), strings.SplitAfter(string(want), "\n")
	for i := range max(len(g), len(w)) {
		if i >= len(g) || i >= len(w) || g[i] != w[i] {
			line := func(all []string) string { return strings.Join(all[min(i, len(all)):min(i+1, len(all))], "") }
			return fmt.Sprintf("line %d is\n%q\nwant\n%q", i+1, line(g), line(w))
		}
	}
	return "only the bytes differ"
}

// rawRecords are the bytes of each record of a file, as encoding/csv parts
// them.
func rawRecords(t *testing.T, file string) []string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord = -1
	var records []string
	for start := int64(0); ; start = r.InputOffset() {
		_, err := r.Read()
		if errors.Is(err, io.EOF) {
			return records
		}
		if err != nil {
			t.Fatal(err)
		}
		records = append(records, string(text[start:r.InputOffset()]))
	}
}

// rows reads a whole CSV file.
func rows(t *testing.T, file string) [][]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	all, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return all
}

// costGroup runs the pipeline and wants it done.
func costGroup(t *testing.T, o options) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if err := run(t.Context(), o, &stdout, &stderr); err != nil {
		t.Fatalf("%v\n%s", err, stderr.String())
	}
}

// runYards runs vanwright on each yard and returns what it said of those that
// failed.
func runYards(t *testing.T, yards, reports, asOf string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(yards)
	if err != nil {
		t.Fatal(err)
	}
	failed := map[string]string{}
	for _, e := range entries {
		var stderr bytes.Buffer
		cmd := exec.Command(vanwright, "run", "--quiet", "--yard", filepath.Join(yards, e.Name()), "--out", filepath.Join(reports, e.Name()), "--as-of", asOf)
		cmd.Stderr = &stderr
		if err := cmd.Run(); err != nil {
			failed[e.Name()] = strings.TrimSuffix(strings.TrimPrefix(stderr.String(), "vanwright: "), "\n")
		}
	}
	return failed
}
