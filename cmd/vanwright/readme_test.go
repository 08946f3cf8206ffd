package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/data"
)

func repositoryFile(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// A README that is read in five minutes leads to the rest.
func TestReadmeIsShortAndItsLinksLeadSomewhere(t *testing.T) {
	readme := repositoryFile(t, "README.md")
	if len(readme) > 10_000 {
		t.Errorf("README.md has %d bytes, more than 10 kB", len(readme))
	}
	for _, file := range []string{"README.md", "DEVELOPERS.md", "data/README.md", "data/books/README.md", "cmd/internal/write/README.md", "cmd/vanwright/nightly/README.md"} {
		for _, link := range regexp.MustCompile(`\]\(([^)#:]+)\)`).FindAllStringSubmatch(repositoryFile(t, file), -1) {
			target := filepath.Join("..", "..", filepath.Dir(filepath.FromSlash(file)), filepath.FromSlash(link[1]))
			if _, err := os.Stat(target); err != nil {
				t.Errorf("%s links to %s: %v", file, link[1], err)
			}
		}
	}
}

func TestReadmeNamesEveryCommand(t *testing.T) {
	readme := repositoryFile(t, "README.md")
	for _, cmd := range newRootCommand().Commands() {
		if !cmd.Hidden && cmd.Name() != "help" && cmd.Name() != "completion" && !strings.Contains(readme, "| `vanwright "+cmd.Name()) {
			t.Errorf("README.md does not name vanwright %s", cmd.Name())
		}
	}
}

// The tables of the yard and their columns are those that are read, the required
// ones bold. The books have a page of their own.
func TestReadmeOfTheYardNamesEveryColumn(t *testing.T) {
	readme := repositoryFile(t, "data/README.md")
	_, columns, _ := strings.Cut(readme, "\n## Columns\n")
	aside := regexp.MustCompile(`\([^)]*\)`)
	for _, table := range data.Tables() {
		if !strings.Contains(readme, "`"+table+"`") {
			t.Errorf("data/README.md does not name %s", table)
		}
		row := regexp.MustCompile("(?m)^\\| `" + regexp.QuoteMeta(table) + "` \\| (.*) \\|$").FindStringSubmatch(columns)
		if row == nil {
			continue
		}
		var want []string
		for _, c := range data.Columns(table) {
			if c.Required {
				want = append(want, "**"+c.Name+"**")
			} else {
				want = append(want, c.Name)
			}
		}
		var got []string
		for _, name := range strings.Split(aside.ReplaceAllString(row[1], ""), ",") {
			got = append(got, strings.TrimSpace(name))
		}
		if diff := cmp.Diff(got, want); diff != "" {
			t.Errorf("columns of %s (-README +read):\n%s", table, diff)
		}
	}
}

// The settings are those of package policyfile, with their defaults.
func TestReadmeOfTheYardNamesEverySetting(t *testing.T) {
	_, settings, _ := strings.Cut(repositoryFile(t, "data/README.md"), "| key | default | means |\n")
	settings, _, _ = strings.Cut(settings, "\n\n")
	told := map[string]string{}
	for _, row := range strings.Split(settings, "\n") {
		cells := strings.Split(row, "|")
		if len(cells) < 4 {
			continue
		}
		keys := strings.Split(cells[1], ",")
		defaults := []string{cells[2]}
		if len(keys) > 1 {
			defaults = strings.Split(cells[2], ", ")
		}
		for i, key := range keys {
			told[strings.Trim(key, " `")] = strings.ReplaceAll(strings.TrimSpace(defaults[min(i, len(defaults)-1)]), ",", "")
		}
	}
	_, given, err := policyfile.Read(viper.New(), nil, "", nil)
	if err != nil {
		t.Fatal(err)
	}
	for key, value := range given {
		if _, ok := told[key]; !ok {
			t.Errorf("data/README.md does not tell of %s, default %s", key, value)
		}
		delete(told, key)
	}
	for key := range told {
		if key != "---" {
			t.Errorf("data/README.md tells of %s, which is no setting", key)
		}
	}
}

// Every report that run.json names is in the README of reports.
func TestReadmeOfReportsNamesEachOfThem(t *testing.T) {
	readme := repositoryFile(t, "cmd/internal/write/README.md")
	yard := usualYard().write(t)
	out := filepath.Join(filepath.Dir(yard), "reports")
	runYard(t, yard, out, "2026-03-09", schedulesTried)
	for name := range filesOf(t, out) {
		if strings.HasSuffix(name, ".csv") && !strings.Contains(readme, "`"+name+"`") {
			t.Errorf("cmd/internal/write/README.md does not name %s", name)
		}
	}
}

// The walk from a reading to the bid names functions that are there, in ten steps
// at most.
func TestWalkOfAReadingNamesWhatIsThere(t *testing.T) {
	steps := regexp.MustCompile("(?m)^([0-9]+)\\. `([a-z/-]+\\.go)` `([A-Za-z]+)` ").FindAllStringSubmatch(repositoryFile(t, "DEVELOPERS.md"), -1)
	if len(steps) < 5 || len(steps) > 10 {
		t.Fatalf("%d steps", len(steps))
	}
	for _, step := range steps {
		declared := regexp.MustCompile(`(?m)^func (\([^)]*\) )?` + step[3] + `\(`)
		if !declared.MatchString(repositoryFile(t, step[2])) {
			t.Errorf("step %s: %s has no function %s", step[1], step[2], step[3])
		}
	}
}
