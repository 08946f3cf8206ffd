package main

import (
	"os"
	"path/filepath"
	"runtime/debug"
	"testing"
)

func TestMemoryIsHeldByTheSizeOfTheYard(t *testing.T) {
	t.Setenv("GOGC", "")
	t.Setenv("GOMEMLIMIT", "")
	limit := func() int64 { return debug.SetMemoryLimit(-1) } // asks only
	before := limit()
	yardOf := func(name string, size int64) string {
		dir := t.TempDir()
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Truncate(file, size); err != nil {
			t.Skip("no files with holes here:", err)
		}
		return dir
	}
	large := yardOf("readings.csv", 1<<30)
	tests := []struct {
		name, yard string
		want       int64
	}{
		{"an empty yard", t.TempDir(), before},
		{"no yard", filepath.Join(t.TempDir(), "none"), before},
		{"a small yard", yardOf("readings.csv", 1<<20), before},
		{"a yard of a GiB", large, (384 + 10240) << 20},
		{"a workbook, which is packed", yardOf("yard.xlsx", 100<<20), (384 + 10000) << 20},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			restore := holdMemory(tt.yard)
			if got := limit(); got != tt.want {
				t.Errorf("limit %d, want %d", got, tt.want)
			}
			if restore(); limit() != before {
				t.Errorf("limit %d afterwards, %d before", limit(), before)
			}
		})
	}
	t.Setenv("GOMEMLIMIT", "3GiB")
	if holdMemory(large); limit() != before {
		t.Errorf("limit %d in spite of GOMEMLIMIT", limit())
	}
}
