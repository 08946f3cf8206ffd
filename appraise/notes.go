package appraise

import (
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// notes gathers what no single point shows.
func (in *inspection) notes(areas []DampArea) []Note {
	return slices.Concat(in.tyreNotes(), cornerNotes(areas), rising(areas))
}

// cornerNotes says where a damp area reaches over an edge of the body: one leak,
// most likely.
func cornerNotes(areas []DampArea) []Note {
	var out []Note
	for _, a := range areas {
		if len(a.Sides) > 1 {
			out = append(out, Note{Text: fmt.Sprintf("The damp at %s reaches over a corner (%s): look for one leak.", data.Title(a.Place), joined(a.Sides))})
		}
	}
	return out
}

// titled writes positions as people say them.
func titled(positions []string) []string {
	said := make([]string, len(positions))
	for i, p := range positions {
		said[i] = data.Title(p)
	}
	return said
}

// joined writes a, b and c.
func joined(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

func rising(areas []DampArea) []Note {
	var out []Note
	for _, a := range areas {
		if a.Rising {
			out = append(out, Note{Serious: true, Text: fmt.Sprintf("Damp at %s: %s.", data.Title(a.Place), a.Reason)})
		}
	}
	return out
}
