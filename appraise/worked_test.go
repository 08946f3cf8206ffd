package appraise

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"github.com/vanwright/vanwright/data"
)

var update = flag.Bool("update", false, "write the assessments of the worked vans anew; then read the diff")

// worked is where the vans worked by hand stand: one archive each, whose comment
// shows every step and whose last file is what must come out.
const worked = "../testdata/appraise"

func TestVansWorkedByHand(t *testing.T) {
	names, err := filepath.Glob(worked + "/*.txtar")
	if err != nil || len(names) < 12 {
		t.Fatalf("found %d worked vans (%v), want a dozen", len(names), err)
	}
	for _, name := range names {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar"), func(t *testing.T) {
			archive, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			yard := fstest.MapFS{}
			var want string
			var asOf data.Date
			for _, f := range archive.Files {
				switch f.Name {
				case "assessment":
					want = string(f.Data)
				case "as-of":
					asOf = day(t, strings.TrimSpace(string(f.Data)))
				default:
					yard[f.Name] = &fstest.MapFile{Data: f.Data}
				}
			}
			got := assessYard(t, yard, asOf)
			if *update {
				last := len(archive.Files) - 1
				if archive.Files[last].Name != "assessment" {
					t.Fatal("the last file must be the assessment")
				}
				archive.Files[last].Data = []byte(got)
				if err := os.WriteFile(name, txtar.Format(archive), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

// assessYard assesses the one van of a yard, every row of which must be good.
func assessYard(t *testing.T, yard fstest.MapFS, asOf data.Date) string {
	t.Helper()
	y, err := data.Load(context.Background(), yard, data.LoadOptions{AsOf: asOf, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(y.Rejects) > 0 || len(y.Vans) != 1 {
		t.Fatalf("%d vans, rejects %v", len(y.Vans), y.Rejects)
	}
	van := y.Vans[0]
	return written(Assess(van, y.Readings[van.StockID], y.Documents[van.StockID], y.Progress[van.StockID], y.Books, data.DefaultPolicy(), asOf))
}

// written lays an assessment out as text. Untested points are left out: they are
// the whole book less what was read.
func written(a Assessment) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	notes := func(title string, list []Note) {
		for _, n := range list {
			mark := ""
			if n.Serious {
				mark = "serious: "
			}
			line("%s: %s%s", title, mark, n.Text)
		}
	}
	for _, f := range a.Findings {
		line("finding: %s", strings.Join(strings.Fields(fmt.Sprintf("%s %s %v: %s", f.Code, f.Position, f.Verdict, f.Reason)), " "))
	}
	for _, d := range a.Damp {
		line("damp: %s, %d high of %d, worst %v %%, lone %v, rising %v: %s", d.Place, d.HighPoints, len(d.Points), d.WorstPercent, d.Lone, d.Rising, d.Remedy)
	}
	if w := a.Weights; w.Known {
		line("weights: %d kg (%s), may be out by %d kg", w.MassKg, w.Basis, w.ToleranceKg)
		if w.FrontLeftKg.Known && w.RearLeftKg.Known {
			line("weights: axles %d and %d kg left", w.FrontLeftKg.Value, w.RearLeftKg.Value)
		}
		line("weights: payload %d kg, with all belts %d kg, minimum %d kg, below it %v, licence %s, axles %d kg", w.PayloadKg, w.AllBeltsKg, w.MinimumKg, w.BelowMinimum, w.Licence, w.AxleSumKg)
	}
	notes("weights", a.Weights.Remarks)
	p := a.Papers
	for _, l := range p.Score {
		line("score: %2.0f of %2.0f  %s", l.Points, l.Of, l.What)
	}
	line("score: %d", p.HistoryScore)
	line("history: engine %.1f %%, habitation %.1f %%", p.EngineHistoryPct, p.HabitationHistoryPct)
	line("mot: %v", p.MOTExpires)
	line("belt due: %v", p.BeltDue)
	line("missing: %s", strings.Join(p.Missing, ", "))
	line("promised: %s", strings.Join(p.Promised, ", "))
	for _, e := range p.Expiring {
		line("ends: %s on %v", e.What, e.On)
	}
	for _, e := range p.Ended {
		line("history: %s of %v no longer proves %s: %s", e.Kind, e.Dated, e.Cover, e.Why)
	}
	for _, f := range a.Stops() {
		line("stopped: %s", f.Says())
	}
	line("mileage: %s", p.Mileage)
	notes("provenance", p.Provenance)
	notes("note", a.Notes)
	for _, w := range a.Requests {
		at := ""
		if w.Place != "" {
			at = " at " + w.Place
		}
		line("want: %s%s × %v: %s", w.Job, at, w.Units, w.Because)
	}
	return b.String()
}
