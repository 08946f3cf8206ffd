package prep

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// took is n finished jobs of a book hour each.
func took(n int, job, skill string, spent float64) []Finished {
	out := make([]Finished, n)
	for i := range out {
		out[i] = Finished{Job: job, Skill: skill, Book: 1, Spent: spent}
	}
	return out
}

// Worked by hand from the rule: n jobs at a ratio r count r^(n/(n+10)).
func TestCalibrationByHand(t *testing.T) {
	tests := []struct {
		name     string
		finished []Finished
		job      string
		want     float64
	}{
		{"nothing finished, nothing learnt", nil, "strip", 1},
		{"four jobs are too few", took(4, "strip", "damp", 2), "strip", 1},
		{"ten at double count half the way", took(10, "strip", "damp", 2), "dry", math.Pow(2, 10.0/20)},
		{"a job starts from its skill, not from the book", took(10, "strip", "damp", 2), "strip", math.Pow(2, (10*10.0/20+10)/20)},
		{"one other skill's jobs teach nothing", took(10, "valet", "valet", 2), "strip", 1},
		{"those of two other skills teach what is common: 20 of 50",
			append(took(10, "valet", "valet", 2), took(10, "tyre-set", "tyres", 2)...), "strip", math.Pow(2, 20.0/50)},
		{"a skill starts from what is common, not from the book",
			append(took(10, "strip", "damp", 2), took(10, "valet", "valet", 2)...), "dry", math.Pow(2, (10*20.0/50+10)/20)},
		{"a skill with too few jobs makes nothing common",
			append(took(4, "valet", "valet", 2), took(10, "tyre-set", "tyres", 2)...), "strip", 1},
		{"what took ten times as long counts as double", took(10, "strip", "damp", 10), "dry", math.Pow(2, 10.0/20)},
		{"what took no time to speak of counts as half", took(10, "strip", "damp", 0.01), "dry", math.Pow(0.5, 10.0/20)},
		{"a job of its own with too few follows its skill",
			append(took(10, "strip", "damp", 2), took(2, "dry", "damp", 0.5)...), "dry", math.Pow(2, 8.0/22)},
		{"slow and quick cancel out", append(took(5, "strip", "damp", 2), took(5, "strip", "damp", 0.5)...), "strip", 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Calibrate(tt.finished).factor(tt.job, "damp"); math.Abs(got-tt.want) > 1e-12 {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}

func TestFactorsShowWhatTheyRestOn(t *testing.T) {
	finished := append(took(3, "strip", "damp", 1), took(3, "dry", "damp", 1)...)
	finished[0].Spent = 2
	got := Calibrate(finished).Factors()
	spread := func(n float64) float64 { // of one log 2 among n, by the formula of a sample's variance
		return math.Exp(math.Ln2 * math.Sqrt((1-1/n)/(n-1)))
	}
	factor := math.Pow(2, 1.0/16)
	want := []Factor{
		{Skill: "damp", Jobs: 6, Factor: factor, Spread: spread(6)},
		{Skill: "damp", Job: "dry", Jobs: 3, Factor: factor, Spread: 1},
		{Skill: "damp", Job: "strip", Jobs: 3, Factor: factor, Spread: spread(3)},
	}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-12 })
	if diff := cmp.Diff(want, got, near); diff != "" {
		t.Error(diff)
	}
}

func drawFinished(t *rapid.T) []Finished {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Finished {
		return Finished{
			Job:   rapid.SampledFrom([]string{"strip", "dry", "reseal"}).Draw(t, "job"),
			Skill: rapid.SampledFrom([]string{"damp", "damp", "gas"}).Draw(t, "skill"),
			Book:  rapid.Float64Range(0.1, 20).Draw(t, "book"), Spent: rapid.Float64Range(0.1, 40).Draw(t, "spent"),
		}
	}), 1, 40).Draw(t, "finished")
}

// One job of ten and more moves the common factor by at most 4^(1/40); its skill's, of five,
// by 4^(1/15) and ten fifteenths of that; and its own, of five, by 4^(1/15) and ten fifteenths
// of the skill's: 4^(1/15 + 10/15 (1/15 + 10/15/40)), which is 4^(11/90) or 18.5 %.
func TestOneWildFigureMovesNothingMuch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		finished := drawFinished(t)
		before := Calibrate(finished).Factors()
		finished[rapid.IntRange(0, len(finished)-1).Draw(t, "which")].Spent = rapid.Float64Range(0.001, 100_000).Draw(t, "wild")
		for i, f := range Calibrate(finished).Factors() {
			if moved := math.Abs(math.Log(f.Factor / before[i].Factor)); moved > math.Log(4)*11/90+1e-9 {
				t.Fatalf("%s %s with %d jobs: from %v to %v", f.Skill, f.Job, f.Jobs, before[i].Factor, f.Factor)
			}
			if f.Factor < 0.5 || f.Factor > 2 {
				t.Fatalf("a factor of %v", f.Factor)
			}
		}
	})
}

func TestCalibrationInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		finished := drawFinished(t)
		want := Calibrate(finished)
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "shuffle"), 1))
		rng.Shuffle(len(finished), func(i, j int) { finished[i], finished[j] = finished[j], finished[i] })
		if diff := cmp.Diff(want.Factors(), Calibrate(finished).Factors()); diff != "" {
			t.Fatal(diff)
		}
	})
}

// Jobs whose hours fall as the book says teach that the book is right.
func TestHoursAsInTheBookTeachNothingNew(t *testing.T) {
	var finished []Finished
	book := Estimate{2, 3, 6}
	for k := range 200 {
		finished = append(finished, Finished{"strip", "damp", book.Quantile(0.5), book.Quantile((float64(k) + 0.5) / 200)})
	}
	if got := Calibrate(finished).factor("strip", "damp"); math.Abs(got-1) > 0.02 {
		t.Errorf("got %v", got)
	}
}

func TestJobsTakeWhatWasLearnt(t *testing.T) {
	b, policy := books(t), data.DefaultPolicy()
	learnt := Calibrate(took(10, "strip", "damp", 2)) // strip × 2^0.75, dry × 2^0.5
	a := appraise.Assessment{Van: van(data.Owned), Requests: []appraise.JobRequest{
		{Job: "strip", Place: "roof", Units: 1}, {Job: "dry", Place: "roof", Units: 1}, {Job: "reseal", Place: "roof", Units: 1},
	}}
	progress := []data.Progress{
		{Job: "dry", State: data.JobDone, HoursSpent: data.Some(3.0)},
		{Job: "reseal", State: data.JobStarted, HoursSpent: data.Some(1.0)},
	}
	jobs := Jobs(a, progress, b, policy, learnt)
	for _, want := range []struct{ job, p50, left string }{
		{"strip", "6.73", "6.73"}, // 4 h × 2^0.75
		{"dry", "3", "0"},         // as it was
		{"reseal", "2.83", "1.83"},
		{"valet", "4", "4"},
	} {
		j := jobOf(jobs, want.job)
		if !j.HoursP50.Equal(decimal.RequireFromString(want.p50)) || !j.HoursLeft.Equal(decimal.RequireFromString(want.left)) {
			t.Errorf("%s: %s h, %s left; want %s and %s", want.job, j.HoursP50, j.HoursLeft, want.p50, want.left)
		}
		if !j.LabourCost.Equal(data.Pence(j.HoursP50.Mul(policy.LabourCostPerHour))) {
			t.Errorf("%s: %s h cost %s", want.job, j.HoursP50, j.LabourCost)
		}
	}
	if diff := cmp.Diff(Jobs(a, progress, b, policy, Calibration{}), Jobs(a, progress, b, policy, Calibrate(nil))); diff != "" {
		t.Errorf("nothing finished changes the jobs:\n%s", diff)
	}
}

func TestFinishedJobs(t *testing.T) {
	wants := []appraise.JobRequest{{Job: "reseal", Place: "roof", Units: 1.5}, {Job: "gas-hose", Units: 1, AskedOn: data.NewDate(2026, 2, 1)}}
	hours := data.Some(3.0)
	tests := []struct {
		name     string
		status   data.Status
		progress data.Progress
		want     []Finished
	}{
		{"the extent that was asked for", data.Owned, data.Progress{Job: "reseal", State: data.JobDone, HoursSpent: hours},
			[]Finished{{"reseal", "damp", 3, 3}}},
		{"the whole van, of a van long sold", data.Sold, data.Progress{Job: "valet", State: data.JobDone, HoursSpent: hours},
			[]Finished{{"valet", "valet", 4, 3}}},
		{"an extent that nobody wrote down teaches nothing", data.Sold, data.Progress{Job: "reseal", State: data.JobDone, HoursSpent: hours}, nil},
		{"nor do hours that nobody wrote down", data.Owned, data.Progress{Job: "reseal", State: data.JobDone}, nil},
		{"nor work that has only begun", data.Owned, data.Progress{Job: "reseal", State: data.JobStarted, HoursSpent: hours}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := appraise.Assessment{Van: van(tt.status), Requests: wants}
			if diff := cmp.Diff(tt.want, NewRecord(books(t)).Finished(a, []data.Progress{tt.progress})); diff != "" {
				t.Error(diff)
			}
		})
	}
}
