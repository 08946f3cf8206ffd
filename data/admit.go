package data

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// A yard of large tables is read twice. The first time piece by piece, and nothing of
// it is kept: a table that is refused for its rows is refused before it is held in
// memory.
const (
	admittedBytes     = csvtable.LargeBytes // of the yard's tables together; below it they are read once
	admittedBytesOne  = 128 << 20           // the same where the rows of some vans are wanted alone
	scannedBytes      = 1 << 20             // smaller tables of such a yard are read once, too
	maxRejectedBytes  = 64 << 20            // of the rejected rows of a table
	maxBlankLines     = 4 << 20             // of a table: four times as many as a sheet has rows
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

// admit looks through the tables that name vans, once vans.csv was read.
func (l *loader) admit(ctx context.Context) error {
	if !l.large {
		return nil
	}
	y, wanted, all := l.y, l.wantedOnly(), l.options()
	for _, look := range []func() error{
		func() error {
			return admit(ctx, l, "readings.csv", wanted, readingParser{vans: l.index, books: y.Books}.parse)
		},
		func() error { return admit(ctx, l, "documents.csv", wanted, parseDocuments(l.index)) },
		func() error { return admit(ctx, l, "sales.csv", all, parseSale) },
		func() error { return admit(ctx, l, "team.csv", all, parseTechnician) },
		func() error { return admit(ctx, l, "absence.csv", all, parseAbsences(nil)) },
		func() error { return admit(ctx, l, "bays.csv", all, parseBay) },
		func() error { return admit(ctx, l, "progress.csv", all, parseProgress(l.index, y.Books)) },
		func() error { return admit(ctx, l, "orders.csv", all, parseOrders(l.index, y.Books)) },
		func() error { return admit(ctx, l, "costs.csv", all, parseCosts(l.index)) },
		func() error {
			return admit(ctx, l, photosTable, all, parsePhotos(l.index, y.Books, "", ownPictures(l.tables.fsys)))
		},
	} {
		if err := look(); err != nil {
			return err
		}
	}
	return nil
}

// admit looks through a table of the yard itself, where it is a large CSV file, and
// returns the error for which it must be refused.
func admit[R, T any](ctx context.Context, l *loader, name string, o tableOptions, parse rowParser[R, T]) error {
	info, err := fs.Stat(l.tables.fsys, name)
	if err != nil || !info.Mode().IsRegular() || info.Size() <= scannedBytes && !l.o.scanAll || info.Size() > maxFileBytes || !l.large {
		return nil // reading it says what is wrong
	}
	raw, err := l.tables.fsys.Open(name)
	if err != nil {
		return err
	}
	defer raw.Close()
	s := scan[T]{name: name, limit: o.maxRejects}
	pieces, err := csvtable.NewPieces(raw)
	if err != nil {
		return fmt.Errorf("%s %w", name, err)
	}
	var h csvtable.Header
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
		end, err := readSpans(ctx, f, h, text.SpansOf(from, limit, line, spanBytes), from, o, parse, s.take)
		if err != nil {
			return err
		}
		if s.lines += bytes.Count(text.Body[from:end], []byte{'\n'}); s.lines-s.rows > maxBlankLines {
			return fmt.Errorf("%s has more than %d lines without anything in them; save it again without them", name, maxBlankLines)
		}
		pieces.Left(end)
	}
	l.cut[name] = pieces.Cut()
	return nil
}

// scan is what is counted of a table that is looked through.
type scan[T any] struct {
	name  string
	limit int // of rejects; 0 or less: none, nor of their size

	rejects, bytes, rows, lines int
	first                       Reject
}

// take counts what a span gave.
func (s *scan[T]) take(p *piece[T]) error {
	if s.rejects == 0 && len(p.rejects) > 0 {
		s.first = p.rejects[0]
	}
	s.rejects += len(p.rejects)
	s.rows += len(p.rejects) + len(p.records) + p.skipped
	for _, r := range p.rejects {
		s.bytes += len(r.Row)
		if r.Rule == "row.length" {
			s.bytes += csvtable.MaxRowBytes
		}
	}
	switch {
	case s.limit > 0 && s.rejects > s.limit:
		return &tooManyRejects{s.limit, s.name, s.first}
	case s.limit > 0 && s.bytes > maxRejectedBytes:
		return fmt.Errorf("%s: rows of more than %d MiB are rejected, the first as %s; mend the file, or raise max_rejects (0: no limit)", s.name, maxRejectedBytes>>20, s.first)
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
