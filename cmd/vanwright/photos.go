package main

import (
	"context"
	"fmt"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/photos"
	"github.com/vanwright/vanwright/data"
)

// drawPhotos puts small copies of the yard's photos beside the reports, and returns
// where each of those that are left stands. What turns out to be no picture is
// rejected.
func drawPhotos(ctx context.Context, w *swap.Writing, yard *data.Yard) (shown []string, err error) {
	names, bad, err := photos.Write(ctx, w, photos.Of(yard.Photos))
	if err != nil {
		return nil, fmt.Errorf("draw the photos: %w", err)
	}
	yard.RejectPhotos(bad)
	for i, name := range names {
		if bad[i] == nil {
			shown = append(shown, name)
		}
	}
	return shown, nil
}

// hangPhotos tells each van of its photos.
func hangPhotos(result *night.Result, shown []string) {
	for i, p := range result.Yard.Photos {
		if v, ok := result.Find(p.StockID); ok {
			v.Photos = append(v.Photos, night.Photo{Photo: p, Shown: shown[i]})
		}
	}
}
