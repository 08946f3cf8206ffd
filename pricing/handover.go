package pricing

import (
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// StopsHandover says in sentences without a stop what forbids that a van is handed
// over: unsafe points, work open that it may not go without, papers, finance, a
// write-off that may not be sold. Empty where nothing on record does; that is no
// word that the van is safe.
func StopsHandover(a *appraise.Assessment, jobs []prep.Job, asOf data.Date) []string {
	var out []string
	add := func(text string) {
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	for _, f := range a.Stops() {
		add(strings.TrimSuffix(f.Says(), "."))
	}
	for _, paper := range MissingToHandOver(a, asOf) {
		add(paper)
	}
	if owed := a.Van.FinanceOwed; owed.Known && owed.Value.IsPositive() {
		add("finance of " + data.InPounds(owed.Value) + " is owed on it")
	}
	if s := a.Van.Salvage; s == "A" || s == "B" {
		add("salvage category " + s + ": it may not be sold for the road")
	}
	var open []string
	for _, j := range jobs {
		if j.Open() && (j.Gate == "roadworthy" || j.Gate == "habitation") && !slices.Contains(open, j.Title) {
			open = append(open, j.Title)
		}
	}
	if len(open) > 0 {
		add("not done: " + strings.Join(open, "; "))
	}
	return out
}
