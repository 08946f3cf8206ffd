package mail

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// late lists the vans that are promised to a customer and will not, or may not,
// be ready in time, the latest first.
func (c comparison) late() Section {
	s := Section{Title: "Promises at risk"}
	if !c.now.has("queue.csv", "") || !c.now.has("queue.csv", "promised_on") {
		s.Note = "Not known: these reports do not say what was promised."
		return s
	}
	for _, v := range c.now.late() {
		s.Items = append(s.Items, Item{v.id, v.name, c.lateText(v)})
	}
	if len(s.Items) == 0 {
		s.Note = "None: every van that is promised should be ready in time."
	}
	s.cut(vansShown, "queue.csv")
	return s
}

// late are those vans, the latest first.
func (s *Set) late() []*van {
	var vans []*van
	for _, id := range s.ids() {
		v := s.vans[id]
		if v.queued && !v.promised.IsZero() && v.daysLate() > 0 {
			vans = append(vans, v)
		}
	}
	slices.SortStableFunc(vans, func(a, b *van) int { return cmp.Compare(b.daysLate(), a.daysLate()) })
	return vans
}

// never is later than any day that work can be planned for.
const never = 1 << 20

// daysLate is how long after its promise a van is ready, four times in five at
// the latest.
func (v *van) daysLate() int {
	if v.ready.IsZero() {
		return never
	}
	return max(v.ready, v.readyP80).DaysSince(v.promised)
}

func (c comparison) lateText(v *van) string {
	promised := "promised for " + c.now.day(v.promised)
	was := c.before.find(v.id)
	moved := ""
	if was != nil && was.queued && !was.ready.IsZero() && !v.ready.IsZero() && was.ready != v.ready {
		moved = fmt.Sprintf("; it was to be ready on %s", c.now.day(was.ready))
	}
	if was != nil && was.queued && was.promised != v.promised {
		moved += "; the promise is new"
	}
	switch {
	case v.ready.IsZero():
		return promised + ", but its work can't be planned"
	case v.ready > v.promised:
		return fmt.Sprintf("%s, ready on %s: %s late%s", promised, c.now.day(v.ready), count(v.ready.DaysSince(v.promised), "day"), moved)
	}
	return fmt.Sprintf("%s, planned for %s; 80%% likely by %s%s", promised, c.now.day(v.ready), c.now.day(v.readyP80), moved)
}

// due are the parts that have to be ordered by the day of the reports, the most
// overdue first.
func (s *Set) due() []part {
	var out []part
	for _, p := range s.parts {
		if p.number > 0 && !p.orderBy.IsZero() && p.orderBy <= s.AsOf {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b part) int {
		return cmp.Or(cmp.Compare(a.orderBy, b.orderBy), cmp.Compare(a.code, b.code))
	})
	return out
}

// orders lists those parts, with the jobs that wait for parts already.
func (c comparison) orders() Section {
	s := Section{Title: "Parts to order by today"}
	if !c.now.has("parts-needed.csv", "") || !c.now.has("parts-needed.csv", "order_by") {
		s.Note = "Not known: these reports do not say by when parts are to be ordered."
		return s
	}
	due := c.now.due()
	var total sum
	for _, p := range due {
		total.add(p.total)
		text := fmt.Sprintf("%s × %s", number(p.number), shorten(cmp.Or(p.title, p.code), 60))
		if p.supplier != "" {
			text += " from " + shorten(p.supplier, 40)
		}
		if p.total.Known {
			text += ", " + data.InPounds(p.total.Value)
		}
		if len(p.vans) > 0 {
			text += ", for " + some(p.vans, 4)
		}
		if p.orderBy < c.now.AsOf {
			text += "; due since " + c.now.day(p.orderBy)
		}
		s.Items = append(s.Items, Item{Text: text})
	}
	s.Note = "None."
	if len(due) > 0 {
		s.Note = fmt.Sprintf("%s, %s ex VAT.", count(len(due), "part"), data.InPounds(total.sum))
	}
	if t := totalsOf(c.now); t.jobsWaiting > 0 {
		s.Note += fmt.Sprintf(" %s of %s wait for parts.", count(t.jobsWaiting, "job"), count(t.vansWaiting, "van"))
	}
	s.cut(partsShown, "parts-needed.csv")
	return s
}
