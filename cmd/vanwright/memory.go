package main

import (
	"os"
	"runtime/debug"
)

// A run ends when its work does, so what matters of its memory is the most that
// it holds at once. The records and findings of a yard take some seven times the
// size of its files; garbage may add three quarters of that, and is collected
// harder as the whole nears twelve times.
const (
	garbagePercent  = 75
	memoryOverFiles = 12
	leastMemory     = 512 << 20 // bytes
)

// holdMemory sets how much garbage may gather while a yard is worked on, unless
// the environment says so by GOGC or GOMEMLIMIT. What it returns puts back what
// was set before.
func holdMemory(yard string) (restore func()) {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return func() {}
	}
	percent := debug.SetGCPercent(garbagePercent)
	limit := debug.SetMemoryLimit(max(memoryOverFiles*bytesOf(yard), leastMemory))
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
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
