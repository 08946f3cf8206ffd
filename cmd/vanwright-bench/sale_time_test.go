package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The data sets are cited in testdata/reference/README.md; expected figures were
// computed with R 4.2.2, survival 3.5-3.

func saleTime(t *testing.T, args ...string) (*saleTimeReport, error) {
	t.Helper()
	var out bytes.Buffer
	cmd := newSaleTimeCommand()
	cmd.SetArgs(args)
	cmd.SetOut(&out)
	cmd.SetErr(&out)
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	if err := cmd.Execute(); err != nil {
		return nil, err
	}
	var report saleTimeReport
	if err := json.Unmarshal(out.Bytes(), &report); err != nil {
		t.Fatalf("%v in %s", err, out.Bytes())
	}
	return &report, nil
}

func referenceFile(name string) string {
	return filepath.Join("..", "..", "testdata", "reference", name)
}

func wantFigures(t *testing.T, what string, got, want map[string]float64) {
	t.Helper()
	for name, w := range want {
		g, ok := got[name]
		if !ok || math.Abs(g-w) > 2e-8*math.Abs(w) {
			t.Errorf("%s %s: got %.12g, want %.12g", what, name, g, w)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

func TestSaleTimeAgreesWithPublishedFits(t *testing.T) {
	t.Run("gehan: a covariate of numbers", func(t *testing.T) {
		r, err := saleTime(t, "--data", referenceFile("gehan.csv"), "--time", "time", "--event", "event", "--covariates", "treated")
		if err != nil {
			t.Fatal(err)
		}
		if r.N != 42 || r.Events != 30 {
			t.Errorf("n %d, events %d", r.N, r.Events)
		}
		wantFigures(t, "weibull", r.Weibull.Coefficients, map[string]float64{"intercept": 2.24835236087, "treated": 1.26733458521})
		wantFigures(t, "weibull error", r.Weibull.StandardErrors,
			map[string]float64{"intercept": 0.165971792901, "treated": 0.310639935490, "log(scale)": 0.147291882446})
		wantFigures(t, "scale and likelihood", map[string]float64{"scale": r.Weibull.Scale, "ll": r.Weibull.LogLik},
			map[string]float64{"scale": 0.73219440304, "ll": -106.579491582})
		efron, breslow := r.Cox["efron"], r.Cox["breslow"]
		wantFigures(t, "efron", efron.Coefficients, map[string]float64{"treated": -1.57212514883})
		wantFigures(t, "breslow", breslow.Coefficients, map[string]float64{"treated": -1.50919141259})
		wantFigures(t, "likelihoods", map[string]float64{"e0": efron.LogLikNull, "e": efron.LogLik, "b0": breslow.LogLikNull, "b": breslow.LogLik},
			map[string]float64{"e0": -93.1842699968, "e": -85.0084245774, "b0": -93.9850504782, "b": -86.3796220711})
		medians := map[string]float64{}
		for _, l := range r.ByLevel {
			medians[l.Covariate+"="+l.Level] = *l.Median
		}
		if diff := cmp.Diff(medians, map[string]float64{"treated=0": 8, "treated=1": 23}); diff != "" {
			t.Errorf("medians (-got +want):\n%s", diff)
		}
	})
	t.Run("aml: a covariate of text, its first level the base", func(t *testing.T) {
		r, err := saleTime(t, "--data", referenceFile("aml.csv"), "--time", "time", "--event", "status", "--covariates", "x")
		if err != nil {
			t.Fatal(err)
		}
		wantFigures(t, "weibull", r.Weibull.Coefficients, map[string]float64{"intercept": 4.109055051, "x=Nonmaintained": -0.9293416114})
		wantFigures(t, "efron", r.Cox["efron"].Coefficients, map[string]float64{"x=Nonmaintained": 0.915532575})
		wantFigures(t, "efron error", r.Cox["efron"].StandardErrors, map[string]float64{"x=Nonmaintained": 0.5119342752})
		if math.Abs(r.Weibull.LogLikNull+83.178669233) > 1e-8 {
			t.Errorf("null log-likelihood %v", r.Weibull.LogLikNull)
		}
	})
	t.Run("veteran: both kinds", func(t *testing.T) {
		r, err := saleTime(t, "--data", referenceFile("veteran.csv"), "--time", "time", "--event", "status",
			"--covariates", "trt,karno,celltype,age")
		if err != nil {
			t.Fatal(err)
		}
		wantFigures(t, "weibull", r.Weibull.Coefficients, map[string]float64{"intercept": 3.472736655, "trt": -0.2361694263,
			"karno": 0.03001367476, "celltype=smallcell": -0.8229851791, "celltype=adeno": -1.119551074,
			"celltype=large": -0.3968446398, "age": 0.006300981375})
		wantFigures(t, "efron", r.Cox["efron"].Coefficients, map[string]float64{"trt": 0.3030480951, "karno": -0.03268548274,
			"celltype=smallcell": 0.8563403759, "celltype=adeno": 1.178807029, "celltype=large": 0.4023321968, "age": -0.008903165131})
		if got := r.Cox["efron"].Concordance; math.Abs(got-0.738414357) > 1e-9 {
			t.Errorf("concordance %v", got)
		}
		km := r.KaplanMeier
		if *km.Median != 80 || *km.Lower95 != 52 || *km.Upper95 != 105 {
			t.Errorf("median %v (%v, %v)", *km.Median, *km.Lower95, *km.Upper95)
		}
	})
}

func TestSaleTimeOnTablesMadeByHand(t *testing.T) {
	write := func(t *testing.T, text string) string {
		t.Helper()
		path := filepath.Join(t.TempDir(), "sales.csv")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	t.Run("a median never reached is null, and no covariates leave no cox", func(t *testing.T) {
		path := write(t, "\ufeffdays,sold\n10,yes\n20,no\n30,no\n40,FALSE\n")
		r, err := saleTime(t, "--data", path, "--time", "days", "--event", "sold")
		if err != nil {
			t.Fatal(err)
		}
		if r.KaplanMeier.Median != nil || r.Cox != nil || r.N != 4 || r.Events != 1 {
			t.Errorf("got %+v", r)
		}
	})
	tests := []struct{ name, text, covariates, want string }{
		{"an empty file", "", "", ":1: no header line"},
		{"no rows", "days,sold\n", "", ":1: no rows below the header"},
		{"a column that is not there", "day,sold\n1,1\n", "", `:1: no column "days"; there are day, sold`},
		{"a column twice", "days,sold,days\n1,1,2\n", "", `:1: column "days" is there or asked for twice`},
		{"a time of zero, below a blank line", "days,sold\n\n5,1\n0,1\n", "", `:4: column "days": "0" is not a number above zero`},
		{"a time without end", "days,sold\nInf,1\n", "", `:2: column "days": "Inf" is not a number above zero`},
		{"an event of two", "days,sold\n5,2\n", "", `:2: column "sold": "2" is neither`},
		{"a blank covariate", "days,sold,berths\n5,1,4\n6,1,\n", "berths", `:3: column "berths": blank`},
		{"a slip among numbers", "days,sold,berths\n5,1,4\n6,1,4o\n9,1,2\n", "berths", `:3: column "berths": not a number`},
		{"a ragged row", "days,sold\n5,1,7\n", "", ":2: wrong number of fields"},
		{"no events", "days,sold\n5,0\n6,0\n", "", "no events"},
		{"one level only", "days,sold,body\n5,1,overcab\n6,1,overcab\n", "body", `:2: column "body": every row says "overcab"`},
		{"a constant number", "days,sold,berths\n5,1,4\n6,1,4\n", "berths", "collinear"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			args := []string{"--data", write(t, tt.text), "--time", "days", "--event", "sold"}
			if tt.covariates != "" {
				args = append(args, "--covariates", tt.covariates)
			}
			_, err := saleTime(t, args...)
			if err == nil || !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), "sales.csv") {
				t.Errorf("got %v, want sales.csv%s", err, tt.want)
			}
		})
	}
}

// FuzzReadSaleTimes holds any text to one of two ends: an error that begins with
// the file, or a table whose columns all have a value for each time.
func FuzzReadSaleTimes(f *testing.F) {
	for _, name := range []string{"gehan.csv", "aml.csv", "veteran.csv"} {
		raw, err := os.ReadFile(referenceFile(name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(raw))
	}
	f.Add("time,status,x\n1,yes,a\n\n2,no,\"b\nc\"\n")
	f.Add("time,status,x\n1,1,2\n2,0,\n")
	f.Fuzz(func(t *testing.T, text string) {
		opts := saleTimeOptions{data: "fuzz.csv", time: "time", event: "status", covariates: []string{"x"}}
		table, err := readSaleTimes(strings.NewReader(text), opts)
		if err != nil {
			if !strings.HasPrefix(err.Error(), "fuzz.csv:") {
				t.Fatalf("error %v", err)
			}
			return
		}
		n := len(table.times)
		if n == 0 || len(table.events) != n || len(table.x) != n || len(table.covariates[0].values) != n {
			t.Fatalf("uneven table %+v", table)
		}
		for i, row := range table.x {
			if !(table.times[i] > 0) || len(row) != len(table.names) {
				t.Fatalf("row %d: time %v, %v for %v", i, table.times[i], row, table.names)
			}
		}
	})
}
