package tables

import (
	"cmp"
	"slices"
	"testing"
	"testing/fstest"

	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
)

// FuzzOldReports puts any bytes in the place of the reports of the night
// before. What is read of them is a stretch of time each, and what is told as
// changed differs, stands once and is in order.
func FuzzOldReports(f *testing.F) {
	r := nighttest.Small(f)
	written := nighttest.Folder{}
	if _, err := Write(written.Create, r, nil); err != nil {
		f.Fatal(err)
	}
	f.Add(written["schedule.csv"].Bytes(), written["prices.csv"].Bytes())
	f.Add([]byte{}, []byte{})
	f.Add([]byte("stock_id,job,technician,bay,start,finish\nA1,valet,A,,2026-03-09 08:00,2026-03-09 08:00\nA1,valet,,,2026-03-09 08:00,2999-01-01 00:00\n"),
		[]byte("stock_id,price,market_value,status\nA1,1,NaN,x\nA4,2,\"\n,,,\nNOBODY,'=1,'=2,\n"))
	f.Add([]byte("\xff\xfes\x00"), []byte("price\n\x00\n"))
	f.Fuzz(func(t *testing.T, schedule, other []byte) {
		old := fstest.MapFS{"schedule.csv": {Data: schedule}}
		for _, w := range watched {
			old[w.report] = &fstest.MapFile{Data: other}
		}
		for _, b := range Schedule(old) {
			if !b.Start.Before(b.Finish) {
				t.Fatalf("told to work from %v to %v", b.Start, b.Finish)
			}
		}
		changed := Changes(r, old)
		for i, c := range changed {
			if c.Before == c.After || c.What == "" {
				t.Fatalf("nothing changed in %+v", c)
			}
			if i > 0 && cmp.Or(cmp.Compare(changed[i-1].StockID, c.StockID), cmp.Compare(changed[i-1].What, c.What)) >= 0 {
				t.Fatalf("%+v and %+v are out of order", changed[i-1], c)
			}
		}
		if !slices.Equal(changed, Changes(r, old)) {
			t.Fatal("asked again, other changes")
		}
	})
}
