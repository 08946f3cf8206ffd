package data

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
)

// Every measured checkpoint of the book, a little outside what can be measured
// and ten times outside: the row is refused, the likely slip is named where a
// point or a minus mends it, and the point counts as untested.
func TestEveryMeasuredPointRefusesWhatCannotBe(t *testing.T) {
	if testing.Short() {
		t.Skip("reads a table for each point of the book")
	}
	const vans = "stock_id,maker,model,body,first_registered,mileage,status\nA1,Fernhollow,Rill,low-profile,2018-05-12,30000,owned\n"
	for _, c := range builtInBooks(t).Checkpoints {
		if c.Unit == "" || c.Unit == unitDate || c.Unit == unitTyreCode {
			continue
		}
		for _, x := range []float64{c.Least.Value - 1, c.Most.Value + 1, 10*c.Most.Value + 10} {
			position := ""
			if len(c.Positions) > 0 {
				position = c.Positions[0]
			}
			row := fmt.Sprintf("A1,2026-03-02,%s,%s,%s", c.Code, position, strconv.FormatFloat(x, 'f', -1, 64))
			y := mustLoad(t, fstest.MapFS{"vans.csv": {Data: []byte(vans)}, "readings.csv": {Data: []byte("stock_id,taken_on,checkpoint,position,value\n" + row + "\n")}})
			if len(y.Rejects) != 1 || !strings.HasPrefix(y.Rejects[0].Expected, c.Title+": from ") {
				t.Errorf("%s: rejects %v", row, y.Rejects)
				continue
			}
			if meant := c.likely(x); !strings.HasSuffix(y.Rejects[0].Expected, meant) {
				t.Errorf("%s: %s, want it to ask %q", row, y.Rejects[0].Expected, meant)
			}
			if r := y.Readings["A1"]; len(r) != 1 || r[0].Verdict != Untested || r[0].Refused == "" {
				t.Errorf("%s: readings %+v", row, r)
			}
		}
	}
}
