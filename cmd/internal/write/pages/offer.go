package pages

import (
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

// offerPage is for the customer, in a customer's words: what we found, what we did
// not see or test, and a blank for the offer. Nothing in it, shown or hidden, tells
// of the dealer's margin, price, maximum bid or limits, or quotes an inspector.
type offerPage struct {
	layout
	ID, Name, Reg string
	Identity      factList
	Inspected     string
	Found         []offerZone
	Missing       string
	Promised      string
	Untested      string
	Owed          bool
	WriteOff      string // category A or B: no offer is made on paper
}

// offerZone is what was found in one part of the van, as one text.
type offerZone struct{ Name, Points string }

func (s *report) offer(v *night.Van) offerPage {
	a := &v.Assessment
	p := offerPage{
		layout: s.layout("Offer "+v.StockID+" "+v.Reg, "../", "").bare(), ID: v.StockID, Name: nameOf(v.Van), Reg: v.Reg,
		Identity: ownersFacts(v.Van), Inspected: inspectedOn(a), Missing: data.Titles(a.Papers.Missing), Promised: data.Titles(a.Papers.Promised),
		Untested: untestedSystems(a), Owed: v.FinanceOwed.Known && v.FinanceOwed.Value.IsPositive(),
	}
	if v.Salvage == "A" || v.Salvage == "B" {
		p.WriteOff = v.Salvage
		return p
	}
	p.Found = forTheOwner(a.Findings)
	p.showPhotos(v, forCustomers)
	return p
}

// customersWords say what a verdict means to somebody who is not in the trade.
var customersWords = map[data.Verdict]string{data.Worn: "worn", data.Defect: "needs work", data.Unsafe: "not safe to use as it is"}

// forTheOwner lists what was found by part of the van, the worst first, in words
// for its owner. A point is named once, with its places. Papers are named apart.
func forTheOwner(findings []appraise.Finding) []offerZone {
	var out []offerZone
	at := map[string]int{}
	for _, verdict := range []data.Verdict{data.Unsafe, data.Defect, data.Worn} {
		named := map[string]bool{} // checkpoints
		for i := range findings {
			f := &findings[i]
			if f.Verdict != verdict || f.Zone == data.PapersZone || named[f.Code] {
				continue
			}
			named[f.Code] = true
			text, stops := f.Title, false
			for k := range findings[i:] {
				if same := &findings[i+k]; same.Verdict == verdict && same.Code == f.Code {
					text += placeAndValue(same)
					stops = stops || same.Stops
				}
			}
			if verdict == data.Unsafe && !stops { // a test has passed since, and nothing was done
				text += fmt.Sprintf(": not safe when it was read on %s, passed in a test since, to be read again", f.TakenOn.Words())
			} else {
				text += ": " + customersWords[verdict]
			}
			k, ok := at[f.Zone]
			if !ok {
				k = len(out)
				at[f.Zone] = k
				out = append(out, offerZone{Name: zoneTitle(f.Zone)})
			}
			out[k].Points = strings.TrimPrefix(out[k].Points+"; "+text, "; ")
		}
	}
	return out
}

// placeAndValue is where a finding is and what was read there, after a comma.
func placeAndValue(f *appraise.Finding) string {
	if text := strings.TrimSpace(data.Title(f.Position) + " " + valueOf(f)); text != "" {
		return ", " + text
	}
	return ""
}

// ownersFacts are the facts of identity that are the owner's own.
func ownersFacts(v data.Van) factList {
	theirs := []string{
		"Registration", "VIN", "Maker and model", "Body", "Fuel", "Gearbox", "First registered",
		"Mileage", "Berths", "Belts", "Keepers, including present", "Keys",
	}
	return slices.DeleteFunc(identity(v), func(f fact) bool { return !slices.Contains(theirs, f.What) })
}
