package appraise

import (
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Current marks: the rule of carsgt.co; 18 and 68 are its examples, SR60 that of
// premier-number-plate.co.uk. Prefix years: nationalnumbers.co.uk (K from 1 August
// 1992); half years from T on: drivearchive.co.uk, months from memory. Suffix to
// F: philseed.com, the rest follows. Dateless 1903 to 1963: visual.ly.
func TestMarks(t *testing.T) {
	tests := []struct {
		reg      string
		form     markForm
		from, to string
	}{
		{"AB18 CDE", currentMark, "2018-03-01", "2018-08-31"},
		{"ab68cde", currentMark, "2018-09-01", "2019-02-28"},
		{"AB69 CDE", currentMark, "2019-09-01", "2020-02-29"}, // a leap year
		{"SR60 BMD", currentMark, "2010-09-01", "2011-02-28"},
		{"AB51 CDE", currentMark, "2001-09-01", "2002-02-28"},
		{"AB02 CDE", currentMark, "2002-03-01", "2002-08-31"},
		{"AB26 CDZ", currentMark, "2026-03-01", "2026-08-31"},
		{"AB01 CDE", unknownMark, "", ""}, // March 2001 had Y
		{"QB18 CDE", unknownMark, "", ""},
		{"AB18 CQE", unknownMark, "", ""},
		{"A1 BCD", prefixMark, "1983-08-01", "1984-07-31"},
		{"K50 WTB", prefixMark, "1992-08-01", "1993-07-31"},
		{"R123 ABC", prefixMark, "1997-08-01", "1998-07-31"},
		{"S123 ABC", prefixMark, "1998-08-01", "1999-02-28"},
		{"T123 ABC", prefixMark, "1999-03-01", "1999-08-31"},
		{"V123 ABC", prefixMark, "1999-09-01", "2000-02-29"},
		{"W123 ABC", prefixMark, "2000-03-01", "2000-08-31"},
		{"X666 EON", prefixMark, "2000-09-01", "2001-02-28"},
		{"Y123 ABC", prefixMark, "2001-03-01", "2001-08-31"},
		{"U123 ABC", unknownMark, "", ""},
		{"Q123 ABC", qMark, "", ""},
		{"ABC 123A", suffixMark, "1963-01-01", "1963-12-31"},
		{"ABC 1E", suffixMark, "1967-01-01", "1967-07-31"},
		{"ABC 12F", suffixMark, "1967-08-01", "1968-07-31"},
		{"VUM 131N", suffixMark, "1974-08-01", "1975-07-31"},
		{"ABC 123Y", suffixMark, "1982-08-01", "1983-07-31"},
		{"ABC 123", datelessMark, "1903-11-01", "1963-12-31"},
		{"25 JR", datelessMark, "1903-11-01", "1963-12-31"},
		{"AB 1234", datelessMark, "1903-11-01", "1963-12-31"},
		{"ABZ 1234", irishMark, "", ""},
		{"OIL 999", irishMark, "", ""},
		{"ABC 1234", unknownMark, "", ""},
		{"12345", unknownMark, "", ""},
		{"", unknownMark, "", ""},
		{"MÜ 123", unknownMark, "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.reg, func(t *testing.T) {
			got := readMark(tt.reg)
			if want := (mark{tt.form, day(t, tt.from), day(t, tt.to)}); got != want {
				t.Errorf("got %s %v to %v, want %s %v to %v", got.form, got.from, got.to, want.form, want.from, want.to)
			}
		})
	}
}

// A mark may make a van look older but never newer: nationalnumbers.co.uk.
func TestMarksAgainstFirstRegistration(t *testing.T) {
	tests := []struct {
		name, reg, first string
		want             string // blank: nothing to say
		serious          bool
	}{
		{"last day of its half year", "AB18 CDE", "2018-08-31", "", false},
		{"a day later the mark is older", "AB18 CDE", "2018-09-01", "a private plate", false},
		{"a day before its first", "AB18 CDE", "2018-02-28", "no registration may make a van look newer", true},
		{"an old mark on a young van", "K50 WTB", "2019-05-01", "a private plate", false},
		{"Northern Ireland tells no date", "ABZ 1234", "2019-05-01", "", false},
		{"Q", "Q123 ABC", "2019-05-01", "age or identity could not be proved", true},
		{"not issued yet", "AB76 CDE", "2019-05-01", "after the day of this report", true},
		{"no form of ours", "M-AB 1234 X", "2019-05-01", "no form that the United Kingdom issued", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			notes := markNotes(data.Van{Reg: tt.reg, FirstRegistered: day(t, tt.first)}, asOfTests)
			switch {
			case tt.want == "" && len(notes) == 0:
			case len(notes) != 1 || tt.want == "" || !strings.Contains(notes[0].Text, tt.want) || notes[0].Serious != tt.serious:
				t.Errorf("got %v, want %q serious %v", notes, tt.want, tt.serious)
			}
		})
	}
}

// 1M8GDM9AXKP042788 (sum 351, X), seventeen ones (sum 89, 1) and 1G4AH59H45G118341
// (sum 411, 4): the last from 49 CFR 565; weights and values from the same copy.
func TestVINCheckDigits(t *testing.T) {
	for vin, want := range map[string]byte{
		"1M8GDM9AXKP042788": 'X', "11111111111111111": '1', "1G4AH59H45G118341": '4',
	} {
		if got := vinCheck(vin); got != want {
			t.Errorf("%s: got %c, want %c", vin, got, want)
		}
	}
}

// Form: 17 characters without I, O, Q. The check digit binds in North America
// only; elsewhere a mismatch is a note.
func TestVINNotes(t *testing.T) {
	tests := []struct {
		name, vin string
		year      int
		want      string
		serious   bool
	}{
		{"good and checked", "1M8GDM9AXKP042788", 1989, "", false},
		{"North American with a slip", "1M8GDM9AXKP042789", 1989, "should be", true},
		{"European without a check digit", "UAZZZZ7HZKX012345", 2019, "", false},
		{"European with a digit there that is none", "UAZABCDE0K1234567", 2019, "none is required", false},
		{"too short", "VW1ZZZ7HZKX01234", 2019, "16 characters, not 17", true},
		{"letter O for zero", "UAZZZZ7HZKXO12345", 2019, "has O, which no VIN has", true},
		{"short on an old van", "2162012345", 1974, "as may be in a van of its age", false},
		{"none", " ", 2019, "No VIN is recorded", false},
		{"letters at the end", "UAZZZZ7HZKX01234A", 2019, "does not end in four digits", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			notes := vinNotes(tt.vin, tt.year)
			switch {
			case tt.want == "" && len(notes) == 0:
			case len(notes) == 0 || tt.want == "" || !strings.Contains(notes[0].Text, tt.want) || notes[0].Serious != tt.serious:
				t.Errorf("got %v, want %q serious %v", notes, tt.want, tt.serious)
			}
		})
	}
}

func TestKeepersOnTheRegistrationDocument(t *testing.T) {
	tests := []struct {
		name, note string
		keepers    data.Opt[int]
		want       string
	}{
		{"agrees", "3 former keepers", data.Some(3), ""},
		{"disagrees", "V5C shows 4 former keepers", data.Some(2), "shows 4 keepers, our record 2"},
		{"other wording", "keepers: 2", data.Some(1), "shows 2 keepers, our record 1"},
		{"no number in the note", "one careful keeper", data.Some(1), ""},
		{"unknown", "", data.Opt[int]{}, "Number of keepers not recorded"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			notes := keeperNotes(data.Van{Keepers: tt.keepers}, []data.Document{{Kind: "registration", Held: "yes", Note: tt.note}})
			if tt.want == "" && len(notes) == 0 {
				return
			}
			if len(notes) != 1 || tt.want == "" || !strings.Contains(notes[0].Text, tt.want) {
				t.Errorf("got %v, want %q", notes, tt.want)
			}
		})
	}
}
