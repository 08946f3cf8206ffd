package schedule

import (
	"math"
	"slices"
	"sort"
)

// bookings are the busy stretches of something that does one thing at a time,
// sorted, disjoint, and joined where they touch.
type bookings []Interval

// gap returns the earliest x from t on such that [x, x+length) is free, for a
// length above 0.
func (b bookings) gap(t, length int) int {
	i := sort.Search(len(b), func(i int) bool { return b[i].To > t })
	for ; i < len(b) && b[i].From < t+length; i++ {
		t = max(t, b[i].To)
	}
	return t
}

// clear returns from where [from, to) is free, otherwise the time before which
// no start avoids the clash.
func (b bookings) clear(from, to int) int {
	i := sort.Search(len(b), func(i int) bool { return b[i].From >= to })
	if i == 0 {
		return from
	}
	return max(from, b[i-1].To)
}

// diary is the bookings of somebody, with the time before which no gap is long
// enough for any work: a search that begins there instead walks past nothing.
type diary struct {
	booked   bookings
	ends     []ends // of each stretch of booked: where it begins and leaves its worker
	full     int    // no gap of the shortest length begins before
	shortest int    // minutes of the shortest work that may be booked, above 0
}

func (d *diary) clear() { d.booked, d.ends, d.full = d.booked[:0], d.ends[:0], 0 }

// ends are the sites at which a stretch of work begins and at which it leaves its
// worker.
type ends struct{ from, to int }

// gap returns the earliest x from t on such that [x, x+length) is free, for a
// length that is not below the shortest.
func (d *diary) gap(t, length int) int { return d.booked.gap(max(t, d.full), length) }

// gapBetween is gap of work at some sites: the way from what is booked before and
// on to what is booked after takes time, unless they lie in other shifts.
func (d *diary) gapBetween(t, length int, at ends, travel [][]int, clock *workClock) int {
	t = max(t, d.full)
	for i := sort.Search(len(d.booked), func(i int) bool { return d.booked[i].To > t }); ; i++ {
		if i > 0 {
			way := travel[d.ends[i-1].to][at.from]
			t = max(t, min(d.booked[i-1].To+way, clock.shiftEnd(d.booked[i-1].To-1)))
		}
		if i == len(d.booked) {
			return t
		}
		next, way := d.booked[i].From, travel[at.to][d.ends[i].from]
		if t+length <= next && (t+length+way <= next || clock.shiftEnd(t+length-1) <= next) {
			return t
		}
		t = max(t, d.booked[i].To)
	}
}

// add books the free stretch v.
func (d *diary) add(v Interval) (i int, joinsLeft, joinsRight bool) {
	i, joinsLeft, joinsRight = d.booked.add(v)
	if v.From < d.full+d.shortest {
		d.full = d.booked.gap(d.full, d.shortest)
	}
	return i, joinsLeft, joinsRight
}

// addBetween books the free stretch v of work at some sites.
func (d *diary) addBetween(v Interval, at ends) {
	i, joinsLeft, joinsRight := d.add(v)
	switch {
	case joinsLeft && joinsRight:
		d.ends[i-1].to = d.ends[i].to
		d.ends = slices.Delete(d.ends, i, i+1)
	case joinsLeft:
		d.ends[i-1].to = at.to
	case joinsRight:
		d.ends[i].from = at.from
	default:
		d.ends = slices.Insert(d.ends, i, at)
	}
}

// add books the free stretch v: as stretch i, or joined to the one before that, the
// one that was i, or both.
func (b *bookings) add(v Interval) (i int, joinsLeft, joinsRight bool) {
	s := *b
	i = sort.Search(len(s), func(i int) bool { return s[i].From >= v.To })
	joinsLeft = i > 0 && s[i-1].To == v.From
	joinsRight = i < len(s) && s[i].From == v.To
	switch {
	case joinsLeft && joinsRight:
		s[i-1].To = s[i].To
		*b = slices.Delete(s, i, i+1)
	case joinsLeft:
		s[i-1].To = v.To
	case joinsRight:
		s[i].From = v.From
	default:
		*b = slices.Insert(s, i, v)
	}
	return i, joinsLeft, joinsRight
}

// places is the profile of a resource. Nearly all work takes one place: the
// stretches in which one is free answer for it, which are a tenth of the steps
// of a busy profile.
type places struct {
	profile
	open []Interval // the stretches with a place free, sorted, disjoint and apart
}

// forever ends a stretch that does not end.
const forever = math.MaxInt

// restore makes the places those of p.
func (b *places) restore(p profile) {
	b.profile = append(b.profile[:0], p...)
	b.open = b.open[:0]
	for i, s := range p {
		to := forever
		if i+1 < len(p) {
			to = p[i+1].at
		}
		switch last := len(b.open) - 1; {
		case s.free < 1:
		case last >= 0 && b.open[last].To == s.at:
			b.open[last].To = to
		default:
			b.open = append(b.open, Interval{s.at, to})
		}
	}
}

// copyFrom makes b the same as other places, in memory of its own.
func (b *places) copyFrom(from *places) {
	b.profile, b.open = append(b.profile[:0], from.profile...), append(b.open[:0], from.open...)
}

// from returns the earliest t from the given time on such that amount is free
// during [t, t+length), or false where there is none.
func (b *places) from(t, length, amount int) (int, bool) {
	if amount > 1 {
		return b.profile.from(t, length, amount)
	}
	for _, v := range b.open[b.after(t):] {
		if t = max(t, v.From); v.To-t >= length {
			return t, true
		}
	}
	return 0, false
}

// after returns the index of the first stretch that ends after t.
func (b *places) after(t int) int {
	return sort.Search(len(b.open), func(i int) bool { return b.open[i].To > t })
}

// clear returns from where amount is free during all of [from, to), otherwise
// the time before which no start avoids the shortage, or false where there is
// no such time.
func (b *places) clear(from, to, amount int) (int, bool) {
	if amount > 1 {
		return b.profile.clear(from, to, amount)
	}
	i := sort.Search(len(b.open), func(i int) bool { return b.open[i].From >= to })
	if i > 0 && b.open[i-1].To >= to {
		return max(from, b.open[i-1].From), true
	}
	if i == len(b.open) {
		return 0, false
	}
	return b.open[i].From, true
}

// take makes amount fewer free during [from, to).
func (b *places) take(from, to, amount int) {
	first, end := b.profile.take(from, to, amount)
	for i := first; i < end; i++ {
		if p := b.profile; p[i].free < 1 {
			b.close(Interval{p[i].at, p[i+1].at}) // to is a step's, so there is a next
		}
	}
}

// close takes a time out of the open stretches. It lies within one of them.
func (b *places) close(v Interval) {
	i := b.after(v.From)
	if i == len(b.open) || b.open[i].From >= v.To {
		return // it was closed before
	}
	switch s := &b.open[i]; {
	case s.From < v.From && v.To < s.To:
		b.open = slices.Insert(b.open, i+1, Interval{v.To, s.To})
		b.open[i].To = v.From
	case s.From < v.From:
		s.To = v.From
	case v.To < s.To:
		s.From = v.To
	default:
		b.open = slices.Delete(b.open, i, i+1)
	}
}

// profile is how many places are free over time: steps[i].free from
// steps[i].at until the next step. The first is at the origin.
type profile []step

type step struct {
	at, free int
}

func newProfile(r Resource) profile {
	p := profile{{0, r.Capacity}}
	for _, c := range r.Closed {
		p.take(c.From, c.To, c.Amount)
	}
	return p
}

// last returns the index of the step that time t lies in.
func (p profile) last(t int) int {
	return sort.Search(len(p), func(i int) bool { return p[i].at > t }) - 1
}

// from returns the earliest t from the given time on such that amount is free
// during [t, t+length), or false where there is none.
func (p profile) from(t, length, amount int) (int, bool) {
	for i := p.last(t); i < len(p) && p[i].at < t+length; i++ {
		if p[i].free < amount {
			if i+1 == len(p) {
				return 0, false
			}
			t = p[i+1].at
		}
	}
	return t, true
}

// clear returns from where amount is free during all of [from, to), otherwise
// the time before which no start avoids the shortage, or false where there is
// no such time.
func (p profile) clear(from, to, amount int) (int, bool) {
	for i := p.last(to - 1); i >= 0; i-- {
		if p[i].free < amount {
			if i+1 == len(p) {
				return 0, false
			}
			return max(from, p[i+1].at), true
		}
		if p[i].at <= from {
			break
		}
	}
	return from, true
}

// take makes amount fewer free during [from, to), which are the steps from first
// to before end.
func (p *profile) take(from, to, amount int) (first, end int) {
	first = p.split(from)
	end = p.split(to)
	for k := first; k < end; k++ {
		(*p)[k].free -= amount
	}
	return first, end
}

// split makes a step begin at t and returns its index.
func (p *profile) split(t int) int {
	i := p.last(t)
	if (*p)[i].at == t {
		return i
	}
	*p = slices.Insert(*p, i+1, step{t, (*p)[i].free})
	return i + 1
}
