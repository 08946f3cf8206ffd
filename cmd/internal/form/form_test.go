package form

import (
	"bytes"
	"fmt"
	"html"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

func builtInBooks(t *testing.T) *data.Books {
	t.Helper()
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	return books
}

func written(t *testing.T, books *data.Books) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, Yard{Books: books, Policy: data.DefaultPolicy()}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestPageIsOneFileWithoutNetwork(t *testing.T) {
	page := written(t, builtInBooks(t))
	if page != written(t, builtInBooks(t)) {
		t.Error("two pages of one book differ")
	}
	if !strings.Contains(page[:2048], Mark) {
		t.Error("the mark by which a form is known is not near its start")
	}
	for _, way := range []string{"http://", "https://", " src=", "@import", "url(\"", "url(h", "url(/", "XMLHttpRequest", "sendBeacon", "WebSocket"} {
		if strings.Contains(page, way) {
			t.Errorf("the page has a way out: %q", way)
		}
	}
	if got := strings.Count(page, "fetch("); got != 1 {
		t.Errorf("%d calls of fetch, want the one that hands in", got)
	}
	if !strings.Contains(html.UnescapeString(page), sheet.Policy) {
		t.Error("the page lacks its security policy")
	}
}

// A title of a yard's own book may hold anything.
func TestTitleOfABookStaysText(t *testing.T) {
	const title = `</script><script>alert("1")</script><!-- 'x' 🚐`
	books, err := data.NewBooks([]data.Checkpoint{{Code: "odd", Title: title, Zone: title}}, nil, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	page := written(t, books)
	if got, want := strings.Count(page, "</script>"), 2; got != want {
		t.Errorf("%d ends of scripts, want the page's own %d", got, want)
	}
}

func TestDealersPolicyIsInTheLimits(t *testing.T) {
	policy := data.DefaultPolicy()
	policy.MinTreadMM, policy.TyreAgeYears = 3.5, 6
	b := newBook(Yard{Books: builtInBooks(t), Policy: policy})
	var got []string
	for _, z := range b.Zones {
		for _, p := range z.Points {
			if p.Code == "tyre-tread" || p.Code == "tyre-code" {
				got = append(got, p.Limits)
			}
		}
	}
	want := []string{
		"Worn below 4 mm, a defect below 3.5 mm, unsafe below 1.6 mm.",
		"Worn from 5 years, a defect from 6 years, unsafe from 10 years.",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestEveryEquipmentWordIsOfferedOnce(t *testing.T) {
	var got []string
	for _, g := range equipment {
		for _, c := range g.Words {
			got = append(got, c.Word)
		}
	}
	slices.Sort(got)
	if diff := cmp.Diff(slices.Sorted(slices.Values(data.EquipmentWords)), got); diff != "" {
		t.Error(diff)
	}
}

func TestEveryCheckpointIsInTheWalk(t *testing.T) {
	books := builtInBooks(t)
	b := newBook(Yard{Books: books, Policy: data.DefaultPolicy()})
	n := 0
	for i, z := range b.Zones {
		n += len(z.Points)
		if i >= len(walk) || z.Code != walk[i] {
			t.Errorf("zone %d is %s, want the walk's", i, z.Code)
		}
	}
	if n != len(books.Checkpoints) {
		t.Errorf("%d points in the zones, %d in the book", n, len(books.Checkpoints))
	}
}

// Cautions for gas, 230 V, jacking and carbon monoxide, which defer to licensed
// people, stand at their zones even where a yard's own book has none.
func TestHazardsAreNamedAtTheirZones(t *testing.T) {
	for _, tt := range []struct{ zone, says string }{
		{"gas", "Gas Safe registered engineer"}, {"gas", "Carbon monoxide"}, {"heating", "Carbon monoxide"},
		{"electrics-230v", "registered electrician"}, {"underneath", "jack alone"}, {"tyres", "jack alone"},
		{"safety", "Carbon monoxide"}, {"kitchen", "Gas Safe"},
	} {
		for _, points := range [][]data.Checkpoint{builtInBooks(t).Checkpoints, {{Code: "x", Zone: tt.zone}}} {
			if !slices.ContainsFunc(zoneCautions(tt.zone, points), func(c caution) bool { return strings.Contains(c.Text, tt.says) }) {
				t.Errorf("%s, book of %d points: nothing says %q", tt.zone, len(points), tt.says)
			}
		}
	}
}

const oneVan = "stock_id,maker,model,body,first_registered,mileage,status\nV1,M,N,overcab,2016-01-01,1,offered\n"

func rejects(t *testing.T, files fstest.MapFS) []data.Reject {
	t.Helper()
	yard, err := data.Load(t.Context(), files, data.LoadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return yard.Rejects
}

// The form's bounds of whole numbers are those of the reader of vans.csv.
func TestFieldsAreThoseOfTheReader(t *testing.T) {
	for _, f := range slices.Concat(identity, plates) {
		if f.Kind != "whole" {
			continue
		}
		file := func(value int) fstest.MapFS {
			header, row := strings.TrimSpace(strings.Split(oneVan, "\n")[0]), strings.Split(oneVan, "\n")[1]
			if f.Name == "mileage" {
				row = strings.Replace(row, ",1,", fmt.Sprintf(",%d,", value), 1)
			} else {
				header, row = header+","+f.Name, fmt.Sprintf("%s,%d", row, value)
			}
			return fstest.MapFS{"vans.csv": {Data: []byte(header + "\n" + row + "\n")}}
		}
		for value, want := range map[int]int{f.Low: 0, f.High: 0, f.Low - 1: 1, f.High + 1: 1} {
			if got := rejects(t, file(value)); len(got) != want {
				t.Errorf("%s of %d: %d rejects, want %d", f.Name, value, len(got), want)
			}
		}
	}
}
