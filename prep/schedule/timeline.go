package schedule

import (
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
	full     int // no gap of the shortest length begins before
	shortest int // minutes of the shortest work that may be booked, above 0
}

func (d *diary) clear() { d.booked, d.full = d.booked[:0], 0 }

// gap returns the earliest x from t on such that [x, x+length) is free, for a
// length that is not below the shortest.
func (d *diary) gap(t, length int) int { return d.booked.gap(max(t, d.full), length) }

// add books the free stretch v.
func (d *diary) add(v Interval) {
	d.booked.add(v)
	if v.From < d.full+d.shortest {
		d.full = d.booked.gap(d.full, d.shortest)
	}
}

// add books the free stretch v.
func (b *bookings) add(v Interval) {
	s := *b
	i := sort.Search(len(s), func(i int) bool { return s[i].From >= v.To })
	joinsLeft := i > 0 && s[i-1].To == v.From
	joinsRight := i < len(s) && s[i].From == v.To
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
}

// places is the profile of a resource, with the time before which no stretch
// with a place free is long enough for any use.
type places struct {
	profile
	full     int // no stretch of the shortest length begins before
	shortest int // minutes of the shortest use, above 0
}

// restore makes the places those of p.
func (b *places) restore(p profile) {
	b.profile = append(b.profile[:0], p...)
	b.full = 0
	b.advance()
}

// open returns the earliest t from the given time on such that amount is free
// during [t, t+length), or false where there is none. The length is not below
// the shortest.
func (b *places) open(t, length, amount int) (int, bool) {
	p := b.profile
	t = max(t, b.full)
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

// take makes amount fewer free during [from, to).
func (b *places) take(from, to, amount int) {
	b.profile.take(from, to, amount)
	if from < b.full+b.shortest {
		b.advance()
	}
}

// advance moves full on to where a stretch of the shortest length begins, or to
// the last step where there is none.
func (b *places) advance() {
	p := b.profile
	for i := p.last(b.full); i+1 < len(p); i++ {
		if p[i].free < 1 {
			b.full = p[i+1].at
		} else if p[i+1].at-b.full >= b.shortest {
			return
		}
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

// take makes amount fewer free during [from, to).
func (p *profile) take(from, to, amount int) {
	i := p.split(from)
	j := p.split(to)
	for k := i; k < j; k++ {
		(*p)[k].free -= amount
	}
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
