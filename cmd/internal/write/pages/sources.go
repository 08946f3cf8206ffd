package pages

import (
	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// sourcesPage says where the limits come from by which vans are judged: one link
// away from each van's page.
type sourcesPage struct {
	layout
	Zones   []sourceZone
	Damp    string
	Payload string
}

type sourceZone struct {
	Code, Title string
	Points      []sourceLine
}

type sourceLine struct{ Title, Limits, Source string }

func (s *report) sources() sourcesPage {
	p := sourcesPage{layout: s.layout("Where limits come from", "", ""), Damp: appraise.DampSource, Payload: appraise.MinimumPayloadSource}
	at := map[string]int{}
	for i := range s.Yard.Books.Checkpoints {
		c := &s.Yard.Books.Checkpoints[i]
		k, ok := at[c.Zone]
		if !ok {
			k = len(p.Zones)
			at[c.Zone] = k
			p.Zones = append(p.Zones, sourceZone{Code: c.Zone, Title: zoneTitle(c.Zone)})
		}
		limits := appraise.LimitsOf(c, &s.Policy)
		p.Zones[k].Points = append(p.Zones[k].Points, sourceLine{c.Title, limits.Words(), data.Capital(c.Reference)})
	}
	return p
}
