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
	small, large := t.TempDir(), t.TempDir()
	if err := os.WriteFile(filepath.Join(large, "readings.csv"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(filepath.Join(large, "readings.csv"), 1<<30); err != nil {
		t.Skip("no files with holes here:", err)
	}
	tests := []struct {
		name, yard string
		want       int64
	}{
		{"an empty yard", small, leastMemory},
		{"no yard", filepath.Join(small, "none"), leastMemory},
		{"a yard of a GiB", large, memoryOverFiles << 30},
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
