package synth

import "github.com/vanwright/vanwright/data"

// Model is a made-up model of van, as it left its made-up maker.
type Model struct {
	Maker, Name      string
	Body             data.Body
	Chassis          string
	Effect           float64 // on ln(price), within the maker
	FromYear, ToYear int     // first registrations
	Berths, Belts    int
	LengthMM         int
	MaxMassKg        int // plated maximum mass
	RunningMassKg    int // mass in running order
	FrontAxleKg      int // plated
	RearAxleKg       int // plated
	LoadIndex        int // of the tyres it left with
	TwinRear         bool
	AutomaticPct     float64 // share with an automatic gearbox
	Equipment        []string
}

// MakerEffect is what a maker's name adds to ln(price); 0 for other names.
func MakerEffect(maker string) float64 { return makerEffects[maker] }

var makerEffects = map[string]float64{
	"Halvarsen": 0.11,
	"Dunmarrow": 0.05,
	"Corvane":   0.03,
	"Tarnbrook": 0,
	"Ostrelle":  -0.03,
	"Velmora":   -0.07,
	"Wexcombe":  -0.09,
}

// FindModel returns the model of a maker's and a model's name.
func FindModel(maker, name string) (Model, bool) {
	for _, m := range Models {
		if m.Maker == maker && m.Name == name {
			return m, true
		}
	}
	return Model{}, false
}

// What most vans of a kind carry. Heating, fridge and batteries vary by model.
var (
	coachKit = []string{"cassette-toilet", "gas-locker", "gas-heater", "water-heater", "hookup",
		"socket-230v", "three-way-fridge", "hob", "oven", "freshwater-tank", "waste-tank",
		"swivel-seats", "smoke-alarm", "co-alarm", "fire-extinguisher"}
	panelKit = []string{"cassette-toilet", "gas-locker", "diesel-heater", "water-heater", "hookup",
		"socket-230v", "compressor-fridge", "hob", "freshwater-tank", "waste-tank",
		"swivel-seats", "smoke-alarm", "co-alarm", "fire-extinguisher"}
	camperKit = []string{"gas-locker", "diesel-heater", "hookup", "socket-230v", "compressor-fridge",
		"hob", "freshwater-tank", "waste-tank", "rising-roof", "smoke-alarm", "fire-extinguisher"}
)

// Models is the whole made-up market, by maker.
var Models = []Model{
	{Maker: "Corvane", Name: "Sprig", Body: data.RisingRoof, Chassis: "Marrin M2", Effect: 0,
		FromYear: 2006, ToYear: 2025, Berths: 4, Belts: 4, LengthMM: 4990, MaxMassKg: 3000,
		RunningMassKg: 2290, FrontAxleKg: 1550, RearAxleKg: 1550, LoadIndex: 103, AutomaticPct: 45,
		Equipment: camperKit},
	{Maker: "Corvane", Name: "Sprig Long", Body: data.RisingRoof, Chassis: "Marrin M2", Effect: 0.06,
		FromYear: 2010, ToYear: 2025, Berths: 4, Belts: 5, LengthMM: 5300, MaxMassKg: 3080,
		RunningMassKg: 2380, FrontAxleKg: 1575, RearAxleKg: 1575, LoadIndex: 104, AutomaticPct: 50,
		Equipment: camperKit},
	{Maker: "Corvane", Name: "Lanner 599", Body: data.PanelVan, Chassis: "Brenva 35L", Effect: 0.02,
		FromYear: 2008, ToYear: 2025, Berths: 2, Belts: 4, LengthMM: 5998, MaxMassKg: 3500,
		RunningMassKg: 2860, FrontAxleKg: 1850, RearAxleKg: 2000, LoadIndex: 112, AutomaticPct: 25,
		Equipment: panelKit},
	{Maker: "Dunmarrow", Name: "Rookhope 541", Body: data.PanelVan, Chassis: "Brenva 33M", Effect: -0.04,
		FromYear: 2009, ToYear: 2025, Berths: 2, Belts: 4, LengthMM: 5413, MaxMassKg: 3300,
		RunningMassKg: 2720, FrontAxleKg: 1750, RearAxleKg: 1900, LoadIndex: 110, AutomaticPct: 25,
		Equipment: panelKit},
	{Maker: "Dunmarrow", Name: "Rookhope 636", Body: data.PanelVan, Chassis: "Brenva 35X", Effect: 0.05,
		FromYear: 2012, ToYear: 2025, Berths: 3, Belts: 4, LengthMM: 6363, MaxMassKg: 3500,
		RunningMassKg: 2950, FrontAxleKg: 1850, RearAxleKg: 2000, LoadIndex: 112, AutomaticPct: 35,
		Equipment: panelKit},
	{Maker: "Halvarsen", Name: "Nyhavald 70A", Body: data.AClass, Chassis: "Brenva 44A", Effect: 0.03,
		FromYear: 2011, ToYear: 2025, Berths: 4, Belts: 4, LengthMM: 6990, MaxMassKg: 4250,
		RunningMassKg: 3360, FrontAxleKg: 2000, RearAxleKg: 2500, LoadIndex: 121, AutomaticPct: 40,
		Equipment: append([]string{"drop-down-bed"}, coachKit...)},
	{Maker: "Halvarsen", Name: "Nyhavald 65", Body: data.LowProfile, Chassis: "Brenva 35A", Effect: 0,
		FromYear: 2009, ToYear: 2025, Berths: 2, Belts: 4, LengthMM: 6510, MaxMassKg: 3500,
		RunningMassKg: 2940, FrontAxleKg: 1850, RearAxleKg: 2000, LoadIndex: 112, AutomaticPct: 35,
		Equipment: coachKit},
	{Maker: "Ostrelle", Name: "Profil 680", Body: data.LowProfile, Chassis: "Brenva 35A", Effect: 0,
		FromYear: 2010, ToYear: 2025, Berths: 4, Belts: 4, LengthMM: 6800, MaxMassKg: 3500,
		RunningMassKg: 3000, FrontAxleKg: 1850, RearAxleKg: 2000, LoadIndex: 112, AutomaticPct: 20,
		Equipment: append([]string{"drop-down-bed"}, coachKit...)},
	{Maker: "Ostrelle", Name: "Grenier 6", Body: data.Overcab, Chassis: "Tolva T3", Effect: -0.02,
		FromYear: 2004, ToYear: 2022, Berths: 6, Belts: 6, LengthMM: 6960, MaxMassKg: 3500,
		RunningMassKg: 2980, FrontAxleKg: 1750, RearAxleKg: 2250, LoadIndex: 115, AutomaticPct: 4,
		Equipment: coachKit},
	{Maker: "Tarnbrook", Name: "Skerry 530", Body: data.LowProfile, Chassis: "Tolva T3", Effect: -0.03,
		FromYear: 2005, ToYear: 2025, Berths: 2, Belts: 2, LengthMM: 5990, MaxMassKg: 3500,
		RunningMassKg: 2840, FrontAxleKg: 1750, RearAxleKg: 2150, LoadIndex: 112, AutomaticPct: 15,
		Equipment: coachKit},
	{Maker: "Tarnbrook", Name: "Skerry 640", Body: data.LowProfile, Chassis: "Brenva 35A", Effect: 0.03,
		FromYear: 2008, ToYear: 2025, Berths: 4, Belts: 4, LengthMM: 6900, MaxMassKg: 3500,
		RunningMassKg: 2990, FrontAxleKg: 1850, RearAxleKg: 2000, LoadIndex: 112, AutomaticPct: 25,
		Equipment: coachKit},
	{Maker: "Tarnbrook", Name: "Fellmark 6", Body: data.Overcab, Chassis: "Tolva T3", Effect: 0.02,
		FromYear: 2003, ToYear: 2021, Berths: 6, Belts: 4, LengthMM: 6870, MaxMassKg: 3500,
		RunningMassKg: 2950, FrontAxleKg: 1750, RearAxleKg: 2250, LoadIndex: 115, AutomaticPct: 5,
		Equipment: coachKit},
	{Maker: "Velmora", Name: "Dorvana 7", Body: data.Overcab, Chassis: "Brenva 35A", Effect: 0,
		FromYear: 2005, ToYear: 2023, Berths: 6, Belts: 6, LengthMM: 6990, MaxMassKg: 3500,
		RunningMassKg: 3010, FrontAxleKg: 1850, RearAxleKg: 2120, LoadIndex: 113, AutomaticPct: 4,
		Equipment: coachKit},
	{Maker: "Velmora", Name: "Calvessa 78", Body: data.AClass, Chassis: "Hautmont 52T", Effect: -0.04,
		FromYear: 2006, ToYear: 2022, Berths: 4, Belts: 4, LengthMM: 7800, MaxMassKg: 5200,
		RunningMassKg: 4180, FrontAxleKg: 1900, RearAxleKg: 3700, LoadIndex: 113, TwinRear: true,
		AutomaticPct: 30, Equipment: append([]string{"drop-down-bed"}, coachKit...)},
	{Maker: "Wexcombe", Name: "Hale", Body: data.RisingRoof, Chassis: "Marrin M1", Effect: -0.02,
		FromYear: 2005, ToYear: 2020, Berths: 4, Belts: 4, LengthMM: 4890, MaxMassKg: 2900,
		RunningMassKg: 2210, FrontAxleKg: 1500, RearAxleKg: 1500, LoadIndex: 102, AutomaticPct: 15,
		Equipment: camperKit},
	{Maker: "Wexcombe", Name: "Moorgate", Body: data.PanelVan, Chassis: "Tolva T2", Effect: 0.02,
		FromYear: 2004, ToYear: 2021, Berths: 2, Belts: 3, LengthMM: 5680, MaxMassKg: 3300,
		RunningMassKg: 2700, FrontAxleKg: 1700, RearAxleKg: 1900, LoadIndex: 109, AutomaticPct: 4,
		Equipment: panelKit},
}
