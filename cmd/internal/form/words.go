package form

import (
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/offline"
	"github.com/vanwright/vanwright/data"
)

// group is a few equipment words that one looks for in the same place.
type group struct {
	Title string
	Words []offline.Choice
}

var bodies = offline.Titled(data.Bodies)

var equipment = []group{
	{"Gas and heat", offline.Titled([]string{"gas-locker", "gas-tank", "gas-heater", "diesel-heater", "electric-heater", "water-heater"})},
	{"Power", offline.Titled([]string{"hookup", "socket-230v", "battery-lead-acid", "battery-agm", "battery-lithium", "solar"})},
	{"Kitchen", offline.Titled([]string{"hob", "oven", "three-way-fridge", "compressor-fridge"})},
	{"Water and washroom", offline.Titled([]string{"freshwater-tank", "waste-tank", "cassette-toilet", "external-shower"})},
	{"Body and seats", offline.Titled([]string{"awning", "rising-roof", "drop-down-bed", "swivel-seats", "towbar", "rear-rack", "ladder", "steadies", "bunk-ladder", "reversing-camera", "television"})},
	{"Alarms", offline.Titled([]string{"smoke-alarm", "co-alarm", "fire-extinguisher"})},
}

var held = []offline.Choice{{Word: "yes", Title: "Held"}, {Word: "promised", Title: "Promised"}, {Word: "no", Title: "Missing"}}

var evidence = []offline.Choice{
	{Word: "original", Title: "The original"}, {Word: "stamp", Title: "A stamp in a book"}, {Word: "copy", Title: "A copy"}, {Word: "online", Title: "Seen online"}, {Word: "verbal", Title: "Word of mouth"},
}

// coverWords are what a paper may cover: the fixed words, then the appliances.
func coverWords() []string {
	appliances := []string{
		"gas-heater", "diesel-heater", "electric-heater", "water-heater", "three-way-fridge", "compressor-fridge",
		"hob", "oven", "cassette-toilet", "solar", "awning",
	}
	return slices.Concat(data.CoverWords, appliances)
}
