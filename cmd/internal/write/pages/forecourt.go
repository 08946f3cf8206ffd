package pages

import (
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// forecourtPage is a card for the windscreen of a van that is ready, and the text
// of an advert for it. Both say what is on record and nothing else: no word on what
// was not tested.
type forecourtPage struct {
	layout
	ID, Name, Reg, Price string
	Facts                []fact
	Equipment            string
	Done                 string
	Told                 []string // of its past, which an advert may not leave out
	Stops                []string // why it may not stand for sale: the card is then a notice of that
	Advert               string
}

func (s *report) forecourt(v *night.Van) forecourtPage {
	p := forecourtPage{
		layout: s.layout("Forecourt card "+v.StockID+" "+v.Reg, "../", ""), ID: v.StockID, Name: nameOf(v.Van), Reg: v.Reg,
		Price: cardPrice(v), Facts: s.cardFacts(v), Equipment: data.Titles(v.Equipment),
	}
	p.Kind = "windscreen"
	if refused(v) {
		p.Stops = pricing.StopsHandover(&v.Assessment, v.Jobs, s.AsOf)
		return p
	}
	p.Told = past(v)
	p.showPhotos(v, forCustomers)
	var done []string
	for _, j := range v.Jobs {
		if j.State == data.JobDone && j.Skill != "photography" {
			done = appendNew(done, j.Title)
		}
	}
	p.Done = strings.Join(done, "; ")
	p.Advert = s.advert(p)
	return p
}

// cardPrice is the asking price on record, else the one that is advised.
func cardPrice(v *night.Van) string {
	switch {
	case v.Asking.Known:
		return pounds(v.Asking.Value)
	case v.Quote != nil && v.Quote.AskingPrice.Known:
		return pounds(v.Quote.AskingPrice.Value)
	}
	return ""
}

// cardFacts are the facts that a buyer compares vans by; what is not on record is
// left out.
func (s *report) cardFacts(v *night.Van) []fact {
	var out []fact
	add := func(what, value string) {
		if value != "" && value != notKnown {
			out = append(out, fact{what, value})
		}
	}
	add("First registered", day(v.FirstRegistered))
	add("Mileage", number(v.Mileage)+" miles")
	add("Body", data.Heading(v.Body))
	add("Gearbox", data.Capital(v.Gearbox))
	add("Fuel", data.Capital(v.Fuel))
	if v.Berths.Known && v.Belts.Known {
		add("Berths and belts", fmt.Sprintf("%d and %d", v.Berths.Value, v.Belts.Value))
	}
	add("Length", metres(v.LengthMM))
	add("Height", heightWords(v.HeightMM))
	add("Maximum mass", withUnit(v.MaxMassKg, "kg"))
	if w := v.Assessment.Weights; w.Known {
		add("Payload", number(w.PayloadKg)+" kg")
		add("Licence category", w.Licence)
	}
	add("Keepers, including present", withUnit(v.Keepers, ""))
	if mot := v.Assessment.Papers.MOTExpires; mot >= s.AsOf {
		add(motLabel(v.Assessment.Papers), day(mot))
	}
	switch v.VAT {
	case data.Qualifying:
		add("VAT", "qualifying")
	case data.MarginScheme:
		add("VAT", "margin scheme, none to reclaim")
	}
	for _, d := range s.Yard.Documents[v.StockID] {
		if d.Kind == "warranty" && d.Held == "yes" && d.Expires >= s.AsOf {
			add("Warranty until", day(d.Expires))
			break
		}
	}
	return out
}

// advert writes the facts of a card as the text of an advert.
func (s *report) advert(p forecourtPage) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s", p.Name)
	if p.Price != "" {
		fmt.Fprintf(&b, ", %s", p.Price)
	}
	b.WriteString("\n\n")
	for _, f := range p.Facts {
		fmt.Fprintf(&b, "%s: %s\n", f.What, f.Value)
	}
	if p.Equipment != "" {
		fmt.Fprintf(&b, "\nEquipment: %s.\n", p.Equipment)
	}
	for _, told := range p.Told {
		fmt.Fprintf(&b, "\n%s\n", told)
	}
	if p.Done != "" {
		fmt.Fprintf(&b, "\nWork done by us: %s.\n", p.Done)
	}
	fmt.Fprintf(&b, "\nReference %s. Details as recorded on %s; please check what matters to you.\n", p.ID, day(s.AsOf))
	return b.String()
}
