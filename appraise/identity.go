package appraise

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// identity holds the marks, the VIN and the keepers against one another.
func identity(van data.Van, docs []data.Document, asOf data.Date) []Note {
	notes := slices.Concat(
		markNotes(van, asOf),
		vinNotes(van.VIN, yearOf(van.FirstRegistered)),
		keeperNotes(van, docs),
	)
	for i := range notes {
		if notes[i].Source == (data.Source{}) {
			notes[i].Source = van.Source
		}
	}
	return notes
}

func yearOf(d data.Date) int {
	if d.IsZero() {
		return 0
	}
	return d.Year()
}

// markNotes holds the mark's window of issue against the first registration. A
// mark may make a van look older, never newer (nationalnumbers.co.uk).
func markNotes(van data.Van, asOf data.Date) []Note {
	if strings.TrimSpace(van.Reg) == "" {
		return []Note{{Text: "No registration is recorded."}}
	}
	m := readMark(van.Reg)
	first := van.FirstRegistered
	say := func(serious bool, format string, args ...any) []Note {
		return []Note{{Text: fmt.Sprintf(format, args...), Serious: serious}}
	}
	switch {
	case m.form == unknownMark && madeUp(van.VIN):
		return nil
	case m.form == unknownMark:
		return say(false, "The registration %s has no form that the United Kingdom issued: check it against the V5C.", van.Reg)
	case m.form == qMark:
		return say(true, "The Q registration %s means that age or identity could not be proved when it was registered.", van.Reg)
	case m.from.IsZero():
		return nil // Northern Ireland: tells no date
	case m.from > asOf:
		return say(true, "The registration %s is issued from %s, after the day of this report.", van.Reg, m.from.Words())
	case first.IsZero():
		return nil
	case m.from > first:
		return say(true, "The registration %s was issued from %s, but the van was first registered on %s: no registration may make a van look newer.", van.Reg, m.from.Words(), first.Words())
	case m.to < first:
		return say(false, "The registration %s was issued until %s, before the van was first registered on %s: a private plate, which the keeper may take away.", van.Reg, m.to.Words(), first.Words())
	}
	return nil
}

// madeUp reports whether a VIN begins with a code that no country has, UA to UG
// (ISO 3780 by a published list, secondary): that of an example, whose mark was
// never issued either.
func madeUp(vin string) bool {
	return len(vin) == 17 && (vin[0] == 'U' || vin[0] == 'u') && strings.Contains("ABCDEFGabcdefg", vin[1:2])
}

var keepersForm = regexp.MustCompile(`(?i)\b(?:(\d{1,2})\s+(?:(?:former|previous|registered)\s+)*keepers?|keepers?\s*:?\s*(\d{1,2}))\b`)

// keeperNotes holds the keepers that a registration document's note tells of
// against the van's row, and says where they are unknown.
func keeperNotes(van data.Van, docs []data.Document) []Note {
	var notes []Note
	for i := range docs {
		d := &docs[i]
		if d.Kind != "registration" || !held(d) {
			continue
		}
		match := keepersForm.FindStringSubmatch(d.Note)
		if match == nil || !van.Keepers.Known {
			continue
		}
		n, _ := strconv.Atoi(match[1] + match[2])
		if n != van.Keepers.Value {
			notes = append(notes, Note{Serious: true, Source: d.Source,
				Text: fmt.Sprintf("The V5C shows %d keepers, our record %d.", n, van.Keepers.Value)})
		}
	}
	if !van.Keepers.Known {
		notes = append(notes, Note{Text: "Number of keepers not recorded."})
	}
	return notes
}
