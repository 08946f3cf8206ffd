package appraise

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// firstLoadIndex and loadKg are the load index table from 75 to 129, kilograms a
// tyre (load index chart of pirelli.com, en-gb).
const firstLoadIndex = 75

var loadKg = [...]int{
	387, 400, 412, 425, 437, 450, 462, 475, 487, 500, 515, // 75 to 85
	530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, // 86 to 96
	730, 750, 775, 800, 825, 850, 875, 900, 925, 950, 975, // 97 to 107
	1000, 1030, 1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, // 108 to 118
	1360, 1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850, // 119 to 129
}

// tyreKg returns what one tyre of a load index carries.
func tyreKg(index int) (int, bool) {
	i := index - firstLoadIndex
	if i < 0 || i >= len(loadKg) {
		return 0, false
	}
	return loadKg[i], true
}

// loadIndices reads 112, 112/110 or 112/110Q: the index for a single wheel and
// the one for twins, which is the same where only one is given.
func loadIndices(text string) (single, twin int, ok bool) {
	text = strings.TrimRight(strings.ToUpper(strings.TrimSpace(text)), "ABCDEFGHJKLMNPQRSTUVWXY")
	first, second, both := strings.Cut(text, "/")
	if !both {
		second = first
	}
	s, err1 := strconv.Atoi(strings.TrimSpace(first))
	t, err2 := strconv.Atoi(strings.TrimSpace(second))
	return s, t, err1 == nil && err2 == nil
}

// tyreLoad compares what the axle's tyres carry with its plated mass: twice the
// single index, or four times the twin one.
func (in *inspection) tyreLoad(p *point) (data.Verdict, string) {
	text := p.Value
	if x, ok := number(p.Reading); ok && text == "" {
		text = strconv.Itoa(int(x))
	}
	if text == "" {
		return data.NoVerdict, ""
	}
	single, twin, ok := loadIndices(text)
	if !ok {
		return data.Untested, text + " is not a load index; re-read it"
	}
	axle, _, isTwin, onAxle := wheel(p.Position)
	if !onAxle {
		return data.Sound, "load index " + text + " recorded"
	}
	index, tyres := single, 2
	if isTwin {
		index, tyres = twin, 4
	}
	each, ok := tyreKg(index)
	if !ok {
		return data.Untested, fmt.Sprintf("load index %d is outside the table of 75 to 129; re-read it", index)
	}
	plated := in.van.FrontAxleKg
	if axle == "rear" {
		plated = in.van.RearAxleKg
	}
	carries := fmt.Sprintf("load index %d carries %d × %d = %d kg", index, tyres, each, tyres*each)
	switch {
	case !plated.Known:
		return data.Sound, carries + "; the plated mass of the " + axle + " axle is not known, so nothing was compared"
	case tyres*each < plated.Value:
		return data.Defect, fmt.Sprintf("%s, less than the %d kg plated for the %s axle", carries, plated.Value, axle)
	}
	return data.Sound, fmt.Sprintf("%s, enough for the %d kg plated for the %s axle", carries, plated.Value, axle)
}

// symbolKmh are the speed symbols in km/h; H stands out of order (lets-getaway.com
// and barretire.com; M, N, P, R from memory).
var symbolKmh = map[string]int{
	"L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}

// speedSymbol reads the letter after the load index.
func speedSymbol(p *point) (data.Verdict, string) {
	if p.Value == "" {
		return data.NoVerdict, ""
	}
	kmh, ok := symbolKmh[strings.ToUpper(strings.TrimSpace(p.Value))]
	if !ok {
		return data.Untested, p.Value + " is no speed symbol from L to Y; re-read it"
	}
	return data.Sound, fmt.Sprintf("speed symbol %s, up to %d km/h; hold it against the plate", strings.ToUpper(strings.TrimSpace(p.Value)), kmh)
}
