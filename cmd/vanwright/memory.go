package main

import (
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
)

// A run ends when its work does, so what matters of its memory is the most that
// it holds at once. The records of a yard take some four and a half times the size
// of its tables. A large yard is worked on with half as much again, and garbage is
// not looked for before, which takes less time than looking each time that it has
// doubled; a small one is not worth the memory. More does not pay: memory that
// nobody used before takes the system longest to hand out. With 20,000 vans eight
// and eleven times the tables took the same time; with 100,000, 23 s with seven
// times and 25 with eight.
const (
	memorySpare    = 256 << 20 // bytes, whatever the yard
	overTablesBy10 = 65        // tenths of the size of the tables
	smallYard      = 512 << 20 // bytes of memory
	packed         = 10        // what a workbook grows to, about, as it is unpacked
)

// holdMemory sets how much memory a yard is worked on with, as far as that can be
// held, unless the environment says so by GOGC or GOMEMLIMIT. What it returns puts
// back what was set before.
func holdMemory(yard string) (restore func()) {
	most := memorySpare + overTablesBy10*bytesOf(yard)/10
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
