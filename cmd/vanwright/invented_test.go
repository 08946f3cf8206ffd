package main

import (
	"bytes"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// aboutRealForms are the files whose subject is what real marks and VINs look like:
// the periods of issue, the check digit.
var aboutRealForms = []string{
	"appraise/plates.go", "appraise/identity_test.go",
	"cmd/internal/sample/synth/identity_test.go",
	"testdata/appraise/a-mark-too-new.txtar", "testdata/appraise/no-papers-at-all.txtar",
	"testdata/appraise/a-troubled-past.txtar", // the VIN of 49 CFR 565
}

var (
	markForm = regexp.MustCompile(`\b[A-HJ-PR-Y]{2}(\d\d) ?[A-HJ-PR-Z]{3}\b`)
	vinForm  = regexp.MustCompile(`\b[A-HJ-NPR-Z0-9]{17}\b`)
	// Names that turned out to be those of real vehicles.
	realNames = regexp.MustCompile(`Rover 540|\bDuna\b|\bCresta\b|\bNordvik\b|Tolva 3[35]0`)
)

// Marks and numbers of examples are of no vehicle: the age 01 was never a period of
// issue, 99 is not yet one, and no country has the codes UA to UG (ISO 3780 by a
// published list; secondary).
func TestMarksAndNumbersOfExamplesAreOfNoVehicle(t *testing.T) {
	if testing.Short() {
		t.Skip("reads every file of the tree")
	}
	top := os.DirFS(filepath.Join("..", ".."))
	marks, vins := 0, 0
	err := fs.WalkDir(top, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (strings.HasPrefix(d.Name(), ".") && name != "." || name == "testdata/reference"):
			return fs.SkipDir
		case d.IsDir() || name == "cmd/vanwright/invented_test.go":
			return nil
		}
		if !slices.Contains([]string{".go", ".md", ".csv", ".txt", ".txtar", ".js", ".html", ".json"}, path.Ext(name)) {
			return nil
		}
		content, err := fs.ReadFile(top, name)
		if err != nil {
			return err
		}
		for n, line := range bytes.Split(content, []byte("\n")) {
			if real := realNames.Find(line); real != nil {
				t.Errorf("%s:%d: %s is a real name", name, n+1, real)
			}
			if slices.Contains(aboutRealForms, name) {
				continue
			}
			for _, m := range markForm.FindAllSubmatch(line, -1) {
				if marks++; string(m[1]) != "01" && string(m[1]) != "99" {
					t.Errorf("%s:%d: mark %s may be of a real vehicle", name, n+1, m[0])
				}
			}
			for _, vin := range vinForm.FindAll(line, -1) {
				if !bytes.ContainsAny(vin, "ABCDEFGHJKLMNPRSTUVWXYZ") {
					continue // a figure
				}
				if vins++; vin[0] != 'U' || vin[1] < 'A' || vin[1] > 'G' {
					t.Errorf("%s:%d: VIN %s may be of a real vehicle", name, n+1, vin)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if marks < 100 || vins < 100 {
		t.Errorf("%d marks and %d VINs were looked at", marks, vins)
	}
}
