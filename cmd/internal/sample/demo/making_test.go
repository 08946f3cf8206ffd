package demo

import (
	"bytes"
	"encoding/csv"
	"flag"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/sample/synth"
	"github.com/vanwright/vanwright/data"
)

var update = flag.Bool("update", false, "write yard/readings.csv, documents.csv and sales.csv anew")

// seed of the ordinary rows; another one gives another yard.
const seed = 31

const (
	pastSales  = 400
	paperShare = 0.75 // three in four of the usual papers: a yard has to ask
)

func TestMadeFilesAreUpToDate(t *testing.T) {
	for name, want := range made(t) {
		path := "yard/" + name
		if *update {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what the stories and the generator make; run go generate", path)
		}
	}
}

// made returns the three files that are not written by hand.
func made(t *testing.T) map[string][]byte {
	readings, documents := newMaking(t, "readings.csv"), newMaking(t, "documents.csv")
	storyReadings, storyDocuments := story(t, "readings.csv"), story(t, "documents.csv")
	vans := vans(t)

	for n, row := range story(t, "inspections.csv") {
		inspection := synth.Inspection{
			Case:      synth.Case{Van: vans[row.field(0)], Grade: row.whole(t, 3)},
			On:        row.date(t, 1),
			Inspector: row.field(2),
			Thorough:  row.number(t, 4),
		}
		without := strings.Split(row.field(5), ";")
		addReadings(readings, storyReadings, inspection, n)
		addDocuments(documents, storyDocuments, inspection, without, n)
	}
	addOrphans(readings, storyReadings, vans)
	return map[string][]byte{"readings.csv": readings.bytes(), "documents.csv": documents.bytes(), "sales.csv": sales(t)}
}

// making is a table that is made of ordinary rows and of rows of a story, which
// stand in it as they were written.
type making struct {
	*synth.Table
	t   *testing.T
	out *bytes.Buffer
}

func newMaking(t *testing.T, name string) making {
	out := new(bytes.Buffer)
	return making{synth.NewTable(out, name), t, out}
}

func (m making) asWritten(row string) {
	m.bytes()
	m.out.WriteString(row + "\n")
}

func (m making) bytes() []byte {
	if err := m.Flush(); err != nil {
		m.t.Fatal(err)
	}
	return m.out.Bytes()
}

// addReadings writes what an inspection would ordinarily find, less the points
// of which the van has a story, and then the story.
func addReadings(table making, stories []line, in synth.Inspection, n int) {
	stories = of(stories, in.Van.StockID)
	for _, r := range synth.Readings(synth.NewDraws(seed, 1, n), in, nil) {
		told := slices.ContainsFunc(stories, func(l line) bool {
			return l.field(3) == r.Checkpoint && l.field(4) == r.Position
		})
		if !told {
			table.Reading(r)
		}
	}
	for _, l := range stories {
		table.asWritten(l.raw)
	}
}

// addDocuments writes the papers that would ordinarily come with the van, less
// those of a kind of which it has a story, those that cover, or are, what it is
// to be without, the leaflets of each appliance and the older yearly tests, which
// would only fill pages, and those only promised: a promise is a story.
func addDocuments(table making, stories []line, in synth.Inspection, without []string, n int) {
	stories = of(stories, in.Van.StockID)
	tested := false
	for _, p := range synth.Papers(synth.NewDraws(seed, 2, n), in.Case, in.On, paperShare, nil) {
		told := slices.ContainsFunc(stories, func(l line) bool { return l.field(1) == p.Kind })
		missing := slices.ContainsFunc(without, func(w string) bool {
			return w == p.Kind || slices.Contains(p.Covers, w)
		})
		leaflet := p.Kind == "key-code" || p.Kind == "handbook" && p.Covers != nil
		older := p.Kind == "mot" && tested // the last test comes first
		tested = tested || p.Kind == "mot"
		if !told && !missing && !leaflet && !older && p.Held != "promised" {
			table.Document(p)
		}
	}
	for _, l := range stories {
		table.asWritten(l.raw)
	}
}

// addOrphans appends the story rows of stock numbers that are not in the yard.
func addOrphans(table making, stories []line, vans map[string]data.Van) {
	for _, l := range stories {
		if _, ok := vans[l.field(0)]; !ok {
			table.asWritten(l.raw)
		}
	}
}

// sales writes past sales of the made-up market, with the story rows after the
// sale they name.
func sales(t *testing.T) []byte {
	table := newMaking(t, "sales.csv")
	spec := synth.NewSpec(1, pastSales, seed, AsOf)
	stories := story(t, "sales.csv")
	for n := range pastSales {
		s := spec.NewSale(new(synth.Draws), n)
		table.Sale(s)
		for _, l := range of(stories, s.SaleID) {
			table.asWritten(l.field(1))
		}
	}
	return table.bytes()
}

// vans reads as much of vans.csv as the ordinary rows depend on.
func vans(t *testing.T) map[string]data.Van {
	vans := map[string]data.Van{}
	column := map[string]int{}
	all := lines(t, "yard/vans.csv")
	for i, name := range all[0].fields {
		column[name] = i
	}
	for _, l := range all[1:] {
		id := l.field(0)
		mileage, err := strconv.Atoi(l.field(column["mileage"]))
		if _, again := vans[id]; again || err != nil {
			continue // a bad row
		}
		vans[id] = data.Van{
			StockID: id, Maker: l.field(column["maker"]), Model: l.field(column["model"]),
			Body:            data.Body(l.field(column["body"])),
			FirstRegistered: l.date(t, column["first_registered"]),
			Mileage:         mileage,
			Keepers:         data.Some(l.whole(t, column["keepers"])),
			Keys:            data.Some(l.whole(t, column["keys"])),
			Equipment:       strings.Split(l.field(column["equipment"]), ";"),
		}
	}
	return vans
}

// line is one line of a hand-written table.
type line struct {
	raw    string
	fields []string
}

func story(t *testing.T, name string) []line { return lines(t, "story/"+name)[1:] }

// lines reads a table of one line a row, its header first.
func lines(t *testing.T, path string) []line {
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var list []line
	for raw := range strings.Lines(string(content)) {
		raw = strings.TrimSuffix(raw, "\n")
		fields, err := csv.NewReader(strings.NewReader(raw)).Read()
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		list = append(list, line{raw, fields})
	}
	return list
}

func of(list []line, key string) []line {
	var some []line
	for _, l := range list {
		if l.fields[0] == key {
			some = append(some, l)
		}
	}
	return some
}

func (l line) field(i int) string { return l.fields[i] }

func (l line) whole(t *testing.T, i int) int {
	n, err := strconv.Atoi(l.fields[i])
	if err != nil {
		t.Fatalf("%s: %v", l.raw, err)
	}
	return n
}

func (l line) number(t *testing.T, i int) float64 {
	f, err := strconv.ParseFloat(l.fields[i], 64)
	if err != nil {
		t.Fatalf("%s: %v", l.raw, err)
	}
	return f
}

func (l line) date(t *testing.T, i int) data.Date {
	d, err := data.ParseDate(l.fields[i])
	if err != nil {
		t.Fatalf("%s: %v", l.raw, err)
	}
	return d
}
