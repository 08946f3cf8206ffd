package form

import (
	"fmt"
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

// takeSlip saves the slip of the van on the screen.
func (p *phone) takeSlip() browsertest.Slip {
	p.T.Helper()
	p.step("finish")
	s := p.TakeSlip()
	if rows := s.Table("slip.csv"); len(rows) != 1 {
		p.T.Fatalf("slip.csv has %d rows", len(rows))
	}
	return s
}

// takeYard reads the slip's tables as a yard.
func (p *phone) takeYard() *data.Yard {
	p.T.Helper()
	s := p.takeSlip()
	files := fstest.MapFS{}
	for _, name := range []string{"vans.csv", "readings.csv", "documents.csv"} {
		if file, ok := s.Files[name]; ok {
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
