package demo

import (
	"bytes"
	"context"
	"io"
	"testing"
	"testing/fstest"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/sample/synth"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Nobody in a made-up yard works, looks at a van, buys or sells on a Sunday or on a
// bank holiday of England: prep holds its days against the government's lists. Who
// has no hours on a Saturday does no work on one.
func TestNothingHappensOnAClosedDay(t *testing.T) {
	for name, yard := range map[string]*data.Yard{"demo": load(t), "synth": synthetic(t)} {
		t.Run(name, func(t *testing.T) {
			holidays := prep.BankHolidays("england-wales", data.NewDate(1990, 1, 1), AsOf.AddDays(366))
			dates := 0
			open := func(day data.Date, what string, source data.Source) {
				if day.IsZero() {
					return
				}
				dates++
				if day.Weekday() == time.Sunday || holidays[day] {
					t.Errorf("%s:%d: %s on %s", source.File, source.Line, what, day.Time().Format("Monday 2 January 2006"))
				}
			}
			team := map[string]data.Technician{}
			for _, p := range yard.Team {
				team[p.Name] = p
			}
			for _, v := range yard.Vans {
				open(v.Acquired, "bought", v.Source)
				open(v.Listed, "listed", v.Source)
				open(v.SoldOn, "sold", v.Source)
				open(v.PromisedOn, "promised", v.Source)
				for _, r := range yard.Readings[v.StockID] {
					open(r.TakenOn, "looked at", r.Source)
				}
				for _, p := range yard.Documents[v.StockID] {
					switch p.Kind {
					case "mot", "invoice", "habitation-service", "damp-report", "gas-certificate", "electrical-certificate", "service-book":
						open(p.Dated, p.Kind, p.Source)
					}
				}
				for _, p := range yard.Progress[v.StockID] {
					open(p.DoneOn, p.Job, p.Source)
					if who, ok := team[p.Technician]; ok && !p.DoneOn.IsZero() && who.HoursOn(p.DoneOn.Weekday()) == 0 {
						t.Errorf("%s:%d: %s does not work on %s", p.Source.File, p.Source.Line, p.Technician, p.DoneOn.Time().Format("Monday 2 January 2006"))
					}
				}
			}
			for _, s := range yard.Sales {
				open(s.Listed, "listed", s.Source)
				open(s.SoldOn, "sold", s.Source)
			}
			if dates < 2_000 {
				t.Errorf("%d days were looked at", dates)
			}
		})
	}
}

func synthetic(t *testing.T) *data.Yard {
	t.Helper()
	made := map[string]*bytes.Buffer{}
	_, err := synth.WriteTo(t.Context(), func(name string) (io.Writer, error) {
		made[name] = new(bytes.Buffer)
		return made[name], nil
	}, synth.NewSpec(300, 1500, 7, AsOf))
	if err != nil {
		t.Fatal(err)
	}
	fsys := fstest.MapFS{}
	for name, content := range made {
		fsys[name] = &fstest.MapFile{Data: content.Bytes()}
	}
	yard, err := data.Load(context.Background(), fsys, data.LoadOptions{AsOf: AsOf})
	if err != nil {
		t.Fatal(err)
	}
	return yard
}
