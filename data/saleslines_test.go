package data

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

const saleHeader = "sale_id,maker,model,body,chassis,gearbox,first_registered,mileage,berths,length_mm,grade,listed,asking,sold_on,sold_price,vat\n"

func saleLine(id, listed, soldOn, price string) string {
	return id + ",Arden,Vale,low-profile,Kestrel,manual,2018-04-01,30000,4,6990,2," + listed + ",40000," + soldOn + "," + price + ",margin\n"
}

// tenMonths is a van listed on the 15th of each month from October 2025 back to
// January.
func tenMonths() string {
	rows := ""
	for i := range 10 {
		rows += saleLine(fmt.Sprintf("S%d", i), fmt.Sprintf("2025-%02d-15", 10-i), "", "")
	}
	return rows
}

// yardOfSales reads a yard with one van and these sales, all or the latest and
// those since a day.
func yardOfSales(text string, latest int, since Date) (*Yard, error) {
	yard := smallBooks()
	yard["vans.csv"] = &fstest.MapFile{Data: []byte("stock_id,maker,model,body,first_registered,mileage,status\nV1,Arden,Vale,low-profile,2019-05-01,20000,offered\n")}
	yard["sales.csv"] = &fstest.MapFile{Data: []byte(text)}
	return Load(context.Background(), yard, LoadOptions{AsOf: asOf, LatestSales: latest, SalesSince: since})
}

// latestOf describes the latest sales of a yard by the day of listing, then
// sale_id, and those since a day where they are more.
func latestOf(y *Yard, latest int, since Date) []string {
	sales := slices.SortedFunc(slices.Values(y.Sales), func(a, b Sale) int {
		return cmp.Or(cmp.Compare(cmp.Or(b.Listed, b.SoldOn), cmp.Or(a.Listed, a.SoldOn)), cmp.Compare(a.SaleID, b.SaleID))
	})
	var out []string
	for i, s := range sales {
		if i >= latest && (since.IsZero() || cmp.Or(s.Listed, s.SoldOn) < since) {
			break
		}
		out = append(out, fmt.Sprintf("%s %s %s %s", s.SaleID, s.Listed, s.SoldOn, s.Source))
	}
	return out
}

// sameLatest reads the sales both ways. A file that can't be read one way can't
// be read the other.
func sameLatest(t fatal, text string, latest int, since Date) (all, alone *Yard) {
	all, err := yardOfSales(text, 0, 0)
	alone, errAlone := yardOfSales(text, latest, since)
	if (err == nil) != (errAlone == nil) {
		t.Fatalf("all: %v; the latest %d: %v; of\n%s", err, latest, errAlone, text)
	}
	if err != nil {
		return nil, nil
	}
	if diff := gocmp.Diff(latestOf(all, latest, since), latestOf(alone, latest, since)); diff != "" {
		t.Fatalf("of\n%s\nthe latest %d of all (-), read alone (+):\n%s", text, latest, diff)
	}
	return all, alone
}

type fatal interface {
	Fatalf(format string, args ...any)
}

func TestLatestSalesAreReadAlone(t *testing.T) {
	rows := tenMonths()
	for _, tt := range []struct {
		name    string
		text    string
		skipped int
	}{
		{"older ones are passed over", saleHeader + rows, 7},
		{"the day of the sale stands in for the day of listing", saleHeader + rows + saleLine("T", "", "2025-09-20", "39000") + saleLine("U", "", "2024-09-20", "39000"), 9},
		{"days in another form", strings.ReplaceAll(saleHeader+rows, "2025-02-15", "15/02/2025"), 7},
		{"other columns and separators", strings.ReplaceAll(saleHeader+rows, ",", ";"), 7},
		{"a row in quotes is looked at", saleHeader + rows + strings.ReplaceAll(saleLine("T", "2024-01-01", "", ""), "Vale", `"Vale, long"`), 7},
		{"a late one that is rejected makes room", saleHeader + rows + saleLine("T", "2026-01-01", "", "39000"), 0},
		{"a sale_id that an older one had first", saleHeader + saleLine("S0", "2024-01-01", "", "") + rows, 0},
		{"no more than are wanted", saleHeader + saleLine("A", "2025-01-01", "", ""), 0},
		{"no days at all", strings.ReplaceAll(saleHeader+rows, "listed", "shown"), 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			all, alone := sameLatest(t, tt.text, 3, 0)
			if in, of := alone.Inputs[1], all.Inputs[1]; in.Skipped != tt.skipped || in.Read != of.Read {
				t.Errorf("%d of %d rows skipped, want %d of %d", in.Skipped, in.Read, tt.skipped, of.Read)
			}
		})
	}
}

func TestAllSalesSinceADayAreReadToo(t *testing.T) {
	rows := tenMonths()
	for _, tt := range []struct {
		since   Date
		skipped int
	}{
		{NewDate(2025, 6, 15), 5},
		{NewDate(2025, 10, 1), 7}, // fewer than the latest three
		{NewDate(2025, 1, 15), 0},
	} {
		if _, alone := sameLatest(t, saleHeader+rows, 3, tt.since); alone.Inputs[1].Skipped != tt.skipped {
			t.Errorf("since %s: %d rows skipped, want %d", tt.since, alone.Inputs[1].Skipped, tt.skipped)
		}
	}
}

// However odd the rows, the latest are the same as where all are read.
func TestLatestSalesAreTheLatestOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		b.WriteString(saleHeader)
		for range rapid.IntRange(0, 30).Draw(t, "rows") {
			day := func(name string) string {
				return rapid.SampledFrom([]string{"2024-05-01", "2025-01-31", "02/02/2025", "3 Mar 2025", "2025-06-30", "2025-07-01", "2027-01-01", "soon", ""}).Draw(t, name)
			}
			line := saleLine(fmt.Sprintf("S%d", rapid.IntRange(0, 25).Draw(t, "id")), day("listed"), day("sold"), rapid.SampledFrom([]string{"", "39000", "x"}).Draw(t, "price"))
			switch rapid.IntRange(0, 9).Draw(t, "shape") {
			case 0:
				line = strings.Replace(line, "Vale", "\"Vale\n\"", 1)
			case 1:
				line = strings.Replace(line, "Vale", "\"Vale", 1)
			case 2:
				line = strings.Replace(line, ",2,", ",", 1)
			}
			b.WriteString(line)
		}
		since := rapid.SampledFrom([]Date{0, NewDate(2025, 1, 31), NewDate(2025, 6, 30), NewDate(2027, 1, 1)}).Draw(t, "since")
		sameLatest(t, b.String(), rapid.IntRange(1, 8).Draw(t, "latest"), since)
	})
}

func FuzzLatestSales(f *testing.F) {
	rows := saleLine("A", "2025-01-01", "", "") + saleLine("B", "2025-02-01", "2025-03-01", "39000") + saleLine("C", "", "", "")
	f.Add([]byte(saleHeader+rows), uint8(0))
	f.Add([]byte(strings.ReplaceAll(saleHeader+rows, ",", ";")), uint8(1))
	f.Add([]byte("sep=;\n\n"+saleHeader+strings.Replace(rows, "Vale", "\"Va\nle\"", 1)+rows), uint8(1))
	f.Fuzz(func(t *testing.T, text []byte, latest uint8) {
		since := Date(0)
		if latest >= 128 {
			since = NewDate(2025, 2, 1)
		}
		sameLatest(t, string(text), int(latest%8)+1, since)
	})
}
