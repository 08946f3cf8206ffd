package form

import (
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// caution is a warning that stands at the head of a zone.
type caution struct {
	Text string `json:"text"`
	// Fitted is on which vans it applies, as with a point.
	Fitted []string `json:"fitted"`
}

// standing are the cautions that a zone shows whatever the book says, since a
// yard's own book may have none. They defer to licensed people.
var standing = map[string][]string{
	"gas":            {gasCaution, coCaution},
	"heating":        {coCaution},
	"kitchen":        {gasCaution},
	"electrics-230v": {mainsCaution},
	"underneath":     {jackCaution},
	"tyres":          {jackCaution},
	"safety":         {coCaution},
}

const (
	gasCaution   = "If you smell gas, light nothing and touch no switch: shut the bottles, open the doors, get out. A Gas Safe registered engineer with leisure-vehicle and LPG categories decides and signs."
	coCaution    = "Carbon monoxide has no smell: vents clear, alarm working; stop, air the van and get out if anybody feels ill."
	mainsCaution = "Unplug the hook-up lead before opening any cover; a competent registered electrician tests and certifies."
	jackCaution  = "Never go under a van held by a jack alone: hard level ground, rated stands at the chassis points, chocks at the other wheels."
)

// zoneCautions gathers what is said at the head of a zone: the standing
// cautions, and those that several points of the zone share. A caution of one
// point alone stands at that point.
func zoneCautions(zone string, points []data.Checkpoint) []caution {
	shared := map[string][]data.Checkpoint{}
	texts := slices.Clone(standing[zone])
	for _, p := range points {
		if p.Zone != zone || p.Caution == "" {
			continue
		}
		shared[p.Caution] = append(shared[p.Caution], p)
		if len(shared[p.Caution]) == 2 && !slices.Contains(texts, p.Caution) {
			texts = append(texts, p.Caution)
		}
	}
	var out []caution
	for _, text := range texts {
		out = append(out, caution{text, fittedOf(shared[text])})
	}
	return out
}

// fittedOf returns the equipment on account of which points apply; none where
// one of them, or a caution without points, applies to every van.
func fittedOf(points []data.Checkpoint) []string {
	var out []string
	for _, p := range points {
		if len(p.Fitted) == 0 {
			return nil
		}
		for _, word := range p.Fitted {
			if !slices.Contains(out, word) {
				out = append(out, word)
			}
		}
	}
	return out
}

// mayLack reports whether a point is on some vans only without an equipment
// word that tells. The book's way of saying so is in how it is looked at.
func mayLack(c data.Checkpoint) bool { return strings.Contains(c.How, "Only where") }
