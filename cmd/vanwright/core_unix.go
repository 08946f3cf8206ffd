//go:build unix

package main

import "golang.org/x/sys/unix"

// leaveNoCore is a wish: where it fails, the system's own setting holds.
func leaveNoCore() { _ = unix.Setrlimit(unix.RLIMIT_CORE, &unix.Rlimit{}) }
