package synth

import (
	"testing"

	"github.com/vanwright/vanwright/data"
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

// Ages and their digits as carsgt.co and premier-number-plate.co.uk (secondary
// pages) give them.
func TestRegFollowsTheHalfYear(t *testing.T) {
	for _, c := range []struct {
		first data.Date
		want  string
	}{
		{data.NewDate(2018, 3, 1), "18"},
		{data.NewDate(2018, 8, 31), "18"},
		{data.NewDate(2018, 9, 1), "68"},
		{data.NewDate(2019, 2, 28), "68"},
		{data.NewDate(2010, 9, 1), "60"},
		{data.NewDate(2002, 2, 28), "51"},
		{data.NewDate(2002, 3, 1), "02"},
	} {
		if got := Reg(c.first, 5); got[2:4] != c.want {
			t.Errorf("%s gives %s, want the digits %s", c.first, got, c.want)
		}
	}
}

func TestMarksAndNumbersAreUnique(t *testing.T) {
	marks, vins := map[string]bool{}, map[string]bool{}
	day := data.NewDate(2020, 5, 1)
	const n = 600_000
	for i := range n {
		marks[Reg(day, i)] = true
	}
	for i := range 50_000 {
		vins[VIN(Models[i%len(Models)], i)] = true
	}
	if len(marks) != n || len(vins) != 50_000 {
		t.Errorf("%d marks of %d and %d numbers of 50000 differ", len(marks), n, len(vins))
	}
}
