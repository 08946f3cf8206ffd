package appraise

import (
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// askedUntested is how many untested systems are asked about; a longer list would
// not be read on a forecourt.
const askedUntested = 5

// ask lists what to ask the owner, the weightiest first.
func (in *inspection) ask(a Assessment) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if in.van.FinanceOwed.Known && in.van.FinanceOwed.Value.IsPositive() {
		say("Who is owed the finance of %s, and may we have the settlement in writing?", data.InPounds(in.van.FinanceOwed.Value))
	}
	switch a.Papers.Mileage {
	case MileageFalls, MileageJumps:
		say("Why does the recorded mileage %s?", strings.TrimSuffix(string(a.Papers.Mileage), "s"))
	}
	for _, n := range a.Papers.Provenance {
		switch {
		case strings.HasPrefix(n.Text, "One mileage does not fit"):
			say("Which mileage is wrong? %s", n.Text)
		case strings.HasPrefix(n.Text, "Recall notice") && n.Serious:
			say("Was the recall work done, and by whom? %s", n.Text)
		}
	}
	for _, n := range a.Identity {
		if n.Serious {
			say("Can you explain this? %s", n.Text)
		}
	}
	if in.van.Salvage != "" {
		say("What happened when it was written off (category %s), and who repaired it?", in.van.Salvage)
	}
	if p := a.Papers.Promised; len(p) > 0 {
		say("When will these promised papers arrive: %s?", data.Titles(p))
	}
	lacking := slices.DeleteFunc(slices.Clone(a.Papers.Missing), func(w string) bool { return slices.Contains(a.Papers.Promised, w) })
	if len(lacking) > 0 {
		say("Do you have any of these: %s?", data.Titles(lacking))
	}
	for _, d := range a.Damp {
		if d.Rising || d.Lone || d.HighPoints > 0 {
			say("Any known leak, insurance claim or repair at the %s?", data.Title(d.Place))
		}
	}
	if !in.van.Keepers.Known {
		say("How many keepers are on the V5C?")
	}
	if !in.van.Keys.Known {
		say("How many keys come with it?")
	}
	if systems := untestedSystems(a.Untested); len(systems) > 0 {
		say("Does everything work, as far as you know? Not yet tested: %s.", strings.Join(systems, ", "))
	}
	return out
}

// untestedSystems names the systems in which most could be hidden, with how many
// points of each were not tested.
func untestedSystems(points []Untested) []string {
	systems := UntestedBySystem(points)
	var out []string
	for _, s := range systems[:min(askedUntested, len(systems))] {
		n := len(s.Points)
		out = append(out, fmt.Sprintf("%s (%d %s)", data.Title(s.System), n, plural(n, "point", "points")))
	}
	return out
}
