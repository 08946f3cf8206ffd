package pages

import (
	"strings"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/data"
)

// photographed is the demo with two photos at a fault of one van, of which one is
// for customers, and one of the van as a whole.
func photographed(t *testing.T, status data.Status) (*night.Result, *night.Van) {
	t.Helper()
	r := *nighttest.Demo(t)
	r.Vans = append([]night.Van{}, r.Vans...)
	for i := range r.Vans {
		v := &r.Vans[i]
		if v.Status != status || status == data.Offered && v.Bid == nil {
			continue
		}
		for _, f := range v.Assessment.Findings {
			open := false
			for _, j := range v.Jobs {
				open = open || j.Code == f.Job && j.Open()
			}
			if f.Verdict > data.Sound && open {
				at := data.Photo{StockID: v.StockID, Checkpoint: f.Code, Position: f.Position, TakenOn: r.AsOf}
				ticked := at
				ticked.Customer, ticked.Note = true, "Seen from behind"
				v.Photos = []night.Photo{
					{Photo: at, Shown: "photos/fault.jpg"}, {Photo: ticked, Shown: "photos/ticked.jpg"},
					{Photo: data.Photo{StockID: v.StockID}, Shown: "photos/whole.jpg"},
				}
				return &r, v
			}
		}
	}
	t.Fatalf("the demo has no %s van with a fault", status)
	return nil, nil
}

func TestPhotosAreWhereTheyBelong(t *testing.T) {
	for _, tt := range []struct {
		status data.Status
		end    string
		shown  []string
		hidden []string
	}{
		{data.Offered, "", []string{"fault", "ticked", "whole"}, nil},
		{data.Offered, bidEnd, []string{"fault", "ticked"}, []string{"whole"}},
		{data.Offered, offerEnd, []string{"ticked"}, []string{"fault", "whole"}},
		{data.Preparing, "", []string{"fault", "ticked", "whole"}, nil},
		{data.Preparing, jobCardEnd, []string{"fault", "ticked"}, []string{"whole"}},
		{data.Preparing, handoverEnd, []string{"ticked"}, []string{"fault", "whole"}},
	} {
		r, v := photographed(t, tt.status)
		m := written(t, r)
		page := m[newReport(r, nil).vanFile(v.StockID, tt.end)].String()
		for _, name := range tt.shown {
			if !strings.Contains(page, `src="../photos/`+name+`.jpg"`) {
				t.Errorf("%s %q: the photo %s is not shown", tt.status, tt.end, name)
			}
		}
		for _, name := range tt.hidden {
			if strings.Contains(page, "photos/"+name) {
				t.Errorf("%s %q: the photo %s is shown", tt.status, tt.end, name)
			}
		}
		if !strings.Contains(page, "img-src &#39;self&#39; data:") {
			t.Errorf("%s %q: the policy bars the photos", tt.status, tt.end)
		}
	}
}
