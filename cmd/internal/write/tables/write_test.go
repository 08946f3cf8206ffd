package tables

import (
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
)

// What can't be written ends the run, and names the report.
func TestAReportThatCannotBeWritten(t *testing.T) {
	full := errors.New("disk full")
	_, err := Write(func(string) (io.WriteCloser, error) { return fullDisk{full}, nil }, nighttest.Small(t), nil)
	if !errors.Is(err, full) || !strings.Contains(err.Error(), "findings.csv") {
		t.Errorf("Write: %v; want the full disk, of findings.csv", err)
	}
}

type fullDisk struct{ err error }

func (d fullDisk) Write([]byte) (int, error) { return 0, d.err }
func (d fullDisk) Close() error              { return nil }
