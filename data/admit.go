package data

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// A yard of large tables is read twice. The first time piece by piece, and nothing of
// it is kept: a yard that is refused for its rows is refused before it is held in
// memory.
const (
	admittedBytes     = csvtable.LargeBytes // of the yard's tables together; below it they are read once
	admittedBytesOne  = 128 << 20           // the same where the rows of some vans are wanted alone
	maxRejectedBytes  = 64 << 20            // of the rejected rows of a yard
	maxBlankLines     = 4 << 20             // of a table: four times as many as a sheet has rows
	maxVans           = 1_000_000           // of vans.csv
	maxBookBytes      = 8 << 20             // of a book: 50,000 rows
	maxRejectsOfABook = 1_000
)

// isLarge reports whether the tables of a yard are so large together that they are
// looked through before they are held.
func (l *loader) isLarge() bool {
	sum := int64(0)
	for _, name := range Tables() {
		if info, err := fs.Stat(l.tables.fsys, name); err == nil && info.Mode().IsRegular() {
			sum += info.Size()
		}
	}
	if l.o.scanAll {
		return true
	}
	if l.o.Wanted != nil {
		return sum > admittedBytesOne
	}
	return sum > admittedBytes
}

// admitVans looks through the tables of vans, and returns an index of all that are
// named, for the tables that name them.
func (l *loader) admitVans(ctx context.Context, t *tally) (*vanIndex, error) {
	ix := newVanIndex(nil, nil)
	add := func(id string) { ix.accepted[id], ix.anyCase[strings.ToLower(id)] = id, id }
	vans := 0
	own := look[Van]{each: func(v *Van) error {
		if vans++; vans > maxVans {
			return fmt.Errorf("vans.csv has more than %d vans, the most that are read of a yard", maxVans)
		}
		if ix.anyCase[strings.ToLower(v.StockID)] != "" {
			return t.add(v.Source.File, doubleOf(vanKey, v))
		}
		add(v.StockID)
		return nil
	}, rejected: func(r rejectedVan) {
		if _, known := ix.rejected[r.stockID]; !known {
			ix.rejected[r.stockID] = r.source
		}
	}}
	if err := admitOwn(ctx, l, t, "vans.csv", l.options(), parseVan, own); err != nil {
		return nil, err
	}
	slips := look[slipVan]{each: func(v *slipVan) error {
		if ix.anyCase[strings.ToLower(v.id)] == "" {
			add(v.id)
		}
		return nil
	}}
	return ix, admitSlips(ctx, l, t, "vans.csv", l.options(), func(*slip) rowParser[rawVan, slipVan] { return parseSlipVan }, slips)
}

// admitOthers looks through the tables that name vans.
func (l *loader) admitOthers(ctx context.Context, t *tally, ix *vanIndex) error {
	books, wanted, all := l.y.Books, l.wantedOnly(), l.options()
	for _, admit := range []func() error{
		func() error {
			return admit(ctx, l, t, "readings.csv", wanted, readingParser{vans: ix, books: books}.parse, &readingOfDayKey)
		},
		func() error { return admit(ctx, l, t, "documents.csv", wanted, parseDocuments(ix), nil) },
		func() error { return admit(ctx, l, t, "sales.csv", all, parseSale, &saleKey) },
		func() error { return admit(ctx, l, t, "team.csv", all, parseTechnician, &technicianKey) },
		func() error {
			parse := rowParser[rawAbsence, Absence](parseAbsence)
			if l.again {
				team, err := l.team(ctx)
				if err != nil {
					return err
				}
				parse = parseAbsences(team)
			}
			return admit(ctx, l, t, "absence.csv", all, parse, nil)
		},
		func() error { return admit(ctx, l, t, "bays.csv", all, parseBay, &bayKey) },
		func() error { return admit(ctx, l, t, "progress.csv", all, parseProgress(ix, books), nil) },
		func() error { return admit(ctx, l, t, "orders.csv", all, parseOrders(ix, books), &orderKey) },
		func() error { return admit(ctx, l, t, "costs.csv", all, parseCosts(ix), nil) },
		func() error {
			err := admitOwn(ctx, l, t, photosTable, all, parsePhotos(ix, books, "", ownPictures(l.tables.fsys)), look[Photo]{})
			if err != nil {
				return err
			}
			return admitSlips(ctx, l, t, photosTable, all, func(s *slip) rowParser[rawPhoto, Photo] {
				return parsePhotos(ix, books, s.Name, s.photos)
			}, look[Photo]{})
		},
	} {
		if err := admit(); err != nil {
			return err
		}
	}
	return nil
}

// look is what else is asked of the rows of a table that is looked through.
type look[T any] struct {
	each     func(*T) error    // of what would be records; nil: nothing
	rejected func(rejectedVan) // nil: nothing
}

// admit looks through a table in all its sources. key, which may be nil, is what its
// rows are known by.
func admit[R, T any](ctx context.Context, l *loader, t *tally, name string, o tableOptions, parse rowParser[R, T], key *uniqueKey[T]) error {
	var own look[T]
	if key != nil {
		seen := keysSeen{}
		own.each = func(r *T) error {
			if k := key.of(r); k != "" && seen.again(k) {
				return t.add(key.source(r).File, doubleOf(*key, r))
			}
			return nil
		}
	}
	if err := admitOwn(ctx, l, t, name, o, parse, own); err != nil {
		return err
	}
	return admitSlips(ctx, l, t, name, o, func(*slip) rowParser[R, T] { return parse }, look[T]{})
}

// admitOwn looks through the yard's own table, and returns the error for which it must
// be refused.
func admitOwn[R, T any](ctx context.Context, l *loader, t *tally, name string, o tableOptions, parse rowParser[R, T], asked look[T]) error {
	if _, ok := l.tables.sheets[name]; ok {
		if !l.again {
			return nil // its cells are bounded
		}
		f, err := l.tables.read(name)
		if err != nil {
			return err
		}
		return admitFile(ctx, t, f, Columns(name), o, parse, asked)
	}
	info, err := fs.Stat(l.tables.fsys, name)
	if err != nil || !info.Mode().IsRegular() || info.Size() > maxFileBytes {
		return nil // reading it says what is wrong
	}
	raw, err := l.tables.fsys.Open(name)
	if err != nil {
		return err
	}
	defer raw.Close()
	pieces, err := csvtable.NewPieces(raw)
	if err != nil {
		return fmt.Errorf("%s %w", name, err)
	}
	var h csvtable.Header
	rows, lines := 0, 0
	for first := true; first || !pieces.Ended(); first = false {
		text, line, limit, err := pieces.Next()
		if err != nil {
			return fmt.Errorf("read %s: %w", name, err)
		}
		from := 0
		if first {
			if h, err = csvtable.ReadHeader(text, Columns(name)); err != nil {
				return fmt.Errorf("%s %w", name, err)
			}
			from = h.End
			line += bytes.Count(text.Body[:from], []byte{'\n'})
		}
		f := &file{Text: text, name: name}
		end, err := readSpans(ctx, f, h, text.SpansOf(from, limit, line, spanBytes), from, o, parse, func(p *piece[T]) error {
			rows += len(p.rejects) + len(p.records) + p.skipped
			return take(t, name, p, asked)
		})
		if err != nil {
			return err
		}
		if lines += bytes.Count(text.Body[from:end], []byte{'\n'}); lines-rows > maxBlankLines {
			return fmt.Errorf("%s has more than %d lines without anything in them; save it again without them", name, maxBlankLines)
		}
		pieces.Left(end)
	}
	l.cut[name] = pieces.Cut()
	return nil
}

// admitSlips looks through the tables of a name that stand in slips. One that is no
// table is one reject, which is not counted here.
func admitSlips[R, T any](ctx context.Context, l *loader, t *tally, name string, o tableOptions, parse func(*slip) rowParser[R, T], asked look[T]) error {
	columns := slipColumns(name)
	for _, s := range l.slips.slips {
		raw := s.tables[name]
		if raw == nil {
			continue
		}
		f, err := s.file(name, raw)
		if err != nil {
			continue
		}
		parse := parse(s)
		if s.refused != "" {
			parse = refuseAll[R, T](s.refused)
		}
		if err := admitFile(ctx, t, f, columns, o, parse, asked); err != nil {
			return err
		}
	}
	return nil
}

// admitFile looks through a table that is held.
func admitFile[R, T any](ctx context.Context, t *tally, f *file, columns []Column, o tableOptions, parse rowParser[R, T], asked look[T]) error {
	h, err := csvtable.ReadHeader(f.Text, columns)
	if err != nil {
		return nil // reading it says what is wrong
	}
	_, err = readSpans(ctx, f, h, f.Spans(h, spanBytes), h.End, o, parse, func(p *piece[T]) error {
		return take(t, f.name, p, asked)
	})
	return err
}

// take counts what a span gave.
func take[T any](t *tally, name string, p *piece[T], asked look[T]) error {
	if err := t.add(name, p.rejects...); err != nil {
		return err
	}
	if asked.rejected != nil {
		for _, r := range p.rejectedVans {
			asked.rejected(r)
		}
	}
	if asked.each == nil {
		return nil
	}
	for i := range p.records {
		if err := asked.each(&p.records[i]); err != nil {
			return err
		}
	}
	return nil
}

// readCut is readFile for a table with lines that are too long to be rows: of those
// the beginning is kept. The digest is of the whole file.
func readCut(fsys fs.FS, name string) (*file, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	sum := sha256.New()
	counted := &countingWriter{to: sum}
	raw, err := io.ReadAll(csvtable.NewLineCutter(io.TeeReader(io.LimitReader(f, maxFileBytes), counted)))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	text, err := csvtable.Decode(raw)
	if err != nil {
		return nil, fmt.Errorf("%s %w", name, err)
	}
	return &file{Text: text, name: name, input: InputFile{Name: name, Size: counted.n, SHA256: hex.EncodeToString(sum.Sum(nil))}}, nil
}

type countingWriter struct {
	to io.Writer
	n  int64
}

// Write implements io.Writer.
func (c *countingWriter) Write(p []byte) (int, error) {
	c.n += int64(len(p))
	return c.to.Write(p)
}
