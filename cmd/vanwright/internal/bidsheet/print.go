package bidsheet

import (
	"bufio"
	"fmt"
	"io"
	"strings"
)

// width is what fits a terminal that nobody has widened.
const width = 80

// Print writes the sheet as text for a terminal.
func (s *Sheet) Print(w io.Writer) error {
	p := printer{bufio.NewWriter(w)}
	p.line("%s  %s", s.StockID, s.Van)
	p.line("%s; as of %s", s.Details, s.AsOf)
	p.line("")
	if s.MaxBid == "" {
		p.line("No bid can be given.")
	} else {
		p.line("BID UP TO %s   open at %s   chance of the target at the top %s %%", s.MaxBid, s.OpeningBid, s.Confidence)
	}
	if s.Price != "" {
		p.line("Ask %s   market %s (90 %%: %s to %s)", s.Price, s.Market, s.MarketLow, s.MarketHigh)
		p.line("Ready in about %d days, sold about %d days after", s.PrepDays, s.Days)
	}
	p.heading("Look here first", len(s.Serious))
	p.bullets(s.Serious)
	p.heading("From price to profit", len(s.Reckoning))
	for _, l := range s.Reckoning {
		p.line("  %-44s %12s", l.What, l.Amount)
	}
	p.heading("Why", len(s.Reasons))
	p.bullets(s.Reasons)
	p.heading(fmt.Sprintf("Costliest work (%d of %d jobs, all at %s; four times in five up to %s)",
		len(s.Costliest), s.Jobs, s.PrepP50, s.PrepP80), len(s.Costliest))
	for _, j := range s.Costliest {
		p.line("  %10s  %5s h  %s", j.Cost, j.Hours, j.Title)
		if j.Because != "" {
			p.wrapped("                       ", j.Because)
		}
	}
	p.heading(fmt.Sprintf("Not tested (%d points, priced as a risk)", len(s.Untested)), len(s.Untested))
	p.wrapped("  ", strings.Join(s.Untested, "; "))
	p.heading("Papers missing", len(s.Missing))
	p.wrapped("  ", strings.Join(s.Missing, "; "))
	p.heading("Papers promised", len(s.Promised))
	p.wrapped("  ", strings.Join(s.Promised, "; "))
	p.heading("Ask the owner", len(s.Ask))
	p.bullets(s.Ask)
	p.heading("Cautions", len(s.Cautions))
	p.bullets(s.Cautions)
	p.line("")
	p.line("An estimate, not a valuation: a person approves every bid.")
	return p.Flush()
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
		p.wrapped("  - ", item)
	}
}

// wrapped breaks text at the terminal's width; lines after the first are
// indented as far as the first one's text.
func (p printer) wrapped(indent, text string) {
	if text == "" {
		return
	}
	at := indent
	rest := strings.Repeat(" ", len(indent))
	line := at
	for _, word := range strings.Fields(text) {
		if len(line)+len(word) > width && line != at {
			p.line("%s", strings.TrimRight(line, " "))
			at = rest
			line = at
		}
		line += word + " "
	}
	p.line("%s", strings.TrimRight(line, " "))
}
