package appraise

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// expiringDays is how far ahead an ending paper or alarm is spoken of.
const expiringDays = 60

// papers weighs everything that came, or should have come, in writing.
func (in *inspection) papers(docs []data.Document, identity []Note) Papers {
	var p Papers
	p.MOTExpires, p.FirstMOT = in.motExpires(docs)
	p.EngineHistoryPct = 100 * in.shareOf("engine-oil", docs)
	p.HabitationHistoryPct = 100 * in.shareOf("habitation", docs)
	for _, d := range duties {
		if d.cover == "timing-belt" && d.applies(&in.van, docs) {
			p.BeltDue = in.stands(d, docs).due
		}
	}
	p.Ended = in.ended(docs)
	p.Missing = in.missing(docs, p.MOTExpires)
	for i := range docs {
		d := &docs[i]
		if d.Held == "promised" {
			p.Promised = append(p.Promised, wordsOf(d)...)
		}
	}
	p.Promised = sortedUnique(p.Promised)
	p.Expiring = in.expiring(docs, p)
	p.Score = in.score(docs, p.MOTExpires)
	for _, l := range p.Score {
		p.HistoryScore += int(l.Points)
	}
	var miles []Note
	p.Mileage, miles = in.mileage(docs)
	for _, n := range miles {
		if n.Serious {
			p.MileageDoubt = n.Text
		}
	}
	p.Provenance = slices.Concat(in.provenance(docs), miles, identity)
	return p
}

// shareOf returns the proven share of a duty, 1 where it does not apply.
func (in *inspection) shareOf(cover string, docs []data.Document) float64 {
	for _, d := range duties {
		if d.cover == cover && d.applies(&in.van, docs) {
			return d.share(&in.van, d.renewals(&in.van, in.evidence(d, docs), in.asOf), in.asOf, 0)
		}
	}
	return 1
}

// firstMOTMonths is when the first test falls due: the third anniversary in Great
// Britain (boothsgarage.co.uk), the fourth in Northern Ireland (from memory).
func (in *inspection) firstMOTMonths() int {
	if in.policy.Region == "northern-ireland" {
		return 48
	}
	return 36
}

// motMonths is how long a test lasts (henriesofsheringham.co.uk).
const motMonths = 12

// motExpires returns the last day that any test in hand runs to. Where there is
// none and none is due yet, it is the day on which the first falls due, and first
// is true; otherwise it is unknown.
//
// A paper that does not say its end has it derived, in the order of their days:
// one month less a day before the old test ends, or the first falls due, a pass
// keeps the day; an earlier or later one runs a year less a day
// (kerseymotorco.co.uk, henriesofsheringham.co.uk; before the first test:
// amcautoclinic.co.uk, all secondary).
func (in *inspection) motExpires(docs []data.Document) (last data.Date, first bool) {
	firstDue := in.firstMOT()
	before := firstDue
	for i := range docs {
		d := &docs[i]
		if d.Kind != kindMOT || !proves(d, in.asOf) {
			continue
		}
		end := d.Expires
		if end.IsZero() && !d.Dated.IsZero() {
			end = motEnd(d.Dated, before)
		}
		last = max(last, end)
		before = max(before, last)
	}
	if last.IsZero() && firstDue > in.asOf {
		return firstDue, true
	}
	return last, false
}

// motEnd returns the last day of a test passed on a day, with an old one, or the
// first test's due day, running out on another, which may be unknown.
func motEnd(passed, runsOut data.Date) data.Date {
	if runsOut.AddMonths(-1) < passed && passed <= runsOut {
		return runsOut.AddMonths(motMonths)
	}
	return passed.AddMonths(motMonths).AddDays(-1)
}

// firstMOT returns the day on which the first test falls due; unknown for a van
// whose registration is.
func (in *inspection) firstMOT() data.Date {
	if in.van.FirstRegistered.IsZero() {
		return 0
	}
	return in.van.FirstRegistered.AddMonths(in.firstMOTMonths())
}

// needsMOT reports whether the van is old enough for a test.
func (in *inspection) needsMOT() bool {
	due := in.firstMOT()
	return !due.IsZero() && due <= in.asOf
}

// missing lists what is not in hand, promised or not: overdue work without
// evidence, the registration document, a handbook, a test in force, and every
// paper that a row says is not there.
func (in *inspection) missing(docs []data.Document, mot data.Date) []string {
	var out []string
	for _, d := range duties {
		if d.applies(&in.van, docs) && in.stands(d, docs).overdue {
			out = append(out, d.missing)
		}
	}
	for _, kind := range []string{kindRegistration, kindHandbook} {
		if bestPaper(docs, kind) == 0 {
			out = append(out, kind)
		}
	}
	if in.needsMOT() && mot < in.asOf {
		out = append(out, kindMOT)
	}
	for i := range docs {
		d := &docs[i]
		if !held(d) && d.Kind != kindRecall {
			out = append(out, wordsOf(d)...)
		}
	}
	return sortedUnique(out)
}

// wordsOf names a paper: an invoice by what it covers, others by their kind.
func wordsOf(d *data.Document) []string {
	if (d.Kind == "invoice" || d.Kind == "other") && len(d.Covers) > 0 {
		return d.Covers
	}
	return []string{d.Kind}
}

func sortedUnique(words []string) []string {
	words = slices.Clone(words)
	slices.Sort(words)
	return slices.Compact(words)
}

// expiring lists what ends within the next 60 days or has ended: the newest paper
// of each kind, the test, and alarms by the day printed on them. What carries the day
// it was made, such as a hose, is listed until it is due: from then on its finding
// asks for a new one.
func (in *inspection) expiring(docs []data.Document, p Papers) []Expiry {
	until := in.asOf.AddDays(expiringDays)
	ends := map[string]data.Date{}
	var kinds []string
	for i := range docs {
		d := &docs[i]
		if d.Expires.IsZero() || d.Kind == kindMOT || !held(d) {
			continue
		}
		if _, ok := ends[d.Kind]; !ok {
			kinds = append(kinds, d.Kind)
		}
		ends[d.Kind] = max(ends[d.Kind], d.Expires)
	}
	var out []Expiry
	add := func(what string, on data.Date) {
		if !on.IsZero() && on <= until {
			out = append(out, Expiry{What: what, On: on})
		}
	}
	for _, k := range kinds {
		add(k, ends[k])
	}
	for _, d := range duties {
		if _, said := ends[d.missing]; said || d.engine || d.cover == "brake-fluid" || !d.applies(&in.van, docs) {
			continue
		}
		// A check without an end written on it ends with its interval.
		if s := in.stands(d, docs); !s.last.IsZero() && !s.overdue {
			add(d.missing, s.due)
		}
	}
	mot := kindMOT
	if p.FirstMOT {
		mot = "first-mot"
	}
	add(mot, p.MOTExpires)
	for i := range in.points {
		if e, ok := in.endOf(&in.points[i]); ok && e.On <= until {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, func(a, b Expiry) int {
		return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.What, b.What))
	})
	return out
}

// endOf is the end of a thing that a date is read from: the one printed on an alarm,
// or the one that the age of a hose, regulator or filter gives, while that is still to
// come. ok is false for all else, and where a new one was fitted since.
func (in *inspection) endOf(p *point) (e Expiry, ok bool) {
	day := dayOf(p.Reading)
	if p.book.Unit != "date" || day.IsZero() || !in.mendedOn(&Finding{Checkpoint: p.book, Job: in.have(p.book.Job), TakenOn: p.TakenOn}).IsZero() {
		return Expiry{}, false
	}
	if p.Checkpoint == smokeAlarmExpiry || p.Checkpoint == coAlarmExpiry {
		return Expiry{What: strings.TrimSuffix(p.Checkpoint, "-expiry"), On: day, Month: p.MonthOnly}, true
	}
	limits := LimitsOf(p.book, &in.policy)
	on := limits.dueOn(day)
	return Expiry{What: strings.TrimSuffix(p.Checkpoint, "-date"), On: on, Month: p.MonthOnly, Due: true}, on > in.asOf
}

// provenance says what the van's past means for its sale.
func (in *inspection) provenance(docs []data.Document) []Note {
	van := in.van
	var out []Note
	say := func(serious bool, source data.Source, format string, args ...any) {
		out = append(out, Note{Text: fmt.Sprintf(format, args...), Serious: serious, Source: source})
	}
	switch van.Salvage {
	case "A":
		say(true, van.Source, "Salvage category A: scrap, to be crushed whole. Never retail; barred from the margin scheme.")
	case "B":
		say(true, van.Source, "Salvage category B: to be broken, its shell crushed. Never retail; barred from the margin scheme.")
	case "S":
		say(true, van.Source, "Salvage category S: the structure was damaged. Retail only with disclosure, and after an engineer has seen the repair.")
	case "N":
		say(true, van.Source, "Salvage category N: damaged, not in its structure. Retail only with disclosure; steering, brakes and belts may still need work.")
	}
	if van.Imported {
		say(true, van.Source, "Imported by the dealer: barred from the margin scheme; ask for the import papers.")
	}
	if van.FinanceOwed.Known && van.FinanceOwed.Value.IsPositive() {
		say(true, van.Source, "Finance of %s is owed: title may rest with the lender. Do not pay or sell until a settlement is confirmed in writing.", data.InPounds(van.FinanceOwed.Value))
	}
	for i := range docs {
		d := &docs[i]
		if d.Kind != kindRecall {
			continue
		}
		if done := in.recallDone(d, docs); done {
			say(false, d.Source, "Recall notice%s: there is evidence that the work was done.", dated(d.Dated))
		} else {
			say(true, d.Source, "Recall notice%s: no evidence that the work was done%s.", dated(d.Dated), noted(d.Note))
		}
	}
	if van.Keys.Known && van.Keys.Value < 2 {
		say(false, van.Source, "It came with %d %s.", van.Keys.Value, plural(van.Keys.Value, "key", "keys"))
	}
	return out
}

func dated(d data.Date) string {
	if d.IsZero() {
		return ""
	}
	return " of " + d.Words()
}

func noted(note string) string {
	if note = strings.TrimSpace(note); note == "" {
		return ""
	}
	return " (" + note + ")"
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// recallDone reports whether another paper of the notice's day or later covers
// recall work. What a note says of the notice itself is no evidence: prose that
// holds the word "done" may say the opposite.
func (in *inspection) recallDone(notice *data.Document, docs []data.Document) bool {
	for i := range docs {
		if d := &docs[i]; d.Kind != kindRecall && covers(d, coverRecall) && proves(d, in.asOf) && d.Dated >= notice.Dated {
			return true
		}
	}
	return false
}
