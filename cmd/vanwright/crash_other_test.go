//go:build !windows

package main

import (
	"os"
	"syscall"
)

// crashed is how a crash ends, as endOf says it.
const crashed = -int(syscall.SIGABRT)

// endOf is the status of a process, or less the signal by which it ended; 0 for one
// that left a core.
func endOf(p *os.ProcessState) int {
	status, ok := p.Sys().(syscall.WaitStatus)
	switch {
	case ok && status.CoreDump():
		return 0
	case ok && status.Signaled():
		return -int(status.Signal())
	}
	return p.ExitCode()
}
