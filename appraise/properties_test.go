package appraise

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/data"
)

// wheelPlaces and dampPlaces are where the properties take readings.
var (
	wheelPlaces = []string{"nearside-front", "offside-front", "nearside-rear", "offside-rear", "spare"}
	dampPlaces  = func() (out []string) {
		for _, place := range []string{"front", "middle", "rear"} {
			for _, height := range []string{"low", "middle", "high"} {
				out = append(out, "offside-"+place+"-"+height)
			}
		}
		return append(out, "roof-front-high", "roof-rear-high", "rear-offside-low")
	}()
)

// measured draws readings with numbers at several points of a van.
func measured(t *rapid.T, books *data.Books) []data.Reading {
	var out []data.Reading
	add := func(checkpoint, position string, lo, hi float64) {
		if rapid.Bool().Draw(t, "read "+checkpoint+position) {
			x := float64(rapid.IntRange(int(lo*10), int(hi*10)).Draw(t, checkpoint+position)) / 10
			out = append(out, read(checkpoint, position, x))
		}
	}
	for _, w := range wheelPlaces {
		add(tyreTread, w, 0, 9)
	}
	for _, w := range wheelPlaces[:4] {
		add("brake-pad", w, 0, 12)
	}
	for _, p := range dampPlaces {
		add(damp, p, 8, 40)
	}
	for _, c := range []string{"gas-drop", batteryRestVolts, "rcd-trip", "insulation", "brake-fluid-water"} {
		add(c, "", 0, 14)
	}
	return out
}

// worsen moves a reading's number to its bad side.
func worsen(t *rapid.T, r data.Reading, books *data.Books) data.Reading {
	c, _ := books.Checkpoint(r.Checkpoint)
	by := float64(rapid.IntRange(1, 150).Draw(t, "by")) / 10
	x := r.Number.Value
	if c.HighBad {
		x += by
	} else {
		x = max(0, x-by)
	}
	r.Number, r.Value = data.Some(x), quantity(x, "", 1)
	return r
}

// workPounds is what the requests would cost at the middle hours and 32
// pounds an hour, each job once a place, with the jobs that a larger one
// absorbs at the same place left out.
func workPounds(requests []JobRequest, books *data.Books) float64 {
	units := map[[2]string]float64{}
	for _, w := range requests {
		j, _ := books.Job(w.Job)
		place := w.Place
		if j.Per == "van" || j.Per == "" {
			place, w.Units = "", 1
		}
		key := [2]string{w.Job, place}
		units[key] = max(units[key], w.Units)
	}
	sum := 0.0
	for key, n := range units {
		absorbed := false
		for other := range units {
			j, _ := books.Job(other[0])
			absorbed = absorbed || slices.Contains(j.Absorbs, key[0]) && (other[1] == "" || other[1] == key[1])
		}
		if absorbed {
			continue
		}
		j, _ := books.Job(key[0])
		cost := 32 * (j.HoursLow + 4*j.HoursLikely + j.HoursHigh) / 6
		for _, use := range j.Parts {
			p, _ := books.Part(use.Part)
			cost += p.UnitCost.InexactFloat64() * float64(use.Qty)
		}
		sum += n * cost
	}
	return sum
}

// A worse reading never gets a better verdict, and never less work.
func TestAWorseReadingIsNeverCheaper(t *testing.T) {
	books := builtIn(t)
	rapid.Check(t, func(t *rapid.T) {
		before := measured(t, books)
		if len(before) == 0 {
			return
		}
		i := rapid.IntRange(0, len(before)-1).Draw(t, "which")
		after := slices.Clone(before)
		after[i] = worsen(t, before[i], books)
		a := assessed(plainVan(), before, nil, nil, books, data.DefaultPolicy(), asOfTests)
		b := assessed(plainVan(), after, nil, nil, books, data.DefaultPolicy(), asOfTests)
		for k := range a.Findings {
			if b.Findings[k].Verdict < a.Findings[k].Verdict {
				t.Fatalf("%s from %s to %s: %v became %v", a.Findings[k].Code, a.Findings[k].Value, b.Findings[k].Value,
					a.Findings[k].Verdict, b.Findings[k].Verdict)
			}
		}
		if x, y := workPounds(a.Requests, books), workPounds(b.Requests, books); y < x-1e-6 {
			t.Fatalf("%s at %q from %s to %s: work fell from £%.2f to £%.2f\n%v\n%v", before[i].Checkpoint, before[i].Position,
				before[i].Value, after[i].Value, x, y, jobsOf(a.Requests), jobsOf(b.Requests))
		}
	})
}

// anyPaper draws a paper of the last years.
func anyPaper(t *rapid.T, label string) data.Document {
	d := data.Document{
		Kind:     rapid.SampledFrom(data.DocumentKinds).Draw(t, label+" kind"),
		Dated:    asOfTests.AddDays(-rapid.IntRange(0, 2600).Draw(t, label+" days ago")),
		Evidence: rapid.SampledFrom(append([]string{""}, data.EvidenceWords...)).Draw(t, label+" evidence"),
		Covers:   rapid.SliceOfNDistinct(rapid.SampledFrom(data.CoverWords), 0, 4, rapid.ID).Draw(t, label+" covers"),
		Held:     rapid.SampledFrom(data.HeldWords).Draw(t, label+" held"),
	}
	if rapid.Bool().Draw(t, label+" miles known") {
		d.Mileage = data.Some(rapid.IntRange(0, 40000).Draw(t, label+" miles"))
	}
	if rapid.Bool().Draw(t, label+" ends") {
		d.Expires = d.Dated.AddDays(rapid.IntRange(1, 800).Draw(t, label+" expires"))
	}
	return d
}

func papersDrawn(t *rapid.T) []data.Document {
	n := rapid.IntRange(0, 14).Draw(t, "papers")
	docs := make([]data.Document, n)
	for i := range docs {
		docs[i] = anyPaper(t, fmt.Sprint("paper ", i))
	}
	return docs
}

// Better evidence, a promise kept, or one more paper never lowers the score.
func TestABetterPaperNeverLowersTheScore(t *testing.T) {
	books := builtIn(t)
	better := map[string]string{"verbal": "", "": "copy", "copy": "stamp", "stamp": "original", "online": "original", "original": "original"}
	rapid.Check(t, func(t *rapid.T) {
		docs := papersDrawn(t)
		after := slices.Clone(docs)
		switch {
		case len(docs) == 0 || rapid.Bool().Draw(t, "add"):
			after = append(after, anyPaper(t, "added"))
		default:
			i := rapid.IntRange(0, len(docs)-1).Draw(t, "which")
			if rapid.Bool().Draw(t, "keep the promise") {
				after[i].Held = "yes"
			} else {
				after[i].Evidence = better[after[i].Evidence]
			}
		}
		a := assessed(plainVan(), nil, docs, nil, books, data.DefaultPolicy(), asOfTests).Papers
		b := assessed(plainVan(), nil, after, nil, books, data.DefaultPolicy(), asOfTests).Papers
		for i := range a.Score {
			if b.Score[i].Points < a.Score[i].Points {
				t.Fatalf("%s fell from %v to %v", a.Score[i].What, a.Score[i].Points, b.Score[i].Points)
			}
		}
		if b.HistoryScore < a.HistoryScore || b.EngineHistoryPct < a.EngineHistoryPct-1e-9 || b.HabitationHistoryPct < a.HabitationHistoryPct-1e-9 {
			t.Fatalf("score %d to %d, engine %v to %v, habitation %v to %v", a.HistoryScore, b.HistoryScore,
				a.EngineHistoryPct, b.EngineHistoryPct, a.HabitationHistoryPct, b.HabitationHistoryPct)
		}
	})
}

// The same papers in any order give the same assessment. Readings have the order of
// a Yard.
func TestTheOrderOfThePapersDoesNotShow(t *testing.T) {
	books := builtIn(t)
	rapid.Check(t, func(t *rapid.T) {
		readings, docs := measured(t, books), papersDrawn(t)
		if len(readings) > 0 {
			older := readings[0]
			older.TakenOn = older.TakenOn.AddDays(-200)
			readings = append(readings, older)
		}
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		a := assessed(plainVan(), readings, docs, nil, books, data.DefaultPolicy(), asOfTests)
		rng.Shuffle(len(docs), func(i, j int) { docs[i], docs[j] = docs[j], docs[i] })
		b := assessed(plainVan(), readings, docs, nil, books, data.DefaultPolicy(), asOfTests)
		if diff := cmp.Diff(a, b); diff != "" {
			t.Fatalf("(-before +after shuffling)\n%s", diff)
		}
	})
}

// Every reading's point has one finding, in order, and every want a job of the
// book.
func TestFindingsAndWantsAreWhole(t *testing.T) {
	books := builtIn(t)
	rapid.Check(t, func(t *rapid.T) {
		readings := measured(t, books)
		a := assessed(plainVan(), readings, papersDrawn(t), nil, books, data.DefaultPolicy(), asOfTests)
		if len(a.Findings) != len(readings) {
			t.Fatalf("%d readings gave %d findings", len(readings), len(a.Findings))
		}
		if !slices.IsSortedFunc(a.Findings, func(x, y Finding) int {
			return slices.Compare([]string{x.Code, x.Position}, []string{y.Code, y.Position})
		}) {
			t.Fatal("findings are not in order")
		}
		for _, f := range a.Findings {
			if f.Reason == "" || f.Verdict == data.NoVerdict {
				t.Fatalf("no verdict or reason: %+v", f)
			}
		}
		for _, w := range a.Requests {
			if _, ok := books.Job(w.Job); !ok || w.Units <= 0 || w.Because == "" {
				t.Fatalf("a want without a job, units or ground: %+v", w)
			}
		}
		for _, u := range a.Untested {
			if u.Chance < 0 || u.Chance > 1 {
				t.Fatalf("a chance of %v: %+v", u.Chance, u)
			}
		}
	})
}
