package form

import (
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/offline"
	"github.com/vanwright/vanwright/data"
)

var zoneTitles = map[string]string{
	"outside": "Round the outside", "tyres": "Tyres, wheels and brakes", "underneath": "Underneath",
	"roof": "On the roof", "engine": "Under the bonnet", "gas": "Gas", "cab": "In the cab",
	"living": "Living space and damp", "kitchen": "Kitchen", "washroom": "Washroom", "water": "Water",
	"heating": "Heating and hot water", "electrics-12v": "12 V electrics", "electrics-230v": "230 V electrics",
	"safety": "Alarms, belts and exits", "papers": "Keys and handbooks", "drive": "A drive",
}

func zoneTitle(code string) string {
	if t, ok := zoneTitles[code]; ok {
		return t
	}
	return title(code)
}

// title makes a word of the tables readable: nearside-rear-low becomes Nearside
// rear low.
func title(word string) string {
	if t, ok := plainTitles[word]; ok {
		return t
	}
	s := strings.ReplaceAll(word, "-", " ")
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// plainTitles are words that would read badly if only their hyphens were taken
// out.
var plainTitles = map[string]string{
	"a-class": "A-class", "mot": "MOT", "socket-230v": "230 V sockets", "hookup": "230 V hook-up",
	"gas-tank": "Gas tank, refillable", "three-way-fridge": "Three-way fridge", "co-alarm": "Carbon monoxide alarm",
	"battery-lead-acid": "Leisure battery, lead-acid", "battery-agm": "Leisure battery, AGM",
	"battery-lithium": "Leisure battery, lithium", "solar": "Solar panel", "freshwater-tank": "Fresh water tank",
	"swivel-seats": "Swivel cab seats", "overcab": "Over-cab", "drop-down-bed": "Drop-down bed",
	"service-book": "Service book", "registration": "Registration document", "recall": "Recall letter",
	"other": "Another paper", "engine-oil": "Engine oil", "hob": "Hob", "damp": "Damp",
}

// titled pairs words of the tables with what people call them.
func titled[S ~string](words []S) []offline.Choice {
	out := make([]offline.Choice, len(words))
	for i, w := range words {
		out[i] = offline.Choice{Word: string(w), Title: title(string(w))}
	}
	return out
}

// group is a few equipment words that one looks for in the same place.
type group struct {
	Title string
	Words []offline.Choice
}

var bodies = titled(data.Bodies)

var equipment = []group{
	{"Gas and heat", titled([]string{"gas-locker", "gas-tank", "gas-heater", "diesel-heater", "electric-heater", "water-heater"})},
	{"Power", titled([]string{"hookup", "socket-230v", "battery-lead-acid", "battery-agm", "battery-lithium", "solar"})},
	{"Kitchen", titled([]string{"hob", "oven", "three-way-fridge", "compressor-fridge"})},
	{"Water and washroom", titled([]string{"freshwater-tank", "waste-tank", "cassette-toilet", "external-shower"})},
	{"Body and seats", titled([]string{"awning", "rising-roof", "drop-down-bed", "swivel-seats", "towbar", "rear-rack", "ladder", "steadies", "bunk-ladder", "reversing-camera", "television"})},
	{"Alarms", titled([]string{"smoke-alarm", "co-alarm", "fire-extinguisher"})},
}

var held = []offline.Choice{{Word: "yes", Title: "Held"}, {Word: "promised", Title: "Promised"}, {Word: "no", Title: "Missing"}}

var evidence = []offline.Choice{
	{Word: "original", Title: "The original"}, {Word: "stamp", Title: "A stamp in a book"}, {Word: "copy", Title: "A copy"}, {Word: "online", Title: "Seen online"}, {Word: "verbal", Title: "Word of mouth"},
}

var verdicts = []offline.Choice{
	{Word: "sound", Title: "Sound"}, {Word: "worn", Title: "Worn"}, {Word: "defect", Title: "Defect"}, {Word: "unsafe", Title: "Unsafe"}, {Word: "untested", Title: "Untested"},
}

// coverWords are what a paper may cover: the fixed words, then the appliances.
func coverWords() []string {
	appliances := []string{
		"gas-heater", "diesel-heater", "electric-heater", "water-heater", "three-way-fridge", "compressor-fridge",
		"hob", "oven", "cassette-toilet", "solar", "awning",
	}
	return slices.Concat(data.CoverWords, appliances)
}
