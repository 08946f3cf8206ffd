package pricing

import (
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// invoiceDays is how far from the purchase an invoice may be dated and still be
// taken for the one it was bought on. Common practice, no source.
const invoiceDays = 14

// VATDoubt reports whether a van marked for the margin scheme seems to have been
// bought, or to be offered, on an invoice that shows VAT, which takes it out of
// the scheme (gov.uk, "Using the VAT margin scheme for second-hand vehicles")
// until vat_on_invoice answers.
//
// Only an invoice to the dealer counts: one of about the day of the purchase, or
// of today for a van that is offered, or without a day, and not one for work
// done, which was to a former owner.
func VATDoubt(v data.Van, papers []data.Document, asOf data.Date) bool {
	if v.VAT != data.MarginScheme || v.VATOnInvoice.Known {
		return false
	}
	bought := v.Acquired
	if v.Status == data.Offered {
		bought = asOf
	}
	return slices.ContainsFunc(papers, func(d data.Document) bool {
		if d.Kind != "invoice" || len(d.Covers) > 0 || !showsVAT(d.Note) {
			return false
		}
		return d.Dated.IsZero() || !bought.IsZero() && max(d.Dated, bought).DaysSince(min(d.Dated, bought)) <= invoiceDays
	})
}

// noVAT are the phrases that deny it, and the scheme whose invoices show none.
var noVAT = []string{
	"no vat", "not vat", "non vat", "without vat", "nil vat", "zero vat", "vat not", "vat none", "vat nil", "vat no ", "vat free", "vat exempt",
	"vat 0 ", "margin scheme", "no seperate vat", "no separate vat",
}

// showsVAT reports whether a note says that an invoice shows VAT, in whatever
// spelling: VAT, V.A.T., value added tax.
func showsVAT(note string) bool {
	note = strings.ReplaceAll(strings.ToLower(note), ".", "")
	words := strings.FieldsFunc(note, func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
	text := " " + strings.Join(words, " ") + " "
	text = strings.ReplaceAll(text, " value added tax ", " vat ")
	text = strings.ReplaceAll(text, " v a t ", " vat ")
	if !strings.Contains(text, " vat ") {
		return false
	}
	return !slices.ContainsFunc(noVAT, func(phrase string) bool { return strings.Contains(text, " "+strings.TrimSuffix(phrase, " ")+" ") })
}
