package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// limited is a check of a yard in a process that is given so many MiB. (What
// getrusage(2) says of a child's memory counts that of the parent before the exec.)
func limited(t *testing.T, mebibytes, yard string) (string, error) {
	t.Helper()
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no shell that sets limits here:", err)
	}
	cmd := vanwright(t, "check", "--yard", yard, "--as-of", "2026-03-09")
	cmd.Args = append([]string{sh, "-c", `ulimit -d $((` + mebibytes + ` * 1024)) && exec "$0" "$@"`, cmd.Path}, cmd.Args[1:]...)
	cmd.Path = sh
	cmd.Env = append(os.Environ(), "GOMAXPROCS=2") // each thread's stack counts
	said, err := cmd.CombinedOutput()
	return string(said), err
}

// monster is a yard with a table of so many bytes: a head, and one text over and over.
func monster(t *testing.T, table, head, text string, size int64) (yard string) {
	t.Helper()
	yard = usualYard().write(t)
	f, err := os.Create(filepath.Join(yard, table))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	chunk := strings.Repeat(text, max(1, 1<<20/len(text)))
	if _, err := io.WriteString(f, head); err != nil {
		t.Fatal(err)
	}
	for written := int64(0); written < size; written += int64(len(chunk)) {
		if _, err := io.WriteString(f, chunk); err != nil {
			t.Skip("no room for a monster here:", err)
		}
	}
	return yard
}

// TestWhatIsRefusedTakesLittleMemory reads tables of nearly a GiB of which no row can be
// used, in a process that is given half as much.
func TestWhatIsRefusedTakesLittleMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("writes tables of a GiB")
	}
	if said, err := limited(t, "512", usualYard().write(t)); err != nil { // else a refusal below might be the limit's
		t.Fatalf("the usual yard in 512 MiB: %v\n%s", err, said)
	}
	const readings = "stock_id,taken_on,checkpoint,position,value,verdict,note\n"
	const nearly = 1<<30 - 4<<20
	for _, c := range []struct {
		name, table, head, text string
		size                    int64
		status                  int
		says                    string
	}{
		{"a header", "vans.csv", "", "x", nearly, exitFailed, "vans.csv lacks the required columns"},
		{"one row", "readings.csv", readings, "x", nearly, exitDone, "readings.csv:2: expected a line of at most 1048576 bytes"},
		{"one quoted cell", "readings.csv", readings + `A1,"`, "x", nearly, exitDone, "readings.csv: 1 read, 0 accepted, 1 rejected"},
		{"a quoted cell of many lines", "readings.csv", readings + `A1,"`, "xxxxxxx\n", nearly, exitFailed, "more than 100000 rows are rejected"},
		{"rows that are none", "readings.csv", readings, "x\n", nearly, exitFailed, "more than 100000 rows are rejected"},
		{"rows about no van", "readings.csv", readings, "ZZ,2026-03-01,damp,offside-rear-low,18,,\n", nearly, exitFailed, "more than 100000 rows are rejected"},
		{"rows of a megabyte", "readings.csv", readings, strings.Repeat("y", 1_000_000) + "\n", nearly, exitFailed, "rows of more than 64 MiB are rejected"},
		{"commas", "readings.csv", readings, ",", nearly, exitDone, "rows without anything in any cell were left out: 1"},
		{"blank rows", "readings.csv", readings, ",,,,,,\n", nearly, exitFailed, "has more than 4194304 lines without anything in them"},
		{"thirty million empty lines", "readings.csv", readings, "\n", 30_000_000, exitFailed, "has more than 4194304 lines without anything in them"},
		{"carriage returns", "readings.csv", readings, "\r", nearly, exitFailed, "has more than 4194304 lines without anything in them"},
		{"UTF-16", "readings.csv", "\xff\xfe" + utf16Text(readings), utf16Text("x\n"), nearly, exitFailed, "more than 100000 rows are rejected"},
		{"Windows-1252", "readings.csv", readings, "\x80\x80\x80\n", nearly, exitFailed, "more than 100000 rows are rejected"},
		{"as much as is read at once", "readings.csv", readings, "x\n", 15 << 20, exitFailed, "more than 100000 rows are rejected"},
		{"a book", "parts.csv", "part,title,unit_cost\n", "x\n", nearly, exitFailed, "parts.csv is larger than 8 MiB, the most that is read of a book"},
		{"a book within that", "parts.csv", "part,title,unit_cost\n", "x\n", 6 << 20, exitFailed, "and more than 1000 more"},
	} {
		t.Run(c.name, func(t *testing.T) {
			yard := monster(t, c.table, c.head, c.text, c.size)
			said, err := limited(t, "512", yard)
			if err := os.RemoveAll(yard); err != nil {
				t.Error(err)
			}
			status := exitDone
			if failed := (*exec.ExitError)(nil); errors.As(err, &failed) {
				status = failed.ExitCode()
			} else if err != nil {
				t.Fatal(err)
			}
			if status != c.status || !strings.Contains(said, c.says) {
				t.Errorf("status %d, want %d and %q:\n%.2000s", status, c.status, c.says, said)
			}
		})
	}
}

// TestWhatIsRefusedForSeveralTablesTakesLittleMemory has yards in which no table alone
// has too many bad rows, or whose vans alone are a large table.
func TestWhatIsRefusedForSeveralTablesTakesLittleMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("writes large yards")
	}
	const bad = 99_000 // of the 100,000 that may be rejected
	const vanRow = "V%d,Larkfield,Rothmere 540,low-profile,2018-04-02,31000,owned\n"
	yardOf := func(t *testing.T, vans int) string {
		yard := t.TempDir()
		var text strings.Builder
		text.WriteString("stock_id,maker,model,body,first_registered,mileage,status\n")
		for i := range vans {
			fmt.Fprintf(&text, vanRow, i)
		}
		writeFile(t, filepath.Join(yard, "vans.csv"), text.String())
		return yard
	}
	for _, c := range []struct {
		name string
		yard func(*testing.T) string
		says string
	}{
		{"nine tables of bad rows", func(t *testing.T) string {
			yard := yardOf(t, 1)
			for _, table := range data.Tables()[1:10] {
				var header []string
				for _, c := range data.Columns(table) {
					header = append(header, c.Name)
				}
				writeFile(t, filepath.Join(yard, table), strings.Join(header, ",")+"\n"+strings.Repeat("x\n", bad))
			}
			return yard
		}, "most of them in readings.csv"},
		{"a hundred slips of bad rows", func(t *testing.T) string {
			yard := yardOf(t, 1)
			for i := range 100 {
				slip := filepath.Join(yard, "slips", fmt.Sprint(i))
				writeFile(t, filepath.Join(slip, "slip.csv"), fmt.Sprintf("slip,made,by\nslip-%04d,2026-03-01T10:00:00Z,Ann\n", i))
				writeFile(t, filepath.Join(slip, "readings.csv"), "stock_id,taken_on,checkpoint\n"+strings.Repeat("x\n", bad))
			}
			return yard
		}, "most of them in slips/0/readings.csv"},
		{"500,000 good vans and bad readings", func(t *testing.T) string {
			yard := yardOf(t, 500_000)
			writeFile(t, filepath.Join(yard, "readings.csv"), "stock_id,taken_on,checkpoint\n"+strings.Repeat("x\n", 2*bad))
			return yard
		}, "most of them in readings.csv"},
		{"1,100,000 good vans", func(t *testing.T) string { return yardOf(t, 1_100_000) }, "vans.csv has more than 1000000 vans"},
		{"a million rows about one van", func(t *testing.T) string {
			yard := yardOf(t, 1)
			writeFile(t, filepath.Join(yard, "readings.csv"), "stock_id,taken_on,checkpoint,position,value\n"+strings.Repeat("V0,2026-03-01,damp,offside-rear-low,18\n", 1_000_000))
			return yard
		}, "expected one row for damp at offside-rear-low of V0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, err := limited(t, "512", c.yard(t))
			if failed := (*exec.ExitError)(nil); !errors.As(err, &failed) || failed.ExitCode() != exitFailed || !strings.Contains(said, c.says) {
				t.Errorf("%v, want status %d and %q:\n%.2000s", err, exitFailed, c.says, said)
			}
		})
	}
}

func utf16Text(text string) string {
	var out strings.Builder
	for _, b := range []byte(text) {
		out.Write([]byte{b, 0})
	}
	return out.String()
}

// TestTwoGiBOnOneLineTakesLittleMemory: a table of 2 GiB is not opened.
func TestTwoGiBOnOneLineTakesLittleMemory(t *testing.T) {
	yard := usualYard().write(t)
	if said, err := limited(t, "400", yard); err != nil { // else the refusal below might be the limit's
		t.Fatalf("the usual yard in 400 MiB: %v\n%s", err, said)
	}
	if err := os.Truncate(filepath.Join(yard, "readings.csv"), 2<<30); err != nil {
		t.Skip("no files with holes here:", err)
	}
	said, err := limited(t, "400", yard)
	var failed *exec.ExitError
	if !errors.As(err, &failed) || failed.ExitCode() != exitFailed || !strings.Contains(said, "readings.csv is larger than 1024 MiB") {
		t.Errorf("%v\n%s", err, said)
	}
}
