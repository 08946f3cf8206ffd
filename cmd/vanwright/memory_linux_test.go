package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestTwoGiBOnOneLineTakesLittleMemory runs a yard with a table of 2 GiB on one
// line in a process of its own and asks the system for the most memory that it
// held.
func TestTwoGiBOnOneLineTakesLittleMemory(t *testing.T) {
	yard := usualYard().write(t)
	if err := os.Truncate(filepath.Join(yard, "readings.csv"), 2<<30); err != nil {
		t.Skip("no files with holes here:", err)
	}
	cmd := vanwright(t, "run", "--yard", yard, "--out", filepath.Join(t.TempDir(), "reports"), "--as-of", "2026-03-09", "--quiet")
	said, err := cmd.CombinedOutput()
	var failed *exec.ExitError
	if !errors.As(err, &failed) || failed.ExitCode() != exitFailed || !strings.Contains(string(said), "readings.csv is larger than 1024 MiB") {
		t.Errorf("%v\n%s", err, said)
	}
	// Kilobytes, as getrusage(2) gives them on Linux.
	if most := cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss; most > 200<<10 {
		t.Errorf("held %d MiB", most>>10)
	}
}
