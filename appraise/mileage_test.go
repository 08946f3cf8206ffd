package appraise

import (
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Each reading by date must not fall: common practice. What counts as a jump and
// how many good entries outweigh a bad one: common practice, no source.
func TestMileages(t *testing.T) {
	type at struct {
		on    string
		miles int
	}
	tests := []struct {
		name    string
		papers  []at
		van     int
		want    MileageCheck
		note    string
		serious bool
	}{
		{"nothing on paper", nil, 30000, MileageUnknown, "could not be checked", false},
		{"more than a van is driven since it was new, and nothing on paper", nil, 430000, MileageJumps, "2019), then 430,000 miles (our own record of 9 Mar 2026). Our own 430,000 miles read like a digit too many; did you mean 43,000?", true},
		{"a digit of the van's own lost", []at{{"2023-05-01", 18000}, {"2025-05-01", 27000}}, 3010, MileageFalls, "Our own 3,010 miles read like a digit too few; did you mean 30,100?", true},
		{"a digit too many in the van's own", []at{{"2023-05-01", 18000}, {"2025-05-01", 27000}}, 301000, MileageJumps, "Our own 301,000 miles read like a digit too many; did you mean 30,100?", true},
		{"the van's own in kilometres", []at{{"2024-05-01", 60000}, {"2025-11-01", 80000}}, 136800, MileageJumps, "Our own 136,800 miles read like kilometres; did you mean 85,004?", true},
		{"one paper below the van", []at{{"2024-05-01", 20000}}, 30000, MileageConsistent, "", false},
		{"rising", []at{{"2021-05-01", 9000}, {"2023-05-01", 18000}, {"2025-05-01", 27000}}, 30000, MileageConsistent, "", false},
		{"a later paper shows less", []at{{"2022-05-01", 42000}, {"2024-05-01", 31000}}, 50000, MileageFalls, "The mileage falls: 42,000 miles (invoice of 1 May 2022), then 31,000 miles", true},
		{"the van shows less than a paper", []at{{"2022-05-01", 20000}, {"2025-05-01", 42000}}, 30000, MileageFalls, "then 30,000 miles (our own record", true},
		{"the van shows less than many papers that agree",
			[]at{{"2020-05-01", 8000}, {"2021-05-01", 16000}, {"2022-05-01", 24000}, {"2023-05-01", 32000}, {"2024-05-01", 40000}, {"2025-05-01", 48000}},
			20000, MileageFalls, "our own record", true},
		{"one low entry among many good ones",
			[]at{{"2020-05-01", 5000}, {"2021-05-01", 10000}, {"2022-05-01", 1500}, {"2023-05-01", 20000}, {"2024-05-01", 25000}},
			30000, MileageConsistent, "One mileage does not fit the others: 1,500 miles (invoice of 1 May 2022), which reads like a digit too few. The other 5 agree", false},
		{"one entry ten times too high among many",
			[]at{{"2020-05-01", 5000}, {"2021-05-01", 10000}, {"2022-05-01", 150000}, {"2023-05-01", 20000}, {"2024-05-01", 25000}},
			30000, MileageConsistent, "which reads like a digit too many", false},
		{"one entry in kilometres among many",
			[]at{{"2020-05-01", 5000}, {"2021-05-01", 10000}, {"2022-05-01", 24140}, {"2023-05-01", 20000}, {"2024-05-01", 25000}},
			30000, MileageConsistent, "which reads like kilometres", false},
		{"a slip in the last paper, ten times too high",
			[]at{{"2020-05-01", 5000}, {"2021-05-01", 10000}, {"2022-05-01", 15000}, {"2023-05-01", 20000}, {"2025-05-01", 280000}},
			30000, MileageFalls, "280,000", true}, // only our own record stands against it
		{"a slip with too few good ones",
			[]at{{"2021-05-01", 10000}, {"2022-05-01", 150000}}, 30000, MileageFalls, "150,000", true},
		{"wound back once and honest since",
			[]at{{"2020-05-01", 30000}, {"2021-05-01", 60000}, {"2022-05-01", 90000}, {"2023-05-01", 20000}, {"2024-05-01", 25000}, {"2025-05-01", 28000}},
			30000, MileageFalls, "90,000", true},
		{"wound back before the last two entries",
			[]at{{"2020-05-01", 8000}, {"2021-05-01", 16000}, {"2022-05-01", 24000}, {"2023-05-01", 32000}, {"2024-05-01", 40000}},
			33000, MileageFalls, "40,000", true},
		{"faster than a van is driven", []at{{"2025-01-01", 8000}}, 95000, MileageJumps, "jumps faster than a van is driven: 8,000", true},
		{"ten times as many within a year", []at{{"2023-05-01", 4000}, {"2024-05-01", 41000}}, 45000, MileageJumps, "4,000 miles (invoice of 1 May 2023), then 41,000", true},
		{"ten times as many in five years", []at{{"2020-05-01", 3000}, {"2025-05-01", 41000}}, 45000, MileageConsistent, "", false},
		{"fast from new", []at{{"2019-09-01", 80000}}, 95000, MileageJumps, "first registration", true},
		{"a rounded figure is no fall", []at{{"2024-05-01", 20000}, {"2024-05-20", 19950}}, 30000, MileageConsistent, "", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			van := plainVan()
			van.Mileage = tt.van
			var docs []data.Document
			for _, p := range tt.papers {
				docs = append(docs, paper(t, "invoice", p.on, p.miles))
			}
			in := inspection{van: van, books: builtIn(t), policy: data.DefaultPolicy(), asOf: asOfTests}
			got, notes := in.mileage(sortedDocs(docs))
			if got != tt.want {
				t.Errorf("got %s, want %s: %v", got, tt.want, notes)
			}
			switch {
			case tt.note == "" && len(notes) == 0:
			case len(notes) != 1 || tt.note == "" || !strings.Contains(notes[0].Text, tt.note) || notes[0].Serious != tt.serious:
				t.Errorf("got %v, want one note with %q, serious %v", notes, tt.note, tt.serious)
			}
		})
	}
}

func TestMileageLeavesOutWhatIsNoEvidence(t *testing.T) {
	low := paper(t, "invoice", "2025-05-01", 900)
	verbal, promised, later := low, low, low
	verbal.Evidence, promised.Held, later.Dated = "verbal", "promised", asOfTests.AddDays(5)
	good := paper(t, "mot", "2024-05-01", 20000)
	p := assess(t, plainVan(), nil, []data.Document{good, verbal, promised, later}).Papers
	if p.Mileage != MileageConsistent {
		t.Errorf("got %s: %v", p.Mileage, p.Provenance)
	}
	said := false
	for _, n := range p.Provenance {
		said = said || strings.Contains(n.Text, "after the day of this report; it was left out")
	}
	if !said {
		t.Error("the paper from the future was dropped without a word")
	}
}
