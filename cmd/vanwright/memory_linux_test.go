package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestTwoGiBOnOneLineTakesLittleMemory runs a yard with a table of 2 GiB on one
// line in a process that is given a fifth of that. (What getrusage(2) says of a
// child's memory counts that of the parent before the exec.)
func TestTwoGiBOnOneLineTakesLittleMemory(t *testing.T) {
	yard := usualYard().write(t)
	out := filepath.Join(t.TempDir(), "reports")
	limited := func() (string, error) {
		cmd := vanwright(t, "run", "--yard", yard, "--out", out, "--as-of", "2026-03-09", "--quiet")
		sh, err := exec.LookPath("sh")
		if err != nil {
			t.Skip("no shell that sets limits here:", err)
		}
		cmd.Args = append([]string{sh, "-c", `ulimit -d 409600 && exec "$0" "$@"`, cmd.Path}, cmd.Args[1:]...)
		cmd.Path = sh
		cmd.Env = append(os.Environ(), "GOMAXPROCS=2") // each thread's stack counts
		said, err := cmd.CombinedOutput()
		return string(said), err
	}
	if said, err := limited(); err != nil { // else the refusal below might be the limit's
		t.Fatalf("the usual yard in 400 MiB: %v\n%s", err, said)
	}
	if err := os.Truncate(filepath.Join(yard, "readings.csv"), 2<<30); err != nil {
		t.Skip("no files with holes here:", err)
	}
	said, err := limited()
	var failed *exec.ExitError
	if !errors.As(err, &failed) || failed.ExitCode() != exitFailed || !strings.Contains(said, "readings.csv is larger than 1024 MiB") {
		t.Errorf("%v\n%s", err, said)
	}
}
