package synth

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"testing"
	"testing/fstest"

	"github.com/vanwright/vanwright/data"
)

var asOf = data.NewDate(2026, 3, 9)

// files makes up a yard in memory.
func files(t testing.TB, s Spec) (map[string][]byte, Counts) {
	t.Helper()
	buffers := map[string]*bytes.Buffer{}
	counts, err := WriteTo(context.Background(), func(name string) (io.Writer, error) {
		buffers[name] = new(bytes.Buffer)
		return buffers[name], nil
	}, s)
	if err != nil {
		t.Fatal(err)
	}
	contents := map[string][]byte{}
	for name, b := range buffers {
		contents[name] = b.Bytes()
	}
	return contents, counts
}

func load(t testing.TB, contents map[string][]byte) *data.Yard {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, content := range contents {
		fsys[name] = &fstest.MapFile{Data: content}
	}
	yard, err := data.Load(context.Background(), fsys, data.LoadOptions{AsOf: asOf})
	if err != nil {
		t.Fatal(err)
	}
	return yard
}

func TestNoRowIsRejected(t *testing.T) {
	contents, counts := files(t, NewSpec(200, 2000, 7, asOf))
	yard := load(t, contents)
	if n := len(yard.Rejects); n > 0 {
		t.Errorf("%d rejects, the first: %s", n, yard.Rejects[0])
	}
	for _, w := range yard.Warnings {
		t.Error(w)
	}
	sold := 0 // vans of vans.csv that are past sales as well
	for _, v := range yard.Vans {
		if v.Status == data.Sold {
			sold++
		}
	}
	if len(yard.Vans) != 200 || sold == 0 || len(yard.Sales) != 2000+sold {
		t.Errorf("%d vans, %d of them sold, and %d sales, want 200 and 2000 sales beside those sold", len(yard.Vans), sold, len(yard.Sales))
	}
	if n := counts.Readings / counts.Vans; n < 45 || n > 55 {
		t.Errorf("%d readings a van, want about 50", n)
	}
	if n := float64(counts.Documents) / 200; n < 8 || n > 12 {
		t.Errorf("%.1f papers a van, want about 10", n)
	}
	for _, v := range yard.Vans {
		for _, r := range yard.Readings[v.StockID] {
			c, _ := yard.Books.Checkpoint(r.Checkpoint)
			if len(c.Fitted) > 0 && !slices.ContainsFunc(c.Fitted, v.Has) {
				t.Errorf("%s: %s was read, but none of %v is fitted", v.StockID, r.Checkpoint, c.Fitted)
			}
		}
	}
}

func TestSmallestYards(t *testing.T) {
	for vans := 1; vans <= 12; vans++ {
		contents, _ := files(t, NewSpec(vans, 0, 3, asOf))
		if yard := load(t, contents); len(yard.Vans) != vans || len(yard.Rejects) != 0 {
			t.Errorf("%d vans: %d read, rejects %v", vans, len(yard.Vans), yard.Rejects)
		}
	}
}

func TestTwentyThousandVansHave500InHand(t *testing.T) {
	s := NewSpec(20_000, 0, 1, asOf)
	if s.InHand != 500 || s.Offered != 200 {
		t.Errorf("%d in hand and %d offered, want 500 and 200", s.InHand, s.Offered)
	}
}

// The digest holds for every machine. It changes with the generator alone; then
// say so in the changelog, since benchmarks before and after do not compare.
func TestSameSeedSameBytes(t *testing.T) {
	const want = "40302c80e8eb2988364b8e13ad62de53c0555c4afa0d1b48c685b5608d3e185d"
	digest := func(s Spec) string {
		contents, _ := files(t, s)
		h := sha256.New()
		for _, name := range slices.Sorted(maps.Keys(contents)) {
			fmt.Fprintf(h, "%s %d\n", name, len(contents[name]))
			h.Write(contents[name])
		}
		return fmt.Sprintf("%x", h.Sum(nil))
	}
	first := digest(NewSpec(300, 3000, 1, asOf))
	if first != want {
		t.Errorf("digest %s, want %s", first, want)
	}
	if digest(NewSpec(300, 3000, 1, asOf)) != first {
		t.Error("the second yard of the same seed differs")
	}
	if digest(NewSpec(300, 3000, 2, asOf)) == first {
		t.Error("another seed gives the same yard")
	}
}

func TestALongerListOfSalesBeginsWithTheShorter(t *testing.T) {
	short, _ := files(t, NewSpec(1, 50, 9, asOf))
	long, _ := files(t, NewSpec(1, 80, 9, asOf))
	if !bytes.HasPrefix(long["sales.csv"], short["sales.csv"]) {
		t.Error("the first 50 sales depend on how many follow")
	}
}

func TestWriteLeavesNothingBehindWhenItFails(t *testing.T) {
	spec := NewSpec(2000, 10, 1, asOf)
	t.Run("cancelled", func(t *testing.T) {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		dir := t.TempDir()
		if _, err := Write(ctx, dir, spec); !errors.Is(err, context.Canceled) {
			t.Errorf("error %v, want context.Canceled", err)
		}
		if left, _ := os.ReadDir(dir); len(left) != 0 {
			t.Errorf("%d files are left", len(left))
		}
	})
	t.Run("a file is there", func(t *testing.T) {
		dir := t.TempDir()
		if err := os.WriteFile(dir+"/sales.csv", []byte("mine\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := Write(context.Background(), dir, spec); !errors.Is(err, os.ErrExist) {
			t.Errorf("error %v, want os.ErrExist", err)
		}
		if kept, _ := os.ReadFile(dir + "/sales.csv"); string(kept) != "mine\n" {
			t.Errorf("the file that was there is %q", kept)
		}
		if left, _ := os.ReadDir(dir); len(left) != 1 {
			t.Errorf("%d files are left, want the one that was there", len(left))
		}
	})
	t.Run("disk full", func(t *testing.T) {
		full := errors.New("no space left")
		_, err := WriteTo(context.Background(), func(string) (io.Writer, error) { return &limited{10_000, full}, nil }, spec)
		if !errors.Is(err, full) {
			t.Errorf("error %v, want %v", err, full)
		}
	})
}

// limited is a writer that fails after so many bytes.
type limited struct {
	left int
	err  error
}

func (l *limited) Write(p []byte) (int, error) {
	if l.left -= len(p); l.left < 0 {
		return 0, l.err
	}
	return len(p), nil
}

func TestSpecsThatMakeNoSense(t *testing.T) {
	for name, s := range map[string]Spec{
		"no vans":         {Vans: 0, AsOf: asOf},
		"sales below 0":   {Vans: 1, Sales: -1, AsOf: asOf},
		"more than all":   {Vans: 10, InHand: 8, Offered: 3, AsOf: asOf},
		"no day":          {Vans: 10},
		"beyond the disk": {Vans: maxRows + 1, AsOf: asOf},
	} {
		if err := s.Validate(); err == nil {
			t.Errorf("%s: %+v was accepted", name, s)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	spec := NewSpec(1000, 10_000, 1, asOf)
	for b.Loop() {
		n, err := WriteTo(context.Background(), func(string) (io.Writer, error) { return io.Discard, nil }, spec)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(n.Readings), "readings/op")
	}
}
