package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
)

// goldenDir holds what the demo gives: its summary, a bid, a deal, what changed
// the morning after, and every table. A change that moves a figure shows here,
//
//	go test ./cmd/vanwright -run Golden -update
//
// writes them and the README's blocks anew, and their diff is to be read.
const goldenDir = "testdata/golden"

func TestGoldenDemo(t *testing.T) {
	got := demoFiles(t)
	if *update {
		if err := os.RemoveAll(goldenDir); err != nil {
			t.Fatal(err)
		}
		for name, text := range got {
			writeFile(t, filepath.Join(goldenDir, name), text)
		}
		writeFile(t, readmeFile, readmeWith(t, got))
	}
	want := filesOf(t, goldenDir)
	if len(want) < 20 {
		t.Fatalf("%s has %d files", goldenDir, len(want))
	}
	sameFiles(t, got, want)
	if text, err := os.ReadFile(readmeFile); err != nil || string(text) != readmeWith(t, got) {
		t.Errorf("README.md shows other output than the program prints (%v): run this test with -update", err)
	}
}

// demoFiles runs the demo in an empty folder and gathers what a user sees of it.
func demoFiles(t *testing.T) map[string]string {
	t.Helper()
	dir := t.TempDir()
	yard, reports := filepath.Join(dir, "vanwright-demo", "yard"), filepath.Join(dir, "vanwright-demo", "reports")
	asOf, dayAfter := demo.AsOf.String(), demo.AsOf.AddDays(1).String()
	got := map[string]string{
		"summary.txt": strings.ReplaceAll(printed(t, "demo", "--out", filepath.Dir(yard)), dir+string(filepath.Separator), ""),
		"bid-Q33.txt": printed(t, "bid", "--yard", yard, "--as-of", asOf, "Q33"),
		"deal-LV137-Q32.txt": printed(t, "deal", "--yard", yard, "--as-of", asOf,
			"--selling", "LV137", "--taking", "Q32", "--allowance", "33000"),
	}
	for name, text := range filesOf(t, reports) {
		if strings.HasSuffix(name, ".csv") {
			got["reports/"+name] = text
		}
	}
	checkBids(t, yard, asOf, readTable(t, filepath.Join(reports, "bids.csv")))
	printed(t, "run", "--yard", yard, "--out", reports, "--as-of", dayAfter, "--keep", "1", "--quiet")
	got["since.txt"] = printed(t, "since", "--reports", reports)
	return got
}

// checkBids compares each offered van's bid on the forecourt with its row of the
// nightly report.
func checkBids(t *testing.T, yard, asOf string, rows []map[string]string) {
	t.Helper()
	if len(rows) < 5 {
		t.Fatalf("the demo has %d offered vans", len(rows))
	}
	for _, row := range rows {
		var sheet map[string]any
		text := printed(t, "bid", "--yard", yard, "--as-of", asOf, "--json", row["stock_id"])
		if err := json.Unmarshal([]byte(text), &sheet); err != nil {
			t.Fatal(err)
		}
		same := 0
		for column, cell := range row {
			said, ok := sheet[column]
			if !ok {
				continue
			}
			same++
			if said == nil {
				said = ""
			}
			if list, ok := said.([]any); ok {
				var items []string
				for _, item := range list {
					items = append(items, fmt.Sprint(item))
				}
				said = strings.Join(items, ";")
			}
			if fmt.Sprint(said) != cell {
				t.Errorf("%s: bid says %s %v, bids.csv says %q", row["stock_id"], column, said, cell)
			}
		}
		if same < 10 {
			t.Errorf("%s: the bid and bids.csv share %d columns", row["stock_id"], same)
		}
	}
}

// printed runs a command that must do what it is asked to, and returns what it
// prints.
func printed(t *testing.T, args ...string) string {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if code := execute(args, &stdout, &stderr); code != exitDone {
		t.Fatalf("vanwright %s: exit status %d\n%s", strings.Join(args, " "), code, stderr.String())
	}
	return stdout.String()
}

var (
	readmeFile = filepath.Join("..", "..", "README.md")
	// fenced finds the README's blocks. Those without a language are what the
	// program prints.
	fenced = regexp.MustCompile("(?ms)^```([a-z]*)\n.*?^```$")
)

// readmeWith is README.md with the outputs in its blocks: the demo's summary and
// the first half of a bid.
func readmeWith(t *testing.T, got map[string]string) string {
	t.Helper()
	text, err := os.ReadFile(readmeFile)
	if err != nil {
		t.Fatal(err)
	}
	bid, _, found := strings.Cut(got["bid-Q33.txt"], "\nNot tested, allowed for in the bid\n")
	if !found {
		t.Fatalf("the bid names nothing that was not tested:\n%s", got["bid-Q33.txt"])
	}
	blocks := []string{
		got["summary.txt"],
		bid + "\n… and what was not tested, what is missing, what to ask, and the cautions.\n",
	}
	shown := 0
	with := fenced.ReplaceAllStringFunc(string(text), func(block string) string {
		if !strings.HasPrefix(block, "```\n") || shown == len(blocks) {
			return block
		}
		shown++
		return "```\n" + blocks[shown-1] + "```"
	})
	if shown != len(blocks) {
		t.Fatalf("README.md has %d blocks of output, want %d", shown, len(blocks))
	}
	return with
}

func writeFile(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}
