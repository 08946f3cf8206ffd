package photos

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"strings"
	"sync"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// folder is a set of reports in memory, with the set before it.
type folder struct {
	mu       sync.Mutex
	old, new map[string][]byte
	drawn    int
}

type file struct {
	bytes.Buffer
	name string
	f    *folder
}

func (w *file) Close() error {
	w.f.mu.Lock()
	defer w.f.mu.Unlock()
	w.f.new[w.name] = w.Bytes()
	w.f.drawn++
	return nil
}

func (f *folder) Create(name string) (io.WriteCloser, error) { return &file{name: name, f: f}, nil }

func (f *folder) Carry(name string) (bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	content, ok := f.old[name]
	if ok {
		f.new[name] = content
	}
	return ok, nil
}

func picture(key string, content []byte) Picture {
	return Picture{key, func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(content)), nil }}
}

func drawn(t testing.TB, width, height int, encode func(io.Writer, image.Image) error) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, width, height))
	for x := range width {
		for y := range height {
			m.Set(x, y, color.RGBA{uint8(x), uint8(y), uint8(x + y), 255})
		}
	}
	var b bytes.Buffer
	if err := encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asJPEG(w io.Writer, m image.Image) error { return jpeg.Encode(w, m, nil) }

// hugePNG is the head of a PNG that says it is of a billion pixels (PNG, W3C
// recommendation, 11.2.2).
func hugePNG() []byte {
	head := binary.BigEndian.AppendUint32(nil, 40_000)
	head = binary.BigEndian.AppendUint32(head, 40_000)
	chunk := append([]byte("IHDR"), append(head, 8, 2, 0, 0, 0)...)
	out := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	out = append(out, chunk...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(chunk))
}

func TestPicturesAreSmallAndDrawnAnew(t *testing.T) {
	wide := drawn(t, 1600, 900, asJPEG)
	exif := append([]byte{0xff, 0xd8, 0xff, 0xe1, 0, 20}, "Exif\x00\x00GPSPLACE-52.0"[:18]...)
	f := &folder{new: map[string][]byte{}}
	names, bad, err := Write(t.Context(), f, []Picture{
		picture("a", append(exif, wide[2:]...)), picture("b", drawn(t, 30, 40, png.Encode)), picture("a", wide),
	})
	if err != nil || errors.Join(bad...) != nil {
		t.Fatal(err, bad)
	}
	if names[0] != names[2] || names[0] == names[1] || f.drawn != 2 {
		t.Errorf("names %q of %d files", names, f.drawn)
	}
	for i, want := range map[int]image.Point{0: {800, 450}, 1: {30, 40}} {
		content := f.new[names[i]]
		c, kind, err := image.DecodeConfig(bytes.NewReader(content))
		if err != nil || kind != "jpeg" || c.Width != want.X || c.Height != want.Y {
			t.Errorf("%s is %s of %d by %d, %v; want %v", names[i], kind, c.Width, c.Height, err, want)
		}
		if bytes.Contains(content, []byte("GPSPLACE")) {
			t.Error("the place is still in it")
		}
	}
}

func TestWhatIsNoPicture(t *testing.T) {
	whole := drawn(t, 300, 300, asJPEG)
	for name, tt := range map[string]struct {
		content []byte
		says    string
	}{
		"text":              {[]byte("no picture"), "a JPEG or PNG picture"},
		"nothing":           {nil, "a JPEG or PNG picture"},
		"a GIF":             {[]byte("GIF89a\x01\x00\x01\x00\x80\x00\x00"), "a JPEG or PNG picture"},
		"a bomb of pixels":  {hugePNG(), "not of 40000 by 40000"},
		"too many bytes":    {make([]byte, data.MaxPictureBytes+5), "at most 16 MiB"},
		"cut in the middle": {whole[:len(whole)/2], "a whole picture; this one is damaged"},
	} {
		t.Run(name, func(t *testing.T) {
			f := &folder{new: map[string][]byte{}}
			names, bad, err := Write(t.Context(), f, []Picture{picture("x", tt.content), picture("y", whole)})
			if err != nil {
				t.Fatal(err)
			}
			if names[0] != "" || bad[0] == nil || !strings.Contains(bad[0].Error(), tt.says) {
				t.Errorf("got %q, %v; want %q", names[0], bad[0], tt.says)
			}
			if names[1] == "" || len(f.new) != 1 {
				t.Errorf("the good one beside it: %q, %v", names[1], bad[1])
			}
		})
	}
}

// What the reports before had is neither read nor drawn again.
func TestSecondNightReadsNothing(t *testing.T) {
	f := &folder{new: map[string][]byte{}}
	first := []Picture{picture("a", drawn(t, 90, 60, asJPEG))}
	if _, _, err := Write(t.Context(), f, first); err != nil {
		t.Fatal(err)
	}
	again := &folder{old: f.new, new: map[string][]byte{}}
	unread := Picture{"a", func() (io.ReadCloser, error) { return nil, errors.New("it was opened") }}
	names, bad, err := Write(t.Context(), again, []Picture{unread})
	if err != nil || bad[0] != nil || again.drawn != 0 || again.new[names[0]] == nil {
		t.Errorf("%q, %v, %v, %d drawn", names, bad, err, again.drawn)
	}
}

func FuzzDrawAnew(f *testing.F) {
	f.Add(drawn(f, 9, 9, asJPEG))
	f.Add(drawn(f, 9, 9, png.Encode))
	f.Add(hugePNG())
	f.Fuzz(func(t *testing.T, content []byte) {
		small, err := drawAnew(picture("x", content)) // must not panic
		if err == nil && len(small) == 0 {
			t.Error("no picture and no error")
		}
	})
}
