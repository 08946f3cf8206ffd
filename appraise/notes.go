package appraise

import (
	"fmt"
	"slices"
)

// notes gathers what no single point shows.
func (in *inspection) notes(areas []DampArea) []Note {
	return slices.Concat(in.tyreNotes(), cornerNotes(areas), rising(areas))
}

// cornerNotes says where damp areas of two sides meet at a corner of the body:
// one leak, most likely.
func cornerNotes(areas []DampArea) []Note {
	var out []Note
	for i, a := range areas {
		for _, b := range areas[i+1:] {
			if a.Side != b.Side && meet(a, b) {
				out = append(out, Note{Text: fmt.Sprintf("The damp at %s and at %s meets at a corner: look for one leak.", a.Place, b.Place)})
			}
		}
	}
	return out
}

// meet reports whether a point of one area, such as offside-rear-low, lies at the
// corner of one of the other, such as rear-offside-low.
func meet(a, b DampArea) bool {
	for _, p := range a.Points {
		sideP, placeP, heightP := splitPoint(p)
		for _, q := range b.Points {
			sideQ, placeQ, heightQ := splitPoint(q)
			if sideP == placeQ && sideQ == placeP && near(heightP, heightQ) {
				return true
			}
		}
	}
	return false
}

func rising(areas []DampArea) []Note {
	var out []Note
	for _, a := range areas {
		if a.Rising {
			out = append(out, Note{Serious: true, Text: fmt.Sprintf("Damp at %s: %s.", a.Place, a.Reason)})
		}
	}
	return out
}
