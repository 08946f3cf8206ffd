package data

import (
	"bytes"
	"strings"
)

// vanLines tells the lines of a table that cannot be rows of one van. A line is
// a whole row where its quotes are even; one that does not hold the stock_id in
// any letter case is not this van's. (In any case, because two stock_ids that
// differ only in that are duplicates.)
//
// It looks ahead for the next place where the stock_id stands, so that a
// million lines of other vans cost one search and not a million.
type vanLines struct {
	text []byte // up to where it looks
	id   []byte // lower case
	// core is the longest part of id without letters, which has one spelling
	// and so can be searched for as it stands; it begins coreAt bytes in.
	core   []byte
	coreAt int

	nextID, nextQuote int // at or after the last line asked about
}

func newVanLines(text []byte, stockID string) *vanLines {
	s := &vanLines{text: text, id: []byte(strings.ToLower(stockID)), nextID: -1, nextQuote: -1}
	for i := 0; i < len(s.id); i++ {
		from := i
		for i < len(s.id) && !(s.id[i] >= 'a' && s.id[i] <= 'z') {
			i++
		}
		if i-from > len(s.core) {
			s.core, s.coreAt = s.id[from:i], from
		}
	}
	return s
}

// others reports whether the line from start to end is a row of another van.
// It is asked about lines in the order of the file.
func (s *vanLines) others(start, end int) bool {
	if s.nextID < start {
		s.nextID = s.find(start)
	}
	if s.nextID+len(s.id) <= end {
		return false
	}
	if s.nextQuote < start {
		s.nextQuote = len(s.text)
		if i := bytes.IndexByte(s.text[start:], '"'); i >= 0 {
			s.nextQuote = start + i
		}
	}
	return s.nextQuote >= end || bytes.Count(s.text[start:end], []byte{'"'})%2 == 0
}

// find returns where the stock_id stands next, in any ASCII letter case, or the
// end of the text.
func (s *vanLines) find(from int) int {
	for at := from; at+len(s.id) <= len(s.text); at++ {
		i := bytes.Index(s.text[at+s.coreAt:], s.core)
		if i < 0 {
			break
		}
		at += i
		if equalFold(s.text[at:min(at+len(s.id), len(s.text))], s.id) {
			return at
		}
	}
	return len(s.text)
}

// equalFold reports whether b is the lower-case word in any ASCII letter case.
func equalFold(b, word []byte) bool {
	if len(b) != len(word) {
		return false
	}
	for i, w := range word {
		if lower(b[i]) != w {
			return false
		}
	}
	return true
}

func lower(b byte) byte {
	if b >= 'A' && b <= 'Z' {
		return b + 'a' - 'A'
	}
	return b
}
