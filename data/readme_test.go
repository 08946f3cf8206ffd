package data

import (
	"context"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
)

// A column is bold in the README exactly where a table without it is refused.
func TestRequiredColumnsOfTheReadmeAreRequired(t *testing.T) {
	readme, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, columns, _ := strings.Cut(string(readme), "\n## Columns\n")
	aside := regexp.MustCompile(`\([^)]*\)`)
	rows := regexp.MustCompile("(?m)^\\| `([a-z]+\\.csv)` \\| (.*) \\|$").FindAllStringSubmatch(columns, -1)
	if len(rows) != 11 {
		t.Fatalf("%d tables in the README", len(rows))
	}
	for _, row := range rows {
		table := row[1]
		var names []string
		bold := map[string]bool{}
		for _, cell := range strings.Split(aside.ReplaceAllString(row[2], ""), ",") {
			name := strings.Trim(strings.TrimSpace(cell), "*")
			names = append(names, name)
			bold[name] = strings.Contains(cell, "**")
		}
		for without := range bold {
			var kept []string
			for _, name := range names {
				if name != without {
					kept = append(kept, name)
				}
			}
			yard := fstest.MapFS{"vans.csv": {Data: []byte(vansHeader + "\n")}}
			yard[table] = &fstest.MapFile{Data: []byte(strings.Join(kept, ",") + "\n")}
			_, err := Load(context.Background(), yard, LoadOptions{AsOf: asOf})
			refused := err != nil && strings.Contains(err.Error(), table+` lacks the required column "`+without+`"`)
			if err != nil && !refused || refused != bold[without] {
				t.Errorf("%s without %s: %v; bold in the README: %t", table, without, err, bold[without])
			}
		}
	}
}
