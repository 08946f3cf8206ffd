package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/vanwright/vanwright/cmd/vanwright-bench/internal/peer"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// exportWorkshops writes the problems of made-up yards into a folder, with what the
// engine finds.
func exportWorkshops(ctx context.Context, dir string, yards int, books *data.Books, policy data.Policy) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for seed := 1; seed <= yards; seed++ {
		name := fmt.Sprintf("yard-%02d", seed)
		y := peer.Draw(books, policy, uint64(seed))
		begin := time.Now()
		plan, err := prep.PlanWorkshop(ctx, y.Work, y.Shop, books, policy, y.Day, nil)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if n := len(plan.Likely.Plan.Unplaced); n > 0 {
			return fmt.Errorf("%s: %d tasks can't be planned", name, n)
		}
		var out bytes.Buffer
		if err := peer.Write(&out, name, y.Jobs(), plan.Likely.Problem, plan.Likely.Plan, time.Since(begin).Seconds()); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, name+".json"), out.Bytes(), 0o644); err != nil {
			return err
		}
	}
	return nil
}
