package pages

import (
	"strings"

	"github.com/vanwright/vanwright/data"
)

// findPage holds one line for each van, sold ones too, in which its script
// searches: stock number, registration, name, status, what there is to say, and
// its page, parted by tabs.
type findPage struct {
	layout
	Vans string
	Text string
}

func (s *report) find() findPage {
	var lines strings.Builder
	// The latest are looked for most: in hand and offered first, sold ones last.
	for _, status := range data.Statuses {
		for i := range s.Vans {
			v := &s.Vans[i]
			if v.Status != status {
				continue
			}
			says := string(v.Status)
			switch {
			case v.Status == data.Sold:
				says = "sold " + day(v.SoldOn)
				if v.SoldPrice.Known {
					says += " for " + pounds(v.SoldPrice.Value)
				}
			case v.Bid != nil && v.Bid.Known:
				says = "offered, maximum bid " + pounds(v.Bid.MaxBid)
			case v.Asking.Known:
				says += ", asking " + pounds(v.Asking.Value)
			}
			for _, cell := range []string{v.StockID, v.Reg, nameOf(v.Van), says} {
				lines.WriteString(oneLine.Replace(cell))
				lines.WriteByte('\t')
			}
			lines.WriteString(s.vanLink("", v.StockID).Href)
			lines.WriteByte('\n')
		}
	}
	return findPage{layout: s.layout("Find a van", "", "find").withScript(findJS), Vans: lines.String(), Text: count(len(s.Vans), "van")}
}

var oneLine = strings.NewReplacer("\t", " ", "\n", " ", "\r", " ")
