package synth

import (
	"regexp"
	"testing"
)

func TestCheckSumOfPublishedVINs(t *testing.T) {
	for vin, want := range map[string]int{
		"1G4AH59H45G118341": 411, // example of 49 CFR 565
		"1M8GDM9AXKP042788": 351, // secondary pages on the check digit
		"11111111111111111": 89,  // from memory
	} {
		if got := vinSum([]byte(vin)); got != want {
			t.Errorf("vinSum(%s) = %d, want %d", vin, got, want)
		}
		if digit := "0123456789X"[want%11]; digit != vin[8] {
			t.Errorf("%s: check digit %c, want %c", vin, vin[8], digit)
		}
	}
}

// Form of a current mark, with the age that was never issued and without the
// letters that no mark has (official leaflet INF104 as copied at zbook.org, and
// carsgt.co; secondary pages).
func TestMarksAreOfNoVan(t *testing.T) {
	form := regexp.MustCompile(`^[A-HJ-PR-Y]{2}01 [A-HJ-PR-Z]{3}$`)
	for n := range 5_000 {
		if got := Reg(n); !form.MatchString(got) {
			t.Fatalf("mark %d is %s", n, got)
		}
	}
}

func TestMarksAndNumbersAreUnique(t *testing.T) {
	marks, vins := map[string]bool{}, map[string]bool{}
	const n = 600_000
	for i := range n {
		marks[Reg(i)] = true
	}
	for i := range 50_000 {
		vins[VIN(Models[i%len(Models)], i)] = true
	}
	if len(marks) != n || len(vins) != 50_000 {
		t.Errorf("%d marks of %d and %d numbers of 50000 differ", len(marks), n, len(vins))
	}
}
