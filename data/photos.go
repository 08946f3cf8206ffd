package data

import (
	"cmp"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// Photo is one row of photos.csv: a picture of a van, or of one point of it.
type Photo struct {
	StockID    string
	Checkpoint string // blank: of the van as a whole
	Position   string
	TakenOn    Date
	Note       string
	Customer   bool   // may be shown on a customer's papers
	File       string // as in slips/A1/photos/1.jpg
	Size       int64  // bytes
	Source     Source

	picture photoFile
	row     string // of photos.csv, as read
}

// Open opens the picture. It may have gone since the yard was read.
func (p Photo) Open() (io.ReadCloser, error) {
	if p.picture.open == nil {
		return nil, fmt.Errorf("%s: %w", p.File, fs.ErrNotExist)
	}
	return p.picture.open()
}

// Digest is the same for the same content, wherever it stands. A picture in a zip
// need not be read for it.
func (p Photo) Digest() (string, error) {
	if p.picture.open == nil {
		return "", fmt.Errorf("%s: %w", p.File, fs.ErrNotExist)
	}
	return p.picture.digest()
}

// RejectPhotos makes rejects of photos that turned out to be no pictures when somebody
// wanted to see them. why is by their place in y.Photos; nil: it is a good one.
func (y *Yard) RejectPhotos(why []error) {
	place := map[string]int{}
	for i, in := range y.Inputs {
		if _, ok := place[in.Name]; !ok {
			place[in.Name] = i
		}
	}
	var kept []Photo
	for i, p := range y.Photos {
		if why[i] == nil {
			kept = append(kept, p)
			continue
		}
		y.Rejects = append(y.Rejects, Reject{
			File: p.Source.File, Line: p.Source.Line, Column: "file", Value: csvtable.Shorten(path.Base(p.File)),
			Expected: why[i].Error(), Rule: "file.picture", Row: p.row,
		})
		in := &y.Inputs[place[p.Source.File]]
		in.Accepted--
		in.Rejected++
	}
	y.Photos = kept
	slices.SortStableFunc(y.Rejects, func(a, b Reject) int {
		return cmp.Or(cmp.Compare(place[a.File], place[b.File]), cmp.Compare(a.Line, b.Line))
	})
}

// photosTable is the table of pictures.
const photosTable = "photos.csv"

// ownPictures are the pictures in the yard's own folder of them.
func ownPictures(fsys fs.FS) map[string]photoFile {
	entries, err := fs.ReadDir(fsys, photosFolder)
	if err != nil {
		return nil // none; a row of photos.csv says what it lacks
	}
	out := map[string]photoFile{}
	for _, e := range entries {
		name := path.Join(photosFolder, e.Name())
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
			out[name] = photoFile{info.Size(), 0, func() (io.ReadCloser, error) { return fsys.Open(name) }}
		}
	}
	return out
}

// rawPhoto is a row of photos.csv as it was read.
type rawPhoto struct {
	StockID    string `csv:"stock_id" need:"yes"`
	Checkpoint string `csv:"checkpoint"`
	Position   string `csv:"position"`
	File       string `csv:"file" need:"yes"`
	TakenOn    string `csv:"taken_on"`
	Note       string `csv:"note"`
	Customer   string `csv:"customer"`
}

// photoKey keeps photos apart.
var photoKey = uniqueKey[Photo]{
	column: "file",
	value:  func(p *Photo) string { return p.File },
	of: func(p *Photo) string {
		return strings.Join([]string{p.File, p.StockID, p.Checkpoint, p.Position}, "\x00")
	},
	shown:  func(p *Photo) string { return p.File },
	source: func(p *Photo) *Source { return &p.Source },
	same: func(a, b *Photo) bool {
		return a.TakenOn == b.TakenOn && a.Note == b.Note && a.Customer == b.Customer
	},
}

// comparePhotos is the order of Yard.Photos. It does not hang on where a photo
// came from, unless two say the same.
func comparePhotos(a, b Photo) int {
	return cmp.Or(strings.Compare(a.StockID, b.StockID), strings.Compare(a.Checkpoint, b.Checkpoint), strings.Compare(a.Position, b.Position),
		cmp.Compare(a.TakenOn, b.TakenOn), strings.Compare(path.Base(a.File), path.Base(b.File)), strings.Compare(a.File, b.File))
}

// parsePhotos returns a parser of the photos.csv of a slip, or of the yard,
// whose pictures are given.
func parsePhotos(vans *vanIndex, books *Books, in string, pictures map[string]photoFile) rowParser[rawPhoto, Photo] {
	points := readingParser{vans: vans, books: books}
	return func(raw *rawPhoto, c *cells, at Source) Photo {
		p := Photo{
			StockID:  vans.find(c, raw.StockID),
			TakenOn:  c.past("taken_on", raw.TakenOn),
			Note:     c.note("note", raw.Note),
			Customer: c.yesNo("customer", raw.Customer),
			Source:   at,
		}
		if trim(raw.Checkpoint) != "" {
			if checkpoint, ok := points.checkpoint(c, raw.Checkpoint); ok {
				p.Checkpoint, p.Position = checkpoint.Code, readPosition(c, checkpoint, raw.Position)
			}
		}
		if !c.need("file", raw.File, "the name of a picture in "+photosFolder) {
			return p
		}
		name := trim(raw.File)
		if !strings.HasPrefix(name, photosFolder+"/") {
			name = photosFolder + "/" + name
		}
		picture, ok := pictures[name]
		if !ok {
			c.refuse("file", raw.File, "file.missing", "a picture that is there in "+photosFolder)
			return p
		}
		if err := picture.check(); err != nil {
			c.refuse("file", raw.File, "file.picture", err.Error())
			return p
		}
		p.File, p.Size, p.picture = strings.Clone(path.Join(in, name)), picture.size, picture
		return p
	}
}
