package wordstest

import (
	"testing"

	"github.com/vanwright/vanwright/data"
)

func TestUnfit(t *testing.T) {
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	unfit := New(t, books)
	unfit.Add("over-age")
	for text, want := range map[string]int{
		"Replace a flame-failure device; MOT until 9 Mar 2026, 54% of 12 V electrics": 0,
		"and 8 more, in attention.csv":           1,
		"as of 2026-03-09":                       1,
		"54 % of the target":                     1,
		"no days_held of it":                     1,
		"see www.example.org":                    1,
		"from memory":                            1,
		"1 years":                                1,
		"electrics-12v (18 points)":              1,
		"offside-rear-low reads 24%, over-age":   2,
		"waiting for part gas-hose on 9 Mar":     1,
		"a low-profile body":                     1,
		"cassette-toilet, and hookup and awning": 1,
	} {
		if got := unfit.In(text); len(got) != want {
			t.Errorf("%q: got %q, want %d faults", text, got, want)
		}
	}
	if got := unfit.In("from memory, see prices.csv", FromMemory, File); len(got) != 0 {
		t.Errorf("what is excused is told: %q", got)
	}
}
