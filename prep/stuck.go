package prep

import (
	"cmp"
	"slices"
	"strings"
)

// Shortfall is a skill or a kind of bay that open work needs and the workshop
// has not, at the site of the vans that it stops.
type Shortfall struct {
	Lacks    string   // "nobody here has the skill gas"
	StockIDs []string // vans that it stops, sorted
}

func (s Shortfall) String() string { return s.Lacks + ": " + strings.Join(s.StockIDs, ", ") }

// shortfalls lists what is lacking, what stops most vans first.
func (p *planModel) shortfalls() []Shortfall {
	var out []Shortfall
	for w, van := range p.work {
		for i := range van.Jobs {
			j := &van.Jobs[i]
			if !j.Open() {
				continue
			}
			lacks := p.floor.lacks(j, p.siteOf(w, j))
			if lacks == "" {
				continue
			}
			k := slices.IndexFunc(out, func(s Shortfall) bool { return s.Lacks == lacks })
			if k < 0 {
				k = len(out)
				out = append(out, Shortfall{Lacks: lacks})
			}
			if !slices.Contains(out[k].StockIDs, van.Van.StockID) {
				out[k].StockIDs = append(out[k].StockIDs, van.Van.StockID)
			}
		}
	}
	for k := range out {
		slices.Sort(out[k].StockIDs)
	}
	slices.SortFunc(out, func(a, b Shortfall) int {
		return cmp.Or(cmp.Compare(len(b.StockIDs), len(a.StockIDs)), cmp.Compare(a.Lacks, b.Lacks))
	})
	return out
}

// stuck says of each open job of a van that can't be planned in any order why:
// nobody has the skill, there is no such bay, or it waits for a job that is
// stuck.
func (p *planModel) stuck(w int) map[string]string {
	jobs, stuck := p.work[w].Jobs, map[string]string{}
	for range jobs { // each pass reaches at least one link further
		before := len(stuck)
		for i := range jobs {
			j := &jobs[i]
			if !j.Open() || stuck[j.Code] != "" {
				continue
			}
			if why := p.floor.lacks(j, p.siteOf(w, j)); why != "" {
				stuck[j.Code] = why
				continue
			}
			for first := range comesAfter(jobs, *j) {
				if stuck[first.Code] != "" {
					stuck[j.Code] = "waits for " + first.Code
					break
				}
			}
		}
		if len(stuck) == before {
			break
		}
	}
	return stuck
}
