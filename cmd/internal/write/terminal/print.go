package terminal

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

const (
	width       = 80 // what fits a terminal that was not widened
	mostLines   = 2  // of one reason
	mostSystems = 6  // untested systems that are named, the riskiest
	mostCaution = 5  // cautions shown; the job card has them all
)

// Print writes the sheet as text for a terminal: the bid first, then what it
// rests on, shortened to what one screen can hold. The JSON has everything.
func (s *Sheet) Print(w io.Writer) error {
	p := printer{bufio.NewWriter(w)}
	p.line("%s  %s", s.StockID, s.Van)
	p.line("%s; as of %s", s.Details, s.AsOf.Words())
	p.line("")
	if s.MaxBid == "" {
		p.line("NO BID: no price can be given")
	} else {
		p.line("MAXIMUM BID %s, open at %s; %s%% chance of the target profit at the maximum",
			show(s.MaxBid), show(s.OpeningBid), s.Confidence)
	}
	if s.Price != "" {
		p.line("sell at %s (estimated value %s, 9 in 10 sell between %s and %s)",
			show(s.Price), show(s.Market), show(s.MarketLow), show(s.MarketHigh))
		p.line("ready in about %d days, sold about %d days after", s.PrepDays, *s.Days)
	}
	p.heading("Look here first", len(s.Serious))
	p.bullets(s.Serious)
	p.heading("From price to profit, at the maximum bid", len(s.Reckoning))
	for _, l := range s.Reckoning {
		p.line("  %-48s %12s", l.What, show(l.Amount))
	}
	p.heading("What would change the maximum bid", len(s.Shifts))
	for _, m := range s.Shifts {
		p.line("  %-48s %12s", m.What, show(m.Change))
	}
	p.heading("Why", len(s.Reasons))
	p.bullets(s.Reasons)
	p.heading(fmt.Sprintf("Costliest work: %d of %d jobs, %s in all, 80%% likely to be within %s",
		len(s.Costliest), s.Jobs, show(s.PrepP50), show(s.PrepP80)), len(s.Costliest))
	for _, j := range s.Costliest {
		p.wrapped(fmt.Sprintf("  %9s %6s h  ", show(j.Cost), j.Hours), j.Title, 1)
		p.wrapped(strings.Repeat(" ", 22), j.Because, mostLines)
	}
	minutes := 0.0
	for _, l := range s.LookNext {
		minutes += l.Minutes
	}
	p.heading(fmt.Sprintf("Look at next: about %.0f minutes, and what each may move the bid by", math.Ceil(minutes)), len(s.LookNext))
	for _, l := range s.LookNext {
		p.wrapped(fmt.Sprintf("  %9s %4.0f min ", show(l.Worth), math.Ceil(l.Minutes)), l.Title, 1)
	}
	p.heading("Not tested, allowed for in the bid", len(s.Untested))
	for i, u := range s.Untested {
		if i == mostSystems {
			points := 0
			for _, rest := range s.Untested[i:] {
				points += rest.Points
			}
			p.line("  and %d points of %d other systems", points, len(s.Untested)-i)
			break
		}
		p.wrapped(fmt.Sprintf("  %-16s %3d  ", data.Title(u.System), u.Points), strings.Join(u.First, "; "), 1)
	}
	p.heading("Papers", len(s.Missing)+len(s.Promised))
	p.wrapped("  missing   ", data.Titles(s.Missing), 0)
	p.wrapped("  promised  ", data.Titles(s.Promised), 0)
	p.heading("Ask the owner", len(s.Ask))
	p.bullets(s.Ask)
	p.heading("Cautions", len(s.Cautions))
	p.bullets(s.Cautions[:min(mostCaution, len(s.Cautions))])
	p.line("")
	p.line("An estimate, not a valuation: a person approves every bid.")
	return p.Flush()
}

// show writes an amount of the sheet for people: £15,350 rather than 15350.00.
func show(amount string) string {
	m, err := decimal.NewFromString(amount)
	if err != nil {
		return amount
	}
	return data.InPounds(m)
}

type printer struct{ *bufio.Writer }

func (p printer) line(format string, args ...any) {
	fmt.Fprintf(p, format+"\n", args...)
}

// heading starts a section, unless the section would be empty.
func (p printer) heading(title string, items int) {
	if items > 0 {
		p.line("")
		p.line("%s", title)
	}
}

func (p printer) bullets(items []string) {
	for _, item := range items {
		p.wrapped("  - ", item, mostLines)
	}
}

// wrapped breaks text at the terminal's width; lines after the first are
// indented as far as the first one's text. After most lines, 0 for no limit,
// the rest is cut and an ellipsis says so.
func (p printer) wrapped(lead, text string, most int) {
	if text == "" {
		return
	}
	room := width - len(lead)
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && runes(line)+1+runes(word) > room {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	lines = append(lines, line)
	if most > 0 && len(lines) > most {
		lines = lines[:most]
		lines[most-1] += " …"
	}
	for i, l := range lines {
		if i > 0 {
			lead = strings.Repeat(" ", len(lead))
		}
		p.line("%s%s", lead, l)
	}
}

func runes(s string) int { return len([]rune(s)) }
