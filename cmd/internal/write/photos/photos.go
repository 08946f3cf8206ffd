// Package photos puts the pictures of a yard's slips beside the reports.
//
// In go pictures as they were handed in; out come small JPEGs, each drawn anew so
// that nothing of what a camera writes into a file is left, and where each
// stands. A picture is known by a key that tells its content apart without
// reading it: one that the reports before had already is taken over from them.
//
//	shown, bad, err := photos.Write(ctx, folder, handedIn)
package photos

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"io"

	scale "golang.org/x/image/draw"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
)

// What becomes of a picture; data says what it may be.
const (
	shownSide = 800 // px of the longer side, at most
	quality   = 75  // of JPEG
)

// Picture is one picture as it was handed in.
type Picture struct {
	Key  string // the same for the same content
	Open func() (io.ReadCloser, error)
}

// Of gives the photos of a yard.
func Of(taken []data.Photo) []Picture {
	out := make([]Picture, len(taken))
	for i, p := range taken {
		key, err := p.Digest()
		if err != nil { // opening it will say so
			key = "unread " + p.File
		}
		out[i] = Picture{Key: key, Open: p.Open}
	}
	return out
}

// Reject rejects those photos of a yard that Write would not be able to show, of the
// ones that are asked about.
func Reject(ctx context.Context, yard *data.Yard, about func(data.Photo) bool) error {
	bad := make([]error, len(yard.Photos))
	err := parallel.Each(ctx, 0, len(bad), func(i int) error {
		if p := yard.Photos[i]; about(p) {
			_, bad[i] = drawAnew(Picture{Open: p.Open})
		}
		return nil
	})
	if err == nil {
		yard.RejectPhotos(bad)
	}
	return err
}

// All is about every photo.
func All(data.Photo) bool { return true }

// Folder takes the files of a new set of reports.
type Folder interface {
	Create(name string) (io.WriteCloser, error)
	// Carry takes a file over from the set before; false where it has none.
	Carry(name string) (bool, error)
}

// Write puts the pictures into the folder, each content once, and returns the
// names of the files in the order of the pictures. A picture that can't be shown
// has no name and an error that says what was expected; the error of Write is the folder's.
func Write(ctx context.Context, to Folder, pictures []Picture) (names []string, bad []error, err error) {
	names, bad = make([]string, len(pictures)), make([]error, len(pictures))
	first := map[string]int{}
	var each []int
	for i, p := range pictures {
		names[i] = name(p.Key)
		if _, ok := first[p.Key]; !ok {
			first[p.Key] = i
			each = append(each, i)
		}
	}
	err = parallel.Each(ctx, 0, len(each), func(k int) error {
		i := each[k]
		if carried, err := to.Carry(names[i]); carried || err != nil {
			return err
		}
		small, err := drawAnew(pictures[i])
		if err != nil {
			bad[i] = err
			return nil
		}
		return put(to, names[i], small)
	})
	for i, p := range pictures {
		if bad[i] = bad[first[p.Key]]; bad[i] != nil {
			names[i] = ""
		}
	}
	return names, bad, err
}

// name is where a picture stands below the reports. The key may hold anything.
func name(key string) string {
	sum := sha256.Sum256([]byte(key))
	return "photos/" + hex.EncodeToString(sum[:10]) + ".jpg"
}

func put(to Folder, name string, content []byte) error {
	f, err := to.Create(name)
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	return errors.Join(err, f.Close())
}

// drawAnew reads a picture, whatever its name, and gives a small JPEG of it.
func drawAnew(p Picture) ([]byte, error) {
	f, err := p.Open()
	if err != nil {
		return nil, err
	}
	defer f.Close()
	content, err := io.ReadAll(io.LimitReader(f, data.MaxPictureBytes+1))
	if err != nil {
		return nil, err
	}
	if err := data.CheckPicture(bytes.NewReader(content), int64(len(content))); err != nil {
		return nil, err
	}
	picture, _, err := image.Decode(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("a whole picture; this one is damaged (%w)", err)
	}
	small := shrunk(picture)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: quality}); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// shrunk scales a picture to what is shown, on white where it is transparent.
func shrunk(from image.Image) image.Image {
	size := from.Bounds().Size()
	longer := max(size.X, size.Y)
	if longer > shownSide {
		size.X, size.Y = max(1, size.X*shownSide/longer), max(1, size.Y*shownSide/longer)
	}
	to := image.NewRGBA(image.Rectangle{Max: size})
	draw.Draw(to, to.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	scale.ApproxBiLinear.Scale(to, to.Bounds(), from, from.Bounds(), draw.Over, nil)
	return to
}
