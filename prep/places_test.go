package prep

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// Where work can be done, from where bays and people are.
func TestTheSitesOfAWorkshop(t *testing.T) {
	at := func(people, bays []string) floor {
		w := small()
		w.Team, w.Bays, w.DefaultTeam = nil, nil, false
		for _, site := range people {
			w.Team = append(w.Team, data.Technician{Name: "P " + site, Skills: []string{"damp"}, Hours: [7]float64{1: 8}, Site: site})
		}
		for _, site := range bays {
			w.Bays = append(w.Bays, data.Bay{Name: "B " + site, Kind: "ramp", Count: 2, Site: site})
		}
		return newFloor(w)
	}
	for _, tt := range []struct {
		name         string
		people, bays []string
		want         []string
	}{
		{"none named is one site", []string{""}, []string{""}, []string{""}},
		{"nobody and nothing", nil, nil, []string{""}},
		{"one named, which what has none serves too", []string{"", "Saltmere"}, []string{""}, []string{"Saltmere"}},
		{"two, each once, by name", []string{"Thornholt", "", "Saltmere"}, []string{"Thornholt", "Saltmere"}, []string{"Saltmere", "Thornholt"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := at(tt.people, tt.bays).sites; !slices.Equal(got, tt.want) {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}

	// Each kind of bay is there once for all sites, and once for a site that has its own.
	f := at([]string{"Saltmere", "Thornholt"}, []string{"", "Thornholt"})
	var got []string
	for _, r := range f.resources(Workshop{}) {
		got = append(got, r.Name)
	}
	want := slices.Clone(data.BayKinds)
	ramp := slices.Index(want, "ramp")
	if want = slices.Insert(want, ramp+1, "ramp at Thornholt"); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if here, there := f.bay("ramp", 0), f.bay("ramp", 1); here != ramp || there != ramp+1 {
		t.Errorf("ramps %d and %d, want the common one and Thornholt's own", here, there)
	}
	if got := len(at([]string{""}, []string{""}).places); got != len(data.BayKinds) {
		t.Errorf("%d kinds of bay, want %d", got, len(data.BayKinds))
	}
	if got := f.bay("", 0); got != -1 {
		t.Errorf("a job without a bay is put into %d", got)
	}
}

// Somebody with a site works there and nowhere else; somebody without, anywhere.
func TestWhoCanDoWhatWhere(t *testing.T) {
	w := small()
	w.Team = []data.Technician{
		{Name: "Kim", Skills: []string{"damp", "no such skill"}, Hours: [7]float64{1: 8}, Site: "Saltmere"},
		{Name: "Lee", Skills: []string{data.Skills[0]}, Hours: [7]float64{1: 8}},
		{Name: "Tom", Skills: []string{"gas"}, Site: "Saltmere"}, // who works no hours
		{Name: "Una", Skills: []string{"tyres"}, Hours: [7]float64{1: 8}, Site: "Thornholt"},
	}
	f := newFloor(w)
	for skill, want := range map[string][]bool{"damp": {true, false}, data.Skills[0]: {true, true}, "tyres": {false, true}, "gas": {false, false}} {
		if got := f.can[skill]; !slices.Equal(got, want) {
			t.Errorf("%s at Saltmere and Thornholt: %v, want %v", skill, got, want)
		}
		for site, can := range want {
			if lacks := f.lacks(&Job{Skill: skill}, site); (lacks == "") != can {
				t.Errorf("%s at %s: %q", skill, f.sites[site], lacks)
			}
		}
	}
	n := len(data.Skills)
	if got := f.skills(w.Team[1]); !slices.Equal(got, []int{0, n}) {
		t.Errorf("Lee's skill, at either site: %v", got)
	}
	if got := f.skills(w.Team[0]); !slices.Equal(got, []int{slices.Index(data.Skills, "damp")}) {
		t.Errorf("Kim's, at Saltmere: %v", got)
	}
	for _, site := range []int{0, 1} {
		if got := f.skill("no such skill", site); got != 2*n {
			t.Errorf("a skill that is none: %d, want %d, which nobody has", got, 2*n)
		}
	}
	w.Bays = slices.DeleteFunc(w.Bays, func(b data.Bay) bool { return b.Kind == data.BayKinds[0] })
	if got := newFloor(w).lacks(&Job{Skill: "damp", Bay: data.BayKinds[0]}, 0); got != "no bay of the kind "+data.Title(data.BayKinds[0]) {
		t.Errorf("without a bay: %q", got)
	}
}

// A van stands at its own site; where it names none that is known, at the one with most
// bays, and of two with as many at the first by name.
func TestWhereAVanStands(t *testing.T) {
	f := func(saltmere, thornholt int) floor {
		return floor{sites: []string{"Saltmere", "Thornholt"}, places: []places{
			{"ramp", "", []string{"any"}}, {"ramp", "Saltmere", slices.Repeat([]string{"s"}, saltmere)}, {"ramp", "Thornholt", slices.Repeat([]string{"t"}, thornholt)}}}
	}
	for _, tt := range []struct {
		name                string
		site                string
		saltmere, thornholt int
		want                int
	}{
		{"its own, though the other has more bays", "Saltmere", 1, 5, 0},
		{"its own, though the other is first", "Thornholt", 5, 1, 1},
		{"unknown: where most bays are", "elsewhere", 1, 2, 1},
		{"unknown: where any bay is", "", 0, 1, 1},
		{"as many at both", "", 2, 2, 0},
		{"none at either", "", 0, 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := f(tt.saltmere, tt.thornholt).home(data.Van{Site: tt.site}); got != tt.want {
				t.Errorf("at %d, want %d", got, tt.want)
			}
		})
	}
}

// What has begun where the van stands is done before it is driven away; all other work
// after the drive.
func TestWorkBeforeTheDrive(t *testing.T) {
	shop := atSites(small("Pat"), "bodywork") // Tom and a bay for bodywork are at Thornholt
	van := func(change func(jobs map[string]*Job)) VanJobs {
		v := VanJobs{Van: data.Van{StockID: "V1", Site: "Saltmere"}, Jobs: []Job{
			{StockID: "V1", Code: "hose", Skill: "gas", Bay: "habitation", State: data.JobStarted},
			{StockID: "V1", Code: "strip", Skill: "damp", Bay: "bodywork", State: data.JobOpen},
			{StockID: "V1", Code: transferJob, Skill: "mechanical", State: data.JobOpen},
		}}
		jobs := map[string]*Job{}
		for i := range v.Jobs {
			jobs[v.Jobs[i].Code] = &v.Jobs[i]
		}
		change(jobs)
		return v
	}
	for _, tt := range []struct {
		name   string
		change func(map[string]*Job)
		want   map[string][]string // what comes before each
	}{
		{"begun here, done here", func(map[string]*Job) {}, map[string][]string{transferJob: {"hose"}, "strip": {transferJob}}},
		{"not begun: after the drive", func(j map[string]*Job) { j["hose"].State = data.JobOpen }, map[string][]string{"hose": {transferJob}, "strip": {transferJob}}},
		{"nobody here can end it", func(j map[string]*Job) { j["hose"].Skill = "no such skill" }, map[string][]string{"hose": {transferJob}, "strip": {transferJob}}},
		{"it waits for what is done there", func(j map[string]*Job) { j["hose"].After = []string{"strip"} }, map[string][]string{"hose": {"strip", transferJob}, "strip": {transferJob}}},
		{"what it waited for is done", func(j map[string]*Job) { j["hose"].After, j["strip"].State = []string{"strip"}, data.JobDone }, map[string][]string{"hose": {"strip"}, transferJob: {"hose"}}},
		{"driven already: no drive is left to wait for", func(j map[string]*Job) { j[transferJob].State = data.JobDone }, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := map[string][]string{}
			for _, j := range newFloor(shop).driveFirst(van(tt.change)) {
				if len(j.After) > 0 {
					got[j.Code] = j.After
				}
			}
			if tt.want == nil {
				tt.want = map[string][]string{}
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
	ahead := VanJobs{Jobs: []Job{{Code: transferJob, State: data.JobOpen}, {Code: "valet", State: data.JobOpen}}}
	if jobs := newFloor(shop).driveFirst(ahead); !slices.Equal(jobs[1].After, []string{transferJob}) {
		t.Errorf("a drive that is first by its code: the valet follows %v", jobs[1].After)
	}
	f := newFloor(shop)
	if v := van(func(map[string]*Job) {}); f.beginsAtHome(VanJobs{Van: v.Van, Jobs: v.Jobs[:2]}, &v.Jobs[0]) {
		t.Error("without a drive nothing has to be done before it")
	}
}

// One more person for eight hours takes over what fits into them, dearest first, where
// that delays nothing; longer work is left. Pat has one job a day: the dearest on
// Thursday, then Friday and Monday.
func TestWhatOneMorePersonTakesOver(t *testing.T) {
	for _, tt := range []struct {
		name  string
		hours float64
		saved string
	}{
		{"eight hours each: one job; the next a day sooner, the last three", 8, "50"}, // 20 and 3 × 10
		{"ten hours each: none", 10, "0"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := modelOf(t, small("Pat"), longHours(wanted(t, "V1", 10, nil, "strip"), tt.hours), longHours(wanted(t, "V2", 20, nil, "strip"), tt.hours), longHours(wanted(t, "V3", 30, nil, "strip"), tt.hours))
			o := p.outlook()
			plan, err := o.arrange(o.byRule(pounds))
			if err != nil {
				t.Fatal(err)
			}
			base, err := p.replayed(p.problem, plan)
			if err != nil || base != p.value(plan.Assignments) {
				t.Fatalf("replayed it costs %d, %v; want %d", base, err, p.value(plan.Assignments))
			}
			value, err := p.handedOver("damp", p.tasksOf("damp", plan), plan, base)
			if got := poundsOf(base - value); err != nil || got.String() != tt.saved {
				t.Errorf("saves £%s, %v; want £%s", got, err, tt.saved)
			}
		})
	}
}

// Where bays are at sites, only those are told of, and those that work asks for in vain.
func TestBaysThatOneMoreIsToldOf(t *testing.T) {
	shop := atSites(small("Pat"), "bodywork")
	shop.Bays = slices.DeleteFunc(shop.Bays, func(b data.Bay) bool { return b.Kind == "ramp" })
	vans := []VanJobs{wanted(t, "V1", 10, nil, "strip"), wanted(t, "V2", 10, nil, "tyre-replace")} // for which there is no ramp
	for i := range vans {
		vans[i].Van.Site = "Saltmere"
	}
	plan := mustPlan(t, vans, shop, books(t), thursday, nil)
	got := map[string]float64{}
	for _, m := range plan.More {
		if m.Kind == "bay" {
			got[m.Name+" "+m.Site] = m.Weekly
		}
	}
	want := map[string]float64{"bodywork Saltmere": 80, "bodywork Thornholt": 40, "habitation Saltmere": 80, "valet Saltmere": 80, "ramp ": 0}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("hours a week (-want +got)\n%s", diff)
	}
}

// What the plan saves against the best rule is said where it saves something, and with it
// the rule.
func TestWhatThePlanSaves(t *testing.T) {
	work, shop, books := fleet(t, 14, 4)
	in := planInput{work: work, shop: shop, books: books, policy: quick(), asOf: thursday, known: map[Estimate][]float64{}, hiddenOf: map[string][]hiddenWork{}}
	in.stock = newStock(work, shop, books, thursday)
	slices.SortFunc(in.work, byNeed)
	o, found, err := in.solve(t.Context(), nil, schedule.Options{Objective: schedule.WeightedCompletion, Schedules: 40, Seed: uint64(quick().Seed)})
	if err != nil {
		t.Fatal(err)
	}
	// The best rule is the one that is expected to cost least; of two the first.
	best, least := 0, math.MaxInt
	for rule := range Rules {
		ahead, err := o.foresee(t.Context(), o.byRule(rule))
		if err != nil {
			t.Fatal(err)
		}
		if ahead[0] < least {
			best, least = rule, ahead[0]
		}
	}
	if found.rule.number != best || found.rule.value != least {
		t.Errorf("the best rule is said to be %q at %d, and is %q at %d", Rules[found.rule.number], found.rule.value, Rules[best], least)
	}
	saves := found.rule.value - found.ahead
	if saves <= 0 {
		t.Fatalf("the plan of this fleet saves %d: choose another", saves)
	}
	plan, err := PlanWorkshop(t.Context(), work, shop, books, quick(), thursday, nil)
	if err != nil || !plan.Gain.Equal(poundsOf(saves)) || plan.BestRule != Rules[found.rule.number] {
		t.Errorf("saves %s against %q, %v; want %s against %q", plan.Gain, plan.BestRule, err, poundsOf(saves), Rules[found.rule.number])
	}
	// Nothing can be saved on one van.
	one := mustPlan(t, work[:1], shop, books, thursday, nil)
	if !one.Gain.IsZero() || one.BestRule != "" {
		t.Errorf("one van: saves %s against %q", one.Gain, one.BestRule)
	}
}

// The drive to another site begins where the van stands and ends where it is worked on;
// all other work begins and ends there.
func TestWhereTheDriveBeginsAndEnds(t *testing.T) {
	shop := atSites(small("Pat"), "bodywork")
	shop.Team[0].Skills = []string{"gas"}
	v := wanted(t, "V1", 10, nil, "strip", "transfer") // for which Thornholt has the bay and Tom
	for i := range v.Jobs {
		if v.Jobs[i].Code == "strip" {
			v.Jobs[i].Bay = "bodywork"
		}
	}
	v.Van.Site = "Saltmere"
	p := modelOf(t, shop, v)
	saltmere, thornholt := slices.Index(p.floor.sites, "Saltmere"), slices.Index(p.floor.sites, "Thornholt")
	drive, strip := p.problem.Tasks[taskAt(t, p, "V1", transferJob)], p.problem.Tasks[taskAt(t, p, "V1", "strip")]
	if drive.Site != saltmere || drive.Leaves != thornholt {
		t.Errorf("the drive goes from %d to %d, want from %d to %d", drive.Site, drive.Leaves, saltmere, thornholt)
	}
	if strip.Site != thornholt || strip.Leaves != thornholt {
		t.Errorf("the work is at %d and leaves one at %d, want %d", strip.Site, strip.Leaves, thornholt)
	}
}
