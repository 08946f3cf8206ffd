package main

import (
	"os"
	"syscall"
)

// peakOf is the most memory in bytes that a process that has ended held:
// getrusage(2) gives kilobytes on Linux.
func peakOf(p *os.ProcessState) uint64 {
	if u, ok := p.SysUsage().(*syscall.Rusage); ok {
		return uint64(u.Maxrss) << 10
	}
	return 0
}
