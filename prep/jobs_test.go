package prep

import (
	"slices"
	"testing"
	"testing/fstest"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// books are few and plain, so that each case can be followed by hand.
func books(t testing.TB) *data.Books {
	t.Helper()
	b, err := data.LoadBooks(fstest.MapFS{
		"labour.csv": {Data: []byte(`job,title,skill,bay,hours_low,hours_likely,hours_high,factor_overcab,drying_hours,after,parts,gate,absorbs,per,caution
strip,Strip wall,damp,habitation,4,4,4,1,0,,,habitation,,area,
dry,Dry out,damp,habitation,1,1,1,1,48,strip,,habitation,,area,
reseal,Reseal,damp,habitation,2,2,2,2,0,dry,sealant*2,habitation,,area,
gas-hose,Gas hose,gas,habitation,0.5,0.5,0.5,1,0,,hose*1,habitation,,van,Gas Safe engineer only
gas-test,Gas test,gas,habitation,1.5,1.5,1.5,1,0,gas-hose,,habitation,,van,Gas Safe engineer only
electrical-test,230 V test,electrical,habitation,2,2,2,1,0,,,habitation,,van,Electrician only
rcd,RCD,electrical,habitation,1,1,1,1,0,,,habitation,,van,Electrician only
tyre-replace,One tyre,tyres,ramp,0.5,0.5,0.5,1,0,,tyre*1,roadworthy,,position,
tyre-axle,A pair,tyres,ramp,0.9,0.9,0.9,1,0,,tyre*2,roadworthy,tyre-replace,position,
tyre-set,All tyres,tyres,ramp,2,2,2,1,0,,tyre*4,roadworthy,tyre-axle;tyre-replace,van,
valet,Valet,valet,valet,4,4,4,1,0,strip;reseal,,presentation,,van,
photographs,Photographs,photography,valet,1,1,1,1,0,valet,,presentation,,van,
transfer,Drive,mechanical,,1,1,1,1,0,,,presentation,,van,
`)},
		"parts.csv": {Data: []byte(`part,title,unit_cost,in_stock,lead_days,supplier
sealant,Sealant,10.00,1,3,Supplier
hose,Hose,12.50,5,3,Supplier
tyre,Tyre,100.00,0,7,Supplier
`)},
		"checkpoints.csv": {Data: []byte(`checkpoint,title,zone,unit,worn_at,defect_at,unsafe_at,direction,job,source
awning,Awning,outside,,,,,,valet,"common practice, no source"
`)},
	})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func van(status data.Status) data.Van {
	return data.Van{StockID: "V1", Body: data.PanelVan, Status: status, FirstRegistered: data.NewDate(2016, 1, 1)}
}

func codes(jobs []Job) []string {
	var out []string
	for _, j := range jobs {
		out = append(out, j.Code)
	}
	return out
}

func TestJobsJoinDoubles(t *testing.T) {
	want := func(job, place string, units float64) appraise.JobRequest {
		return appraise.JobRequest{Job: job, Place: place, Units: units, Because: job + " at " + place}
	}
	always := []string{"photographs", "valet"}
	tests := []struct {
		name      string
		status    data.Status
		wants     []appraise.JobRequest
		wantCodes []string
		check     func(t *testing.T, jobs []Job)
	}{
		{"a van to be shown is valeted and photographed", data.Owned, nil, always, nil},
		{"a sold van needs nothing", data.Sold, []appraise.JobRequest{want("reseal", "roof", 1)}, nil, nil},
		{"two readings in one place are one repair", data.Owned,
			[]appraise.JobRequest{want("reseal", "offside-rear", 1), {Job: "reseal", Place: "offside-rear", Units: 1, Because: "another reading"}},
			append([]string{"photographs", "reseal"}, "valet"),
			func(t *testing.T, jobs []Job) {
				j := jobOf(jobs, "reseal")
				if j.Units != 1 || len(j.Because) != 2 {
					t.Errorf("got %v units because of %v", j.Units, j.Because)
				}
			}},
		{"two places are two units", data.Owned,
			[]appraise.JobRequest{want("reseal", "offside-rear", 1), want("reseal", "roof", 1.5)},
			[]string{"photographs", "reseal", "valet"},
			func(t *testing.T, jobs []Job) {
				j := jobOf(jobs, "reseal")
				if j.Units != 2.5 || !j.HoursP50.Equal(decimal.NewFromInt(5)) || !j.PartsCost.Equal(decimal.NewFromInt(50)) {
					t.Errorf("got %v units, %s h, parts %s; want 2.5, 5, 50", j.Units, j.HoursP50, j.PartsCost)
				}
			}},
		{"an axle absorbs its own wheel and not the other axle's", data.Owned,
			[]appraise.JobRequest{want("tyre-axle", "front", 1), want("tyre-replace", "nearside-front", 1), want("tyre-replace", "nearside-rear", 1)},
			[]string{"photographs", "tyre-axle", "tyre-replace", "valet"}, nil},
		{"an axle absorbs the wheels on it", data.Owned,
			[]appraise.JobRequest{want("tyre-axle", "front", 1), want("tyre-replace", "nearside-front", 1)},
			[]string{"photographs", "tyre-axle", "valet"},
			func(t *testing.T, jobs []Job) {
				if got := jobOf(jobs, "tyre-axle").Because; !slices.Contains(got, "tyre-replace at nearside-front") {
					t.Errorf("the wheel's reason is lost: %v", got)
				}
			}},
		{"a set absorbs them all", data.Owned,
			[]appraise.JobRequest{want("tyre-set", "", 1), want("tyre-axle", "front", 1), want("tyre-replace", "nearside-rear", 1)},
			[]string{"photographs", "tyre-set", "valet"}, nil},
		{"gas work brings its test, after it", data.Owned, []appraise.JobRequest{want("gas-hose", "", 1)},
			[]string{"gas-hose", "gas-test", "photographs", "valet"},
			func(t *testing.T, jobs []Job) {
				if got := jobOf(jobs, "gas-test").After; !slices.Equal(got, []string{"gas-hose"}) {
					t.Errorf("gas test comes after %v", got)
				}
			}},
		{"230 V work brings its test", data.Owned, []appraise.JobRequest{want("rcd", "", 1)},
			[]string{"electrical-test", "photographs", "rcd", "valet"}, nil},
		{"order runs through jobs that are not on the van", data.Owned,
			[]appraise.JobRequest{want("strip", "roof", 1), want("reseal", "roof", 1)},
			[]string{"photographs", "reseal", "strip", "valet"},
			func(t *testing.T, jobs []Job) {
				if got := jobOf(jobs, "reseal").After; !slices.Equal(got, []string{"strip"}) {
					t.Errorf("reseal comes after %v, want strip though nothing is dried", got)
				}
			}},
		{"a job that the book does not know is left out", data.Owned, []appraise.JobRequest{want("no-such-job", "", 1)}, always, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			jobs := Jobs(appraise.Assessment{Van: van(tt.status), Requests: tt.wants}, nil, books(t), data.DefaultPolicy(), Calibration{})
			if got := codes(jobs); !slices.Equal(got, tt.wantCodes) {
				t.Fatalf("got %v, want %v", got, tt.wantCodes)
			}
			if tt.check != nil {
				tt.check(t, jobs)
			}
		})
	}
}

func TestBodyFactorScalesHours(t *testing.T) {
	a := appraise.Assessment{Van: van(data.Owned), Requests: []appraise.JobRequest{{Job: "reseal", Place: "roof", Units: 1}}}
	a.Van.Body = data.Overcab
	j := jobOf(Jobs(a, nil, books(t), data.DefaultPolicy(), Calibration{}), "reseal")
	if !j.HoursP50.Equal(decimal.NewFromInt(4)) {
		t.Errorf("got %s h, want 4: the book says twice the hours for an overcab", j.HoursP50)
	}
}

func TestProgress(t *testing.T) {
	hours := func(h float64) data.Opt[float64] { return data.Some(h) }
	tests := []struct {
		name               string
		progress           data.Progress
		askedOn            data.Date
		wantState          data.JobState
		wantSpent, wantP50 string
		wantLabour         string // at 32 an hour
		wantParts          string
	}{
		{"not begun", data.Progress{State: data.JobOpen}, 0, data.JobOpen, "0", "2", "64", "20"},
		{"done counts what it took", data.Progress{State: data.JobDone, HoursSpent: hours(3)}, 0, data.JobDone, "3", "3", "96", "20"},
		{"done without hours counts the book's", data.Progress{State: data.JobDone}, 0, data.JobDone, "2", "2", "64", "20"},
		{"dropped counts what was spent, and no parts", data.Progress{State: data.JobDropped, HoursSpent: hours(0.5)}, 0, data.JobDropped, "0.5", "0.5", "16", "0"},
		{"begun counts spent and left", data.Progress{State: data.JobStarted, HoursSpent: hours(0.5)}, 0, data.JobStarted, "0.5", "2", "64", "20"},
		{"a newer reading opens a done job again",
			data.Progress{State: data.JobDone, HoursSpent: hours(3), DoneOn: data.NewDate(2026, 1, 5)}, data.NewDate(2026, 2, 1),
			data.JobOpen, "3", "5", "160", "20"},
		{"an older reading does not",
			data.Progress{State: data.JobDone, HoursSpent: hours(3), DoneOn: data.NewDate(2026, 1, 5)}, data.NewDate(2026, 1, 1),
			data.JobDone, "3", "3", "96", "20"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.progress.StockID, tt.progress.Job = "V1", "reseal"
			a := appraise.Assessment{Van: van(data.Owned), Requests: []appraise.JobRequest{{Job: "reseal", Place: "roof", Units: 1, AskedOn: tt.askedOn}}}
			j := jobOf(Jobs(a, []data.Progress{tt.progress}, books(t), data.DefaultPolicy(), Calibration{}), "reseal")
			for _, f := range []struct {
				what      string
				got, want decimal.Decimal
			}{
				{"spent", j.HoursSpent, decimal.RequireFromString(tt.wantSpent)},
				{"p50", j.HoursP50, decimal.RequireFromString(tt.wantP50)},
				{"labour", j.LabourCost, decimal.RequireFromString(tt.wantLabour)},
				{"parts", j.PartsCost, decimal.RequireFromString(tt.wantParts)},
			} {
				if !f.got.Equal(f.want) {
					t.Errorf("%s: got %s, want %s", f.what, f.got, f.want)
				}
			}
			if j.State != tt.wantState {
				t.Errorf("got state %s, want %s", j.State, tt.wantState)
			}
		})
	}
}

// A set of tyres covers a single one; what was done or called off before counts.
func TestWhatIsBehindUsIsNotAbsorbed(t *testing.T) {
	on := func(day int) data.Date { return data.NewDate(2026, 2, day) }
	state := func(jobs []Job) []string {
		var out []string
		for _, j := range jobs {
			if j.Skill == "tyres" {
				out = append(out, j.Code+" "+string(j.State))
			}
		}
		return out
	}
	tests := []struct {
		name     string
		progress data.Progress
		asked    data.Date // the single tyre; the set on the 10th
		want     []string
	}{
		{"a tyre that is on keeps its cost", data.Progress{Job: "tyre-replace", State: data.JobDone, DoneOn: on(5)}, on(1),
			[]string{"tyre-replace done", "tyre-set open"}},
		{"a tyre that is asked for again goes with the set", data.Progress{Job: "tyre-replace", State: data.JobDone, DoneOn: on(5)}, on(6),
			[]string{"tyre-set open"}},
		{"a set that is on covers what was asked before", data.Progress{Job: "tyre-set", State: data.JobDone, DoneOn: on(12)}, on(11),
			[]string{"tyre-set done"}},
		{"but not what was asked since", data.Progress{Job: "tyre-set", State: data.JobDone, DoneOn: on(12)}, on(13),
			[]string{"tyre-replace open", "tyre-set done"}},
		{"a set that was called off covers nothing", data.Progress{Job: "tyre-set", State: data.JobDropped}, on(1),
			[]string{"tyre-replace open", "tyre-set dropped"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := appraise.Assessment{Van: van(data.Owned), Requests: []appraise.JobRequest{
				{Job: "tyre-replace", Place: "nearside-front", Units: 1, AskedOn: tt.asked}, {Job: "tyre-set", Units: 1, AskedOn: on(10)},
			}}
			got := state(Jobs(a, []data.Progress{tt.progress}, books(t), data.DefaultPolicy(), Calibration{}))
			if !slices.Equal(got, tt.want) {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

func TestSoldVanKeepsTheCostOfItsWork(t *testing.T) {
	progress := []data.Progress{{StockID: "V1", Job: "valet", State: data.JobDone, HoursSpent: data.Some(5.0)}}
	jobs := Jobs(appraise.Assessment{Van: van(data.Sold)}, progress, books(t), data.DefaultPolicy(), Calibration{})
	if got := Total(jobs); !got.Equal(decimal.NewFromInt(160)) {
		t.Errorf("got %s, want 5 h at 32", got)
	}
}
