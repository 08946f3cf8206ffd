package main

import (
	"os"
	"testing"
)

// crashed is how a crash ends, as endOf says it.
const crashed = exitCrashed

// endOf is the status of a process.
func endOf(p *os.ProcessState) int { return p.ExitCode() }

func TestWhatTheWorkingProcessSays(t *testing.T) {
	for code, want := range map[int]int{
		64: exitDone, 65: exitFailed, 66: exitUsage, 67: exitRejected,
		0: exitCrashed, 1: exitCrashed, 2: exitCrashed, 63: exitCrashed, 68: exitCrashed, 0xC0000005: exitCrashed,
	} {
		if got := statusOf(code); got != want {
			t.Errorf("%#x: %d, want %d", code, got, want)
		}
	}
}
