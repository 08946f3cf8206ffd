package mail

import (
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/pricing/attention"
)

// thingsShown is how many things of a kind the mail has; attention.csv has all.
const thingsShown = 3

// toDo lists what there is to do, a section a kind, in the order of attention.csv.
func (c comparison) toDo() []Section {
	var sections []Section
	for _, kind := range attention.Kinds {
		s := Section{At: "index.html#do-" + string(kind)}
		for _, t := range c.now.things {
			if t.Kind == kind {
				s.Items = append(s.Items, c.item(t))
			}
		}
		if n := len(s.Items); n > 0 {
			s.Title = fmt.Sprintf("%s (%s)", kind.Title(), number(n))
			s.cut(thingsShown)
			sections = append(sections, s)
		}
	}
	return sections
}

// item writes a thing to do with what it is worth, by when, and whether it was there
// before.
func (c comparison) item(t attention.Thing) Item {
	text := t.What
	if worth := t.Worth(); worth != "" {
		text += " (" + worth + ")"
	}
	if t.Kind == attention.Promise {
		text += c.movedFrom(t.StockID)
	}
	if t.Due > c.now.AsOf && t.Kind != attention.Promise {
		text += ", by " + c.now.day(t.Due)
	}
	if c.before != nil && c.before.has("attention.csv", "") && !slices.ContainsFunc(c.before.things, func(was attention.Thing) bool { return same(was, t) }) {
		text = "new: " + text
	}
	item := Item{Van: t.StockID, Text: shorten(text, 300)}
	if v := c.now.vans[t.StockID]; v != nil {
		item.Name, item.Page = v.name, v.page
	}
	return item
}

// same reports whether a thing of another day is the same: of one van, the kind is
// enough, since what it says moves with the days.
func same(a, b attention.Thing) bool {
	return a.Kind == b.Kind && a.StockID == b.StockID && (a.StockID != "" || a.What == b.What)
}

// movedFrom says when a promised van was to be ready, where that has moved.
func (c comparison) movedFrom(id string) string {
	is, was := c.now.find(id), c.before.find(id)
	if is == nil || was == nil || !was.queued {
		return ""
	}
	moved := ""
	if !was.ready.IsZero() && !is.ready.IsZero() && was.ready != is.ready {
		moved = "; it was to be ready on " + c.now.day(was.ready)
	}
	if was.promised != is.promised {
		moved += "; the promise is new"
	}
	return moved
}

// lead are what a reader of the plan must know first: which part of the workshop is
// a default, and the things that stop vans and are of no one van, what the workshop
// does not have.
func (s *Set) lead() []string {
	var out []string
	if s.workshop != "" {
		out = append(out, sentence("the workshop is "+s.workshop))
	}
	for _, t := range s.things {
		if t.Kind == attention.Blocked && t.StockID == "" {
			out = append(out, sentence(t.What))
		}
	}
	return out
}
