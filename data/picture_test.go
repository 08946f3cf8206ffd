package data

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// picture is a PNG of one point.
var picture = func() string {
	var out bytes.Buffer
	if err := png.Encode(&out, image.NewGray(image.Rect(0, 0, 1, 1))); err != nil {
		panic(err)
	}
	return out.String()
}()

// A picture that is none is a reject, as a row of any table.
func TestBadPictureIsAReject(t *testing.T) {
	files := map[string]string{
		"slip.csv":     slipRow("slip-000a", 1),
		"photos.csv":   "stock_id,checkpoint,file\nV1,,1.png\nV1,,2.png\nV1,awning,1.png\nV2,,3.png\n",
		"photos/1.png": "a text", "photos/2.png": picture, "photos/3.png": picture[:20],
	}
	y := mustLoad(t, withSlips(yardOf(), map[string]any{"x": files}))
	var got []string
	for _, r := range y.Rejects {
		got = append(got, r.String()+" ["+r.Row+"]")
	}
	want := []string{
		`slips/x/photos.csv:2: column "file": "1.png": expected a JPEG or PNG picture [V1,,1.png]`,
		`slips/x/photos.csv:4: column "file": "1.png": expected a JPEG or PNG picture [V1,awning,1.png]`,
		`slips/x/photos.csv:5: column "file": "3.png": expected a JPEG or PNG picture [V2,,3.png]`,
	}
	if !slices.Equal(got, want) || len(y.Photos) != 1 {
		t.Errorf("%d photos; rejects\n%s\nwant\n%s", len(y.Photos), strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// One that turns out to be none when it is drawn is a reject then.
func TestPhotoIsRejectedLater(t *testing.T) {
	files := map[string]string{
		"slip.csv":   slipRow("slip-000a", 1),
		"photos.csv": "stock_id,file,note\nV9,1.png,\nV1,1.png,\"of the roof, wet\"\nV2,1.png,\nV9,1.png,\n", "photos/1.png": picture,
	}
	y := mustLoad(t, withSlips(yardOf("costs.csv", "stock_id,on,kind,cost\nV9,2026-03-08,transport,80\n"), map[string]any{"x": files}))
	y.RejectPhotos([]error{bytes.ErrTooLarge, nil})
	var got []string
	for _, r := range y.Rejects {
		got = append(got, fmt.Sprintf("%s:%d", r.File, r.Line)+" "+r.Rule+" "+r.Row)
	}
	want := []string{
		"costs.csv:2 stock_id.unknown V9,2026-03-08,transport,80", "slips/x/photos.csv:2 stock_id.unknown V9,1.png,",
		"slips/x/photos.csv:3 file.picture V1,1.png,\"of the roof, wet\"", "slips/x/photos.csv:5 stock_id.unknown V9,1.png,",
	}
	if !slices.Equal(got, want) || len(y.Photos) != 1 || y.Photos[0].StockID != "V2" {
		t.Errorf("photos %v; rejects\n%s\nwant\n%s", y.Photos, strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for _, in := range y.Inputs {
		if in.Read != in.Accepted+in.Rejected || in.Name == "slips/x/photos.csv" && in.Rejected != 3 {
			t.Errorf("%+v", in)
		}
	}
}

// A slip says the same in a folder and in a zip, its pictures too.
func TestFolderAndZipSayTheSame(t *testing.T) {
	files := map[string]string{
		"slip.csv":   slipRow("slip-000a", 1),
		"photos.csv": "stock_id,file\nV1,1.png\n", "photos/1.png": picture,
	}
	var parts []string
	for name, text := range files {
		parts = append(parts, name, text)
	}
	read := func(slips map[string]any) (Photo, string) {
		y := mustLoad(t, withSlips(yardOf(), slips))
		digest, err := y.Photos[0].Digest()
		if err != nil {
			t.Fatal(err)
		}
		p := y.Photos[0]
		p.picture = photoFile{}
		return p, digest
	}
	inFolder, folderDigest := read(map[string]any{"x": files})
	inZip, zipDigest := read(map[string]any{"x.zip": zipOf(t, parts...)})
	if !reflect.DeepEqual(inFolder, inZip) || folderDigest != zipDigest {
		t.Errorf("in a folder %+v %s, in a zip %+v %s", inFolder, folderDigest, inZip, zipDigest)
	}
	yard := withSlips(fstest.MapFS{}, map[string]any{"x": files})
	yard["vans.csv"] = yardOf()["vans.csv"]
	yard["photos.csv"], yard["photos/1.png"] = yard["slips/x/photos.csv"], yard["slips/x/photos/1.png"]
	delete(yard, "slips/x/photos.csv")
	if own, err := mustLoad(t, yard).Photos[0].Digest(); err != nil || own != zipDigest {
		t.Errorf("in the yard itself %s, %v; in a zip %s", own, err, zipDigest)
	}
}
