package attention

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// lacking tells of what the workshop does not have: a skill, a bay.
func (l *list) lacking(shortfalls []prep.Shortfall) {
	for _, s := range shortfalls {
		l.add(Thing{
			Kind: Blocked, Due: l.asOf, Who: Owner,
			What: fmt.Sprintf("%s: %s", s.Lacks, data.FirstFew(s.StockIDs)),
		})
	}
}

// orders lists the parts that must be ordered by today for the plan to keep its
// dates.
func (l *list) orders(parts []prep.PartNeed) {
	for _, p := range parts {
		if p.ToOrder == 0 || p.OrderBy > l.asOf {
			continue
		}
		t := Thing{
			Kind: Order, Due: p.OrderBy, Who: cmp.Or(p.Part.Supplier, PartsDesk),
			What:   fmt.Sprintf("order %d × %s for %s", p.ToOrder, p.Part.Title, strings.Join(p.StockIDs, ", ")),
			Pounds: data.Some(p.Total), Meaning: "cost of the order",
		}
		if len(p.StockIDs) == 1 {
			t.StockID = p.StockIDs[0]
		}
		l.add(t)
	}
}

// rejects asks for the rows that could not be used, a file at a time.
func (l *list) rejects(rejects []data.Reject) {
	rows := map[string]int{}
	var files []string
	for _, r := range rejects {
		if rows[r.File]++; rows[r.File] == 1 {
			files = append(files, r.File)
		}
	}
	slices.Sort(files)
	for _, f := range files {
		what := fmt.Sprintf("put right %d rows of %s that were not used", rows[f], f)
		if rows[f] == 1 {
			what = fmt.Sprintf("put right a row of %s that was not used", f)
		}
		l.add(Thing{Kind: Data, What: what, Who: Office})
	}
}
