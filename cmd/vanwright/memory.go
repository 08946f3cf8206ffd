package main

import (
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
)

// A run ends when its work does, so what matters of its memory is the most that
// it holds at once: the records of a yard and what was found out about them take
// some six times the size of its tables. A large yard is worked on with half as
// much again, and garbage is not looked for before; a small one is not worth the
// memory. So 1,700 vans are done without a look, with the collector's own setting
// in an eighth more processor time, and 14,300 with three looks, in 1.1 GiB
// (cmd/vanwright-bench/RESULTS.md).
const (
	memorySpare = 384 << 20 // bytes, whatever the yard
	overTables  = 10        // times the size of the tables
	smallYard   = 440 << 20 // bytes of memory
	packed      = 10        // what a workbook grows to, about, as it is unpacked
)

// holdMemory sets how much memory a yard is worked on with, as far as that can be
// held, unless the environment says so by GOGC or GOMEMLIMIT. What it returns puts
// back what was set before.
func holdMemory(yard string) (restore func()) {
	most := memorySpare + overTables*bytesOf(yard)
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" || most < smallYard {
		return func() {}
	}
	percent := debug.SetGCPercent(-1)
	limit := debug.SetMemoryLimit(most)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}

// bytesOf adds up the tables of a folder, as far as they can be seen.
func bytesOf(dir string) (sum int64) {
	entries, _ := os.ReadDir(dir) // reading the yard says what is wrong with it
	for _, e := range entries {
		info, err := e.Info()
		if err != nil {
			continue
		}
		size := info.Size()
		if strings.EqualFold(filepath.Ext(e.Name()), ".xlsx") {
			size *= packed
		}
		sum += size
	}
	return sum
}
