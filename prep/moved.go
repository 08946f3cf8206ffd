package prep

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/vanwright/vanwright/data"
)

// Moved is a job that people were told to begin by the third working day from now and
// that has another day or person now, with the reason.
type Moved struct {
	StockID, Job string
	Was, Is      Turn
	Why          string // of this job: "LV150 (Test the gas) goes first (Bea Lunt is away)"
	Cause        string // what many moves share: "Bea Lunt is away"
}

// Turn is who begins a job when. The zero value: nobody.
type Turn struct {
	Technician string
	Start      time.Time
}

// Causes of moves. That somebody is away or has left is told by name.
const (
	causeStuck    = "work can't be planned"
	causeBegun    = "work has begun otherwise"
	causeNotBegun = "work was not begun on its day"
	causeLate     = "parts are late"
	causeComing   = "parts are on order"
	causeToOrder  = "parts have to be ordered"
	causeDrying   = "work has to dry"
	causeFound    = "work was found"
	causeNew      = "vans came in"
	causePromise  = "promises come first"
	causeLonger   = "work takes longer than planned"
	causeRoom     = "there is room sooner"
	causeOrder    = "the order is better"
)

// ByCause says of moved jobs how many have each cause, the most first: "6 jobs that
// people had been told of moved to another day or person: 4 since Bea Lunt is away, 2
// since parts are late."; nothing of none.
func ByCause(causes []string) string {
	if len(causes) == 0 {
		return ""
	}
	counts := map[string]int{}
	for _, c := range causes {
		counts[c]++
	}
	all := slices.SortedFunc(maps.Keys(counts), func(a, b string) int {
		return cmp.Or(cmp.Compare(counts[b], counts[a]), cmp.Compare(a, b))
	})
	for i, c := range all {
		all[i] = fmt.Sprintf("%d since %s", counts[c], c)
	}
	jobs := "1 job"
	if n := len(causes); n > 1 {
		jobs = fmt.Sprintf("%d jobs", n)
	}
	return jobs + " that people had been told of moved to another day or person: " + strings.Join(all, ", ") + "."
}

// moves is the plan that people work by beside the new one.
type moves struct {
	*planModel
	was, is           map[jobKey][]Block // by start
	wasTurns, isTurns map[string][]Block // by technician and by van, by start
	jobs              map[jobKey]*Job    // open
	known             map[jobKey]reason  // found already; one without text: being looked for
}

// reason is why a job moved.
type reason struct {
	text, cause string
	of          jobKey // the job at the root of it; blank: this one
	root        string // what is said of that; blank: text
}

// moved lists what moved, by van and job. A job that is still open and no longer
// planned has no new turn. What is new or done has not moved, nor what keeps its day and
// person, and nobody counts yet on what comes later.
func (p *planModel) moved(previous, blocks []Block) []Moved {
	m := moves{
		planModel: p, was: map[jobKey][]Block{}, is: map[jobKey][]Block{}, wasTurns: map[string][]Block{}, isTurns: map[string][]Block{},
		jobs: map[jobKey]*Job{}, known: map[jobKey]reason{},
	}
	for w := range p.work {
		for i := range p.work[w].Jobs {
			if j := &p.work[w].Jobs[i]; j.Open() {
				m.jobs[keyOf(j)] = j
			}
		}
	}
	sort := func(blocks []Block, jobs map[jobKey][]Block, turns map[string][]Block) {
		blocks = slices.Clone(blocks)
		slices.SortStableFunc(blocks, func(a, b Block) int { return a.Start.Compare(b.Start) })
		for _, b := range blocks {
			key := jobKey{b.StockID, b.Job}
			jobs[key] = append(jobs[key], b)
			turns[b.Technician] = append(turns[b.Technician], b)
			turns[b.StockID] = append(turns[b.StockID], b)
		}
	}
	sort(previous, m.was, m.wasTurns)
	sort(blocks, m.is, m.isTurns)
	soon := p.shop.SoonUntil(p.asOf)
	var out []Moved
	// In a ring of jobs that took each other's turns the one asked first is at the root.
	for _, key := range slices.SortedFunc(maps.Keys(m.was), func(a, b jobKey) int {
		return cmp.Or(cmp.Compare(a.stockID, b.stockID), cmp.Compare(a.code, b.code))
	}) {
		told := Turn{m.was[key][0].Technician, m.was[key][0].Start}
		if m.jobs[key] == nil || data.DateOf(told.Start) > soon || !m.hasMoved(key) {
			continue
		}
		why := m.why(key)
		moved := Moved{StockID: key.stockID, Job: key.code, Was: told, Why: why.text, Cause: why.cause}
		if is := m.is[key]; len(is) > 0 {
			moved.Is = Turn{is[0].Technician, is[0].Start}
		}
		out = append(out, moved)
	}
	return out
}

// hasMoved reports whether an open job that was planned has another day or person.
// One that has begun has no other day.
func (m *moves) hasMoved(key jobKey) bool {
	was, is := m.was[key], m.is[key]
	if len(is) > 0 && m.jobs[key].State == data.JobStarted && was[0].Technician == is[0].Technician {
		return false // it goes on
	}
	return len(is) == 0 || was[0].Technician != is[0].Technician || data.DateOf(was[0].Start) != data.DateOf(is[0].Start)
}

// hasShifted reports whether such a job has another start or person: what makes it
// wait may make others wait, though it keeps its day.
func (m *moves) hasShifted(key jobKey) bool {
	was, is := m.was[key], m.is[key]
	return len(is) == 0 || was[0].Technician != is[0].Technician || !was[0].Start.Equal(is[0].Start)
}

// why says why a job moved, by what stands in its own way, then by what has its
// turn now.
func (m *moves) why(key jobKey) reason {
	if r, ok := m.known[key]; ok {
		if r.text == "" { // two jobs changed places
			return reason{cause: causeOrder}
		}
		return r
	}
	m.known[key] = reason{}
	r := m.ownReason(key)
	if r.text == "" {
		r = m.turnReason(key)
	}
	m.known[key] = r
	return r
}

// ownReason is what keeps a job itself from being done as people were told.
func (m *moves) ownReason(key jobKey) reason {
	j, told := m.jobs[key], m.was[key][0]
	day := data.DateOf(told.Start)
	at := slices.IndexFunc(m.shop.Team, func(t data.Technician) bool { return t.Name == told.Technician })
	switch {
	case len(m.is[key]) == 0:
		for w := range m.work {
			if why := m.stuckOf[w][key.code]; m.work[w].Van.StockID == key.stockID && why != "" {
				return reason{text: "can't be planned: " + why, cause: causeStuck}
			}
		}
		return reason{text: "can't be planned", cause: causeStuck}
	case j.State == data.JobStarted && at >= 0 && m.shop.HoursOn(m.shop.Team[at], m.asOf) == 0:
		away := told.Technician + " is away"
		return reason{text: away, cause: away}
	case j.State == data.JobStarted:
		return reason{text: "has begun", cause: causeBegun}
	case at < 0:
		gone := told.Technician + " is no longer in the team"
		return reason{text: gone, cause: gone}
	case day >= m.asOf && m.shop.HoursOn(m.shop.Team[at], day) == 0:
		away := told.Technician + " is away"
		return reason{text: away, cause: away}
	case m.asOf.AddDays(m.wait[key]) > day && m.wait[key] > 0 && m.followsOn(m.asOf.AddDays(m.wait[key]), data.DateOf(m.is[key][0].Start)):
		return m.partReason(j)
	case day < m.asOf:
		return reason{text: "was not begun on its day", cause: causeNotBegun}
	}
	return m.reasonBefore(j, told)
}

// followsOn reports whether nobody works between two days: what begins on the second
// has waited for the first.
func (m *moves) followsOn(first, second data.Date) bool {
	for day := first.AddDays(1); day < second; day = day.AddDays(1) {
		if m.shop.open(day) {
			return false
		}
	}
	return true
}

// partReason is which parts a job waits for, and whether they are late, on their way or
// not even ordered.
func (m *moves) partReason(j *Job) reason {
	cause := causeToOrder
	if j.State == data.JobAwaitingParts {
		cause = causeComing
	}
	var titles []string
	for _, code := range m.short[keyOf(j)] {
		part, _ := m.books.Part(code)
		titles = append(titles, cmp.Or(part.Title, code))
		for _, o := range m.shop.Orders {
			if o.Part != code || o.StockID != "" && o.StockID != j.StockID || !o.ArrivedOn.IsZero() && o.ArrivedOn <= m.asOf {
				continue
			}
			if !o.DueOn.IsZero() && o.DueOn < m.asOf {
				cause = causeLate
			} else if cause == causeToOrder {
				cause = causeComing
			}
		}
	}
	in := m.asOf.AddDays(m.wait[keyOf(j)]).Time().Format("2 Jan")
	return reason{text: fmt.Sprintf("waits until %s for %s", in, cmp.Or(joinWords(titles), "parts")), cause: cause}
}

// reasonBefore is what other work on the van has to come before a job and ends too
// late for its turn.
func (m *moves) reasonBefore(j *Job, told Block) reason {
	jobs := m.work[slices.IndexFunc(m.work, func(w VanJobs) bool { return w.Van.StockID == j.StockID })].Jobs
	for before := range comesAfter(jobs, *j) {
		first := keyOf(&before)
		is := m.is[first]
		if len(is) == 0 {
			if dry := dryUntil(before, m.asOf); m.asOf.Time().Add(time.Duration(dry) * time.Minute).After(told.Start) {
				return reason{text: inQuotes(before.Title) + " has to dry", cause: causeDrying}
			}
			continue
		}
		done := is[len(is)-1].Finish.Add(time.Duration(before.DryingHours * float64(time.Hour)))
		if !done.After(told.Start) {
			continue
		}
		if r := m.changed(first); r.cause != "" {
			return m.chained("comes after "+inQuotes(before.Title), r, first)
		}
	}
	return reason{}
}

// turnReason is what has a job's turn now, or what left it an earlier one.
func (m *moves) turnReason(key jobKey) reason {
	was, is := m.was[key][0], m.is[key][0]
	if is.Start.Before(was.Start) {
		if m.isPromised(key.stockID) {
			return reason{text: "is promised to a customer", cause: causePromise}
		}
		if other, ok := at(m.wasTurns[is.Technician], is.Start, is.Start.Add(time.Minute)); ok && other != key && m.jobs[other] != nil && m.hasShifted(other) {
			return m.chained("has the turn of "+m.name(other, key), m.why(other), other)
		}
		return reason{text: "there is room for it sooner", cause: causeRoom}
	}
	if r, ok := m.overtaken(key, m.isTurns[was.Technician]); ok {
		return r
	}
	if r, ok := m.overtaken(key, m.isTurns[was.StockID]); ok {
		return r
	}
	return reason{text: "the order is better so", cause: causeOrder}
}

// overtaken says what of some blocks goes before a job that it was to come after: the
// first of which more is known than that it does, or the first.
func (m *moves) overtaken(key jobKey, blocks []Block) (reason, bool) {
	was, is := m.was[key][0], m.is[key][0]
	var first jobKey
	for _, b := range blocks {
		other := jobKey{b.StockID, b.Job}
		if other == key || !b.Finish.After(was.Start) || !b.Start.Before(later(is.Start, was.Finish)) {
			continue
		}
		if before := m.was[other]; len(before) > 0 && before[0].Start.Before(was.Start) && !m.grown(other) && !m.hasShifted(other) {
			continue
		}
		first = cmp.Or(first, other)
		if r := m.changed(other); r.cause != "" && r.cause != causeOrder && r.cause != causeRoom {
			return m.chained(m.name(other, key)+" goes first", r, other), true
		}
	}
	return m.chained(m.name(first, key)+" goes first", reason{cause: causeOrder}, first), first != jobKey{}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// changed is what is new about a job that stands in the way of another.
func (m *moves) changed(key jobKey) reason {
	was, is := m.was[key], m.is[key]
	switch {
	case len(m.wasTurns[key.stockID]) == 0:
		return reason{text: "the van came in", cause: causeNew}
	case len(was) == 0:
		return reason{text: "is new work", cause: causeFound}
	case m.grown(key):
		return reason{text: "takes longer than planned", cause: causeLonger}
	case !m.hasShifted(key):
		return reason{}
	case m.isPromised(key.stockID) && is[0].Start.Before(was[0].Start):
		return reason{text: "is promised to a customer", cause: causePromise}
	}
	return m.why(key)
}

// grown reports whether more is to be done of a job than was planned of it, by a step
// in which people are told to work at the least.
func (m *moves) grown(key jobKey) bool {
	return m.minutesFromNow(m.is[key]) >= m.minutesFromNow(m.was[key])+gridMinutes
}

// minutesFromNow adds up what is still to come of some blocks.
func (m *moves) minutesFromNow(blocks []Block) int {
	sum := time.Duration(0)
	for _, b := range blocks {
		if !b.Start.Before(m.asOf.Time()) {
			sum += b.Finish.Sub(b.Start)
		}
	}
	return int(sum / time.Minute)
}

// at returns the job of the first of some blocks within a stretch of time.
func at(blocks []Block, from, to time.Time) (jobKey, bool) {
	for _, b := range blocks {
		if b.Start.Before(to) && b.Finish.After(from) {
			return jobKey{b.StockID, b.Job}, true
		}
	}
	return jobKey{}, false
}

func (m *moves) isPromised(stockID string) bool {
	return slices.ContainsFunc(m.work, func(w VanJobs) bool { return w.Van.StockID == stockID && !w.Van.PromisedOn.IsZero() })
}

// name is what a job is called beside one that moved: by its title, and by its van where
// that is another.
func (m *moves) name(key, beside jobKey) string {
	title := key.code
	if j := m.jobs[key]; j != nil {
		title = j.Title
	}
	if key.stockID == beside.stockID {
		return inQuotes(title) + " of the same van"
	}
	return key.stockID + " " + inQuotes(title)
}

func inQuotes(title string) string { return "“" + title + "”" }

// chained is the reason of a job whose turn hangs on another's: what lies at the root
// is said, not each link. That there is room sooner for what goes first is no reason to
// make room for it: the order is better.
func (m *moves) chained(what string, why reason, other jobKey) reason {
	if why.cause == causeOrder || why.cause == causeRoom {
		return reason{text: what + "; the order is better so", cause: causeOrder}
	}
	root, of := cmp.Or(why.root, why.text), cmp.Or(why.of, other)
	said := root
	if of != other {
		said = m.name(of, other) + ": " + root
	}
	return reason{text: fmt.Sprintf("%s (%s)", what, said), cause: why.cause, of: of, root: root}
}
