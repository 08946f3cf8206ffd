package main

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"
)

// BenchmarkSecondNight is a night after another one of a yard of 60 vans, by turns
// without photos and with 1,000 of them, of 1,600 by 1,200 px each, in the vans'
// slips. It reports the least time of the processor for each, as other work on the
// machine only adds.
//
//	go test ./cmd/vanwright -run xxx -bench SecondNight -benchtime 7x
func BenchmarkSecondNight(b *testing.B) {
	dir := b.TempDir()
	yards := []struct {
		name   string
		photos int
		least  time.Duration
	}{{"without", 0, time.Hour}, {"with-1000-photos", 1000, time.Hour}}
	night := func(name string) time.Duration {
		began := processorTime(b)
		if status, _, errs := commandLine("run", "--yard", filepath.Join(dir, name), "--out", filepath.Join(dir, name+"-reports"), "--as-of", "2026-03-31", "--quiet"); status != exitDone {
			b.Fatal(errs)
		}
		return processorTime(b) - began
	}
	for _, y := range yards {
		if status, _, errs := commandLine("synth", "--vans", "60", "--sales", "400", "--seed", "7", "--out", filepath.Join(dir, y.name)); status != exitDone {
			b.Fatal(errs)
		}
		takePhotos(b, filepath.Join(dir, y.name), y.photos)
		b.ReportMetric(night(y.name).Seconds(), "s/first-"+y.name)
		shown, err := filepath.Glob(filepath.Join(dir, y.name+"-reports", "photos", "*.jpg"))
		if err != nil || len(shown) != y.photos {
			b.Fatalf("%d photos are shown, %v", len(shown), err)
		}
	}
	for b.Loop() {
		for i := range yards {
			yards[i].least = min(yards[i].least, night(yards[i].name))
		}
	}
	for _, y := range yards {
		b.ReportMetric(y.least.Seconds(), "s/second-"+y.name)
	}
	b.ReportMetric(yards[1].least.Seconds()/yards[0].least.Seconds(), "times")
}

// processorTime is what this process has had of the processors.
func processorTime(b *testing.B) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// takePhotos puts photos into slips, one a van, as many of each van as of another.
func takePhotos(b *testing.B, yard string, photos int) {
	b.Helper()
	if photos == 0 {
		return
	}
	const vans = 50
	r := rand.New(rand.NewPCG(1, 2))
	var pictures [][]byte
	for range 20 {
		pictures = append(pictures, snapshot(b, r))
	}
	if err := os.MkdirAll(filepath.Join(yard, "slips"), 0o750); err != nil {
		b.Fatal(err)
	}
	ids := stockIDs(b, yard)
	for v := range vans {
		var archive bytes.Buffer
		z := zip.NewWriter(&archive)
		add := func(name string, content []byte) {
			f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
			if err != nil {
				b.Fatal(err)
			}
			if _, err := f.Write(content); err != nil {
				b.Fatal(err)
			}
		}
		rows := "stock_id,file,taken_on\n"
		for k := range photos / vans {
			file := fmt.Sprintf("photos/%02d.jpg", k+1)
			rows += fmt.Sprintf("%s,%s,2026-03-30\n", ids[v%len(ids)], file)
			// What stands behind a picture's end is not drawn and makes it one of its own.
			add(file, fmt.Appendf(bytes.Clone(pictures[(v+k)%len(pictures)]), "%d %d", v, k))
		}
		add("photos.csv", []byte(rows))
		add("slip.csv", fmt.Appendf(nil, "slip,made,by\nphotos-%04d,2026-03-30T12:00:00Z,Ann\n", v))
		if err := z.Close(); err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(yard, "slips", fmt.Sprintf("photos-%04d.zip", v)), archive.Bytes(), 0o640); err != nil {
			b.Fatal(err)
		}
	}
}

// snapshot is a JPEG of 1,600 by 1,200 px with as much in it as a real one.
func snapshot(b *testing.B, r *rand.Rand) []byte {
	b.Helper()
	picture := image.NewRGBA(image.Rect(0, 0, 1600, 1200))
	for y := 0; y < 1200; y += 4 {
		for x := 0; x < 1600; x += 4 {
			c := color.RGBA{uint8(x/7 + r.IntN(24)), uint8(y/5 + r.IntN(24)), uint8((x+y)/11 + r.IntN(24)), 255}
			for k := range 16 {
				picture.SetRGBA(x+k%4, y+k/4, c)
			}
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, picture, &jpeg.Options{Quality: 80}); err != nil {
		b.Fatal(err)
	}
	return out.Bytes()
}

// stockIDs reads the stock numbers of a yard's vans that are not sold.
func stockIDs(b *testing.B, yard string) (ids []string) {
	b.Helper()
	text, err := os.ReadFile(filepath.Join(yard, "vans.csv"))
	if err != nil {
		b.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		b.Fatal(err)
	}
	id, status := slices.Index(rows[0], "stock_id"), slices.Index(rows[0], "status")
	for _, row := range rows[1:] {
		if row[status] != "sold" {
			ids = append(ids, row[id])
		}
	}
	return ids
}
