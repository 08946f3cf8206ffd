package tables

import (
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

func at(hour, minute int) time.Time { return time.Date(2026, 3, 9, hour, minute, 0, 0, time.UTC) }

func old(schedule ...string) fstest.MapFS {
	text := "stock_id,job,technician,bay,start,finish,hours\n" + strings.Join(schedule, "\n") + "\n"
	return fstest.MapFS{"schedule.csv": {Data: []byte(text)}}
}

func TestScheduleReadsWhatPeopleWereTold(t *testing.T) {
	got := Schedule(old(
		"V1,valet,Pat,wash 1,2026-03-09 08:00,2026-03-09 10:30,2.50",
		"V1,photographs,Pat,,09/03/2026,2026-03-09 11:00,0.50", // saved again by a spreadsheet
		"V2,valet,Sam,wash 1,2026-03-09 10:30,2026-03-09 10:30,0.00",
		"V3,valet",
	))
	want := []prep.Block{{StockID: "V1", Job: "valet", Technician: "Pat", Bay: "wash 1", Start: at(8, 0), Finish: at(10, 30)}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if Schedule(nil) != nil || Schedule(fstest.MapFS{}) != nil {
		t.Error("no reports told somebody something")
	}
}

func TestMovedJobsAreChanges(t *testing.T) {
	turn := func(technician string, days int) prep.Turn {
		return prep.Turn{Technician: technician, Start: at(9, 0).AddDate(0, 0, days)}
	}
	r := &night.Result{Yard: &data.Yard{}, Plan: prep.Plan{Moved: []prep.Moved{
		{StockID: "V1", Job: "valet", Was: turn("Pat", 0), Is: turn("Sam", 0), Why: "Pat is away", Cause: "Pat is away"},
		{StockID: "V1", Job: "photographs", Was: turn("Pat", 1), Is: turn("Sam", 2), Why: "V2 (Valet) goes first (the van came in)", Cause: "vans came in"},
		{StockID: "V1", Job: "gas-test", Was: turn("Pat", 0), Why: "can't be planned", Cause: "work can't be planned"},
	}}}
	want := []Change{
		{"V1", "schedule.start:gas-test", "2026-03-09 09:00", "", "can't be planned", "work can't be planned"},
		{"V1", "schedule.start:photographs", "2026-03-10 09:00", "2026-03-11 09:00", "V2 (Valet) goes first (the van came in)", "vans came in"},
		{"V1", "schedule.technician:gas-test", "Pat", "", "can't be planned", "work can't be planned"},
		{"V1", "schedule.technician:photographs", "Pat", "Sam", "V2 (Valet) goes first (the van came in)", "vans came in"},
		{"V1", "schedule.technician:valet", "Pat", "Sam", "Pat is away", "Pat is away"},
	}
	if diff := cmp.Diff(want, Changes(r, fstest.MapFS{})); diff != "" {
		t.Error(diff)
	}
}
