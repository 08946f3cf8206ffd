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
	job := func(code string, state data.JobState) prep.Job {
		return prep.Job{StockID: "V1", Code: code, State: state}
	}
	week := [7]float64{0, 8, 8, 8, 8, 8, 0}
	r := &night.Result{
		AsOf: data.NewDate(2026, 3, 9), // a Monday
		Workshop: prep.Workshop{
			Team:     []data.Technician{{Name: "Pat", Hours: week}, {Name: "Sam", Hours: week}},
			Absences: []data.Absence{{Technician: "Pat", From: data.NewDate(2026, 3, 11), To: data.NewDate(2026, 3, 11)}},
		},
		Yard: &data.Yard{},
		Vans: []night.Van{{Van: data.Van{StockID: "V1", Status: data.Owned}, Jobs: []prep.Job{
			job("valet", data.JobOpen), job("photographs", data.JobOpen), job("mot-test", data.JobDone),
			job("gas-test", data.JobOpen), job("road-test", data.JobOpen), job("key-fob", data.JobAwaitingParts),
			job("outside-wash", data.JobOpen), job("damp-survey", data.JobOpen),
		}}},
		Plan: prep.Plan{Blocks: []prep.Block{
			{StockID: "V1", Job: "valet", Technician: "Sam", Start: at(9, 0), Finish: at(10, 0)},
			{StockID: "V1", Job: "valet", Technician: "Sam", Start: at(11, 0), Finish: at(12, 0)},
			{StockID: "V1", Job: "photographs", Technician: "Sam", Start: at(13, 0), Finish: at(14, 0)},
			{StockID: "V1", Job: "road-test", Technician: "Sam", Start: at(14, 0), Finish: at(15, 0)},
			{StockID: "V1", Job: "key-fob", Technician: "Pat", Start: at(24+8, 0), Finish: at(24+9, 0)},
			{StockID: "V1", Job: "outside-wash", Technician: "Pat", Start: at(24+8, 0), Finish: at(24+9, 0)},
			{StockID: "V1", Job: "damp-survey", Technician: "Pat", Start: at(5*24+8, 0), Finish: at(5*24+9, 0)},
		}},
	}
	got := Changes(r, old(
		"V1,mot-test,Pat,,2026-03-09 07:00,2026-03-09 08:00,1.00",    // done: not moved
		"V1,valet,Pat,,2026-03-09 08:00,2026-03-09 09:00,1.00",       // later that day, and by another
		"V1,valet,Pat,,2026-03-09 09:00,2026-03-09 10:00,1.00",       // not its start
		"V1,photographs,Sam,,2026-03-09 13:00,2026-03-09 14:00,1.00", // where it was
		"V1,gas-test,Pat,,2026-03-09 15:00,2026-03-09 16:00,1.00",    // nobody's now
		"V1,key-fob,Pat,,2026-03-09 16:00,2026-03-09 16:30,0.50",     // another day
		"V1,outside-wash,Pat,,2026-03-11 08:00,2026-03-11 09:00,1.00",
		"V1,damp-survey,Pat,,2026-03-12 08:00,2026-03-12 09:00,1.00", // the fourth working day: nobody counts on it
	)) // road-test is new: not moved
	want := []Change{
		{"V1", "schedule.start:gas-test", "2026-03-09 15:00", "", "can't be planned"},
		{"V1", "schedule.start:key-fob", "2026-03-09 16:00", "2026-03-10 08:00", "waits for parts"},
		{"V1", "schedule.start:outside-wash", "2026-03-11 08:00", "2026-03-10 08:00", "Pat is away"},
		{"V1", "schedule.technician:gas-test", "Pat", "", "can't be planned"},
		{"V1", "schedule.technician:valet", "Pat", "Sam", "other work goes first"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
