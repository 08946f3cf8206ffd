package form

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/data"
)

func TestMain(m *testing.M) { browsertest.Main(m) }

// phone is a phone with the form open.
type phone struct {
	*browsertest.Phone
	address string
}

const ready = `typeof here === "string" && !document.querySelector("#ready")`

// openForm opens a new form as a file, with the vans of a yard.
func openForm(t *testing.T, vans ...data.Van) *phone {
	t.Helper()
	file := filepath.Join(t.TempDir(), "form.html")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := Write(f, Yard{Books: builtInBooks(t), Policy: data.DefaultPolicy(), Vans: vans}); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	p := &phone{browsertest.OpenPhone(t, browsertest.File(file)), browsertest.File(file)}
	p.Wait(ready)
	return p
}

// whole asks for the whole walk rather than the short appraisal.
func (p *phone) whole() {
	p.T.Helper()
	p.Do(browsertest.JS(`van.set("full", true); route()`))
}

// step goes to a step by the address, as a link of the page does.
func (p *phone) step(code string) {
	p.T.Helper()
	p.Do(browsertest.JS("location.hash = %q", code))
	p.Wait(fmt.Sprintf("here === %q", code))
}

// slip is what a form ended in.
type slip struct {
	name  string
	files fstest.MapFS
	row   map[string]string // of slip.csv
}

// takeSlip saves the slip of the van on the screen and unpacks it.
func (p *phone) takeSlip() slip {
	p.T.Helper()
	p.step("finish")
	p.Tap("#slip [value=save]")
	name, content := p.Downloaded()
	s := slip{name: name, files: fstest.MapFS{}}
	archive, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		p.T.Fatal(err)
	}
	for _, f := range archive.File {
		r, err := f.Open()
		if err != nil {
			p.T.Fatal(err)
		}
		text, err := io.ReadAll(r) // checks the sum too
		if err != nil {
			p.T.Fatalf("%s: %v", f.Name, err)
		}
		s.files[f.Name] = &fstest.MapFile{Data: text}
	}
	rows := p.table(s, "slip.csv")
	if len(rows) != 1 {
		p.T.Fatalf("slip.csv has %d rows", len(rows))
	}
	s.row = rows[0]
	return s
}

// table reads one table of a slip; none where it is not there.
func (p *phone) table(s slip, name string) (out []map[string]string) {
	p.T.Helper()
	file, ok := s.files[name]
	if !ok {
		return nil
	}
	rows, err := csv.NewReader(bytes.NewReader(file.Data)).ReadAll()
	if err != nil {
		p.T.Fatalf("%s: %v", name, err)
	}
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, c := range row {
			cells[rows[0][i]] = c
		}
		out = append(out, cells)
	}
	return out
}

// takeYard reads the slip's tables as a yard.
func (p *phone) takeYard() *data.Yard {
	p.T.Helper()
	s := p.takeSlip()
	files := fstest.MapFS{}
	for _, name := range []string{"vans.csv", "readings.csv", "documents.csv"} {
		if file, ok := s.files[name]; ok {
			files[name] = file
		}
	}
	yard, err := data.Load(p.Ctx, files, data.LoadOptions{})
	if err != nil {
		p.T.Fatal(err)
	}
	for _, r := range yard.Rejects {
		p.T.Errorf("rejected: %s", r)
	}
	for _, w := range yard.Warnings {
		if !strings.Contains(w, "is missing") {
			p.T.Errorf("warning: %s", w)
		}
	}
	return yard
}
