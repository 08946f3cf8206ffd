package data

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// titles are the codes of the tables and reports that would read badly if only
// their hyphens were taken out, each as it stands within a sentence. It is the one
// list of them: pages, workbook, mail, form, terminal and reasons ask it.
var titles = map[string]string{
	// zones and systems
	"electrics-12v": "12 V electrics", "electrics-230v": "230 V electrics", "living": "habitation area",
	"electrical": "230 V electrical", "running-gear": "running gear",
	// equipment
	"hookup": "230 V hook-up", "socket-230v": "230 V sockets", "co-alarm": "CO alarm", "solar": "solar panel",
	"battery-lead-acid": "lead-acid leisure battery", "battery-agm": "AGM leisure battery",
	"battery-lithium": "lithium leisure battery", "freshwater-tank": "fresh water tank",
	"waste-tank": "waste water tank", "swivel-seats": "swivel cab seats", "three-way-fridge": "three-way fridge",
	"drop-down-bed": "drop-down bed", "gas-tank": "refillable gas tank", "rising-roof": "rising roof",
	// bodies
	"a-class": "A-class", "low-profile": "low profile", "overcab": "overcab",
	// papers and what they cover
	"mot": "MOT", "registration": "V5C", "recall": "recall notice", "other": "other paper", "first-mot": "first MOT",
	"electrics": "230 V electrics", "gas": "gas",
	// flags of margin.csv
	"unsafe": "unsafe, not to be handed over", "salvage-no-retail": "write-off, no retail price", "margin-scheme-barred": "barred from the margin scheme",
	"vat-scheme-in-doubt": "VAT scheme in doubt", "vat-scheme-assumed": "VAT scheme not recorded",
	"cost-unknown": "purchase price not recorded", "amount-in-doubt": "amount likely a slip", "mileage-in-doubt": "mileage in doubt", "no-price": "no price", "finance-owed": "finance owed",
	"below-cost": "sells at a loss", "below-target": "below target profit", "over-age": "over age",
	"away-from-market": "asking price outside the market range", "prep-over-estimate": "labour over estimate",
	"paper-blocks-sale": "paper missing, cannot be handed over",
	// gates of the labour book
	"roadworthy": "roadworthiness", "presentation": "presentation", "habitation": "habitation",
	// where a van came from
	"part-exchange": "part exchange", "private": "private seller", "trade": "the trade", "auction": "auction",
}

// Title writes a word or code of the tables as it stands within a sentence: 12 V
// electrics for electrics-12v, offside rear low for offside-rear-low.
func Title[S ~string](code S) string {
	if t, ok := titles[string(code)]; ok {
		return t
	}
	return strings.ReplaceAll(string(code), "-", " ")
}

// Titles writes a list of words of the tables: V5C, service book.
func Titles[S ~string](codes []S) string {
	said := make([]string, len(codes))
	for i, c := range codes {
		said[i] = Title(c)
	}
	return strings.Join(said, ", ")
}

// Heading is a Title that begins with a capital letter.
func Heading[S ~string](code S) string { return Capital(Title(code)) }

// Capital writes the first letter large.
func Capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 || unicode.IsUpper(first) {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}

// Within writes a title for the middle of a sentence: its first letter small, but
// for what begins with capitals, such as MOT test.
func Within(title string) string {
	first, size := utf8.DecodeRuneInString(title)
	if second, _ := utf8.DecodeRuneInString(title[size:]); !unicode.IsLower(second) {
		return title
	}
	return string(unicode.ToLower(first)) + title[size:]
}

// FirstFew lists the first of many things: a, b, c and 4 more. Where one holds a
// comma itself, they stand apart by semicolons.
func FirstFew(things []string) string {
	const most = 3
	some, more := things, len(things)-most
	if more > 1 {
		some = things[:most]
	}
	apart := ", "
	if slices.ContainsFunc(some, func(s string) bool { return strings.Contains(s, ",") }) {
		apart = "; "
	}
	if more > 1 {
		return fmt.Sprintf("%s and %s more", strings.Join(some, apart), Thousands(strconv.Itoa(more)))
	}
	return strings.Join(some, apart)
}

// WithUnit writes a value of a reading with its checkpoint's unit: 54%, 12.6 V, 3
// for a count.
func WithUnit(value, unit string) string {
	if value == "" {
		return ""
	}
	return value + UnitSuffix(unit)
}

// UnitSuffix is what follows a number of a checkpoint's unit: "%", " V", nothing for
// what is counted or numbered.
func UnitSuffix(unit string) string {
	switch unit {
	case "percent":
		return "%"
	case "degC":
		return " °C"
	case "megohm":
		return " MΩ"
	case "", "count", unitDate, unitTyreCode, unitLoadIndex:
		return ""
	}
	return " " + unit
}
