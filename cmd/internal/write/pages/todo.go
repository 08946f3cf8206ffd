package pages

import (
	"cmp"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/attention"
)

// thingsShown is how many things of a kind the front page lists; attention.csv has
// them all.
const thingsShown = 60

// kindOfThing is the things of one kind, folded under their worst.
type kindOfThing struct {
	ID, Title, Count string
	Worst            thingLine
	Groups           []thingGroup
	More             string // how many are only in attention.csv
}

// thingGroup is things that one goes through in one go: parts from one supplier,
// or all of a kind. By is blank for the latter.
type thingGroup struct {
	By     string
	Things []thingLine
}

// thingLine is one thing to do.
type thingLine struct {
	Van                    link
	Name, What, Due, Money string
}

// toDo lists what there is to do by kind, each kind in the order of attention.csv.
func (s *report) toDo() []kindOfThing {
	var out []kindOfThing
	for _, kind := range attention.Kinds {
		var things []attention.Thing
		for _, t := range s.ToDo {
			if t.Kind == kind {
				things = append(things, t)
			}
		}
		if len(things) > 0 {
			out = append(out, s.kindOfThing(kind, things))
		}
	}
	return out
}

func (s *report) kindOfThing(kind attention.Kind, things []attention.Thing) kindOfThing {
	k := kindOfThing{ID: string(kind), Title: kind.Title(), Count: number(len(things)), Worst: s.thingLine("", things[0])}
	k.Worst.What = data.Capital(things[0].Short())
	if more := len(things) - thingsShown; more > 0 {
		k.More, things = count(more, "more"), things[:thingsShown]
	}
	if kind == attention.Order {
		slices.SortStableFunc(things, func(a, b attention.Thing) int { return cmp.Compare(a.Who, b.Who) })
	}
	for i, t := range things {
		by := ""
		if kind == attention.Order {
			by = t.Who
		}
		if i == 0 || k.Groups[len(k.Groups)-1].By != by {
			k.Groups = append(k.Groups, thingGroup{By: by})
		}
		g := &k.Groups[len(k.Groups)-1]
		g.Things = append(g.Things, s.thingLine("", t))
	}
	return k
}

// thingLine writes one thing for a page whose root is root.
func (s *report) thingLine(root string, t attention.Thing) thingLine {
	line := thingLine{What: data.Capital(t.What)}
	if t.StockID != "" {
		line.Van = s.vanLink(root, t.StockID)
		if v, ok := s.Find(t.StockID); ok {
			line.Name = nameOf(v.Van)
		}
	}
	line.Money = strings.Replace(t.Worth(), "-", "−", 1)
	if t.Due > s.AsOf {
		line.Due = "by " + day(t.Due)
	}
	return line
}

// thingsOf lists what there is to do about one van, the most urgent first.
func (s *report) thingsOf(stockID string) []string {
	var out []string
	for _, t := range s.toDoOf[stockID] {
		line := s.thingLine("../", t)
		text := line.What
		if line.Money != "" {
			text += " (" + line.Money + ")"
		}
		out = append(out, text)
	}
	return out
}
