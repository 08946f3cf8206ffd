package pages

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// mended lists what was done to a van: the findings that work has answered, then
// the other work, each with its day.
func mended(v *night.Van) []string {
	var out []string
	answered := map[string]bool{}
	for i := range v.Assessment.Findings {
		f := &v.Assessment.Findings[i]
		if f.MendedOn.IsZero() {
			continue
		}
		answered[f.Job] = true
		line := f.Point() + ", mended on " + f.MendedOn.Words()
		if f.Reread {
			line += ", to be read again"
		}
		out = append(out, line)
	}
	for _, j := range v.Jobs {
		if j.State == data.JobDone && j.Skill != "photography" && !answered[j.Code] {
			line := j.Title
			if !j.DoneOn.IsZero() {
				line += ", done on " + j.DoneOn.Words()
			}
			out = append(out, line)
		}
	}
	return out
}

// disclosures is what the buyer must be told beside its faults: the van's past, and
// work that nothing proves was done.
func disclosures(v *night.Van) []string {
	out := past(v)
	for _, told := range v.Assessment.Papers.Told {
		out = append(out, data.Capital(told)+".")
	}
	return out
}

// past is what a buyer must be told of a van's past: a category of write-off, an
// import, a mileage that the papers do not bear out. Each is material information
// (Digital Markets, Competition and Consumers Act 2024, part 4, of which secondary
// accounts were read), so that no card and no advert leaves it out.
func past(v *night.Van) []string {
	var out []string
	switch v.Salvage {
	case "S":
		out = append(out, "An insurer wrote it off: category S, damage to the structure that may be repaired.")
	case "N":
		out = append(out, "An insurer wrote it off: category N, damage not to the structure.")
	}
	if v.Imported {
		out = append(out, "It was imported by the dealer.")
	}
	papers := &v.Assessment.Papers
	switch papers.Mileage {
	case appraise.MileageFalls, appraise.MileageJumps:
		out = append(out, "The mileage is not to be relied on. "+papers.MileageDoubt)
	case appraise.MileageUnknown:
		out = append(out, "No paper bears the mileage out.")
	}
	return out
}

// ownFigures are what the new owner needs to know of this van and no other; what is
// not on record is left to be measured and written in.
func ownFigures(v *night.Van) []fact {
	var out []fact
	w := &v.Assessment.Weights
	add := func(what, value string) { out = append(out, fact{what, value}) }
	if v.MaxMassKg.Known {
		add("Maximum mass", number(v.MaxMassKg.Value)+" kg")
	}
	if w.Known {
		payload := number(w.PayloadKg) + " kg with the driver"
		if v.Belts.Known && v.Belts.Value > 0 {
			payload += fmt.Sprintf(", %s kg with all %d belts filled", number(w.AllBeltsKg), v.Belts.Value)
		}
		if !w.Measured {
			payload += fmt.Sprintf("; not weighed, may be out by %d kg", w.ToleranceKg)
		}
		add("Payload left", payload)
	}
	if w.Licence != "" {
		add("Driving licence", "category "+w.Licence)
	}
	add("Length", metres(v.LengthMM))
	add("Height with all that is on the roof", blankOr(heightWords(v.HeightMM)))
	add("Tyre pressures of a loaded van, front", blankOr(pressureWords(v.FrontTyrePsi)))
	add("Tyre pressures of a loaded van, rear", blankOr(pressureWords(v.RearTyrePsi)))
	for i := range v.Assessment.Findings {
		if f := &v.Assessment.Findings[i]; f.Unit == "date" && f.Verdict > data.Untested && f.Value != "" {
			add(f.Point(), dueOf(f))
		}
	}
	return slices.DeleteFunc(out, func(f fact) bool { return f.Value == notKnown })
}

// blankOr is a blank to write in where nothing is known.
func blankOr(value string) string {
	if value == notKnown {
		return ""
	}
	return value
}

// metres writes a length as a brochure does: 6.99 m.
func metres(mm data.Opt[int]) string {
	return orUnknown(mm, func(n int) string { return fmt.Sprintf("%.2f m", float64(n)/1000) })
}

// heightWords writes a height in metres and, as the signs at low bridges have both, in feet and
// inches. Both are rounded up: a height that is too small is the dangerous one.
func heightWords(mm data.Opt[int]) string {
	return orUnknown(mm, func(n int) string {
		centimetres, inches := (n+9)/10, int(math.Ceil(float64(n)/25.4))
		return fmt.Sprintf("%d.%02d m (%d ft %d in)", centimetres/100, centimetres%100, inches/12, inches%12)
	})
}

// pressureWords writes a tyre pressure in psi and in bar of 14.50377 psi.
func pressureWords(psi data.Opt[int]) string {
	return orUnknown(psi, func(n int) string { return fmt.Sprintf("%d psi (%.1f bar)", n, float64(n)/data.PsiOfBar) })
}

// dueOf takes from a date's reason when it ends; where it is due by its age, the date
// itself comes first.
func dueOf(f *appraise.Finding) string {
	_, printed, _ := strings.Cut(f.Reason, " years since ")
	printed, _, _ = strings.Cut(printed, " is ")
	printed, _, _ = strings.Cut(printed, " recorded")
	for _, clause := range strings.Split(f.Reason, "; ") {
		switch {
		case strings.HasPrefix(clause, "expire"):
			return clause
		case strings.HasPrefix(clause, "due "), strings.HasPrefix(clause, "was due "):
			return printed + ", " + clause
		}
	}
	return printed
}

// packPapers sorts a van's papers into those that are given, those that have become
// history, those to follow and those that are missing. What was only told is no
// paper to give.
func (s *report) packPapers(v *night.Van, p *handoverPage) {
	ended := v.Assessment.Papers.Ended
	for _, d := range slices.SortedStableFunc(slices.Values(s.Yard.Documents[v.StockID]), comparePapers) {
		what := data.Heading(d.Kind)
		if len(d.Covers) > 0 {
			what += ": " + data.Titles(d.Covers)
		}
		gone := slices.IndexFunc(ended, func(e appraise.EndedPaper) bool { return e.Source == d.Source })
		switch {
		case d.Held == "promised":
			p.ToFollow = append(p.ToFollow, what)
		case d.Held == "yes" && d.Evidence == "verbal":
			p.ToFollow = append(p.ToFollow, what+" (told, nothing in writing)")
		case d.Held == "yes" && gone >= 0:
			p.History = append(p.History, fmt.Sprintf("%s of %s: %s", what, d.Dated.Words(), ended[gone].Why))
		case d.Held == "yes" && d.Kind == "registration":
			p.Papers = append(p.Papers, paperLine{What: what + ": its green slip for the new keeper", Evidence: "DVLA is told of the sale; the rest goes the way it says"})
		case d.Held == "yes":
			line := paperLine{What: what, Evidence: d.Evidence}
			if !d.Dated.IsZero() {
				line.Dated = day(d.Dated)
			}
			switch {
			case d.Expires.IsZero():
			case d.Expires < s.AsOf:
				line.Ends = "ended " + day(d.Expires)
			default:
				line.Ends = day(d.Expires)
			}
			p.Papers = append(p.Papers, line)
		}
	}
	for _, word := range v.Assessment.Papers.Missing {
		if !slices.Contains(v.Assessment.Papers.Promised, word) {
			p.Missing = append(p.Missing, data.Title(word))
		}
	}
}

// refused says that a van must not be handed over in any case: an unsafe point is
// open, or its category of write-off forbids the road.
func refused(v *night.Van) bool {
	return len(v.Assessment.Stops()) > 0 || v.Salvage == "A" || v.Salvage == "B"
}

// standing are the faults that nothing has answered, for the owner to know.
func standing(v *night.Van) []offerZone {
	return forTheOwner(prep.StandingFaults(v.Assessment.Findings, v.Jobs))
}
