package pages

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/data"
)

var out = flag.String("out", "", "write the demo yard's pages to this folder, to look at them")

func written(t testing.TB, r *night.Result) nighttest.Folder {
	t.Helper()
	m := nighttest.Folder{}
	if err := Write(m.Create, r, someChanges(r)); err != nil {
		t.Fatal(err)
	}
	return m
}

// writeTo writes pages below a folder on disk.
func writeTo(t testing.TB, dir string, m nighttest.Folder) {
	t.Helper()
	for name, content := range m {
		file := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, content.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestDemoYard(t *testing.T) {
	m := written(t, nighttest.Demo(t))
	if *out != "" {
		writeTo(t, *out, m)
	}
}

// kinds names a page of each kind: of the van in hand and the van offered that
// have the most found on them, and of a sold one.
func kinds(t testing.TB) []string {
	t.Helper()
	r := nighttest.Demo(t)
	most := func(of func(data.Status) bool) string {
		id, n := "", -1
		for _, v := range r.Vans {
			if of(v.Status) && len(v.Assessment.Findings)+10*len(v.Jobs) > n {
				id, n = v.StockID, len(v.Assessment.Findings)+10*len(v.Jobs)
			}
		}
		if id == "" {
			t.Fatal("the demo yard has no van of some status")
		}
		return "vans/" + id
	}
	inHand := most(data.Status.InHand)
	offered := most(func(s data.Status) bool { return s == data.Offered })
	sold := most(func(s data.Status) bool { return s == data.Sold })
	ready := most(func(s data.Status) bool { return s == data.Ready })
	return []string{
		"index.html", "workshop/index.html", "workshop/idris-pell.html", "margin/index.html",
		inHand + ".html", inHand + "-job-card.html", inHand + "-handover.html",
		offered + ".html", offered + "-bid.html", offered + "-offer.html", sold + ".html",
		"find.html", "sources.html", "workshop/board.html", ready + "-forecourt-card.html", "vans/booklet-1.html",
		"margin/lookback.html", "margin/wanted.html",
	}
}
