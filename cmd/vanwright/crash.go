package main

import "runtime/debug"

// crashBySignal has a crash of the Go runtime, such as a panic that nothing
// recovers or memory that can't be had, end the process by SIGABRT where there are
// signals. By itself it ends with status 2, which says wrong usage, and which a
// supervisor does not retry. No core is left behind, since memory holds cost
// prices and names.
func crashBySignal() {
	leaveNoCore()
	debug.SetTraceback("crash")
}
