package pages

import (
	"maps"
	"path"
	"slices"
	"strings"
	"testing"

	xhtml "golang.org/x/net/html"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

func phonesWritten(t *testing.T, r *night.Result) nighttest.Folder {
	t.Helper()
	m := nighttest.Folder{}
	if err := WritePhonePages(m.Create, r); err != nil {
		t.Fatal(err)
	}
	return m
}

// Each technician has a page with the jobs of the plan, each once, beside the
// list; the links of all these pages lead somewhere.
func TestTechniciansHaveTheirDay(t *testing.T) {
	r := nighttest.Demo(t)
	m, all := phonesWritten(t, r), written(t, r)
	for name := range m {
		all[name] = m[name]
	}
	s := newReport(r, nil)
	for _, tech := range r.Workshop.Team {
		jobs := map[jobKey]bool{}
		for _, b := range r.Plan.Blocks {
			if b.Technician == tech.Name {
				jobs[jobKey{b.StockID, b.Job}] = true
			}
		}
		got := s.day(tech).Jobs
		if len(got) != len(jobs) {
			t.Errorf("%s has %d jobs on the phone, %d in the plan", tech.Name, len(got), len(jobs))
		}
		if m[s.dayFile(tech.Name)] == nil {
			t.Errorf("%s has no page", tech.Name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(m)) {
		walkNodes(parsed(t, name, all), func(n *xhtml.Node) {
			href, ok := attr(n, "href")
			if n.Data == "a" && ok && !strings.HasPrefix(href, "#") && all[path.Join(path.Dir(name), href)] == nil {
				t.Errorf("%s: a link to %s, which is not written", name, href)
			}
		})
	}
}

func TestHostileNamesStayTextOnPhonePages(t *testing.T) {
	m := phonesWritten(t, hostileYard(t))
	for name := range m {
		scripts := 0
		walkNodes(parsed(t, name, m), func(n *xhtml.Node) {
			if n.Data == "script" {
				scripts++
			}
			for _, a := range n.Attr {
				if strings.HasPrefix(a.Key, "on") {
					t.Errorf("%s: a name became the attribute %s=%q", name, a.Key, a.Val)
				}
			}
		})
		if scripts != 2 {
			t.Errorf("%s has %d scripts, want its own 2", name, scripts)
		}
	}
}

// The square of a planned job opens it on its technician's page, once the dealer
// has said where the reports are opened.
func TestSquareLeadsToTheJob(t *testing.T) {
	r := *nighttest.Demo(t)
	b := r.Plan.Blocks[0]
	v, _ := r.Find(b.StockID)
	i := slices.IndexFunc(v.Jobs, func(j prep.Job) bool { return j.Code == b.Job })
	if got, want := newReport(&r, nil).squareOf(v, v.Jobs[i]), b.StockID+","+b.Job; got != want {
		t.Errorf("without an address the square says %q, want %q", got, want)
	}
	r.Policy.OpenAt = "http://192.168.1.20:8088/"
	s := newReport(&r, nil)
	want := "http://192.168.1.20:8088/" + s.dayFile(b.Technician) + "#" + b.StockID + "/" + b.Job
	if got := s.squareOf(v, v.Jobs[i]); got != want {
		t.Errorf("the square says %q, want %q", got, want)
	}
	unplanned := v.Jobs[i]
	unplanned.Code = "valet-of-nobody"
	if got, want := s.squareOf(v, unplanned), b.StockID+",valet-of-nobody"; got != want {
		t.Errorf("a job that nobody has: %q, want %q", got, want)
	}
}

// Vans that were sold and handed over, or sold long ago, are off the desk.
func TestDeskHasWhatMayStillHappen(t *testing.T) {
	r := nighttest.Demo(t)
	p := newReport(r, nil).desk()
	on := map[string]bool{}
	for _, v := range p.Vans {
		on[v.StockID] = true
	}
	for i := range r.Vans {
		v := &r.Vans[i]
		want := v.Status != data.Sold || v.DeliveredOn.IsZero() && v.SoldOn >= r.AsOf.AddMonths(-deskMonths)
		if on[v.StockID] != want {
			t.Errorf("%s, %s: on the desk %t, want %t", v.StockID, v.Status, on[v.StockID], want)
		}
	}
}

func BenchmarkPhonePages(b *testing.B) {
	r := nighttest.Demo(b)
	for b.Loop() {
		if err := WritePhonePages(nighttest.Folder{}.Create, r); err != nil {
			b.Fatal(err)
		}
	}
}
