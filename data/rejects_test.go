package data

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// rowsOf writes a table with good rows first and rows of a status that there is
// not, or of vans that there are not, after them.
func rowsOf(name string, good, bad int) *fstest.MapFile {
	var b strings.Builder
	switch name {
	case "vans.csv":
		b.WriteString(vansHeader + "\n")
		for i := range good + bad {
			fmt.Fprintf(&b, "V%d,Aldmoor,Heron,overcab,2018-05-01,42000,%s\n", i, map[bool]string{true: "ready", false: "gone"}[i < good])
		}
	case "documents.csv":
		b.WriteString("stock_id,kind,dated\n")
		for i := range good + bad {
			fmt.Fprintf(&b, "%s,mot,2025-03-01\n", map[bool]string{true: "V0", false: "NONE"}[i < good])
		}
	}
	return &fstest.MapFile{Data: []byte(b.String())}
}

func TestMoreRejectsThanAllowedStopTheReading(t *testing.T) {
	for _, tt := range []struct {
		name              string
		badVans, badPaper int
		limit             int
		want              string // of the error; blank: none
	}{
		{"as many as allowed", 5, 5, 10, ""},
		{"no limit", 500, 500, 0, ""},
		{"one more than allowed, most of them vans", 6, 5, 10,
			`more than 10 rows are rejected, most of them in vans.csv, the first as vans.csv:3: column "status": "gone": expected`},
		{"one more than allowed, most of them papers", 5, 6, 10, `most of them in documents.csv, the first as documents.csv:4: column "stock_id": "NONE"`},
		{"as many of each: the first file", 6, 6, 11, "most of them in vans.csv"},
		{"one row", 0, 2, 1, "more than 1 row is rejected"},
		{"vans alone", 20_000, 20_000, 100, "most of them in vans.csv"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			fsys := fstest.MapFS{"vans.csv": rowsOf("vans.csv", 1, tt.badVans), "documents.csv": rowsOf("documents.csv", 2, tt.badPaper)}
			y, err := Load(context.Background(), fsys, LoadOptions{AsOf: asOf, MaxRejects: tt.limit})
			if tt.want == "" {
				if err != nil || len(y.Rejects) != tt.badVans+tt.badPaper {
					t.Fatalf("%d rejects, %v", len(y.Rejects), err)
				}
				return
			}
			if err == nil || !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), "raise max_rejects") || strings.Contains(err.Error(), "\n") {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
}

// Bad rows by the hundred thousand are not gathered only to be thrown away.
func TestReadingStopsSoonAfterTheLimit(t *testing.T) {
	const rows = 300_000
	fsys := fstest.MapFS{"vans.csv": rowsOf("vans.csv", 1, rows)}
	allocations := testing.AllocsPerRun(1, func() {
		if _, err := Load(context.Background(), fsys, LoadOptions{AsOf: asOf, MaxRejects: 10}); err == nil {
			t.Error("the yard was read")
		}
	})
	if allocations > rows {
		t.Errorf("%.0f allocations for a file of %d rows", allocations, rows)
	}
}

// Rejects of all tables and slips count together, and what is said does not depend on
// which of them was read first.
func TestRejectsOfAllTablesCountTogether(t *testing.T) {
	const badVan = "V%d,Aldmoor,Heron,overcab,2018-05-01,42000,gone\n"
	vans := vansHeader + "\nV0,Aldmoor,Heron,overcab,2018-05-01,42000,ready\n"
	for i := range 4 {
		vans += fmt.Sprintf(badVan, i+1)
	}
	team := "technician,skills,mon,tue,wed,thu,fri\nAnn,gas,8,8,8,8,8\n"
	yard := fstest.MapFS{
		"vans.csv":      {Data: []byte(vans)},
		"documents.csv": rowsOf("documents.csv", 2, 5),
		"team.csv":      {Data: []byte(team)},
		"absence.csv":   {Data: []byte("technician,from,to\nAnn,2026-03-02,\n" + strings.Repeat("Nobody,2026-03-02,\n", 3))},
		"costs.xlsx":    {Data: workbookOf(t, sheetRows{Name: "costs", Rows: [][]any{{"stock_id", "on", "kind", "cost"}, {"NONE", "2026-03-01", "parts", 1}, {"NONE", "2026-03-02", "parts", 1}}})},
	}
	for i := range 3 {
		dir := fmt.Sprintf("slips/s%d/", i)
		yard[dir+"slip.csv"] = &fstest.MapFile{Data: fmt.Appendf(nil, "slip,made,by\nslip-000%d,2026-03-01T10:0%d:00Z,Ann\n", i, i)}
		yard[dir+"documents.csv"] = rowsOf("documents.csv", 1, 2)
	}
	const all = 4 + 5 + 3 + 2 + 3*2
	for _, scan := range []bool{false, true} {
		for limit := 1; limit <= all; limit++ {
			want := ""
			for workers := 1; workers <= 4; workers++ {
				y, err := Load(t.Context(), yard, LoadOptions{AsOf: asOf, MaxRejects: limit, Workers: workers, scanAll: scan})
				if limit == all {
					if err != nil || len(y.Rejects) != all {
						t.Fatalf("limit %d: %v", limit, err)
					}
					continue
				}
				if err == nil || !strings.HasPrefix(err.Error(), fmt.Sprintf("more than %d row", limit)) {
					t.Fatalf("limit %d: %v", limit, err)
				}
				if want == "" {
					want = err.Error()
				} else if err.Error() != want {
					t.Errorf("limit %d, %d workers: %s\nwith one: %s", limit, workers, err, want)
				}
			}
		}
	}
}

// Of many tables none of which has too many rejects no more are held than of one.
func TestReadingStopsSoonAfterTheLimitOfAllTables(t *testing.T) {
	const slips, rows = 200, 1_000
	yard := fstest.MapFS{"vans.csv": rowsOf("vans.csv", 1, 0)}
	for i := range slips {
		dir := fmt.Sprintf("slips/s%d/", i)
		yard[dir+"slip.csv"] = &fstest.MapFile{Data: fmt.Appendf(nil, "slip,made,by\nslip-%04d,2026-03-01T10:00:00Z,Ann\n", i)}
		yard[dir+"readings.csv"] = &fstest.MapFile{Data: []byte("stock_id,taken_on,checkpoint\n" + strings.Repeat("x\n", rows))}
	}
	allocations := testing.AllocsPerRun(1, func() {
		if _, err := Load(context.Background(), yard, LoadOptions{AsOf: asOf, MaxRejects: 2 * rows, Workers: 1}); err == nil {
			t.Error("the yard was read")
		}
	})
	if allocations > slips*rows/2 {
		t.Errorf("%.0f allocations for %d bad rows", allocations, slips*rows)
	}
}
