package mail

import (
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Names of the files, and the words by which a file is known to be ours.
const (
	TextName = "since.txt"
	HTMLName = "since.html"
	Mark     = "Made by vanwright from its reports"
)

// Digest is what is said, in the order in which it is said. Text and HTML write
// the same.
type Digest struct {
	Title    string
	Lead     []string // paragraphs
	Columns  [3]string
	Sections []Section
	Foot     []string // paragraphs
}

// Section is one subject.
type Section struct {
	Title   string
	At      string // where the pages have all of it
	Figures []Figure
	Note    string // before the items, or in the place of any
	Items   []Item
	More    string // how many items are left to that page; blank for none
}

// Figure is one line of the table of figures. Before and Change are blank where
// there is nothing to compare with.
type Figure struct{ What, Before, Now, Change string }

// Item is one line, of a van where Van is not blank.
type Item struct {
	Van, Name, Text string
	Page            string // the van's, below the reports folder; blank for none
}

// What is listed; the reports hold the rest.
const (
	vansShown     = 12
	profitsShown  = 8
	rejectsShown  = 6
	warningsShown = 8
)

// Where the pages have what a section says.
const (
	atChanges  = "index.html#changed"
	atRejects  = "index.html#rejects"
	atWarnings = "index.html#warnings"
	atMargin   = "margin/index.html"
)

// cut keeps the items that are shown.
func (s *Section) cut(shown int) {
	if more := len(s.Items) - shown; more > 0 {
		s.Items = s.Items[:shown]
		s.more(more)
	}
}

// more says how many items are not shown, where there are any, and which page has
// them.
func (s *Section) more(n int) {
	if n > 0 {
		page := "This morning"
		if s.At == atMargin {
			page = "Margin"
		}
		s.More = fmt.Sprintf("and %s more, on %s", number(n), page)
	}
}

// comparison is two sets on their way to a digest. before is nil where there is
// nothing to compare with.
type comparison struct {
	now, before *Set
	moves       moves
}

// Compare says what differs between two sets of reports. before may be nil:
// then the digest says how things stand.
func Compare(now, before *Set) Digest {
	c := comparison{now: now, before: before, moves: movesBetween(now, before)}
	d := Digest{
		Title: "The yard on " + fullDay(now.AsOf),
		Foot: []string{
			"These are estimates. A person approves every bid and every price, and nothing here says that a van is safe.",
			fmt.Sprintf(Mark+" as of %s.", fullDay(now.AsOf)),
		},
	}
	d.Columns[1] = now.day(now.AsOf)
	if before != nil {
		day := fullDay(before.AsOf)
		d.Columns[0], d.Columns[2] = now.day(before.AsOf), "change"
		if before.AsOf == now.AsOf {
			day, d.Columns[0], d.Columns[1] = "the run before", "run before", "this run"
		}
		d.Title += " and what changed since " + day
		d.Foot[1] = fmt.Sprintf(Mark+" as of %s and %s.", fullDay(before.AsOf), fullDay(now.AsOf))
	}
	d.Lead = c.lead()
	for _, s := range append(c.toDo(),
		c.stock(), c.sold(), c.came(), c.prices(), c.bids(), c.profits(),
		c.rejected(), c.warnings(), c.lacking(),
	) {
		if len(s.Figures) > 0 || len(s.Items) > 0 || s.Note != "" {
			d.Sections = append(d.Sections, s)
		}
	}
	return d
}

// lead says what must be known before the rest: what in the plan is not the yard's
// own, what the workshop lacks, and that there is nothing to compare with.
func (c comparison) lead() []string {
	lead := c.now.lead()
	if c.before == nil {
		lead = append(lead, "There are no earlier reports to compare with; run --keep N keeps them.")
	}
	if said := prep.ByCause(c.now.moved); said != "" {
		lead = append(lead, said)
	}
	if len(c.now.things) == 0 && c.now.has("attention.csv", "") {
		lead = append(lead, "Nothing to do: no promise at risk, no bid waiting, no work standing still.")
	}
	return lead
}

// overview puts the stock in a few sentences: how things stand, and who came and
// went.
func (c comparison) overview() string {
	t := totalsOf(c.now)
	said := ""
	if c.now.has("margin.csv", "") {
		said = fmt.Sprintf("%s in hand at %s, expected profit %s", count(t.inHand, "van"), data.InPounds(t.price.sum), data.InPounds(t.profit.sum))
		if c.now.has("bids.csv", "") {
			said += fmt.Sprintf("; %s offered to us", number(t.offered))
		}
		said += "."
	}
	if c.before == nil || !c.comparable("margin.csv") {
		return said
	}
	var parts []string
	for _, m := range []struct {
		vans []*van
		what string
	}{{c.moves.sold, "sold"}, {c.moves.bought, "bought"}, {c.moves.ready, "made ready"}, {c.moves.offered, "newly offered to us"}} {
		if len(m.vans) > 0 {
			parts = append(parts, number(len(m.vans))+" "+m.what)
		}
	}
	if len(parts) == 0 {
		parts = []string{"no van came, went or was made ready"}
	}
	return strings.TrimSpace(said + " Since then " + joined(parts) + ".")
}

// comparable reports whether both sets have the table, and the column if one
// is named.
func (c comparison) comparable(file string, columns ...string) bool {
	for _, s := range []*Set{c.now, c.before} {
		if s == nil || !s.has(file, "") || slices.ContainsFunc(columns, func(column string) bool { return !s.has(file, column) }) {
			return false
		}
	}
	return true
}

func (c comparison) rejected() Section {
	s := Section{Title: "Rows not used"}
	read, rejected := 0, totalRejected(c.now)
	var files []string
	for _, in := range c.now.inputs {
		read += in.Read
		if in.Rejected > 0 {
			files = append(files, fmt.Sprintf("%s in %s", number(in.Rejected), plain(in.Name)))
		}
	}
	was := ""
	if c.before != nil && len(c.before.inputs) > 0 {
		was = fmt.Sprintf(" (%s before)", number(totalRejected(c.before)))
	}
	if rejected == 0 {
		s.Note = fmt.Sprintf("None of %s%s.", count(read, "row"), was)
		return s
	}
	s.At = atRejects
	s.Note = fmt.Sprintf("%s of %s could not be used%s: %s.", number(rejected), count(read, "row"), was, joined(files))
	for _, g := range c.now.rejects[:min(len(c.now.rejects), rejectsShown)] {
		at := fmt.Sprintf("%s, line %s", g.file, g.line)
		if g.rows > 1 {
			at = fmt.Sprintf("%s, %s from line %s on", g.file, count(g.rows, "row"), g.line)
		}
		if g.column != "" {
			at += ", column " + g.column
		}
		if c.before != nil {
			if _, known := c.before.reasons[g.reason]; !known {
				at = "new: " + at
			}
		}
		s.Items = append(s.Items, Item{Text: shorten(at+": expected "+g.expected, 200)})
	}
	s.more(len(c.now.rejects) - len(s.Items))
	return s
}

func totalRejected(s *Set) int {
	n := 0
	for _, in := range s.inputs {
		n += in.Rejected
	}
	return n
}

func (c comparison) warnings() Section {
	s := Section{Title: "Warnings", At: atWarnings}
	said := c.now.lead()
	for _, w := range c.now.warnings {
		if w == c.now.workshop || slices.Contains(said, sentence(w)) {
			continue
		}
		text := shorten(plain(w), 300)
		if c.before != nil && !slices.Contains(c.before.warnings, w) {
			text = "new: " + text
		}
		s.Items = append(s.Items, Item{Text: text})
	}
	s.cut(warningsShown)
	return s
}

// lacking says what could not be told because one of the sets, made by an
// earlier version perhaps, does not have it.
// inWords writes the name of a table or column as people read it.
var inWords = strings.NewReplacer("attention", "list of what to do", "-", " ", "_", " ")

func (c comparison) lacking() Section {
	s := Section{Title: "Missing from the reports"}
	for _, set := range []*Set{c.before, c.now} {
		if set == nil || len(set.lacks) == 0 {
			continue
		}
		var words []string
		for _, l := range set.lacks {
			table := inWords.Replace(strings.TrimSuffix(l.file, ".csv"))
			if len(l.columns) > 0 {
				table = inWords.Replace(joined(l.columns)) + " of " + table
			}
			words = append(words, table)
		}
		s.Items = append(s.Items, Item{Text: fmt.Sprintf("The reports of %s have no %s.", fullDay(set.AsOf), strings.Join(words, "; no "))})
	}
	return s
}
