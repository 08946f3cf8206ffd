package data

import (
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	_ "image/jpeg" // pictures may be JPEG
	_ "image/png"  // or PNG
	"io"
)

// What a picture of the yard may be at most.
const (
	MaxPictureBytes  = 16 << 20
	maxPicturePixels = 50_000_000
)

// CheckPicture says why a file is no picture that is taken: by what it begins with,
// not by its name, and by none of its pixels. nil: it may be one.
func CheckPicture(r io.Reader, size int64) error {
	if size > MaxPictureBytes {
		return fmt.Errorf("a picture of at most %d MiB", MaxPictureBytes>>20)
	}
	c, kind, err := image.DecodeConfig(r)
	switch {
	case err != nil || kind != "jpeg" && kind != "png":
		return errors.New("a JPEG or PNG picture")
	case c.Width < 1 || c.Height < 1 || c.Width > maxPicturePixels/c.Height:
		return fmt.Errorf("a picture of at most %d million pixels, not of %d by %d", maxPicturePixels/1_000_000, c.Width, c.Height)
	}
	return nil
}

// photoFile is a picture that was not yet opened.
type photoFile struct {
	size int64
	sum  uint32 // CRC-32 of the content; 0: not known yet
	open func() (io.ReadCloser, error)
}

// check says why it is no picture.
func (p photoFile) check() error {
	f, err := p.open()
	if err != nil {
		return errors.New("a picture that can be read")
	}
	return errors.Join(CheckPicture(f, p.size), f.Close())
}

// digest tells the content apart: by its size and its CRC-32, for which a picture is
// read that does not stand in a zip.
func (p photoFile) digest() (string, error) {
	if p.sum == 0 {
		f, err := p.open()
		if err != nil {
			return "", err
		}
		sum := crc32.NewIEEE()
		p.size, err = io.Copy(sum, f)
		if err = errors.Join(err, f.Close()); err != nil {
			return "", err
		}
		p.sum = sum.Sum32()
	}
	return fmt.Sprintf("%d %08x", p.size, p.sum), nil
}
