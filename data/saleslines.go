package data

import (
	"bytes"
	"cmp"
	"context"
	"slices"
)

// latestSales reads sales.csv for somebody who asks for a number of latest sales
// only: those listed last, or sold last where the day of listing is not known, and
// all from a day on, if since is one. Lines of others are passed over and counted
// as skipped, as far as a look at the line tells them. Should that leave out too
// many, or a sale whose sale_id is that of one taken, everything is read; so it is
// where no number is asked for.
func latestSales(ctx context.Context, f *file, o tableOptions, latest int, since Date) (table[Sale], error) {
	h, err := readHeader(f.body, columnsOf[rawSale]())
	if err != nil || latest <= 0 {
		return readTable(ctx, f, o, parseSales()) // which says an error with the file's name
	}
	sales := sightings(f.body, h)
	if len(sales) <= latest {
		return readTable(ctx, f, o, parseSales())
	}
	first := latestFrom(sales, latest)
	if !since.IsZero() {
		first = min(first, since)
	}
	some := o
	some.passOver = func(header, []byte) func(start, end int) bool {
		at := 0 // rows come in the order of the file
		return func(start, _ int) bool {
			if at == 0 {
				at, _ = slices.BinarySearchFunc(sales, start, func(s sighting, start int) int { return cmp.Compare(int(s.start), start) })
			}
			for at < len(sales) && int(sales[at].start) < start {
				at++
			}
			return at < len(sales) && int(sales[at].start) == start && sales[at].day < first
		}
	}
	t, err := readTable(ctx, f, some, parseSales())
	if err == nil && t.input.Skipped > 0 && !enough(t.records, latest, sales, f.body, first) {
		return readTable(ctx, f, o, parseSales())
	}
	return t, err
}

// sighting is what a look at a line of sales.csv tells, without reading it as a
// row. Offsets are those of the file, which is not larger than an int32 can say.
type sighting struct {
	start     int32 // of the line
	id, idEnd int32 // its sale_id
	day       Date  // on which it was listed, or else sold
}

// sightings looks at every line. One that may be no row by itself, because of its
// quotes, or that has no such day is left out.
func sightings(body []byte, h header) []sighting {
	comma := byte(h.comma)
	id, listed, sold := slices.Index(h.names, "sale_id"), slices.Index(h.names, "listed"), slices.Index(h.names, "sold_on")
	last := max(id, listed, sold)
	out := make([]sighting, 0, likelyRows(body))
	src := lineSource{body: body}
	for src.pos < len(body) {
		start, end := src.pos, src.lineEnd(src.pos)
		src.pos = end
		if bytes.IndexByte(body[start:end], '"') >= 0 {
			continue
		}
		s := sighting{start: int32(start)}
		var on, soldOn []byte
		for column, at := 0, start; column <= last && at <= end; column++ {
			to := end
			if i := bytes.IndexByte(body[at:end], comma); i >= 0 {
				to = at + i
			}
			switch column {
			case id:
				s.id, s.idEnd = int32(at), int32(to)
			case listed:
				on = bytes.TrimSpace(body[at:to])
			case sold:
				soldOn = bytes.TrimSpace(body[at:to])
			}
			at = to + 1
		}
		if len(on) == 0 {
			on = soldOn
		}
		if day, err := ParseDate(string(on)); err == nil {
			s.day = day
			out = append(out, s)
		}
	}
	return out
}

// latestFrom returns the day from which on so many sales were seen.
func latestFrom(sales []sighting, latest int) Date {
	days := make([]Date, len(sales))
	for i, s := range sales {
		days[i] = s.day
	}
	slices.Sort(days)
	return days[len(days)-latest]
}

// enough reports whether reading everything would give the same latest sales:
// what was passed over was listed before all of them, and has other sale_ids.
func enough(read []Sale, latest int, sales []sighting, body []byte, first Date) bool {
	ids := make(map[string]bool, len(read))
	late := 0
	for i := range read {
		ids[read[i].SaleID] = true
		if cmp.Or(read[i].Listed, read[i].SoldOn) >= first {
			late++
		}
	}
	for _, s := range sales {
		if s.day < first && ids[string(bytes.TrimSpace(body[s.id:s.idEnd]))] {
			return false
		}
	}
	return late >= latest
}
