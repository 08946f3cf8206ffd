package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/photos"
	"github.com/vanwright/vanwright/data"
)

// drawPhotos puts small copies of the yard's photos beside the reports and tells
// each van of its own. One that turns out to be no picture is said and left out.
func drawPhotos(ctx context.Context, w *swap.Writing, result *night.Result, s settings) error {
	taken := result.Yard.Photos
	pictures := make([]photos.Picture, len(taken))
	for i, p := range taken {
		key, err := keyOf(p)
		if err != nil {
			s.Log.Warn().Err(err).Str("photo", p.File).Msg("a photo can't be read")
		}
		pictures[i] = photos.Picture{Key: key, Open: p.Open}
	}
	shown, bad, err := photos.Write(ctx, w, pictures)
	if err != nil {
		return fmt.Errorf("draw the photos: %w", err)
	}
	for i, p := range taken {
		if bad[i] != nil {
			result.Yard.Warnings = append(result.Yard.Warnings, fmt.Sprintf("%s is not shown: %v", p.File, bad[i]))
			continue
		}
		if v, ok := result.Find(p.StockID); ok {
			v.Photos = append(v.Photos, night.Photo{Photo: p, Shown: shown[i]})
		}
	}
	return nil
}

// keyOf tells a photo's content apart: by the sum that its zip has of it, or else
// by a digest, for which it is read.
func keyOf(p data.Photo) (string, error) {
	if p.Sum != 0 {
		return fmt.Sprintf("%s %d %08x", p.File, p.Size, p.Sum), nil
	}
	f, err := p.Open()
	if err != nil {
		return p.File, err
	}
	defer f.Close()
	digest := sha256.New()
	_, err = io.Copy(digest, f)
	return hex.EncodeToString(digest.Sum(nil)), err
}
