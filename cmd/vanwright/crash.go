//go:build !windows

package main

import "runtime/debug"

// watched does the work of the process and returns its exit status. A crash of the Go
// runtime, such as a panic that nothing recovers or memory that can't be had, ends the
// process by SIGABRT where there are signals. By itself it ends with status 2, which
// says wrong usage, and which a supervisor does not retry. No core is left behind,
// since memory holds cost prices and names.
func watched(work func() int) int {
	leaveNoCore()
	debug.SetTraceback("crash")
	return work()
}
