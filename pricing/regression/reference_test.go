package regression

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
)

// frame is a table of text columns by name.
type frame map[string][]string

func readFrame(t *testing.T, path string) frame {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	f := frame{}
	for _, r := range records[1:] {
		for c, name := range records[0] {
			f[name] = append(f[name], r[c])
		}
	}
	return f
}

func (f frame) numbers(t *testing.T, name string) []float64 {
	t.Helper()
	if len(f[name]) == 0 {
		t.Fatalf("no column %q", name)
	}
	var out []float64
	for _, s := range f[name] {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// byRow turns columns into rows.
func byRow(columns ...[]float64) [][]float64 {
	rows := make([][]float64, len(columns[0]))
	for i := range rows {
		for _, c := range columns {
			rows[i] = append(rows[i], c[i])
		}
	}
	return rows
}

// wantNear checks that got has the given number of digits of want.
func wantNear(t *testing.T, name string, got, want float64, digits float64) {
	t.Helper()
	off := math.Abs(got - want)
	if want != 0 {
		off /= math.Abs(want)
	}
	if !(off <= math.Pow(10, -digits)) {
		t.Errorf("%s: got %.15g, want %.15g: only %.1f digits agree, want %g", name, got, want, -math.Log10(off), digits)
	}
}

// NIST Statistical Reference Datasets, linear regression: estimates
// and errors to 15 digits. The digits asked for are those that double precision
// can keep on each set; Filip's are limited by the rounding of its tenth powers
// before any fit begins.
func TestLeastSquaresAgreesWithNIST(t *testing.T) {
	folder := filepath.Join("..", "..", "..", "shared", "checks", "fetched", "nist")
	if _, err := os.Stat(folder); err != nil {
		t.Skip("the NIST reference sets are not here; put them into", folder, "to run this check")
	}
	expected := readFrame(t, filepath.Join(folder, "expected.csv"))
	tests := []struct {
		set          string
		degree       int // of the polynomial in x; 0 takes the columns as they are
		digits, errs float64
	}{
		{"longley", 0, 12, 12},
		{"norris", 0, 13, 12},
		{"filip", 10, 7, 7},
		{"wampler1", 5, 9, 0},
		{"wampler2", 5, 12, 0},
		{"wampler3", 5, 9, 10},
		{"wampler4", 5, 8, 10},
		{"wampler5", 5, 6, 10},
	}
	for _, test := range tests {
		t.Run(test.set, func(t *testing.T) {
			f := readFrame(t, filepath.Join(folder, test.set+".csv"))
			fit, err := OLS(nistDesign(t, f, test.degree), f.numbers(t, "y"))
			if err != nil {
				t.Fatal(err)
			}
			checked := 0
			for i, set := range expected["dataset"] {
				if set != test.set {
					continue
				}
				checked++
				want, err := strconv.ParseFloat(expected["estimate"][i], 64)
				if err != nil {
					t.Fatal(err)
				}
				switch term := expected["term"][i]; term {
				case "residual_sd":
					// Where the certified value is 0, what is left is rounding.
					wantNear(t, term, fit.Sigma, want, test.errs)
				case "r_squared":
					wantNear(t, term, fit.R2, want, 10)
				default:
					var j int
					if _, err := fmt.Sscanf(term, "B%d", &j); err != nil {
						t.Fatal(err)
					}
					wantNear(t, term, fit.Coef[j], want, test.digits)
					if se, err := strconv.ParseFloat(expected["std_error"][i], 64); err == nil {
						wantNear(t, term+" error", fit.StdErr[j], se, test.errs)
					}
				}
			}
			if checked < 3 {
				t.Errorf("only %d certified values found", checked)
			}
		})
	}
}

func nistDesign(t *testing.T, f frame, degree int) [][]float64 {
	if degree == 0 {
		var columns [][]float64
		for _, name := range []string{"x", "x1", "x2", "x3", "x4", "x5", "x6"} {
			if _, ok := f[name]; ok {
				columns = append(columns, f.numbers(t, name))
			}
		}
		return byRow(columns...)
	}
	var rows [][]float64
	for _, x := range f.numbers(t, "x") {
		row := []float64{x}
		for len(row) < degree {
			row = append(row, row[len(row)-1]*x)
		}
		rows = append(rows, row)
	}
	return rows
}

func reference(name string) string {
	return filepath.Join("..", "..", "testdata", "reference", name)
}

// Longley (1967); coefficients from R 4.2.2, lm.
func TestLongleyAgreesWithR(t *testing.T) {
	f := readFrame(t, reference("longley.csv"))
	var columns [][]float64
	for _, name := range []string{"GNP.deflator", "GNP", "Unemployed", "Armed.Forces", "Population", "Year"} {
		columns = append(columns, f.numbers(t, name))
	}
	fit, err := OLS(byRow(columns...), f.numbers(t, "Employed"))
	if err != nil {
		t.Fatal(err)
	}
	for j, want := range []float64{-3482.25863460, 0.0150618722714, -0.0358191792926, -0.0202022980382,
		-0.0103322686717, -0.0511041056536, 1.82915146461} {
		wantNear(t, fmt.Sprint("coefficient ", j), fit.Coef[j], want, 11)
	}
	wantNear(t, "residual standard error", fit.Sigma, 0.304854073562, 11)
}

// Brownlee (1965); coefficients from R 4.2.2, lm and MASS::rlm (Huber, MAD).
func TestStackLossAgreesWithR(t *testing.T) {
	f := readFrame(t, reference("stackloss.csv"))
	x := byRow(f.numbers(t, "Air.Flow"), f.numbers(t, "Water.Temp"), f.numbers(t, "Acid.Conc."))
	y := f.numbers(t, "stack.loss")
	fit, err := OLS(x, y)
	if err != nil {
		t.Fatal(err)
	}
	for j, want := range []float64{-39.919674420124, 0.715640200485, 1.295286124389, -0.152122519149} {
		wantNear(t, fmt.Sprint("lm coefficient ", j), fit.Coef[j], want, 11)
	}
	robust, err := Huber(x, y, HuberK)
	if err != nil {
		t.Fatal(err)
	}
	for j, want := range []float64{-41.026485373294, 0.829385770247, 0.926059415575, -0.127846317967} {
		wantNear(t, fmt.Sprint("rlm coefficient ", j), robust.Coef[j], want, 8)
	}
	wantNear(t, "rlm scale", robust.Scale, 2.4404890461, 8)
}

// carDesign is log price on mileage in thousands, cylinders, the options, make
// and body, in the base levels of R: Buick and convertible.
func carDesign(t *testing.T) (x [][]float64, logPrice []float64, row func(thousands, cylinders, cruise, sound, leather float64, mk, body string) []float64) {
	f := readFrame(t, reference("cars.csv"))
	makes := []string{"Cadillac", "Chevy", "Pontiac", "Saab", "Saturn"}
	bodies := []string{"coupe", "hatchback", "sedan", "wagon"}
	row = func(thousands, cylinders, cruise, sound, leather float64, mk, body string) []float64 {
		r := []float64{thousands, cylinders, cruise, sound, leather}
		for _, levels := range []struct {
			all []string
			is  string
		}{{makes, mk}, {bodies, body}} {
			at := slices.Index(levels.all, levels.is)
			for i := range levels.all {
				one := 0.0
				if i == at {
					one = 1
				}
				r = append(r, one)
			}
		}
		return r
	}
	mileage, cylinders := f.numbers(t, "Mileage"), f.numbers(t, "Cylinder")
	cruise, sound, leather := f.numbers(t, "Cruise"), f.numbers(t, "Sound"), f.numbers(t, "Leather")
	for i, price := range f.numbers(t, "Price") {
		logPrice = append(logPrice, math.Log(price))
		x = append(x, row(mileage[i]/1000, cylinders[i], cruise[i], sound[i], leather[i], f["Make"][i], f["Body"][i]))
	}
	return x, logPrice, row
}

// Kuiper (2008); every figure from R 4.2.2: lm, sandwich's HC3 formula, predict
// with interval "prediction", and MASS::rlm.
func TestCarsAgreeWithR(t *testing.T) {
	x, y, row := carDesign(t)
	fit, err := OLS(x, y)
	if err != nil {
		t.Fatal(err)
	}
	names := []string{"intercept", "mileage", "cylinder", "cruise", "sound", "leather",
		"Cadillac", "Chevy", "Pontiac", "Saab", "Saturn", "coupe", "hatchback", "sedan", "wagon"}
	for j, want := range []float64{9.267952662775, -0.008209113838, 0.184271439259, 0.028596031718, 0.016972237203,
		0.036111789440, 0.312374460639, -0.118949609077, -0.114514610190, 0.576183283278, -0.088215361468,
		-0.280664108330, -0.440280227902, -0.327928445000, -0.151386873092} {
		wantNear(t, names[j], fit.Coef[j], want, 9)
	}
	for j, want := range []float64{0.0368238925054, 0.0004766721953, 0.0043010289591, 0.0112306914172,
		0.0088978399827, 0.0094769273809} {
		wantNear(t, names[j]+" error", fit.StdErr[j], want, 9)
	}
	hc3 := fit.HC3()
	for j, want := range []float64{0.03995064725, 0.000488279514, 0.005113124888} {
		wantNear(t, names[j]+" HC3 error", hc3[j], want, 8)
	}
	wantNear(t, "R²", fit.R2, 0.9289525538, 9)
	wantNear(t, "residual standard error", fit.Sigma, 0.1102796699, 9)
	wantNear(t, "log-likelihood", fit.LogLik, 639.351756050, 11)
	wantNear(t, "smearing", fit.Smearing(), 1.00593789221, 11)

	buick := fit.Interval(row(10, 6, 1, 1, 1, "Buick", "sedan"), 0.90)
	saturn := fit.Interval(row(30, 4, 1, 0, 0, "Saturn", "coupe"), 0.90)
	for i, pair := range [][2]float64{
		{buick.Value, 10.04524177332}, {buick.Low, 9.86207468816}, {buick.High, 10.22840885847},
		{saturn.Value, 9.41848156660}, {saturn.Low, 9.23424737054}, {saturn.High, 9.60271576266},
	} {
		wantNear(t, fmt.Sprint("interval figure ", i), pair[0], pair[1], 12)
	}

	robust, err := Huber(x, y, HuberK)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		j    int
		want float64
	}{{0, 9.304235102}, {1, -0.008333882533}, {2, 0.1825664091}, {9, 0.5600174883}} {
		wantNear(t, "rlm "+names[c.j], robust.Coef[c.j], c.want, 9)
	}
	wantNear(t, "rlm scale", robust.Scale, 0.1062022514, 9)
}

// The paper's opening point: mileage alone explains almost nothing. R 4.2.2, lm.
func TestMileageAloneExplainsLittle(t *testing.T) {
	f := readFrame(t, reference("cars.csv"))
	fit, err := OLS(byRow(f.numbers(t, "Mileage")), f.numbers(t, "Price"))
	if err != nil {
		t.Fatal(err)
	}
	wantNear(t, "intercept", fit.Coef[0], 24764.5589912020, 12)
	wantNear(t, "mileage", fit.Coef[1], -0.1725205026, 9)
	wantNear(t, "R²", fit.R2, 0.02046344729, 9)
}
