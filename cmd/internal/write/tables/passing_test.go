package tables

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
)

// The reports are the same bytes whether the vans pass during the run, and are
// forgotten, or are all there at the end.
func TestReportsAreTheSameHoweverTheVansPass(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the whole demo twice")
	}
	whole := nighttest.Folder{}
	want, err := Write(whole.Create, nighttest.Demo(t), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, workers := range []int{1, 4} {
		t.Run(fmt.Sprint(workers, " workers"), func(t *testing.T) {
			files := nighttest.Folder{}
			w, err := Begin(files.Create)
			if err != nil {
				t.Fatal(err)
			}
			r, err := night.Continue(t.Context(), demoYard(t), data.DefaultPolicy(), demo.AsOf, night.Along{
				Workers: workers, Pass: w.Pass, Forget: true,
			})
			if err != nil {
				t.Fatal(err)
			}
			got, err := w.Finish(r, nil)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(got, want); diff != "" {
				t.Errorf("outputs (-), of a run without passing (+):\n%s", diff)
			}
			for name, file := range whole {
				if files[name] == nil || files[name].String() != file.String() {
					t.Errorf("%s differs", name)
				}
			}
			sold := 0
			for i := range r.Vans {
				v := &r.Vans[i]
				if v.Status == data.Sold {
					sold++
				}
				if v.Status == data.Sold && len(v.Assessment.Findings) > 0 {
					t.Errorf("%s is sold and its findings are still held", v.StockID)
				}
			}
			if sold == 0 {
				t.Error("no van of the demo is sold")
			}
		})
	}
}

func demoYard(t *testing.T) *data.Yard {
	t.Helper()
	yard, err := data.Load(t.Context(), demo.Files(), data.LoadOptions{AsOf: demo.AsOf})
	if err != nil {
		t.Fatal(err)
	}
	return yard
}

// numbers is a report of one column.
var numbers = csvout.New("numbers.csv", nil, csvout.Int("number", func(n int) int { return n }))

// Stretches come in any order; their rows go out in theirs.
func TestStretchesAreWrittenInTheirOrder(t *testing.T) {
	const stretches = 500 // more than may wait
	var out sink
	p, err := begin(func(string) (io.WriteCloser, error) { return &out, nil }, numbers)
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for lane := range 5 {
		wg.Go(func() {
			for n := stretches - 5 + lane; n >= 0; n -= 5 {
				if err := p.pass(n, slices.Values([]int{2 * n, 2*n + 1})); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	got, err := p.finish()
	if err != nil || got.Rows != 2*stretches {
		t.Errorf("finish: %v, %v; want %d rows", got, err, 2*stretches)
	}
	want := []string{"number"}
	for n := range 2 * stretches {
		want = append(want, fmt.Sprint(n))
	}
	if out.String() != strings.Join(want, "\n")+"\n" {
		t.Error("the rows are not in order, or not all there")
	}
	if !out.closed {
		t.Error("the file was not closed")
	}
}

// A report of no van has its header.
func TestNothingPassed(t *testing.T) {
	var out sink
	p, err := begin(func(string) (io.WriteCloser, error) { return &out, nil }, numbers)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := p.finish(); err != nil || got.Rows != 0 || out.String() != "number\n" {
		t.Errorf("%v, %v: %q", got, err, out.String())
	}
}

// What can't be written ends the run that brings it.
func TestAStretchThatCannotBeWrittenEndsTheRun(t *testing.T) {
	full := errors.New("disk full")
	w, err := Begin(func(string) (io.WriteCloser, error) { return &sink{err: full}, nil })
	if err != nil {
		t.Fatal(err)
	}
	_, err = night.Continue(t.Context(), demoYard(t), data.DefaultPolicy(), demo.AsOf, night.Along{Workers: 2, Pass: w.Pass})
	if !errors.Is(err, full) || !strings.Contains(err.Error(), "findings.csv") {
		t.Errorf("Continue: %v; want the full disk, of findings.csv", err)
	}
}

// sink is a file in memory, or one that can't be written.
type sink struct {
	strings.Builder
	err    error
	closed bool
}

func (s *sink) Write(p []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	return s.Builder.Write(p)
}

func (s *sink) Close() error { s.closed = true; return nil }
