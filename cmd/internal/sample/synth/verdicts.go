package synth

import "github.com/vanwright/vanwright/data"

// point is a checkpoint that is judged by eye or by trying it.
type point struct {
	checkpoint string
	positions  []string // one of them is looked at; nil: the point has none
	fitted     []string // equipment words, any of which makes the point apply; nil: always
	looked     float64  // usual chance that it is looked at
	worn       float64  // chance of wear at 15 years and grade 3
	defect     float64  // chance of a defect, likewise
	unsafe     bool     // a defect here is called unsafe one time in four
	note       string   // what is written beside a defect
}

var (
	windowPositions = []string{"nearside-front", "nearside-middle", "nearside-rear", "offside-front", "offside-middle", "offside-rear", "rear"}
	sidePositions   = []string{"nearside", "offside"}
	panelPositions  = []string{"nearside", "offside", "rear", "roof"}
	gasAppliances   = []string{"gas-locker", "gas-tank"}
	heaters         = []string{"gas-heater", "diesel-heater", "electric-heater"}
)

// points lists what a valuer tries on the way round. The chances are made up.
var points = []point{
	{"headlamps", sidePositions, nil, 0.3, 0.05, 0.06, false, "bulb out"},
	{"headlamp-lens", sidePositions, nil, 0.25, 0.30, 0.08, false, "lens clouded"},
	{"brake-lamps", nil, nil, 0.35, 0, 0.05, true, "one brake lamp out"},
	{"indicators", nil, nil, 0.3, 0, 0.04, false, "repeater out"},
	{"marker-lamps", nil, nil, 0.25, 0.02, 0.15, false, "marker lamp full of water"},
	{"wipers", nil, nil, 0.3, 0.35, 0.1, false, "blade split"},
	{"windscreen", nil, nil, 0.5, 0.15, 0.05, false, "crack from the edge"},
	{"mirrors", sidePositions, nil, 0.2, 0.1, 0.04, false, "glass loose"},
	{"handbrake-hold", nil, nil, 0.3, 0.15, 0.05, true, "does not hold on the ramp"},
	{"steering-play", nil, nil, 0.25, 0.1, 0.04, true, "play at the rack end"},
	{"suspension-front", nil, nil, 0.25, 0.2, 0.1, false, "drop link knocks"},
	{"suspension-rear", nil, nil, 0.2, 0.15, 0.05, false, "spring eye worn"},
	{"chassis-corrosion", nil, nil, 0.4, 0.35, 0.1, true, "scale lifts at the rear outrigger"},
	{"underbody-corrosion", nil, nil, 0.3, 0.35, 0.1, false, "sill thin"},
	{"exhaust-system", nil, nil, 0.25, 0.2, 0.1, false, "blows at the joint"},
	{"brake-pipes", nil, nil, 0.25, 0.2, 0.07, true, "corroded over the axle"},
	{"engine-cold-start", nil, nil, 0.5, 0.06, 0.04, false, "long to catch"},
	{"engine-oil", nil, nil, 0.4, 0.25, 0.05, false, "low and black"},
	{"engine-oil-leak", nil, nil, 0.3, 0.2, 0.07, false, "weeps at the sump"},
	{"coolant-level", nil, nil, 0.25, 0.08, 0.05, false, "below the mark"},
	{"clutch-bite", nil, nil, 0.35, 0.2, 0.06, false, "bites at the top"},
	{"gearbox-change", nil, nil, 0.4, 0.1, 0.04, false, "jumps out of second"},
	{"warning-lamps", nil, nil, 0.5, 0, 0.09, false, "engine lamp stays on"},
	{"window-seal", windowPositions, nil, 0.45, 0.25, 0.1, false, "sealant cracked along the top"},
	{"window-crazing", windowPositions, nil, 0.3, 0.3, 0.06, false, "crazed through"},
	{"window-catch", windowPositions, nil, 0.25, 0.1, 0.12, false, "catch snapped"},
	{"blind-flyscreen", windowPositions, nil, 0.35, 0.15, 0.2, false, "blind will not stay down"},
	{"rooflight-seal", []string{"front", "middle", "rear", "washroom"}, nil, 0.35, 0.25, 0.08, false, "seal shrunk at a corner"},
	{"rooflight-dome", []string{"front", "middle", "rear", "washroom"}, nil, 0.25, 0.2, 0.05, false, "dome cracked"},
	{"roof-joint", panelPositions[:3], nil, 0.25, 0.2, 0.06, false, "mastic pulled away"},
	{"rising-roof-canvas", nil, []string{"rising-roof"}, 0.8, 0.25, 0.1, false, "hole at a fold"},
	{"rising-roof-lift", nil, []string{"rising-roof"}, 0.7, 0.15, 0.06, false, "strut weak on one side"},
	{"body-panel", panelPositions, nil, 0.5, 0.25, 0.1, false, "dent and broken gel coat"},
	{"body-paint", nil, nil, 0.3, 0.3, 0.05, false, "lacquer lifting"},
	{"habitation-door", nil, nil, 0.25, 0.15, 0.06, false, "drops on its hinges"},
	{"locker-doors", []string{"nearside-front", "nearside-rear", "offside-front", "offside-rear", "gas"}, nil, 0.25, 0.15, 0.08, false, "lock seized"},
	{"entry-step", nil, nil, 0.35, 0.12, 0.1, false, "motor does not run"},
	{"awning", nil, []string{"awning"}, 0.75, 0.25, 0.1, false, "leg will not lock"},
	{"towbar", nil, []string{"towbar"}, 0.4, 0.1, 0.03, false, "socket corroded"},
	{"gas-locker-vent", nil, []string{"gas-locker"}, 0.35, 0.02, 0.04, true, "vent covered by a mat"},
	{"gas-hose-condition", nil, gasAppliances, 0.3, 0.15, 0.05, true, "cracked where it bends"},
	{"gas-taps", nil, gasAppliances, 0.2, 0.06, 0.04, false, "stiff"},
	{"flue-heater", nil, []string{"gas-heater", "diesel-heater"}, 0.2, 0.06, 0.03, true, "cowl missing"},
	{"room-vents", nil, []string{"hob", "oven", "gas-heater"}, 0.3, 0.02, 0.05, true, "taped over"},
	{"polarity", nil, []string{"hookup"}, 0.3, 0, 0.02, true, "reversed at the galley socket"},
	{"sockets-230v", []string{"kitchen", "lounge", "bedroom"}, []string{"socket-230v"}, 0.3, 0.04, 0.04, false, "face cracked"},
	{"control-panel", nil, nil, 0.4, 0.05, 0.06, false, "segments missing"},
	{"lights-12v", nil, nil, 0.45, 0.08, 0.1, false, "two do not light"},
	{"reversing-camera", nil, []string{"reversing-camera"}, 0.5, 0.05, 0.1, false, "no picture"},
	{"television", nil, []string{"television"}, 0.4, 0.04, 0.08, false, "no signal"},
	{"water-pump", nil, []string{"freshwater-tank"}, 0.8, 0.08, 0.07, false, "runs and does not prime"},
	{"water-leaks", nil, nil, 0.35, 0.04, 0.08, false, "drips at the pump outlet"},
	{"freshwater-drain", nil, []string{"freshwater-tank"}, 0.45, 0.06, 0.04, false, "handle broken"},
	{"hot-water-drain", nil, []string{"water-heater"}, 0.45, 0.06, 0.06, false, "weeps when shut"},
	{"taps", []string{"kitchen", "washroom", "shower"}, nil, 0.3, 0.1, 0.07, false, "microswitch dead"},
	{"waste-valve", nil, []string{"waste-tank"}, 0.3, 0.1, 0.06, false, "stuck half open"},
	{"toilet-cassette", nil, []string{"cassette-toilet"}, 0.75, 0.15, 0.07, false, "leaks at the lip seal"},
	{"toilet-flush", nil, []string{"cassette-toilet"}, 0.4, 0.05, 0.06, false, "no flush"},
	{"shower-tray", nil, []string{"cassette-toilet"}, 0.35, 0.15, 0.12, false, "cracked round the waste"},
	{"heater-gas", nil, []string{"gas-heater"}, 0.7, 0.04, 0.08, false, "locks out after a minute"},
	{"heater-electric", nil, []string{"electric-heater"}, 0.6, 0.02, 0.07, false, "no heat on mains"},
	{"heater-diesel", nil, []string{"diesel-heater"}, 0.7, 0.06, 0.09, false, "smokes and stops"},
	{"heater-fan", nil, []string{"gas-heater", "electric-heater"}, 0.25, 0.06, 0.04, false, "bearing screams"},
	{"water-heater-gas", nil, []string{"water-heater"}, 0.4, 0.03, 0.07, false, "does not light"},
	{"heater-control", nil, heaters, 0.25, 0.03, 0.04, false, "display dead"},
	{"fridge-gas", nil, []string{"three-way-fridge"}, 0.55, 0.05, 0.1, false, "lights and goes out"},
	{"fridge-mains", nil, []string{"three-way-fridge", "compressor-fridge"}, 0.7, 0.03, 0.06, false, "warm after four hours"},
	{"fridge-12v", nil, []string{"three-way-fridge", "compressor-fridge"}, 0.6, 0.03, 0.08, false, "no feed with the engine running"},
	{"hob-burners", nil, []string{"hob"}, 0.5, 0.08, 0.04, false, "yellow flame"},
	{"hob-ignition", nil, []string{"hob"}, 0.4, 0.05, 0.12, false, "no spark"},
	{"oven", nil, []string{"oven"}, 0.4, 0.05, 0.05, false, "will not stay lit"},
	{"seat-belt", []string{"driver", "passenger", "dinette-nearside", "dinette-offside"}, nil, 0.45, 0.08, 0.03, true, "webbing cut"},
	{"swivel-seats", []string{"nearside", "offside"}, []string{"swivel-seats"}, 0.35, 0.1, 0.05, false, "will not lock forward"},
	{"upholstery", nil, nil, 0.6, 0.4, 0.08, false, "torn and stained"},
	{"beds", nil, nil, 0.3, 0.1, 0.04, false, "slat broken"},
	{"drop-down-bed", nil, []string{"drop-down-bed"}, 0.6, 0.08, 0.05, false, "strap frayed"},
	{"furniture-catches", nil, nil, 0.4, 0.3, 0.15, false, "three catches broken"},
	{"carpets", nil, nil, 0.3, 0.35, 0.08, false, "stained"},
	{"interior-smell", nil, nil, 0.3, 0.12, 0.06, false, "pets"},
	{"interior-clean", nil, nil, 0.4, 0.35, 0.1, false, "not cleaned for sale"},
	{"smoke-alarm-test", nil, []string{"smoke-alarm"}, 0.3, 0, 0.08, false, "silent"},
	{"co-alarm-test", nil, []string{"co-alarm"}, 0.3, 0, 0.08, false, "silent"},
}

// verdictShare keeps an inspection of Thorough 1 at about 50 readings in all.
const verdictShare = 0.72

// verdicts tries the points of the book that have no gauge.
func (e *examiner) verdicts() {
	for i := range points {
		p := &points[i]
		if p.fitted != nil && !e.fitted(p.fitted...) {
			continue
		}
		if !e.looks(mul(verdictShare, p.looked)) {
			continue
		}
		position := ""
		if p.positions != nil {
			position = pick(e.Draws, p.positions)
		}
		verdict, note := data.Sound, ""
		switch {
		case e.fails(p.defect):
			verdict, note = data.Defect, p.note
			if p.unsafe && e.chance(0.25) {
				verdict = data.Unsafe
			}
		case e.fails(p.worn):
			verdict = data.Worn
		case e.chance(0.02):
			verdict = data.Untested
		}
		e.judged(p.checkpoint, position, verdict, note)
	}
}
