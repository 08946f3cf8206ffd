package appraise

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

// Straight line between the two figures at 2 and 15 years: the model that
// book.go states; common practice, no source.
func TestTheChanceOfAHiddenDefect(t *testing.T) {
	c := &data.Checkpoint{RiskNewPct: 2, RiskOldPct: 28}
	for age, want := range map[float64]float64{0: 0.02, 2: 0.02, 8.5: 0.15, 15: 0.28, 40: 0.28} {
		if got := chanceAt(c, age); !near64(got, want) {
			t.Errorf("at %v years: got %v, want %v", age, got, want)
		}
	}
}

func untestedOf(a Assessment, checkpoint string) (Untested, bool) {
	i := slices.IndexFunc(a.Untested, func(u Untested) bool { return u.Checkpoint == checkpoint })
	if i < 0 {
		return Untested{}, false
	}
	return a.Untested[i], true
}

func TestWhatIsUntested(t *testing.T) {
	van := plainVan() // gas, hook-up, three-way fridge; no awning
	tests := []struct {
		name       string
		checkpoint string
		readings   []data.Reading
		want       bool
	}{
		{"fitted and not read", "fridge-gas", nil, true},
		{"not fitted", "awning", nil, false},
		{"fits every van", "damp-smell", nil, true},
		{"read", "fridge-gas", []data.Reading{said("fridge-gas", "", data.Sound, "")}, false},
		{"found broken", "fridge-gas", []data.Reading{said("fridge-gas", "", data.Defect, "")}, false},
		{"the inspector says untested", "fridge-gas", []data.Reading{said("fridge-gas", "", data.Untested, "no gas in the bottle")}, true},
		{"keys counted in vans.csv", "keys-count", nil, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, got := untestedOf(assess(t, van, tt.readings, nil), tt.checkpoint); got != tt.want {
				t.Errorf("listed %v, want %v", got, tt.want)
			}
		})
	}
}

func TestAPointReadInPartCarriesTheRest(t *testing.T) {
	all, _ := untestedOf(assess(t, plainVan(), nil, nil), tyreTread)
	half, _ := untestedOf(assess(t, plainVan(), []data.Reading{read(tyreTread, "nearside-front", 6), read(tyreTread, "offside-front", 6)}, nil), tyreTread)
	if !near64(half.Chance, all.Chance/2) || !slices.Equal(half.Places, []string{"nearside-rear", "offside-rear"}) {
		t.Errorf("two of four wheels: got %v at %v, want half of %v", half.Chance, half.Places, all.Chance)
	}
	sides, ok := untestedOf(assess(t, plainVan(), dampAt("nearside-rear-low", 10, "offside-rear-low", 10, "front-centre-low", 10, "rear-centre-low", 10), nil), damp)
	if want := []string{"floor", "roof"}; !ok || !slices.Equal(sides.Places, want) {
		t.Errorf("damp: got %v, want %v left (no over-cab on this body)", sides.Places, want)
	}
	twins, ok := untestedOf(assess(t, plainVan(), []data.Reading{
		read(tyreTread, "nearside-front", 6), read(tyreTread, "offside-front", 6),
		read(tyreTread, "nearside-rear-inner", 6), read(tyreTread, "nearside-rear-outer", 6),
		read(tyreTread, "offside-rear-inner", 6)}, nil), tyreTread)
	if want := []string{"offside-rear-outer"}; !ok || !slices.Equal(twins.Places, want) {
		t.Errorf("twins: got %v, want %v left", twins.Places, want)
	}
}

func TestQuestionsForTheOwner(t *testing.T) {
	van := plainVan()
	van.Keepers, van.Keys = data.Opt[int]{}, data.Opt[int]{}
	van.Salvage = "N"
	a := assess(t, van, dampAt("offside-rear-low", 22, "offside-rear-middle", 23), append(fullHistory(t), paper(t, "invoice", "2025-09-01", 12000)))
	want := []string{
		"Which mileage is wrong? One mileage does not fit the others: 12,000 miles (invoice of 1 Sep 2025). The other 9 agree. Ask about it; it is left as written.",
		"What happened when it was written off (category N), and who repaired it?",
		"Do you have any of these: damp report?", // the damp makes the old one history
		"Any known leak, insurance claim or repair at the offside rear?",
		"How many keepers are on the V5C?",
		"How many keys come with it?",
	}
	if diff := cmp.Diff(want, a.Ask[:len(want)]); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	last := a.Ask[len(want)]
	if !strings.HasPrefix(last, "Does everything work") || strings.Count(last, "(") != askedUntested || len(a.Ask) != len(want)+1 {
		t.Errorf("got %q; want one question that names %d untested systems", last, askedUntested)
	}
}
