package data

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"
)

// FoldedSlips is the file of a yard that remembers which slips were folded into its
// tables: one that is delivered again is not read a second time.
const FoldedSlips = SlipsFolder + "/.folded.csv"

// Remember returns what FoldedSlips is to hold once the slips are folded in.
func (f *Folded) Remember(fsys fs.FS) ([]byte, error) {
	text, err := fs.ReadFile(fsys, FoldedSlips)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	out := bytes.NewBuffer(text)
	w := csv.NewWriter(out)
	if len(text) == 0 {
		if err := w.Write([]string{"slip", "made", "by"}); err != nil {
			return nil, err
		}
	}
	for _, s := range f.Slips {
		if err := w.Write([]string{s.ID, s.Made.Format(time.RFC3339), s.By}); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return out.Bytes(), w.Error()
}

// foldedBefore takes out slips that were folded into the tables before.
func (o *slipsOf) foldedBefore(fsys fs.FS) error {
	switch info, err := fs.Stat(fsys, FoldedSlips); {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err == nil && !info.Mode().IsRegular(): // a pipe would hang
		return fmt.Errorf("%s is not a plain file", FoldedSlips)
	}
	text, err := fs.ReadFile(fsys, FoldedSlips)
	if err != nil {
		return err
	}
	folded := map[string]bool{}
	for line := range strings.Lines(string(text)) {
		id, _, _ := strings.Cut(strings.TrimSpace(line), ",")
		folded[id] = isSlipID(id)
	}
	o.slips = slices.DeleteFunc(o.slips, func(s *slip) bool {
		if folded[s.ID] {
			o.warnings = append(o.warnings, fmt.Sprintf("%s is the slip %s, which was folded in before, and was not read again", shownName(s.File), s.ID))
		}
		return folded[s.ID]
	})
	return nil
}
