package data

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

// smallBooks are files of four books that take no time to read.
func smallBooks() fstest.MapFS {
	return fstest.MapFS{
		"labour.csv":      {Data: []byte("job,title,skill,bay,hours_low,hours_likely,hours_high,parts,absorbs,per\nvalet,Valet,valet,,1,2,3,soap,,van\n")},
		"parts.csv":       {Data: []byte("part,title,unit_cost\nsoap,Soap,2.50\n")},
		"checkpoints.csv": {Data: []byte("checkpoint,title,unit,worn_at,defect_at,unsafe_at,direction,job\ndamp,Damp,percent,15,20,,high-bad,valet\nwater-pump,Pump,,,,,,valet\n")},
		"handover.csv":    {Data: []byte("equipment,step,title,text\n,keys,Keys,Count them\n")},
	}
}

// readBookBytes reads bytes as a book; false where it is refused, in words that
// name it.
func readBookBytes[R, T any](t *testing.T, name string, content []byte, parse rowParser[R, T]) ([]T, bool) {
	t.Helper()
	book, err := readBook(context.Background(), &tables{fsys: fstest.MapFS{name: {Data: content}}}, name, parse)
	if err != nil {
		if !strings.Contains(err.Error(), name) {
			t.Fatalf("the error names no book: %v", err)
		}
		return nil, false
	}
	if in := book.input; in.Rejected > 0 || in.Read == 0 || in.Accepted != in.Read || !book.own {
		t.Fatalf("a book with rows left out: %+v", in)
	}
	return book.records, true
}

// Any bytes as a parts book: refused, or every part can be looked up and its
// figures are in range.
func FuzzReadPartsBook(f *testing.F) {
	header := seeds(f, "part,title,unit_cost,in_stock,lead_days,supplier,bin", "soap,Soap,£2.50,3,1,Aldmoor Supplies,B-7", "hose,Hose,\"1,204.50\",,1000,,", "hose,Hose,-1,1e9,NaN,x,")
	f.Add([]byte("Part;Title;Unit cost;lead-days\nsoap;Soap;2.50;0\nhose;Hose;£1,204.50;1000\n"))
	f.Add([]byte("hose,Hose,0,0,0,,\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		for _, c := range [][]byte{content, append([]byte(header+"\nsoap,Soap,2.50,,,,\n"), content...)} {
			parts, ok := readBookBytes(t, "parts.csv", c, parsePart)
			if !ok {
				continue
			}
			books, err := NewBooks(nil, nil, parts, nil)
			if err != nil {
				continue // a part stands twice
			}
			for _, p := range parts {
				again, ok := books.Part(p.Code)
				if !ok || again.Source != p.Source || p.Code == "" || p.Title == "" {
					t.Fatalf("%+v is looked up as %+v", p, again)
				}
				if p.UnitCost.IsNegative() || !p.UnitCost.Equal(Pence(p.UnitCost)) || p.InStock < 0 || p.LeadDays < 0 || p.LeadDays > 1000 {
					t.Fatalf("%+v", p)
				}
			}
		}
	})
}

// Any bytes as a handover book: refused, or every step is for equipment that
// there is, in a season that there is, and stands once.
func FuzzReadHandoverBook(f *testing.F) {
	header := seeds(f, "equipment,step,title,text,caution,season,zone,usual_mistake,order", "hob,light,Light the hob,Press and hold.,Open a window.,,kitchen,Letting go too soon,10",
		",keys,Keys,\"Count them,\nall\",,winter,,,", "jacuzzi,x,,,,spring,,,NaN")
	f.Add([]byte("hob,light,Light the hob,Press and hold.,Open a window.,,kitchen,,10\n,keys,Keys,\"Count\nthem\",,winter,,,\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		for _, c := range [][]byte{content, append([]byte(header+"\n"), content...)} {
			steps, ok := readBookBytes(t, "handover.csv", c, parseHandoverStep)
			if !ok {
				continue
			}
			if _, err := NewBooks(nil, nil, nil, steps); err != nil {
				continue // a step stands twice
			}
			seen := map[[2]string]bool{}
			for _, s := range steps {
				key := [2]string{s.Equipment, s.Step}
				if seen[key] || s.Step == "" || s.Title == "" || s.Order < 0 ||
					s.Equipment != "" && !slices.Contains(EquipmentWords, s.Equipment) || s.Season != "" && !slices.Contains(SeasonWords, s.Season) {
					t.Fatalf("%+v", s)
				}
				seen[key] = true
			}
		}
	})
}

// FuzzLoad reads any bytes as the tables that speak of vans. The number of
// workers shows nowhere, and reading for one van alone gives what the whole
// yard has of it.
func FuzzLoad(f *testing.F) {
	vans := []byte(vansHeader + ",reg\nV1,Aldmoor,Heron,overcab,2018-05-01,42000,ready,\nv1,Aldmoor,Heron,overcab,2018-05-01,42000,ready,\nV2,Aldmoor,Heron,overcab,2018-05-01,42000,ready,\"V1\n\"\nV3,Aldmoor,,,,,,\n")
	readings := []byte("stock_id,taken_on,checkpoint,position,value,verdict,note\nV1,2026-03-01,damp,offside-rear-low,18,,V2\nV2,2026-03-01,damp,offside-rear-low,18,,\"V1\nV1,2026-03-01,water-pump,,,worn,\n\"\nV1,2026-03-01,damp,offside-rear-low,19,,\n")
	papers := []byte("stock_id,kind,dated,held\nV1,mot,2025-03-01,yes\nV9,mot,2025-03-01,yes\nV2;mot\n")
	progress := []byte("stock_id,job,state\nV1,valet,open\nv1,valet,open\nV1,valet,done\n")
	f.Add(vans, readings, papers, progress)
	f.Add([]byte(strings.ReplaceAll(string(vans), ",", ";")), readings[:170], []byte{}, utf16Bytes(string(progress)))
	f.Add(append(vans, "V4,\"open,\n"...), append(readings, "V1,\"\nV2,2026-03-01,water-pump,,,worn,\n"...), papers, progress[:len(progress)-9])
	f.Fuzz(func(t *testing.T, vans, readings, papers, progress []byte) {
		fsys := smallBooks()
		for name, content := range map[string][]byte{"vans.csv": vans, "readings.csv": readings, "documents.csv": papers, "progress.csv": progress} {
			fsys[name] = &fstest.MapFile{Data: content}
		}
		whole, err := Load(context.Background(), fsys, LoadOptions{AsOf: asOf, Workers: 1})
		shared, errShared := Load(context.Background(), fsys, LoadOptions{AsOf: asOf, Workers: 7})
		if (err == nil) != (errShared == nil) || err != nil && err.Error() != errShared.Error() {
			t.Fatalf("one worker: %v; seven: %v", err, errShared)
		}
		if err != nil {
			if strings.Contains(err.Error(), "add up") || errors.Is(err, ErrNoYard) {
				t.Fatal(err)
			}
			return
		}
		for _, part := range []struct{ one, seven any }{
			{whole.Vans, shared.Vans}, {whole.Readings, shared.Readings}, {whole.Documents, shared.Documents}, {whole.Progress, shared.Progress},
			{whole.Inputs, shared.Inputs}, {whole.Rejects, shared.Rejects}, {whole.Warnings, shared.Warnings},
		} {
			if diff := cmp.Diff(part.one, part.seven, cmp.Comparer(Money.Equal)); diff != "" {
				t.Fatalf("one worker and seven: %s", diff)
			}
		}
		alone, err := Load(context.Background(), fsys, LoadOptions{AsOf: asOf, Wanted: notSold})
		if err != nil {
			t.Fatalf("unsold vans alone: %v", err)
		}
		for _, v := range whole.Vans[:min(3, len(whole.Vans))] {
			if v.Status == Sold {
				continue
			}
			got, ok := alone.Van(v.StockID)
			if diff := cmp.Diff(v, got, cmp.Comparer(Money.Equal)); !ok || diff != "" {
				t.Fatalf("%s alone: %s", v.StockID, diff)
			}
			for _, part := range []struct{ whole, alone any }{
				{whole.Readings[v.StockID], alone.Readings[v.StockID]}, {whole.Documents[v.StockID], alone.Documents[v.StockID]}, {whole.Progress[v.StockID], alone.Progress[v.StockID]},
			} {
				if diff := cmp.Diff(part.whole, part.alone, cmp.Comparer(Money.Equal)); diff != "" {
					t.Fatalf("%s alone: %s", v.StockID, diff)
				}
			}
		}
	})
}
