package pages

import (
	"math"
	"path"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/bodymap"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

func TestAmountsReadAsPeopleWriteThem(t *testing.T) {
	for _, c := range []struct{ in, pence, pounds string }{
		{"0", "£0.00", "£0"},
		{"999.5", "£999.50", "£1,000"},
		{"12495", "£12,495.00", "£12,495"},
		{"1234567.891", "£1,234,567.89", "£1,234,568"},
		{"-2972.4", "−£2,972.40", "−£2,972"},
	} {
		m := decimal.RequireFromString(c.in)
		if got := pence(m); got != c.pence {
			t.Errorf("pence(%s) = %s, want %s", c.in, got, c.pence)
		}
		if got := pounds(m); got != c.pounds {
			t.Errorf("pounds(%s) = %s, want %s", c.in, got, c.pounds)
		}
	}
}

// The bands of contrast are WCAG 2.2's own: relative luminance and 4.5 to 1
// for text (success criterion 1.4.3), 3 to 1 for what marks a control (1.4.11).
// Formula from memory.
func TestColoursHaveContrast(t *testing.T) {
	block := regexp.MustCompile(`:root \{([^}]*)\}`)
	colour := regexp.MustCompile(`--(\w+): #([0-9a-f]{3,6})`)
	schemes := block.FindAllStringSubmatch(style, -1)
	if len(schemes) != 3 {
		t.Fatalf("%d colour schemes, want light, dark and print", len(schemes))
	}
	for i, scheme := range schemes {
		c := map[string]float64{}
		for _, m := range colour.FindAllStringSubmatch(scheme[1], -1) {
			c[m[1]] = luminance(m[2])
		}
		for _, pair := range [][2]string{
			{"ink", "paper"}, {"ink", "sheet"}, {"ink", "wash"}, {"soft", "paper"}, {"accent", "paper"}, {"accent", "wash"},
		} {
			a, b := c[pair[0]], c[pair[1]]
			if ratio := (max(a, b) + 0.05) / (min(a, b) + 0.05); ratio < 4.5 {
				t.Errorf("scheme %d: %s on %s has contrast %.1f", i, pair[0], pair[1], ratio)
			}
		}
	}
}

func luminance(hex string) float64 {
	if len(hex) == 3 {
		hex = strings.Repeat(hex[:1], 2) + strings.Repeat(hex[1:2], 2) + strings.Repeat(hex[2:], 2)
	}
	part := func(i int) float64 {
		n, _ := strconv.ParseUint(hex[i:i+2], 16, 8)
		v := float64(n) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*part(0) + 0.7152*part(2) + 0.0722*part(4)
}

func TestFileNamesDoNotCollide(t *testing.T) {
	n := names{}
	for _, c := range []struct{ in, want string }{
		{"LV1", "LV1"}, {"lv1", "lv1-2"}, {"LV1-job-card", "LV1-job-card-2"}, {"LV2", "LV2"},
	} {
		if got := n.pick(c.in, "", jobCardEnd, handoverEnd); got != c.want {
			t.Errorf("pick(%s) = %s, want %s", c.in, got, c.want)
		}
	}
}

func TestFileNamesThatWindowsCannotHoldAreNotTaken(t *testing.T) {
	r := *nighttest.Demo(t)
	r.Workshop.Team = []data.Technician{{Name: "Con"}, {Name: "Con 2"}, {Name: "Aux."}}
	r.Vans = nil
	ids := []string{"NUL", "nul-2", "con", "Prn", "AUX", "COM0", "com9", "LPT1", "lpt1-2", "COM10", "CONS", "LPT", "NUL-bid"}
	for _, id := range ids {
		r.Vans = append(r.Vans, night.Van{Van: data.Van{StockID: id}})
	}
	s := newReport(&r, nil)
	var files []string
	for _, id := range ids {
		for _, end := range []string{"", jobCardEnd, handoverEnd, bidEnd, offerEnd} {
			files = append(files, s.vanFile(id, end))
		}
	}
	for _, t := range r.Workshop.Team {
		files = append(files, s.technicianFile[t.Name])
	}
	reserved := regexp.MustCompile(`(?i)^(con|prn|aux|nul|(com|lpt)[0-9])(\.|$)`)
	taken := map[string]bool{}
	for _, f := range files {
		if base := path.Base(f); reserved.MatchString(base) || strings.ContainsAny(base, `<>:"\|?*`) || strings.HasSuffix(base, ".") || taken[strings.ToLower(f)] {
			t.Errorf("%s is a device, or taken twice", f)
		}
		taken[strings.ToLower(f)] = true
	}
	for id, want := range map[string]string{"NUL": "vans/NUL-2.html", "nul-2": "vans/nul-2-2.html", "COM10": "vans/COM10.html", "CONS": "vans/CONS.html"} {
		if got := s.vanFile(id, ""); got != want {
			t.Errorf("the page of %s is %s, want %s", id, got, want)
		}
	}
}

func TestSlug(t *testing.T) {
	for in, want := range map[string]string{
		"Idris Pell": "idris-pell", "../../etc": "etc", "名前": "person", "": "person", "<b>Jo</b>": "b-jo-b",
	} {
		if got := slug(in); got != want {
			t.Errorf("slug(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestSeasonOfTheWalk(t *testing.T) {
	for _, c := range []struct {
		day  data.Date
		want string
	}{
		{data.NewDate(2026, 3, 31), "winter"}, {data.NewDate(2026, 4, 1), "summer"},
		{data.NewDate(2026, 9, 30), "summer"}, {data.NewDate(2026, 10, 1), "winter"},
	} {
		if got := seasonOf(c.day); got != c.want {
			t.Errorf("%s is %s, want %s", c.day, got, c.want)
		}
	}
}

func TestHandoverShowsOnlyWhatIsFitted(t *testing.T) {
	v := data.Van{Body: data.RisingRoof, Equipment: []string{"hob"}}
	for _, c := range []struct {
		name string
		step data.HandoverStep
		want bool
	}{
		{"for every van", data.HandoverStep{}, true},
		{"fitted", data.HandoverStep{Equipment: "hob"}, true},
		{"of the body", data.HandoverStep{Equipment: "rising-roof"}, true},
		{"not fitted", data.HandoverStep{Equipment: "oven"}, false},
		{"this season", data.HandoverStep{Season: "winter"}, true},
		{"the other season", data.HandoverStep{Equipment: "hob", Season: "summer"}, false},
	} {
		if got := shown(&c.step, v, "winter"); got != c.want {
			t.Errorf("%s: shown %v, want %v", c.name, got, c.want)
		}
	}
}

// A waterfall's bars meet end to end and the last stands on nought, whether the
// sale gains or loses.
func TestWaterfallBarsMeet(t *testing.T) {
	d := decimal.NewFromInt
	for _, profit := range []int64{3000, -3000} {
		r := pricing.ProfitBreakdown{Price: d(30000), VAT: d(1000), Prep: d(2000), Warranty: d(350), Holding: d(600), Selling: d(450), Profit: d(profit)}
		r.Cost = d(30000 - 1000 - 2000 - 350 - 600 - 450 - profit)
		w := waterfallOf("test", r)
		if len(w.Bars) != 8 {
			t.Fatalf("%d bars", len(w.Bars))
		}
		for i := 2; i <= 6; i++ {
			if end := w.Bars[i].X + w.Bars[i].W; end != w.Bars[i-1].X && w.Bars[i].W > 2 {
				t.Errorf("profit %d: bar %d ends at %d, the one above begins at %d", profit, i, end, w.Bars[i-1].X)
			}
		}
		last := w.Bars[7]
		if profit > 0 && last.X != w.Zero || profit < 0 && last.X+last.W != w.Zero {
			t.Errorf("profit %d: the last bar runs from %d to %d, nought is at %d", profit, last.X, last.X+last.W, w.Zero)
		}
	}
}

// The age beside a drawn wheel is the one that its finding tells.
func TestDrawnTyresAreAsOldAsTheirFindings(t *testing.T) {
	s := newReport(nighttest.Demo(t), nil)
	drawn := 0
	for _, v := range s.Vans {
		plan := s.tyres(v.Assessment)
		if plan == nil {
			continue
		}
		for _, f := range v.Assessment.Findings {
			if f.Code != "tyre-code" || f.Verdict <= data.Untested {
				continue
			}
			old, _, _ := strings.Cut(f.Reason, " (code")
			drawn++
			if !strings.Contains(plan.Label, old+", code "+f.Value) {
				t.Errorf("%s: the finding says %q, the drawing %q", v.StockID, old, plan.Label)
			}
		}
	}
	if drawn == 0 {
		t.Error("the demo has no tyre with a date code")
	}
}

func TestDampMapShowsEveryReading(t *testing.T) {
	s := newReport(nighttest.Demo(t), nil)
	for _, v := range s.Vans {
		n := 0
		for _, f := range v.Assessment.Findings {
			if f.Code == appraise.DampCheckpoint {
				n++
			}
		}
		m := s.dampMap(v.Assessment)
		if n == 0 {
			if m != nil {
				t.Errorf("%s: a map without readings", v.StockID)
			}
			continue
		}
		drawn, at := 0, map[[2]int]bool{}
		for _, p := range m.Panels {
			for _, c := range p.Cells {
				if at[[2]int{c.X, c.Y}] {
					t.Errorf("%s: two cells at %d, %d", v.StockID, c.X, c.Y)
				}
				at[[2]int{c.X, c.Y}] = true
				if c.X < 0 || c.X+bodymap.CellW > pictureWidth || c.Y+bodymap.CellH > m.Height {
					t.Errorf("%s: %s lies outside the picture", v.StockID, c.Title)
				}
				if !strings.HasSuffix(c.Title, "not read") {
					drawn++
				}
			}
		}
		if drawn != n {
			t.Errorf("%s: %d readings drawn of %d", v.StockID, drawn, n)
		}
	}
	odd := appraise.Assessment{Findings: []appraise.Finding{{Checkpoint: &data.Checkpoint{Code: appraise.DampCheckpoint}, Position: "nearside-wardrobe-middle", Value: "31"}}}
	if m := s.dampMap(odd); m == nil || !strings.Contains(m.Label, "31% at nearside wardrobe middle") {
		t.Error("a place that the picture does not know is left out")
	}
}
