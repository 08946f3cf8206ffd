package appraise

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// A van that covers more than this between two entries did so on paper only.
// Common practice, no source.
const (
	maxMilesPerYear = 60_000.0
	maxMilesSpare   = 1_000.0 // for entries a few days apart
)

// roundingMiles is how far an entry may lie below an earlier one as a rounded
// figure. Common practice, no source.
const roundingMiles = 100

// goodEntries is how many entries must agree, the van's own among them, before
// one that does not is called wrong rather than the history. Common practice,
// no source.
const goodEntries = 4

// milesEntry is one mileage with its day and where it stood.
type milesEntry struct {
	on     data.Date
	miles  int
	what   string
	source data.Source
	van    bool
}

func (e milesEntry) String() string {
	return fmt.Sprintf("%s miles (%s of %s)", thousands(e.miles), e.what, e.on.Words())
}

// mileage checks every mileage that is written anywhere against all others.
//
// Entries by day must not fall, and not rise faster than a van is driven, from
// first registration on; the van's own must fit that even alone. The
// largest set of entries that agree is found. If one entry stands against four
// or more that agree, and the van's own mileage is not the odd one, that entry
// is named and the history stands. Otherwise the history falls or jumps. No
// entry is ever mended.
func (in *inspection) mileage(docs []data.Document) (MileageCheck, []Note) {
	entries, notes := in.milesEntries(docs)
	c := newChain(in.van.FirstRegistered, entries)
	if len(entries) < 2 && c.longest == 1 {
		return MileageUnknown, append(notes, Note{Text: "No paper carries a mileage, so the odometer could not be checked.", Source: in.van.Source})
	}
	odd := c.odd()
	if len(entries) == c.longest {
		return MileageConsistent, notes
	}
	if c.longest >= goodEntries && len(entries)-c.longest == 1 && c.explained(odd) {
		var names []string
		for _, i := range odd {
			names = append(names, entries[i].String()+guess(entries, i))
		}
		text := "One mileage does not fit the others: " + names[0] + "."
		if len(names) > 1 {
			text = "One mileage does not fit the others, but which is not certain: " + strings.Join(names, " or ") + "."
		}
		return MileageConsistent, append(notes, Note{
			Text:   text + fmt.Sprintf(" The other %d agree. Ask about it; it is left as written.", c.longest),
			Source: entries[odd[0]].source,
		})
	}
	outcome := MileageJumps
	for j := range entries {
		for i := range j {
			if entries[j].miles < entries[i].miles-roundingMiles {
				outcome = MileageFalls
			}
		}
	}
	before, after := c.clash(outcome)
	text := fmt.Sprintf("The mileage %s: %s, then %s.", outcome, before, after)
	if outcome == MileageJumps {
		text = fmt.Sprintf("The mileage jumps faster than a van is driven: %s, then %s.", before, after)
	}
	text += ownSlip(in.van.FirstRegistered, entries)
	return outcome, append(notes, Note{Serious: true, Text: text, Source: after.source})
}

// ownSlip names the mileage that was probably meant by the van's own where that
// alone mends the history: the same digits with one more or one fewer, or
// kilometres as miles. It is blank where nothing does.
func ownSlip(first data.Date, entries []milesEntry) string {
	own := slices.IndexFunc(entries, func(e milesEntry) bool { return e.van })
	for _, slip := range []struct {
		times float64
		reads string
	}{{10, "a digit too few"}, {0.1, "a digit too many"}, {milesPerKm, "kilometres"}} {
		mended := slices.Clone(entries)
		mended[own].miles = int(math.Round(float64(entries[own].miles) * slip.times))
		if newChain(first, mended).longest == len(entries) {
			return fmt.Sprintf(" Our own %s miles read like %s; did you mean %s?", thousands(entries[own].miles), slip.reads, thousands(mended[own].miles))
		}
	}
	return ""
}

// milesPerKm is from the international mile of 1,609.344 m.
const milesPerKm = 1 / 1.609344

// milesEntries gathers the mileages of papers in hand, of readings in miles, and
// the van's own, by day. Words are no entries.
func (in *inspection) milesEntries(docs []data.Document) (entries []milesEntry, notes []Note) {
	for i := range docs {
		d := &docs[i]
		switch {
		case !d.Mileage.Known || !held(d) || d.Evidence == "verbal" || d.Dated.IsZero():
		case d.Dated > in.asOf:
			notes = append(notes, Note{Text: fmt.Sprintf("A paper (%s) is dated %s, after the day of this report; it was left out.", data.Title(d.Kind), d.Dated.Words()), Source: d.Source})
		default:
			entries = append(entries, milesEntry{on: d.Dated, miles: d.Mileage.Value, what: data.Title(d.Kind), source: d.Source})
		}
	}
	for _, p := range in.points {
		if p.book.Unit != "miles" {
			continue
		}
		for _, r := range append([]data.Reading{*p.Reading}, p.older...) {
			if x, ok := number(&r); ok && math.Abs(x) < 1e8 && r.TakenOn <= in.asOf && !r.TakenOn.IsZero() {
				entries = append(entries, milesEntry{on: r.TakenOn, miles: int(x), what: "reading", source: r.Source})
			}
		}
	}
	entries = append(entries, milesEntry{on: in.asOf, miles: in.van.Mileage, what: "our own record", source: in.van.Source, van: true})
	slices.SortFunc(entries, func(a, b milesEntry) int {
		return cmp.Or(
			cmp.Compare(a.on, b.on), cmp.Compare(a.miles, b.miles), cmp.Compare(a.what, b.what),
			cmp.Compare(a.source.File, b.source.File), cmp.Compare(a.source.Line, b.source.Line),
		)
	})
	return entries, notes
}

// A rise to ten times the miles and by more than this within a year and a month
// reads like a digit too many. Common practice, no source.
const (
	tenfoldMiles = 25_000
	tenfoldDays  = 400
)

// fits reports whether b may follow a: not lower than rounding explains, not
// higher than a van is driven, and not ten times as high in a year.
func fits(a, b milesEntry) bool {
	rise, days := float64(b.miles-a.miles), b.on.DaysSince(a.on)
	if a.miles > 0 && b.miles >= 10*a.miles && rise > tenfoldMiles && days <= tenfoldDays {
		return false
	}
	return rise >= -roundingMiles && rise <= maxMilesSpare+maxMilesPerYear/365.25*float64(days)
}

// chain finds the largest sets of entries in which each fits the one before it,
// beginning with no miles on the day of first registration.
type chain struct {
	entries []milesEntry
	start   milesEntry
	upTo    []int // length of the longest chain that ends at an entry; 0: none does
	onward  []int // length of the longest chain that begins at it
	longest int
}

func newChain(first data.Date, entries []milesEntry) *chain {
	n := len(entries)
	c := &chain{entries: entries, start: milesEntry{on: first}, upTo: make([]int, n), onward: make([]int, n)}
	for j := range entries {
		if first.IsZero() || entries[j].on < first || fits(c.start, entries[j]) {
			c.upTo[j] = 1
		}
		for i := range j {
			if c.upTo[i] > 0 && fits(entries[i], entries[j]) {
				c.upTo[j] = max(c.upTo[j], c.upTo[i]+1)
			}
		}
		c.longest = max(c.longest, c.upTo[j])
	}
	for i := n - 1; i >= 0; i-- {
		c.onward[i] = 1
		for j := i + 1; j < n; j++ {
			if fits(entries[i], entries[j]) {
				c.onward[i] = max(c.onward[i], c.onward[j]+1)
			}
		}
	}
	return c
}

// odd returns the entries that some largest set leaves out.
func (c *chain) odd() []int {
	rank := make(map[int]int) // how many entries may stand at a place of a largest set
	for i := range c.entries {
		if c.in(i) {
			rank[c.upTo[i]]++
		}
	}
	var out []int
	for i := range c.entries {
		if !c.in(i) || rank[c.upTo[i]] > 1 {
			out = append(out, i)
		}
	}
	return out
}

// in reports whether an entry belongs to any largest set.
func (c *chain) in(i int) bool {
	return c.upTo[i] > 0 && c.upTo[i]+c.onward[i]-1 == c.longest
}

// explained reports whether one wrong entry is a fair account of the clash. It is
// not where the van's own mileage may be the wrong one, nor where the odd entry
// is a high one that only the very last or first entries contradict: that is
// what a wound-back odometer looks like.
func (c *chain) explained(odd []int) bool {
	last := len(c.entries) - 1
	for _, i := range odd {
		e := c.entries[i]
		if e.van {
			return false
		}
		if i < last && e.miles > c.entries[i+1].miles {
			first := i == 0 && (c.start.on.IsZero() || fits(c.start, e))
			if last-i < 2 || first {
				return false
			}
		}
	}
	return len(odd) > 0
}

// clash returns the pair of entries that shows the outcome best: the deepest fall
// or the steepest rise.
func (c *chain) clash(outcome MileageCheck) (before, after milesEntry) {
	all := append([]milesEntry{{on: c.start.on, what: "first registration"}}, c.entries...)
	worst := math.Inf(-1)
	for j := 1; j < len(all); j++ {
		for i := range j {
			a, b := all[i], all[j]
			if i == 0 && (outcome == MileageFalls || a.on.IsZero() || b.on < a.on) {
				continue
			}
			size := float64(a.miles - b.miles)
			if outcome == MileageJumps {
				size = float64(b.miles-a.miles) - maxMilesPerYear/365.25*float64(b.on.DaysSince(a.on))
			}
			if size > worst {
				worst, before, after = size, a, b
			}
		}
	}
	return before, after
}

// guess says what slip of the pen an odd entry looks like beside its neighbours.
func guess(entries []milesEntry, i int) string {
	if i == 0 || i == len(entries)-1 {
		return ""
	}
	low, high := float64(entries[i-1].miles), float64(entries[i+1].miles)
	between := func(x float64) bool { return x >= 0.97*low && x <= 1.03*high }
	x := float64(entries[i].miles)
	switch {
	case between(x / 10):
		return ", which reads like a digit too many"
	case between(x * 10):
		return ", which reads like a digit too few"
	case between(x * milesPerKm):
		return ", which reads like kilometres"
	}
	return ""
}
