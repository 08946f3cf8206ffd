package pages

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// lookBackPage says how good the figures were: what the yard's own record makes of
// each, and what sold vans fetched against what was advised, by fifths.
type lookBackPage struct {
	layout
	Fifths []fifthLine
	Groups []learntGroup
}

type fifthLine struct{ Advised, Sold, Achieved, Spread, Within string }

type learntGroup struct {
	ID, Title, Note string
	HasBook         bool // there is more to say than how far from the book
	Rows            []learntLine
}

type learntLine struct{ Of, Book, Learnt, Evidence, Range string }

// figureOf says what a kind of figure is about and how its values read.
type figureOf struct {
	title, note string
	ofBook      bool // its values are multiples of the book's
	say         func(value string) string
}

// figuresLearnt are the kinds of calibration.csv in words.
var figuresLearnt = map[string]figureOf{
	"hours":          {"Hours a job takes", "Against the labour book. Open jobs are planned and priced with the hours learnt.", true, againstBook},
	"defects":        {"Faults at points that nobody tested", "Against the chance in the checkpoint book. What was found at points tested teaches it.", true, againstBook},
	"lead days":      {"Days until parts arrive", "Against the parts book, from orders that arrived.", true, againstBook},
	"part prices":    {"What parts cost", "Against the parts book, from orders that were invoiced.", true, againstBook},
	"value":          {"What our vans fetch", "Against the market's value for them.", true, againstBook},
	"paid of asking": {"What buyers pay of an asking price", "Half of them pay less than this; 9 in 10 pay between the two.", false, asShare},
	"days to sell":   {"Days to sell at the estimated value", "Half sell sooner than this; 9 in 10 sell between the two.", false, func(v string) string { return v + " days" }},
	"warranty":       {"What warranty costs a van", "From claims that were paid.", false, asPounds},
}

func (s *report) lookBack() lookBackPage {
	p := lookBackPage{layout: s.layout("How good were we", "../", "")}
	for _, f := range pricing.ByFifths(s.Outcomes) {
		p.Fifths = append(p.Fifths, fifthLine{
			Advised: pounds(f.From) + " to " + pounds(f.To), Sold: number(f.Sold), Achieved: orUnknown(f.Advised.Bias, signed),
			Spread: orUnknown(f.Advised.Spread, func(d decimal.Decimal) string { return data.FormatDecimal(d, 1) }), Within: wholePercent(f.Within),
		})
	}
	for _, l := range s.Record.Table() {
		f, known := figuresLearnt[l.What]
		if !known {
			f = figureOf{title: data.Capital(l.What), say: func(v string) string { return v }}
		}
		if n := len(p.Groups); n == 0 || p.Groups[n-1].Title != f.title {
			p.Groups = append(p.Groups, learntGroup{ID: strings.ReplaceAll(l.What, " ", "-"), Title: f.title, Note: f.note, HasBook: !f.ofBook})
		}
		g := &p.Groups[len(p.Groups)-1]
		line := learntLine{Of: s.learntOf(l.What, l.Of), Learnt: f.say(l.Learnt), Evidence: number(l.Evidence), Range: "too few to tell"}
		if g.HasBook {
			line.Book = f.say(l.Book)
		}
		if l.Low != "" && l.High != "" {
			line.Range = f.say(l.Low) + " to " + f.say(l.High)
		}
		g.Rows = append(g.Rows, line)
	}
	return p
}

// learntOf puts what a figure is of into words.
func (s *report) learntOf(what, of string) string {
	if skill, all := strings.CutSuffix(of, ": all jobs"); all {
		return "All " + data.Title(skill) + " jobs"
	}
	if title := s.jobTitle[of]; title != "" && what == "hours" {
		return title
	}
	if part, ok := s.Yard.Books.Part(of); ok {
		return part.Title
	}
	return data.Heading(of)
}

// againstBook writes a multiplier as what it adds to the book's figure.
func againstBook(ratio string) string {
	d, err := decimal.NewFromString(ratio)
	if err != nil {
		return ratio
	}
	off := data.Percent(d.Sub(decimal.NewFromInt(1)), decimal.NewFromInt(1), 0)
	if !off.Known || off.Value.IsZero() {
		return "as the book"
	}
	return strings.Replace(signed(off.Value), ".0%", "%", 1)
}

func asShare(ratio string) string {
	d, err := decimal.NewFromString(ratio)
	if err != nil {
		return ratio
	}
	return orUnknown(data.Percent(d, decimal.NewFromInt(1), 1), percent)
}

func asPounds(amount string) string {
	d, err := decimal.NewFromString(amount)
	if err != nil {
		return amount
	}
	return pounds(d)
}

// wantedPage says what to buy, and what one more of a skill, bay or pitch is worth.
type wantedPage struct {
	layout
	Pitch string
	Rows  []wantedLine
	Cut   int
	More  []moreLine
}

type wantedLine struct {
	Name, Body, Band, PerDay, Range, Profit, Days, More, InHand, Sales, Bottleneck string
}

type moreLine struct{ What, Site, Worth, Waiting string }

// bottleneck puts "skill damp" and "bay bodywork" the right way round.
func bottleneck(code string) string {
	kind, name, two := strings.Cut(code, " ")
	if !two {
		return data.Title(code)
	}
	return data.Title(name) + " " + kind
}

// wantedRows is how many kinds the page lists; wanted.csv has them all.
const wantedRows = 50

func (s *report) wanted() wantedPage {
	p := wantedPage{layout: s.layout("What to buy", "../", "").withScript(listJS)}
	if s.Buying.Pitch.IsPositive() {
		p.Pitch = pounds(s.Buying.Pitch)
	}
	p.Cut = max(0, len(s.Buying.Kinds)-wantedRows)
	for _, w := range s.Buying.Kinds[:len(s.Buying.Kinds)-p.Cut] {
		more := "no room"
		switch {
		case w.More > 0 && w.Worthwhile:
			more = number(w.More)
		case w.More > 0:
			more = "not worth a pitch"
		}
		p.Rows = append(p.Rows, wantedLine{
			Name: strings.TrimSpace(w.Maker + " " + w.Model), Body: data.Title(w.Body), Band: pounds(w.From) + " to " + pounds(w.To),
			PerDay: pounds(w.PerDay), Range: pounds(w.Low) + " to " + pounds(w.High), Profit: pounds(w.Profit), Days: number(w.DaysToSell),
			More: more, InHand: number(w.InHand), Sales: number(w.Sales), Bottleneck: bottleneck(w.Bottleneck),
		})
	}
	for _, m := range s.Plan.More {
		if m.Hours == 0 {
			continue
		}
		line := moreLine{What: "One more day of " + data.Title(m.Name) + " work", Site: m.Site, Worth: pounds(m.Saved), Waiting: fmt.Sprintf("%.0f h", m.Hours)}
		if m.Kind == "bay" {
			line.What = "One more " + data.Title(m.Name) + " bay"
		}
		if m.Weekly == 0 {
			line.Worth = "the workshop has none"
		}
		p.More = append(p.More, line)
	}
	return p
}
