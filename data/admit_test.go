package data

import (
	"context"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

// Looking through the tables first changes nothing: neither what is read nor what is
// refused, nor in which words, but for the row that a refusal for many rejects names
// first. The look does not count rows of a van of which a later row of vans.csv says
// something else.
func TestLookingThroughFirstChangesNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("reads hundreds of yards twice")
	}
	rng := rand.New(rand.NewPCG(1, 2))
	tables := map[string]string{
		"vans.csv":     vansHeader + "\nV1,A,H,overcab,2018-05-01,42000,owned\nV2,A,\"H\nx\",barge,2018-05-01,42000,owned\n",
		"readings.csv": "stock_id,taken_on,checkpoint,position,value,note\nV1,2026-03-01,damp,offside-rear-low,18,\"wet\nthere\"\n\n,,,,,\nV9,2026-03-01,awning,,,\nV1,2026-03-01,damp,roof,x,\n",
		"costs.csv":    "stock_id,on,kind,cost\nV1,2026-02-01,parts,84.50\nV1,2026-02-01,,\nV1\n",
	}
	refused, cases := 0, 400
	tooMany := regexp.MustCompile(`^more than \d+ rows are rejected`)
	for range cases {
		yard := fstest.MapFS{}
		for name, text := range tables {
			b := []byte(strings.Repeat(text[strings.Index(text, "\n")+1:], rng.IntN(3)))
			for range rng.IntN(4) {
				if len(b) > 0 {
					b[rng.IntN(len(b))] = []byte("\",\r\n\x80;x")[rng.IntN(7)]
				}
			}
			yard[name] = &fstest.MapFile{Data: append([]byte(text), b...)}
		}
		o := LoadOptions{AsOf: asOf, Workers: 1 + rng.IntN(2), MaxRejects: rng.IntN(9)}
		want, wantErr := Load(context.Background(), yard, o)
		o.scanAll = true
		got, err := Load(context.Background(), yard, o)
		if wantErr != nil {
			refused++
			var both string
			if err != nil {
				both = err.Error()
			}
			if many := tooMany.FindString(wantErr.Error()); both != wantErr.Error() && (many == "" || tooMany.FindString(both) != many) {
				t.Fatalf("looked through first: %v; else: %v; %q", err, wantErr, texts(yard))
			}
			continue
		}
		if err != nil {
			t.Fatalf("looked through first: %v; %q", err, texts(yard))
		}
		if diff := cmp.Diff(got, want, anywhere); diff != "" || cmp.Diff(got.Inputs, want.Inputs) != "" || cmp.Diff(got.Rejects, want.Rejects) != "" {
			t.Fatalf("looked through first (-), else (+):\n%s%s%s", diff, cmp.Diff(got.Inputs, want.Inputs), cmp.Diff(got.Rejects, want.Rejects))
		}
	}
	if refused < cases/8 || refused > cases*7/8 {
		t.Errorf("%d of %d refused: the comparison says little", refused, cases)
	}
}

// A line too long for a row is one reject, the rows round it are read, and its file is
// counted and summed whole.
func TestLongLineIsCutAndItsFileIsNot(t *testing.T) {
	text := vansHeader + "\nV1,A,H,overcab,2018-05-01,42000,owned\nV2," + strings.Repeat("x", 40<<20) + "\nV3,A,H,overcab,2018-05-01,42000,owned\n"
	yard := fstest.MapFS{"vans.csv": {Data: []byte(text)}}
	y := mustLoad(t, yard)
	in := y.Inputs[0]
	if len(y.Vans) != 2 || len(y.Rejects) != 1 || y.Rejects[0].Line != 3 || y.Rejects[0].Rule != "row.length" {
		t.Errorf("%d vans, rejects %v", len(y.Vans), y.Rejects)
	}
	if in.Size != int64(len(text)) || in.SHA256 != digestOf([]byte(text)) || in.Read != 3 {
		t.Errorf("%+v", in)
	}
}

func texts(yard fstest.MapFS) map[string]string {
	out := map[string]string{}
	for name, f := range yard {
		out[name] = string(f.Data)
	}
	return out
}

// Whoever is away is known by team.csv, which a first look does not hold.
func TestLookingThroughKnowsWhoMayBeAway(t *testing.T) {
	yard := fstest.MapFS{
		"vans.csv":    rowsOf("vans.csv", 1, 0),
		"team.csv":    {Data: []byte("technician,skills,mon,tue,wed,thu,fri\nAnn,gas,8,8,8,8,8\n")},
		"absence.csv": {Data: []byte("technician,from,to\nAnn,2026-03-02,\nAnn,2026-03-03,\n")},
	}
	y, err := Load(t.Context(), yard, LoadOptions{AsOf: asOf, MaxRejects: 1, scanAll: true})
	if err != nil || len(y.Absences) != 2 || len(y.Rejects) != 0 {
		t.Errorf("%v, %+v", err, y)
	}
}

// Rows that say the same as others before them are refused before they are held.
func TestRowsThatRepeatOthersAreCountedOnTheFirstLook(t *testing.T) {
	vans := "V1,A,H,overcab,2018-05-01,42000,owned\n"
	for name, text := range map[string]string{
		"vans.csv":     vansHeader + "\n" + strings.Repeat(vans, 9),
		"readings.csv": "stock_id,taken_on,checkpoint,position,value\n" + strings.Repeat("V1,2026-03-01,damp,offside-rear-low,18\n", 9),
		"sales.csv":    "sale_id,maker,model,body,first_registered,mileage,sold_on,sold_price\n" + strings.Repeat("S1,A,H,overcab,2018-05-01,42000,2026-02-01,30000\n", 9),
	} {
		yard := fstest.MapFS{"vans.csv": {Data: []byte(vansHeader + "\n" + vans)}}
		yard[name] = &fstest.MapFile{Data: []byte(text)}
		held := false
		for limit, refused := range map[int]bool{7: true, 8: false} {
			o := LoadOptions{AsOf: asOf, MaxRejects: limit, scanAll: true, Admitted: func() { held = true }}
			y, err := Load(t.Context(), yard, o)
			if refused && (err == nil || held || !strings.Contains(err.Error(), "most of them in "+name)) {
				t.Errorf("%s: limit %d: held %t, %v", name, limit, held, err)
			}
			if !refused && (err != nil || len(y.Rejects) != 8) {
				t.Errorf("%s: limit %d: %v", name, limit, err)
			}
			held = false
		}
	}
}
