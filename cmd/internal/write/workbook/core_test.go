package workbook

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
)

// Every element of the document's properties carries the prefix of its namespace: a
// reader that does not know the default namespace there refuses the whole workbook.
func TestDocumentPropertiesCarryTheirPrefix(t *testing.T) {
	m := nighttest.Folder{}
	if err := Write(m.Create, nighttest.Small(t)); err != nil {
		t.Fatal(err)
	}
	content := m[Name].Bytes()
	z, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := z.Open(coreName)
	if err != nil {
		t.Fatal(err)
	}
	core, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"<cp:coreProperties ", "<cp:lastModifiedBy>vanwright</cp:lastModifiedBy>", "<dc:creator>vanwright</dc:creator>"} {
		if !strings.Contains(string(core), want) {
			t.Errorf("%s lacks %s: %s", coreName, want, core)
		}
	}
}
