package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/pricing/hedonic"
)

func parseTable(t *testing.T, text string) table {
	t.Helper()
	got, err := readTable(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestFoldsPairWithTheData(t *testing.T) {
	const data = "Stock,Price,Age,Maker\nC,300,3,x\nA,100,1,\nB,200,,y\n"
	tests := []struct {
		name, folds string
		keys, want  []string
		numerics    []hedonic.Numeric
		categories  []hedonic.Category
		err         string
	}{
		{
			name: "by the column that both hold", folds: "Stock,Fold\nA,1\nB,2\nC,3\n",
			keys: []string{"C", "A", "B"}, want: []string{"3", "1", "2"},
			numerics: []hedonic.Numeric{{Name: "Age", Curve: true}}, categories: []hedonic.Category{{Name: "Maker"}},
		},
		{
			name: "a row that the folds leave out has none", folds: "Stock,Fold\nA,1\nC,3\n",
			keys: []string{"C", "A", "B"}, want: []string{"3", "1", ""},
			numerics: []hedonic.Numeric{{Name: "Age", Curve: true}}, categories: []hedonic.Category{{Name: "Maker"}},
		},
		{
			name: "by order where no column pairs them", folds: "row,fold\n7,1\n8,2\n9,1\n",
			keys: []string{"1", "2", "3"}, want: []string{"1", "2", "1"},
			numerics: []hedonic.Numeric{{Name: "Age", Curve: true}}, categories: []hedonic.Category{{Name: "Stock"}, {Name: "Maker"}},
		},
		{name: "too few by order", folds: "Fold\n1\n2\n", err: "folds have 2 rows and data 3"},
		{name: "a key twice", folds: "Stock,Fold\nA,1\nA,2\n", err: `folds give Stock "A" twice`},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s, err := newPriceSample(parseTable(t, data), parseTable(t, test.folds), "Price")
			if test.err != "" {
				if err == nil || !strings.Contains(err.Error(), test.err) {
					t.Fatalf("got error %v, want %q", err, test.err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			want := &priceSample{keys: test.keys, folds: test.want, spec: hedonic.Spec{Numerics: test.numerics, Categories: test.categories}}
			got := &priceSample{keys: s.keys, folds: s.folds, spec: s.spec}
			if diff := cmp.Diff(got, want, cmp.AllowUnexported(priceSample{})); diff != "" {
				t.Error(diff)
			}
			if !math.IsNaN(s.rows[2].Numerics[0]) {
				t.Errorf("blank age is %g, want unknown", s.rows[2].Numerics[0])
			}
		})
	}
}

func TestIdIsNoFeature(t *testing.T) {
	s, err := newPriceSample(parseTable(t, "id,Price,Age\n1,100,3\n2,200,4\n"), parseTable(t, "Fold\n1\n2\n"), "Price")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(s.spec, hedonic.Spec{Numerics: []hedonic.Numeric{{Name: "Age", Curve: true}}}); diff != "" {
		t.Error(diff)
	}
}

func TestPricePredictsEachRowWithAFoldOnce(t *testing.T) {
	dir := t.TempDir()
	var data, folds strings.Builder
	data.WriteString("Id,Price,Age,Maker\n")
	folds.WriteString("Id,Fold\n")
	for i := 1; i <= 60; i++ {
		price := strconv.Itoa(20000 - 700*(i%20) + 900*(i%3) + 40*(i*i%7))
		if i == 50 {
			price = "" // predicted, though it teaches nothing
		}
		fmt.Fprintf(&data, "%d,%s,%d,maker %d\n", i, price, i%20, i%3)
		if i > 4 {
			fmt.Fprintf(&folds, "%d,%d\n", i, i%3)
		}
	}
	for name, text := range map[string]string{"data.csv": data.String(), "folds.csv": folds.String()} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := newPriceCommand()
	var out bytes.Buffer
	cmd.SetOut(&out)
	cmd.SetArgs([]string{"--data", filepath.Join(dir, "data.csv"), "--target", "Price", "--folds", filepath.Join(dir, "folds.csv")})
	if err := cmd.Execute(); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := records[0], []string{"row", "fold", "actual", "predicted", "low", "high"}; !slices.Equal(got, want) {
		t.Errorf("header %v, want %v", got, want)
	}
	if len(records) != 57 || records[1][0] != "5" || records[56][0] != "60" {
		t.Fatalf("%d lines from row %s, want 56 rows from 5 to 60", len(records)-1, records[1][0])
	}
	for _, r := range records[1:] {
		var v [3]float64
		for k := range v {
			if v[k], err = strconv.ParseFloat(r[3+k], 64); err != nil {
				t.Fatal(err)
			}
		}
		if !(0 < v[1] && v[1] <= v[0] && v[0] <= v[2]) {
			t.Errorf("row %s: %v out of order", r[0], v)
		}
		if row, _ := strconv.Atoi(r[0]); r[1] != strconv.Itoa(row%3) || (r[2] == "") != (row == 50) {
			t.Errorf("row %s has fold %s and actual %q", r[0], r[1], r[2])
		}
	}
}

func TestUnknownTargetIsNamed(t *testing.T) {
	_, err := newPriceSample(parseTable(t, "Price,Age\n1,2\n"), parseTable(t, "Fold\n1\n"), "price")
	if err == nil || !strings.Contains(err.Error(), `no column "price", only Price, Age`) {
		t.Errorf("got %v", err)
	}
}
