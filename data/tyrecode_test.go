package data

import (
	"strings"
	"testing"
	"testing/fstest"
)

// Codes 0102, 3004, 0814 and 4202 and their weeks: etyres.co.uk. The Mondays
// follow from ISO 8601, reckoned on a calendar. Years of 53 weeks: 2004, 2009,
// 2015, 2020, 2026.
func TestDateCodes(t *testing.T) {
	tests := []struct {
		code   string
		monday string
		before bool
		err    string
	}{
		{"0102", "2001-12-31", false, ""}, // week 1 of 2002 holds 4 January, a Friday
		{"3004", "2004-07-19", false, ""},
		{"0814", "2014-02-17", false, ""},
		{"4202", "2002-10-14", false, ""},
		{"5320", "2020-12-28", false, ""},
		{"5315", "2015-12-28", false, ""},
		{"5319", "", false, "2019 has no week 53"},
		{"5421", "", false, "2021 has no week 54"},
		{"0021", "", false, "2021 has no week 0"},
		{"308", "1998-07-20", true, ""}, // week 30 of 1998
		{"814", "", true, "1994 has no week 81"},
		{"12", "", false, "not a date code"},
		{"1a19", "", false, "not a date code"},
		{"", "", false, "not a date code"},
	}
	for _, tt := range tests {
		t.Run(tt.code, func(t *testing.T) {
			monday, before, err := TyreWeek(tt.code)
			if tt.err != "" {
				if err == nil || !strings.Contains(err.Error(), tt.err) {
					t.Fatalf("got %v, want an error with %q", err, tt.err)
				}
				return
			}
			want, _ := ParseDate(tt.monday)
			if err != nil || monday != want || before != tt.before {
				t.Errorf("got %v, %v, %v; want %v, %v", monday, before, err, tt.monday, tt.before)
			}
			if monday.Weekday().String() != "Monday" {
				t.Errorf("%v is a %v", monday, monday.Weekday())
			}
		})
	}
}

// A tyre seen on 2 March 2026 can't be of a week to come, nor of one that its year
// does not have: the row is refused with the likely slip, and the point counts as
// untested. 2026 has 53 ISO weeks, 2019 and 2025 have 52.
func TestTyreCodesThatCannotBe(t *testing.T) {
	for _, tt := range []struct{ name, code, expected string }{
		{"the week before the reading", "0826", ""},
		{"the week of the reading", "1026", ""},
		{"the week after it", "1126", "made on 9 Mar 2026 or later, after the day of the reading); did you mean 2611?"},
		{"week 53 of a year that has it", "5320", ""},
		{"week 53 of a year that has none", "5319", "(2019 has no week 53); did you mean 3519?"},
		{"week 54", "5421", "(2021 has no week 54); did you mean 4521?"},
		{"week 0", "0021", "(2021 has no week 0); did you mean 2100?"},
		{"year before week", "1923", ""},
		{"year before week, which would be to come", "2133", "(made on 23 May 2033 or later, after the day of the reading); did you mean 3321?"},
		{"1994 has no week 81, but 0814 lost its nought", "814", "(1994 has no week 81); did you mean 0814?"},
		{"nothing fits", "9999", "(2099 has no week 99)"},
		{"two digits", "12", "the three or four digits of the date code, such as 2319"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			y := mustLoad(t, fstest.MapFS{
				"vans.csv":     {Data: []byte("stock_id,maker,model,body,first_registered,mileage,status\nA1,Fernhollow,Rill,low-profile,2018-05-12,30000,owned\n")},
				"readings.csv": {Data: []byte("stock_id,taken_on,checkpoint,position,value\nA1,2026-03-02,tyre-code,nearside-front," + tt.code + "\n")},
			})
			if tt.expected == "" {
				if len(y.Rejects) > 0 || y.Readings["A1"][0].Value != tt.code {
					t.Errorf("rejects %v, readings %v", y.Rejects, y.Readings)
				}
				return
			}
			if len(y.Rejects) != 1 || y.Rejects[0].Line != 2 || y.Rejects[0].Column != "value" || !strings.HasSuffix(y.Rejects[0].Expected, tt.expected) {
				t.Fatalf("rejects %+v, want one that ends in %q", y.Rejects, tt.expected)
			}
			if len(tt.code) > 2 {
				if r := y.Readings["A1"]; len(r) != 1 || r[0].Verdict != Untested || r[0].Refused != tt.code || r[0].Value != "" {
					t.Errorf("readings %+v", r)
				}
			}
		})
	}
}
