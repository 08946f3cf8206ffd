package night

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"
)

func TestEachErrorIsThatOfTheLowestNumber(t *testing.T) {
	for _, workers := range []int{0, 1, 3, 100} {
		second := make(chan struct{})
		err := Each(t.Context(), workers, 40, func(i int) error {
			switch i {
			case 1: // fails after number 2 has failed, where they run side by side
				if workers > 1 {
					<-second
				}
				return errors.New("number 1")
			case 2:
				defer close(second)
				return errors.New("number 2")
			}
			return nil
		})
		if err == nil || err.Error() != "number 1" {
			t.Errorf("%d workers: got %v; want number 1", workers, err)
		}
	}
}

func TestEachBeginsNoneAfterAnError(t *testing.T) {
	var begun atomic.Int64
	err := Each(t.Context(), 1, 40, func(i int) error {
		begun.Add(1)
		if i == 5 {
			return errors.New("no")
		}
		return nil
	})
	if err == nil || begun.Load() != 6 {
		t.Errorf("begun %d, error %v; want 6 and an error", begun.Load(), err)
	}
}

func TestEachDoesEveryNumberOnce(t *testing.T) {
	for _, n := range []int{0, 1, 7, 1000} {
		did := make([]atomic.Int64, n)
		if err := Each(t.Context(), 4, n, func(i int) error { did[i].Add(1); return nil }); err != nil {
			t.Fatal(err)
		}
		for i := range did {
			if got := did[i].Load(); got != 1 {
				t.Errorf("%d of %d was done %d times", i, n, got)
			}
		}
	}
}

func TestEachStopsWhenTold(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	begun := 0
	err := Each(ctx, 1, 40, func(i int) error {
		if begun++; i == 3 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || begun != 4 {
		t.Errorf("begun %d, error %v; want 4 and %v", begun, err, context.Canceled)
	}
}

func ExampleEach() {
	squares := make([]int, 4)
	_ = Each(context.Background(), 2, len(squares), func(i int) error { squares[i] = i * i; return nil })
	fmt.Println(squares)
	// Output: [0 1 4 9]
}
