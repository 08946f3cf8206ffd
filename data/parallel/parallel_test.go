package parallel

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"
)

func TestEachCallsAllOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		workers, n := rapid.IntRange(-1, 9).Draw(t, "workers"), rapid.IntRange(0, 100).Draw(t, "n")
		calls := make([]atomic.Int32, n)
		if err := Each(context.Background(), workers, n, func(i int) error { calls[i].Add(1); return nil }); err != nil {
			t.Fatal(err)
		}
		for i := range calls {
			if calls[i].Load() != 1 {
				t.Fatalf("%d was called %d times", i, calls[i].Load())
			}
		}
	})
}

// The least of the calls that fail decides, whichever of them ends first.
func TestFirstErrorIsTheSameInEveryRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		workers, n := rapid.IntRange(1, 9).Draw(t, "workers"), rapid.IntRange(1, 60).Draw(t, "n")
		bad := rapid.SliceOfNDistinct(rapid.IntRange(0, n-1), 1, min(n, 5), rapid.ID).Draw(t, "bad")
		fail := func(i int) error {
			if slices.Contains(bad, i) {
				return fmt.Errorf("call %d", i)
			}
			return nil
		}
		want := fmt.Sprintf("call %d", slices.Min(bad))
		if err := Each(context.Background(), workers, n, fail); err == nil || err.Error() != want {
			t.Errorf("Each: %v, want %s", err, want)
		}
	})
}

func TestDoRunsAllAndJoinsErrorsInOrder(t *testing.T) {
	ran := atomic.Int64{}
	task := func(err error) func() error {
		return func() error { ran.Add(1); return err }
	}
	err := Do(context.Background(), 2, task(errors.New("one")), task(nil), task(errors.New("two")), task(nil))
	if err == nil || err.Error() != "one\ntwo" || ran.Load() != 4 {
		t.Errorf("%v after %d tasks", err, ran.Load())
	}
}

func TestCancelledWorkStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	calls := atomic.Int64{}
	err := Each(ctx, 1, 100, func(i int) error {
		if calls.Add(1); i == 4 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || calls.Load() != 5 {
		t.Errorf("Each: %v after %d calls", err, calls.Load())
	}
	never := func() error { t.Error("a task began"); return nil }
	if err := Do(ctx, 0, never, never); !errors.Is(err, context.Canceled) {
		t.Errorf("Do: %v", err)
	}
}
