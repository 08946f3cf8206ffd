package mail

import (
	"strings"
	"testing"
	"testing/fstest"
)

// A job that changes day and person stands twice in changes.csv and is one move.
func TestTheMailCountsMovedJobsByCause(t *testing.T) {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	for name, c := range map[string]struct{ changes, want string }{
		"three jobs": {"stock_id,what,before,after,why,cause\n" +
			"V1,schedule.start:valet,2026-03-09 08:00,2026-03-10 08:00,Bea is away,Bea is away\n" +
			"V1,schedule.technician:valet,Bea,Sunil,Bea is away,Bea is away\n" +
			"V2,schedule.technician:valet,Bea,Sunil,Bea is away,Bea is away\n" +
			"V2,schedule.start:photographs,2026-03-09 08:00,2026-03-10 08:00,waits for part x,parts are late\n" +
			"V2,prices.price,1000,900,,\n",
			"3 jobs that people had been told of moved to another day or person: 2 since Bea is away, 1 since parts are late."},
		"none":                        {"stock_id,what,before,after,why,cause\nV2,prices.price,1000,900,,\n", ""},
		"reports of an older version": {"stock_id,what,before,after,why\nV1,schedule.technician:valet,Bea,Sunil,Bea is away\n", ""},
	} {
		t.Run(name, func(t *testing.T) {
			set, err := Read(fstest.MapFS{"run.json": file(`{"as_of": "2026-03-09"}`), "changes.csv": file(c.changes)})
			if err != nil {
				t.Fatal(err)
			}
			lead := strings.Join(Compare(set, nil).Lead, "\n")
			if has := strings.Contains(lead, "had been told of"); has != (c.want != "") || !strings.Contains(lead, c.want) {
				t.Errorf("says %q, want %q", lead, c.want)
			}
		})
	}
}
