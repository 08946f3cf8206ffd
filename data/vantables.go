package data

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
)

// slipVan is a row of a slip's vans.csv: what it has to say about a van.
type slipVan struct {
	id     string
	raw    rawVan
	source Source
}

// slipVanKey keeps the rows of one slip apart.
var slipVanKey = uniqueKey[slipVan]{
	column: "stock_id",
	value:  func(v *slipVan) string { return v.id },
	of:     func(v *slipVan) string { return strings.ToLower(v.id) },
	shown:  func(v *slipVan) string { return "stock_id " + v.id },
	source: func(v *slipVan) *Source { return &v.source },
	same:   func(a, b *slipVan) bool { return a.raw == b.raw },
}

// parseSlipVan takes a row as it stands; what its cells mean shows when they are
// laid over those of the van.
func parseSlipVan(raw *rawVan, c *cells, at Source) slipVan {
	v := slipVan{id: c.stockID("stock_id", raw.StockID), source: at}
	for i, cell := range fieldsOf(raw) {
		*fieldsOf(&v.raw)[i] = strings.Clone(trim(*cell))
	}
	return v
}

// vanState is what is known of a van as slip after slip is laid over vans.csv.
type vanState struct {
	raw      rawVan
	van      Van
	accepted bool   // whether its row could be used so far
	from     Source // where the van came in
}

// vans reads vans.csv, which the other tables are checked against, and lays the
// rows of slips over it.
func (l *loader) vans(ctx context.Context) error {
	fromSlips, err := slipTables(ctx, l, "vans.csv", slipColumns("vans.csv"), l.options(), func(*slip) rowParser[rawVan, slipVan] { return parseSlipVan })
	if err != nil {
		return err
	}
	told := map[string]bool{} // stock_ids of which slips speak, in lower case
	for _, t := range fromSlips {
		for _, v := range slices.Concat(t.records...) {
			told[strings.ToLower(v.id)] = true
		}
	}
	states, parse := rememberVans(told)
	own, err := ownTable(ctx, l, "vans.csv", l.options(), parse)
	if err != nil {
		return err
	}
	if len(own)+len(fromSlips) == 0 {
		return l.tables.noVans()
	}
	l.y.Vans = vanKey.apart(own)
	rejected := rejectedVans(own)
	l.told = states
	if len(fromSlips) > 0 {
		rejected = append(rejected, l.layOver(states, fromSlips)...)
	}
	slices.SortFunc(l.y.Vans, func(a, b Van) int { return strings.Compare(a.StockID, b.StockID) })
	l.index = newVanIndex(l.y.Vans, rejected)
	note(l, "vans.csv", own)
	note(l, "vans.csv", fromSlips)
	l.held.Store(int64(len(l.read["vans.csv"].rejects)))
	return withinLimit(l.read["vans.csv"].rejects, l.o.MaxRejects)
}

// slipColumns are the columns of a table that stands in a slip. A row about a van that
// is known need not have more than its stock_id.
func slipColumns(name string) []Column {
	columns := Columns(name)
	if name == "vans.csv" {
		columns = slices.Clone(columns)
		for i := range columns {
			columns[i].Required = columns[i].Name == "stock_id"
		}
	}
	return columns
}

// rejectedVans are the rows of vans.csv that could not be used.
func rejectedVans(sources []*table[Van]) []rejectedVan {
	var out []rejectedVan
	for _, t := range sources {
		out = append(out, t.rejectedVans...)
		for _, r := range t.rejects {
			if r.Rule == vanKey.rule() {
				out = append(out, rejectedVan{r.Value, Source{r.File, r.Line}})
			}
		}
	}
	return out
}

// rememberVans returns a parser of vans.csv that keeps the cells of the vans of
// which slips speak, by stock_id in lower case.
func rememberVans(told map[string]bool) (map[string]*vanState, rowParser[rawVan, Van]) {
	states := map[string]*vanState{}
	if len(told) == 0 {
		return states, parseVan
	}
	var mu sync.Mutex // rows are parsed side by side
	return states, func(raw *rawVan, c *cells, at Source) Van {
		v := parseVan(raw, c, at)
		if key := strings.ToLower(v.StockID); told[key] {
			s := &vanState{raw: parseSlipVan(raw, newCells(0), at).raw, from: at}
			mu.Lock()
			defer mu.Unlock()
			if known := states[key]; known == nil || at.Line < known.from.Line {
				states[key] = s
			}
		}
		return v
	}
}

// layOver lays the rows of slips over the vans that there are: a filled cell
// replaces, a blank one leaves, - clears. A slip that brings another van under a
// stock_id that is taken is refused whole.
func (l *loader) layOver(states map[string]*vanState, fromSlips []*table[slipVan]) []rejectedVan {
	place := map[string]int{} // of a van in y.Vans, by stock_id in lower case
	for i := range l.y.Vans {
		place[strings.ToLower(l.y.Vans[i].StockID)] = i
	}
	for key, s := range states {
		if i, ok := place[key]; ok {
			s.van, s.accepted, s.from = l.y.Vans[i], true, l.y.Vans[i].Source
		}
	}
	var rejected []rejectedVan
	next := 0 // of fromSlips
	for _, s := range l.slips.slips {
		if s.tables["vans.csv"] == nil {
			continue
		}
		t := fromSlips[next]
		next++
		rows := slipVanKey.apart([]*table[slipVan]{t})
		var rejects []Reject
		if s.refused = conflictOf(s, states, rows); s.refused != "" {
			for _, row := range rows {
				rejects = append(rejects, Reject{File: row.source.File, Line: row.source.Line, Expected: s.refused, Rule: "slip.refused"})
				rejected = append(rejected, rejectedVan{row.id, row.source})
			}
			rows = nil
		}
		c := newCells(l.o.AsOf)
		for _, row := range rows {
			key := strings.ToLower(row.id)
			known := states[key]
			raw := row.raw.over(known)
			c.begin()
			from := row.source
			if known != nil && known.accepted {
				from = known.from
			}
			van := parseVan(&raw, c, from)
			if known != nil && known.accepted && known.van.StockID != row.id {
				c.refuse("stock_id", row.id, "stock_id.unknown", fmt.Sprintf("a van of vans.csv; did you mean %q?", known.van.StockID))
			}
			if len(c.bad) > 0 {
				r := rejectOf(c.bad, row.source, "")
				rejects = append(rejects, r)
				rejected = append(rejected, rejectedVan{row.id, row.source})
				continue
			}
			states[key] = &vanState{raw: raw, van: van, accepted: true, from: from}
			if i, ok := place[key]; ok {
				l.y.Vans[i] = van
				t.replaced = append(t.replaced, row.source)
			} else {
				place[key] = len(l.y.Vans)
				l.y.Vans = append(l.y.Vans, van)
			}
		}
		t.withdraw(rejects)
	}
	return rejected
}

// over lays the cells of a slip over those of a van; nil for a van not known.
func (raw rawVan) over(known *vanState) rawVan {
	var out rawVan
	if known != nil {
		out = known.raw
	}
	for i, cell := range fieldsOf(&raw) {
		to := fieldsOf(&out)[i]
		switch *cell {
		case "":
		case "-":
			*to = ""
		default:
			*to = *cell
		}
	}
	return out
}

// conflictOf says which of a slip's rows brings another van under a stock_id
// that is taken; blank where none does.
func conflictOf(s *slip, states map[string]*vanState, rows []slipVan) string {
	for _, row := range rows {
		known := states[strings.ToLower(row.id)]
		if known == nil || !known.accepted || !row.raw.isAnother(&known.raw) {
			continue
		}
		return fmt.Sprintf("another stock_id: the slip %s brings another van under %s, %s, than the one of %s, %s; all of the slip is refused",
			s.ID, row.id, row.raw.marks(), known.from, known.raw.marks())
	}
	return ""
}

// isAnother reports whether a row speaks of another vehicle than the known one:
// by the VIN, or, where one of them has none, by the registration of a row that
// is more than a correction.
func (raw *rawVan) isAnother(known *rawVan) bool {
	vin, knownVIN := plainMark(raw.VIN), plainMark(known.VIN)
	if vin != "" && knownVIN != "" {
		return vin != knownVIN
	}
	reg, knownReg := plainMark(raw.Reg), plainMark(known.Reg)
	wholeVan := raw.Maker != "" && raw.Model != "" && raw.FirstRegistered != ""
	return wholeVan && reg != "" && knownReg != "" && reg != knownReg
}

// plainMark is a VIN or registration without spaces and letter case.
func plainMark(s string) string {
	return strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(s))
}

// marks are how a person knows the vehicle of a row.
func (raw *rawVan) marks() string {
	var out []string
	if raw.VIN != "" {
		out = append(out, "VIN "+raw.VIN)
	}
	if raw.Reg != "" {
		out = append(out, raw.Reg)
	}
	return strings.Join(out, ", ")
}
