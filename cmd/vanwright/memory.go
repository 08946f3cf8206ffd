package main

import (
	"os"
	"runtime/debug"
)

// A run ends when its work does, so what matters of its memory is the most that
// it holds at once. The records and findings of a yard take some six times the
// size of its files; garbage may double that, and is collected harder as the
// whole nears twelve times.
const (
	memoryOverFiles = 12
	leastMemory     = 512 << 20 // bytes
)

// holdMemory sets how much memory a yard is worked on with, as far as that can be
// held, unless the environment says so by GOGC or GOMEMLIMIT. What it returns puts
// back what was set before.
func holdMemory(yard string) (restore func()) {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return func() {}
	}
	limit := debug.SetMemoryLimit(max(memoryOverFiles*bytesOf(yard), leastMemory))
	return func() { debug.SetMemoryLimit(limit) }
}

// bytesOf adds up the files of a folder, as far as they can be seen.
func bytesOf(dir string) (sum int64) {
	entries, _ := os.ReadDir(dir) // reading the yard says what is wrong with it
	for _, e := range entries {
		if info, err := e.Info(); err == nil {
			sum += info.Size()
		}
	}
	return sum
}
