package prep

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// holidays2026 are the bank holidays of England and Wales, as listed at
// public-holidays.us.
var holidays2026 = []string{"2026-01-01", "2026-04-03", "2026-04-06", "2026-05-04", "2026-05-25", "2026-08-31", "2026-12-25", "2026-12-28"}

// stay is a job's time on one van, from its first block to its last.
type stay struct {
	Block // the first, with Finish that of the last
	job   Job
	hours float64
}

// checkPlan looks for broken rules in what the plan tells people to do. It
// works from the blocks and the input alone and shares no code with the
// planning.
func checkPlan(plan Plan, work []VanJobs, shop Workshop, books *data.Books, asOf data.Date) error {
	stays, err := staysOf(plan, work)
	if err != nil {
		return err
	}
	for _, check := range []func() error{
		func() error { return checkPeople(plan, shop, asOf) },
		func() error { return checkStays(stays, shop) },
		func() error { return checkApart(stays) },
		func() error { return checkWays(plan, shop) },
		func() error { return checkOrder(stays, work, books) },
		func() error { return checkShelf(stays, books, asOf) },
		func() error { return checkQueue(plan, stays, work) },
	} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

func staysOf(plan Plan, work []VanJobs) (map[jobKey]stay, error) {
	stays := map[jobKey]stay{}
	for _, b := range plan.Blocks {
		key := jobKey{b.StockID, b.Job}
		s, ok := stays[key]
		if !ok {
			i := slices.IndexFunc(work, func(w VanJobs) bool { return w.Van.StockID == b.StockID })
			if i < 0 {
				return nil, fmt.Errorf("%s is not in the yard", b.StockID)
			}
			s = stay{Block: b, job: jobOf(work[i].Jobs, b.Job)}
		}
		if b.Technician != s.Technician || b.Bay != s.Bay {
			return nil, fmt.Errorf("%v: changes hands or bays: %s in %s, %s in %s", key, s.Technician, s.Bay, b.Technician, b.Bay)
		}
		s.Finish = b.Finish
		s.hours += b.Finish.Sub(b.Start).Hours()
		stays[key] = s
	}
	return stays, nil
}

// checkPeople: nobody twice at once, nobody outside their hours.
func checkPeople(plan Plan, shop Workshop, asOf data.Date) error {
	busy := map[string]time.Time{}
	for _, b := range plan.Blocks { // by start
		if b.Start.Before(asOf.Time()) || !b.Start.Before(b.Finish) {
			return fmt.Errorf("%v: begins on %v, planned on %v", b, b.Start, asOf)
		}
		if b.Start.Before(busy[b.Technician]) {
			return fmt.Errorf("%s does two things at %v", b.Technician, b.Start)
		}
		busy[b.Technician] = b.Finish
		i := slices.IndexFunc(shop.Team, func(t data.Technician) bool { return t.Name == b.Technician })
		if i < 0 {
			return fmt.Errorf("%s is not in the team", b.Technician)
		}
		day := data.DateOf(b.Start)
		open := day.Time().Add(8 * time.Hour)
		closing := open.Add(time.Duration(shop.Team[i].Hours[b.Start.Weekday()] * float64(time.Hour)))
		if b.Start.Before(open) || b.Finish.After(closing) {
			return fmt.Errorf("%s works from %v to %v, outside the day's hours", b.Technician, b.Start, b.Finish)
		}
		if slices.Contains(holidays2026, day.String()) && shop.Region == "england-wales" {
			return fmt.Errorf("%s works on %v, a bank holiday", b.Technician, day)
		}
		for _, a := range shop.Absences {
			if (a.Technician == "" || a.Technician == b.Technician) && day >= a.From && day <= a.To {
				return fmt.Errorf("%s works on %v, when away", b.Technician, day)
			}
		}
	}
	return nil
}

// checkStays: the right person, the right bay, the whole of the work.
func checkStays(stays map[jobKey]stay, shop Workshop) error {
	for key, s := range stays {
		if !s.job.Open() {
			return fmt.Errorf("%v is %s and planned again", key, s.job.State)
		}
		i := slices.IndexFunc(shop.Team, func(t data.Technician) bool { return t.Name == s.Technician })
		if !slices.Contains(shop.Team[i].Skills, s.job.Skill) {
			return fmt.Errorf("%v: %s work is given to %s, who has not the skill", key, s.job.Skill, s.Technician)
		}
		if spare := s.hours*60 - s.job.HoursLeft.InexactFloat64()*60; spare < -1e-6 || spare > 1 {
			return fmt.Errorf("%v: %v hours are planned, %s are left", key, s.hours, s.job.HoursLeft)
		}
		if s.job.State == data.JobStarted && s.job.Technician != s.Technician {
			began := slices.IndexFunc(shop.Team, func(t data.Technician) bool { return t.Name == s.job.Technician })
			// Somebody who works at another site can't go on with it here.
			if began >= 0 && shop.Team[began].HasSkill(s.job.Skill) && (shop.Team[began].Site == "" || shop.Team[began].Site == s.Site) {
				return fmt.Errorf("%v was begun by %s and goes to %s", key, s.job.Technician, s.Technician)
			}
		}
		if s.job.Bay == "" {
			if s.Bay != "" {
				return fmt.Errorf("%v needs no bay and is in %s", key, s.Bay)
			}
			continue
		}
		if !slices.ContainsFunc(shop.Bays, func(b data.Bay) bool {
			_, isNumber, _ := strings.Cut(strings.TrimPrefix(s.Bay, b.Name), " ")
			return b.Kind == s.job.Bay && (s.Bay == b.Name && b.Count == 1 ||
				strings.HasPrefix(s.Bay, b.Name+" ") && isNumber >= "1" && isNumber <= fmt.Sprint(b.Count))
		}) {
			return fmt.Errorf("%v needs a %s bay and is in %q", key, s.job.Bay, s.Bay)
		}
	}
	return nil
}

// checkApart: no bay and no van twice at once, nights and weekends included.
func checkApart(stays map[jobKey]stay) error {
	var all []stay
	for _, s := range stays {
		all = append(all, s)
	}
	slices.SortFunc(all, func(a, b stay) int { return cmp.Or(a.Start.Compare(b.Start), a.Finish.Compare(b.Finish)) })
	bay, van := map[string]stay{}, map[string]stay{}
	for _, s := range all {
		if was := bay[s.Bay]; s.Bay != "" && s.Start.Before(was.Finish) {
			return fmt.Errorf("bay %s holds %s and %s at %v", s.Bay, was.StockID, s.StockID, s.Start)
		}
		if was := van[s.StockID]; s.Start.Before(was.Finish) {
			return fmt.Errorf("%s has %s and %s at %v", s.StockID, was.job.Code, s.job.Code, s.Start)
		}
		bay[s.Bay], van[s.StockID] = s, s
	}
	return nil
}

// wayMinutes is what quick and real leave the policy's default at.
const wayMinutes = 45

// checkWays: everybody works where they and the bay belong, and has the time to get
// from one site to another within a day, where the list of drives has it. Hours of
// shop have no break, or the way is no shorter for it.
func checkWays(plan Plan, shop Workshop) error {
	at := map[string]Block{} // by person: what they did last
	drives := slices.Clone(plan.Drives)
	for _, b := range plan.Blocks { // by start
		person := shop.Team[slices.IndexFunc(shop.Team, func(t data.Technician) bool { return t.Name == b.Technician })]
		if person.Site != "" && b.Site != person.Site && b.Job != transferJob {
			return fmt.Errorf("%s of %s works at %s", person.Name, person.Site, b.Site)
		}
		if k := slices.IndexFunc(shop.Bays, func(bay data.Bay) bool {
			return b.Bay == bay.Name || bay.Count > 1 && strings.HasPrefix(b.Bay, bay.Name+" ")
		}); k >= 0 && shop.Bays[k].Site != "" && shop.Bays[k].Site != b.Site {
			return fmt.Errorf("%s works in %s at %s", person.Name, b.Bay, b.Site)
		}
		last, ok := at[person.Name]
		from := last.Site
		if last.Job == transferJob {
			from = otherSite(shop, last.Site)
		}
		if ok && data.DateOf(last.Finish) == data.DateOf(b.Start) && from != b.Site && (last.StockID != b.StockID || last.Job != b.Job) {
			if way := b.Start.Sub(last.Finish); way < wayMinutes*time.Minute {
				return fmt.Errorf("%s is at %s until %v and at %s at %v", person.Name, from, last.Finish, b.Site, b.Start)
			}
			k := slices.IndexFunc(drives, func(d Drive) bool {
				return d.Technician == person.Name && d.From == from && d.To == b.Site && !d.Start.Before(last.Finish) && !d.Finish.After(b.Start) && d.Finish.Sub(d.Start) >= wayMinutes*time.Minute
			})
			if k < 0 {
				return fmt.Errorf("%s drives from %s to %s before %v, and no list says so", person.Name, from, b.Site, b.Start)
			}
			drives = slices.Delete(drives, k, k+1)
		}
		at[person.Name] = b
	}
	if len(drives) > 0 {
		return fmt.Errorf("drives that nobody needs: %v", drives)
	}
	return nil
}

// otherSite is where a drive that begins at one of two sites ends.
func otherSite(shop Workshop, site string) string {
	for _, other := range newFloor(shop).sites {
		if other != site {
			return other
		}
	}
	return site
}

// checkOrder: what the book puts first is done, and dry, before what follows.
func checkOrder(stays map[jobKey]stay, work []VanJobs, books *data.Books) error {
	for key, s := range stays {
		i := slices.IndexFunc(work, func(w VanJobs) bool { return w.Van.StockID == key.stockID })
		for _, before := range work[i].Jobs {
			if !bookPuts(books, before.Code, key.code) {
				continue
			}
			drying := time.Duration(before.DryingHours * float64(time.Hour))
			switch {
			case before.Open():
				first, planned := stays[jobKey{key.stockID, before.Code}]
				if !planned {
					return fmt.Errorf("%v is planned, and %s, which comes first, is not", key, before.Code)
				}
				if s.Start.Before(first.Finish.Add(drying)) {
					return fmt.Errorf("%v begins at %v: %s ends at %v and dries for %v", key, s.Start, before.Code, first.Finish, drying)
				}
			case before.State == data.JobDone && !before.DoneOn.IsZero() && drying > 0:
				if dry := before.DoneOn.Time().Add(16*time.Hour + drying); s.Start.Before(dry) {
					return fmt.Errorf("%v begins at %v: %s is not dry until %v", key, s.Start, before.Code, dry)
				}
			}
		}
	}
	return nil
}

// bookPuts reports whether the labour book has one job before another, directly
// or not, or it is a test's or a photograph's place to come last.
func bookPuts(books *data.Books, before, after string) bool {
	seen := map[string]bool{}
	todo := []string{after}
	for len(todo) > 0 {
		j, _ := books.Job(todo[0])
		todo = todo[1:]
		for _, b := range j.After {
			if b == before {
				return true
			}
			if !seen[b] {
				seen[b] = true
				todo = append(todo, b)
			}
		}
	}
	return false
}

// checkShelf: what begins before an order could arrive comes off the shelf.
func checkShelf(stays map[jobKey]stay, books *data.Books, asOf data.Date) error {
	taken := map[string]int{}
	for key, s := range stays {
		if s.job.State == data.JobStarted {
			continue // with the van already
		}
		for _, use := range s.job.Parts {
			part, ok := books.Part(use.Part)
			if !ok || !data.DateOf(s.Start).Time().Before(asOf.AddDays(part.LeadDays).Time()) {
				continue
			}
			if taken[part.Code] += use.Qty; taken[part.Code] > part.InStock {
				return fmt.Errorf("%v and others take %d of %s: %d are on the shelf", key, taken[part.Code], part.Code, part.InStock)
			}
		}
	}
	return nil
}

// checkQueue: each van once, ready when its last work is done and dry; none of
// its work is lost.
func checkQueue(plan Plan, stays map[jobKey]stay, work []VanJobs) error {
	if len(plan.Queue) != len(work) {
		return fmt.Errorf("%d vans in the queue of %d", len(plan.Queue), len(work))
	}
	rows := map[string]QueueRow{}
	for i, row := range plan.Queue {
		if row.Rank != i+1 || rows[row.Van.StockID].Rank > 0 {
			return fmt.Errorf("row %d is %+v", i, row)
		}
		rows[row.Van.StockID] = row
	}
	for _, w := range work {
		row := rows[w.Van.StockID]
		var ready time.Time
		lost := false
		for _, j := range w.Jobs {
			if !j.Open() {
				continue
			}
			s, planned := stays[jobKey{j.StockID, j.Code}]
			if !planned {
				lost = true
				if !slices.ContainsFunc(row.WaitingFor, func(why string) bool { return strings.HasPrefix(why, j.Code+": ") }) {
					return fmt.Errorf("%s %s is not planned, and nobody says so: %q", j.StockID, j.Code, row.WaitingFor)
				}
				continue
			}
			if dry := s.Finish.Add(time.Duration(j.DryingHours * float64(time.Hour))); dry.After(ready) {
				ready = dry
			}
		}
		switch {
		case lost && !row.ReadyOn.IsZero():
			return fmt.Errorf("%s is ready on %v with work that nobody plans", w.Van.StockID, row.ReadyOn)
		case lost:
			continue
		case row.ReadyOn.IsZero() || row.ReadyP80 < row.ReadyOn:
			return fmt.Errorf("%s is ready on %q, with four chances in five on %q", w.Van.StockID, row.ReadyOn, row.ReadyP80)
		case row.ReadyOn.Time().AddDate(0, 0, 1).Before(ready):
			return fmt.Errorf("%s is ready on %v; its last work is done and dry at %v", w.Van.StockID, row.ReadyOn, ready)
		}
	}
	return nil
}

// A checker that finds nothing would pass every plan: each case breaks one rule
// of a good one.
func TestTheCheckerCatches(t *testing.T) {
	shop := small("Pat", "Sam")
	shop.Team[1].Skills = []string{"valet"}
	shop.Region = "england-wales"
	work := []VanJobs{
		wanted(t, "V1", 20, []data.Progress{{Job: "strip", State: data.JobDone}}, "strip", "dry", "reseal"),
		wanted(t, "V2", 10, nil, "tyre-replace", "valet"),
	}
	find := func(p *Plan, id, job string) *Block {
		return &p.Blocks[slices.IndexFunc(p.Blocks, func(b Block) bool { return b.StockID == id && b.Job == job })]
	}
	move := func(b *Block, by time.Duration) { b.Start, b.Finish = b.Start.Add(by), b.Finish.Add(by) }
	shop = atSites(shop)
	for i := range work {
		work[i].Van.Site = "Saltmere"
	}
	for name, spoil := range map[string]func(*Plan){
		"a drive that nobody needs": func(p *Plan) { p.Drives = []Drive{{Technician: "Pat"}} },
		"work at a site of others":  func(p *Plan) { find(p, "V2", "valet").Site = "Thornholt" },
		"work before the day":       func(p *Plan) { move(find(p, "V2", "valet"), -24*time.Hour) },
		"work in the evening":       func(p *Plan) { move(find(p, "V2", "valet"), 9*time.Hour) },
		"work on a Sunday":          func(p *Plan) { move(find(p, "V2", "valet"), 3*24*time.Hour) },
		"work on Good Friday":       func(p *Plan) { move(find(p, "V2", "valet"), 15*24*time.Hour) },
		"two things at once": func(p *Plan) {
			b := find(p, "V2", "valet")
			move(b, p.Blocks[0].Start.Sub(b.Start))
			b.Technician = "Pat"
		},
		"a stranger":                  func(p *Plan) { find(p, "V2", "valet").Technician = "Kim" },
		"somebody without the skill":  func(p *Plan) { find(p, "V2", "tyre-replace").Technician = "Sam" },
		"a bay of another kind":       func(p *Plan) { find(p, "V2", "valet").Bay = "ramp 1" },
		"a bay that is not there":     func(p *Plan) { find(p, "V2", "valet").Bay = "valet 3" },
		"less than the work":          func(p *Plan) { b := find(p, "V2", "valet"); b.Finish = b.Finish.Add(-time.Hour) },
		"wet walls sealed":            func(p *Plan) { move(find(p, "V1", "reseal"), -3*24*time.Hour) },
		"parts that are not in":       func(p *Plan) { move(find(p, "V2", "tyre-replace"), -2*24*time.Hour) },
		"a job lost":                  func(p *Plan) { p.Blocks = p.Blocks[1:] },
		"a van lost":                  func(p *Plan) { p.Queue = p.Queue[1:] },
		"ready before the work is":    func(p *Plan) { p.Queue[0].ReadyOn = thursday.AddDays(-1) },
		"four in five before one day": func(p *Plan) { p.Queue[0].ReadyP80 = p.Queue[0].ReadyOn.AddDays(-1) },
	} {
		plan := mustPlan(t, work, shop, books(t), thursday, nil)
		if err := checkPlan(plan, work, shop, books(t), thursday); err != nil {
			t.Fatal(err)
		}
		spoil(&plan)
		slices.SortStableFunc(plan.Blocks, func(a, b Block) int { return a.Start.Compare(b.Start) })
		if checkPlan(plan, work, shop, books(t), thursday) == nil {
			t.Errorf("%s: not caught", name)
		}
	}
	// Two vans in one bay, and one van in two places, need a second person.
	stays := map[jobKey]stay{}
	for i, at := range []struct{ id, bay string }{{"V1", "ramp"}, {"V2", "ramp"}} {
		b := told(at.id, thursday, 8+3*i, "Pat")
		b.Bay = at.bay
		stays[jobKey{at.id, "strip"}] = stay{b, Job{Code: "strip", HoursLeft: decimal.NewFromInt(4)}, 4}
	}
	if checkApart(stays) == nil {
		t.Error("two vans in one bay: not caught")
	}
	two := stays[jobKey{"V2", "strip"}]
	two.StockID, two.Bay = "V1", "other"
	stays[jobKey{"V2", "strip"}] = two
	if checkApart(stays) == nil {
		t.Error("one van in two places: not caught")
	}
}
