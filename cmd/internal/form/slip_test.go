package form

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
)

func contains(s, part string) bool { return strings.Contains(s, part) }

func TestSlipSaysWhoAndWhen(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.Type("#f-inspector", "Una Marl")
	first := p.takeSlip()
	row := func(s browsertest.Slip) map[string]string { return s.Table("slip.csv")[0] }
	if !regexp.MustCompile(`^[A-Za-z0-9-]{8,64}$`).MatchString(row(first)["slip"]) || first.Name != row(first)["slip"]+".zip" {
		t.Errorf("slip %q in %q", row(first)["slip"], first.Name)
	}
	if made, err := time.Parse(time.RFC3339, row(first)["made"]); err != nil || time.Since(made).Abs() > time.Minute {
		t.Errorf("made %q: %v", row(first)["made"], err)
	}
	if row(first)["by"] != "Una Marl" {
		t.Errorf("by %q", row(first)["by"])
	}
	if again := p.takeSlip(); row(again)["slip"] != row(first)["slip"] || row(again)["made"] != row(first)["made"] {
		t.Error("the same content has another slip id")
	}
	p.step("van")
	p.Pick("#f-mileage", "41201")
	if other := p.takeSlip(); row(other)["slip"] == row(first)["slip"] {
		t.Error("other content has the same slip id")
	}
	p.Quiet()
}

// withPlace puts an EXIF block with a place into a JPEG, as a phone's camera
// does (Exif 2.3: APP1, TIFF header, a GPS directory).
func withPlace(t *testing.T, picture image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture, nil); err != nil {
		t.Fatal(err)
	}
	exif := []byte("Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x01\x88\x25\x00\x04\x00\x00\x00\x01\x00\x00\x00\x1a\x00\x00\x00\x00" +
		"\x00\x01\x00\x01\x00\x02\x00\x00\x00\x02N\x00\x00\x00\x00\x00\x00\x00GPSPLACE-52.0")
	block := append([]byte{0xff, 0xe1, byte((len(exif) + 2) >> 8), byte(len(exif) + 2)}, exif...)
	return append(append([]byte{0xff, 0xd8}, block...), b.Bytes()[2:]...)
}

func TestPhotosAreDrawnAnewWithoutThePlace(t *testing.T) {
	wide := image.NewRGBA(image.Rect(0, 0, 3200, 1200))
	for x := range 3200 {
		for y := range 1200 {
			wide.Set(x, y, color.RGBA{uint8(x), uint8(y), uint8(x * y), 255})
		}
	}
	dir := t.TempDir()
	save := func(name string, content []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, content, 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	var small bytes.Buffer
	if err := png.Encode(&small, image.NewRGBA(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	phone1, small1, text := save("a.jpg", withPlace(t, wide)), save("b.png", small.Bytes()), save("c.jpg", []byte("no picture"))
	p := openForm(t)
	p.identify()
	p.whole()
	p.step("zone-outside")
	p.Tap("#wipers .verdicts label:nth-child(2)")
	p.Tap("#wipers .foot summary")
	p.Do(chromedp.SetUploadFiles(chromedp.CSS("#wipers [type=file]"), []string{phone1}))
	p.Wait("document.querySelectorAll('#wipers .shots img').length === 1")
	p.Tap("#wipers .shots [type=checkbox]")
	p.step("van")
	p.Do(chromedp.SetUploadFiles(chromedp.CSS("#van-photos [type=file]"), []string{small1, text}))
	p.Wait("!document.querySelector('#van-photos .bad').hidden")
	p.Reload(ready)
	s := p.takeSlip()
	p.Quiet()
	rows := s.Table("photos.csv")
	var got []string
	for _, r := range rows {
		got = append(got, fmt.Sprintf("%s|%s|%s|%s", r["stock_id"], r["checkpoint"], r["file"], r["customer"]))
	}
	want := "AB01CDE|wipers|photos/01.jpg|yes AB01CDE||photos/02.jpg|"
	if strings.Join(got, " ") != want {
		t.Errorf("photos.csv says %q, want %q", got, want)
	}
	for i, side := range []int{1600, 40} {
		file := s.Files[rows[i]["file"]]
		if file == nil {
			t.Fatalf("%s is not in the slip", rows[i]["file"])
		}
		c, kind, err := image.DecodeConfig(bytes.NewReader(file.Data))
		if err != nil || kind != "jpeg" || max(c.Width, c.Height) != side {
			t.Errorf("photo %d is %s of %d by %d, %v", i, kind, c.Width, c.Height, err)
		}
		if bytes.Contains(file.Data, []byte("Exif")) || bytes.Contains(file.Data, []byte("GPSPLACE")) {
			t.Error("what the camera wrote is still in it")
		}
	}
}

// Sixty photos of a van are taken, the next one is refused in words.
func TestSixtyPhotosOfAVan(t *testing.T) {
	p := openForm(t)
	p.identify()
	path := filepath.Join(t.TempDir(), "a.png")
	var small bytes.Buffer
	if err := png.Encode(&small, image.NewRGBA(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, small.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	for n := 1; n <= 61; n++ {
		p.Do(chromedp.SetUploadFiles(chromedp.CSS("#van-photos [type=file]"), []string{path}))
		if n <= 60 {
			p.Wait(fmt.Sprintf("document.querySelectorAll('#van-photos .shots img').length === %d", n))
		}
	}
	p.Wait("document.querySelector('#van-photos .bad').textContent === '60 photos of one van at most.'")
	if rows := p.takeSlip().Table("photos.csv"); len(rows) != 60 {
		t.Errorf("%d photos are in the slip", len(rows))
	}
	p.Quiet()
}

// What cannot be is refused with what was likely meant.
func TestDidYouMean(t *testing.T) {
	const noCode = "No tyre has this code: it is the week and the year, such as 2319."
	p := openForm(t)
	p.identify() // the visit is on 9 March 2026
	for _, tt := range []struct{ point, typed, text, problem, meant string }{
		{"tyre-tread", "29", "", "A number from 0 to 16.", "2.9"},
		{"starter-battery", "125", "", "A number from 0 to 16.", "12.5"},
		{"tyre-code", "2319", "2319", "", ""},
		{"tyre-code", "2350", "", noCode, "5023"}, // year and week have changed places
		{"tyre-code", "919", "", noCode, "0919"},
		{"tyre-code", "9923", "", noCode, ""},
		{"tyre-code", "1126", "1126", "", ""},     // made on the day of the visit
		{"tyre-code", "1226", "", noCode, "2612"}, // a week later
		{"gas-hose-date", "04/2021", "2021-04", "", ""},
		{"gas-hose-date", "Apr 2021", "2021-04", "", ""},
		{"gas-hose-date", "2021-04-17", "2021-04-17", "", ""}, // kept by an older form
		{"gas-hose-date", "2026-03", "2026-03", "", ""},
		{"gas-hose-date", "2026-04", "", "A month from Mar 1976 to Mar 2026.", ""},
		{"gas-hose-date", "13/2021", "", "A month and a year such as 04/2021.", ""},
		{"co-alarm-expiry", "2031-06", "2031-06", "", ""},
		{"co-alarm-expiry", "2062-06", "", "A month from Mar 1986 to Mar 2041.", ""},
	} {
		type read struct{ Text, Problem, Meant string }
		got := browsertest.Ask[read](p.Phone, fmt.Sprintf("readValue(points.get(%q), %q)", tt.point, tt.typed))
		if want := (read{tt.text, tt.problem, tt.meant}); got != want {
			t.Errorf("%s of %s is read as %+v, want %+v", tt.point, tt.typed, got, want)
		}
	}
	p.Quiet()
}

// The value that was likely meant is one tap away, and nothing is handed in before.
func TestImpossibleValueIsMendedByATap(t *testing.T) {
	p := openForm(t)
	p.identify()
	p.whole()
	p.step("wheel-nearside-front")
	p.Type("#tyre-tread .value input", "29")
	p.Type("#tyre-code .value input", "2350")
	p.step("finish")
	if !browsertest.Ask[bool](p.Phone, "document.querySelector('#slip [value=save]').disabled") {
		t.Error("29 mm of tread may be handed in")
	}
	p.step("wheel-nearside-front")
	if said := browsertest.Ask[string](p.Phone, "document.querySelector('#tyre-tread .meant').textContent"); said != "Did you mean 2.9?" {
		t.Errorf("it asks %q", said)
	}
	if said := browsertest.Ask[string](p.Phone, "document.querySelector('#zone-count').textContent"); said != "0 of 13 looked at here" {
		t.Errorf("of two values that can't be it says %q", said)
	}
	p.Shoot("form-meant")
	p.Tap("#tyre-tread .meant")
	p.Tap("#tyre-code .meant")
	got := ""
	for _, r := range p.takeSlip().Table("readings.csv") {
		got += r["checkpoint"] + " " + r["value"] + ", "
	}
	if got != "tyre-tread 2.9, tyre-code 5023, " {
		t.Errorf("got %s", got)
	}
	p.Quiet()
	// Data refuses the same codes with the same words: TestTyreCodesThatCannotBe.
	for code, want := range map[string]string{"5320": "5320", "5319": "did you mean 3519", "0099": "a problem", "1923": "1923", "814": "did you mean 0814"} {
		got := browsertest.Ask[string](p.Phone, `(() => {
			const r = readValue(points.get("tyre-code"), "`+code+`");
			return r.problem ? (r.meant ? "did you mean " + r.meant : "a problem") : r.text;
		})()`)
		if got != want {
			t.Errorf("tyre code %s: %q, want %q", code, got, want)
		}
	}
}
