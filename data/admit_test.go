package data

import (
	"context"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

// Looking through the tables first changes nothing: neither what is read nor what is
// refused, nor in which words.
func TestLookingThroughFirstChangesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	tables := map[string]string{
		"vans.csv":     vansHeader + "\nV1,A,H,overcab,2018-05-01,42000,owned\nV2,A,\"H\nx\",barge,2018-05-01,42000,owned\n",
		"readings.csv": "stock_id,taken_on,checkpoint,position,value,note\nV1,2026-03-01,damp,offside-rear-low,18,\"wet\nthere\"\n\n,,,,,\nV9,2026-03-01,awning,,,\nV1,2026-03-01,damp,roof,x,\n",
		"costs.csv":    "stock_id,on,kind,cost\nV1,2026-02-01,parts,84.50\nV1,2026-02-01,,\nV1\n",
	}
	refused, cases := 0, 400
	if testing.Short() {
		cases = 100
	}
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
			if both != wantErr.Error() {
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
