package workbook

import (
	"cmp"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// totalLine is a row of the Totals sheet.
type totalLine struct {
	pricing.Total
	name string // as the Margin sheet spells it
	// live is false for a name that the condition of a formula cannot ask for:
	// one that differs from another in letter case alone, or that is not plain.
	live bool
}

func totalRows(totals []pricing.Total) []totalLine {
	lines := make([]totalLine, len(totals))
	spelt := map[[2]string]map[string]bool{}
	for i, t := range totals {
		name := t.Name
		if t.By != "all" {
			name = cmp.Or(t.Name, notSaid)
		}
		if t.By == "body" || t.By == "source" {
			name = data.Title(name)
		}
		lines[i] = totalLine{Total: t, name: name}
		key := [2]string{t.By, strings.ToLower(name)}
		if spelt[key] == nil {
			spelt[key] = map[string]bool{}
		}
		spelt[key][t.Name] = true
	}
	for i, l := range lines {
		lines[i].live = len(spelt[[2]string{l.By, strings.ToLower(l.name)}]) == 1 && (l.By == "all" || isPlain(l.name))
	}
	return lines
}

// totalColumns are the columns of margin-totals.csv and a check. The sums are
// live: they follow what is changed in the Margin sheet.
func totalColumns(vans []*night.Van) []column[totalLine] {
	last := len(vans) + 1
	sum := func(title string, width float64, col string, of func(k pricing.ProfitBreakdown) data.Money) column[totalLine] {
		return column[totalLine]{title, width, money, func(l totalLine, _ int) any {
			if !l.live {
				return of(l.Sum)
			}
			return formula{text: l.sumIfs(col, last), result: of(l.Sum)}
		}}
	}
	return []column[totalLine]{
		{"by", 9, words, func(l totalLine, _ int) any { return l.By }},
		{"name", 18, words, func(l totalLine, _ int) any { return l.name }},
		{"state", 9, words, func(l totalLine, _ int) any { return l.state() }},
		{"vans", 7, whole, func(l totalLine, _ int) any { return l.Vans }},
		{"counted", 8, whole, func(l totalLine, _ int) any { return l.Counted }},
		sum("price", 15, colPrice, func(k pricing.ProfitBreakdown) data.Money { return k.Price }),
		sum("cost", 15, colCost, func(k pricing.ProfitBreakdown) data.Money { return k.Cost }),
		sum("vat", 14, colVAT, func(k pricing.ProfitBreakdown) data.Money { return k.VAT }),
		sum("prep", 14, colPrep, func(k pricing.ProfitBreakdown) data.Money { return k.Prep }),
		sum("warranty", 13, colWarranty, func(k pricing.ProfitBreakdown) data.Money { return k.Warranty }),
		sum("holding", 14, colHolding, func(k pricing.ProfitBreakdown) data.Money { return k.Holding }),
		sum("selling", 13, colSelling, func(k pricing.ProfitBreakdown) data.Money { return k.Selling }),
		{"profit", 15, money, func(l totalLine, row int) any {
			return formula{text: fmt.Sprintf("ROUND(F%[1]d-H%[1]d-G%[1]d-I%[1]d-J%[1]d-K%[1]d-L%[1]d,2)", row), result: l.Sum.Profit}
		}},
		{"profit_pct", 9, onePlace, func(l totalLine, row int) any {
			return formula{text: fmt.Sprintf(`IF(F%[1]d-H%[1]d=0,"",ROUND(100*M%[1]d/(F%[1]d-H%[1]d),1))`, row), result: optDecimal(l.Sum.ProfitPct)}
		}},
		sum("target_profit", 14, colTarget, func(k pricing.ProfitBreakdown) data.Money { return k.Target }),
		{"flagged", 8, whole, func(l totalLine, _ int) any { return l.Flagged }},
		{"profit_reported", 15, money, func(l totalLine, _ int) any { return l.Sum.Profit }},
		{"check", 9, money, func(l totalLine, row int) any {
			return formula{text: fmt.Sprintf("ROUND(M%[1]d-Q%[1]d,2)", row), result: 0}
		}},
	}
}

func (l totalLine) state() string {
	if l.Sold {
		return "sold"
	}
	return "in hand"
}

// sumIfs adds up a column of the Margin sheet over the vans of the line that
// are reckoned.
func (l totalLine) sumIfs(col string, last int) string {
	span := func(col string) string { return fmt.Sprintf("Margin!$%[1]s$2:$%[1]s$%[2]d", col, last) }
	state := "<>sold"
	if l.Sold {
		state = "sold"
	}
	text := fmt.Sprintf(`SUMIFS(%s,%s,"%s",%s,"%s"`, span(col), span(colReckoned), reckonedWord, span(colStatus), state)
	if by := map[string]string{"site": colSite, "body": colBody, "source": colSource}[l.By]; by != "" {
		text += fmt.Sprintf(`,%s,"=%s"`, span(by), l.name)
	}
	return text + ")"
}

// isPlain reports whether a name means itself in the condition of a formula,
// where *, ? and ~ stand for other characters, and what begins like a number or
// a comparison is taken for one.
func isPlain(name string) bool {
	first, _ := utf8.DecodeRuneInString(name)
	return unicode.IsLetter(first) && len(name) <= 200 && !strings.ContainsAny(name, "*?~\"") &&
		!strings.EqualFold(name, "true") && !strings.EqualFold(name, "false")
}
