package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/cmd/internal/sample/synth"
)

// vansPerYard is the size of the yards that are measured.
const vansPerYard = 40

// BenchmarkRun runs vanwright on yards one after another, with its pages and workbook.
func BenchmarkRun(b *testing.B) {
	const yards = 10
	dir := measuredYards(b, yards)
	took := time.Duration(0)
	for b.Loop() {
		reports := b.TempDir()
		for i := range yards {
			name := nameOfMeasured(i)
			cmd := exec.Command(vanwright, "run", "--quiet", "--yard", filepath.Join(dir, name), "--out", filepath.Join(reports, name), "--as-of", "2026-03-09")
			if out, err := cmd.CombinedOutput(); err != nil {
				b.Fatalf("%v\n%s", err, out)
			}
			took += cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
		}
	}
	b.ReportMetric(took.Seconds()/float64(yards*b.N), "cpu-s/yard")
}

// BenchmarkCostingAlone costs yards one after another with nothing of Beam around it:
// what the pipeline is measured against.
func BenchmarkCostingAlone(b *testing.B) {
	const yards = 10
	dir := measuredYards(b, yards)
	f := &costFn{AsOf: "2026-03-09", Shards: 1}
	if err := f.Setup(); err != nil {
		b.Fatal(err)
	}
	found, err := findYards(b.Context(), options{Yards: dir, Shards: 1})
	if err != nil {
		b.Fatal(err)
	}
	before := processorSeconds(b)
	for b.Loop() {
		for _, y := range found {
			if err := f.ProcessElement(b.Context(), y, func(string, Block) {}, func(string, Sums) {}); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric((processorSeconds(b)-before)/float64(yards*b.N), "cpu-s/yard")
}

// BenchmarkGroup costs groups on the local runner. Processor time is told beside the
// time of the clock, since others may be at work on the machine.
func BenchmarkGroup(b *testing.B) {
	for _, yards := range []int{10, 100, 1000} {
		b.Run(fmt.Sprint(yards), func(b *testing.B) {
			dir := measuredYards(b, yards)
			before := processorSeconds(b)
			rows := 0
			for b.Loop() {
				out := filepath.Join(b.TempDir(), "out")
				var said bytes.Buffer
				if err := run(b.Context(), options{Yards: dir, Out: out, AsOf: "2026-03-09", Shards: shardsOf(yards)}, &said, &said); err != nil {
					b.Fatal(err)
				}
				rows = rowsSaid(b, said.String(), yards)
			}
			reportRates(b, yards, rows)
			b.ReportMetric((processorSeconds(b)-before)/float64(yards*b.N), "cpu-s/yard")
			b.ReportMetric(highestMemory(b), "MB-at-most")
		})
	}
}

// shardsOf is how many files a report of so many yards is written in: one for each
// hundred.
func shardsOf(yards int) int { return max(1, yards/100) }

// rowsSaid is how many rows the program says it wrote.
func rowsSaid(b *testing.B, said string, yards int) (rows int) {
	b.Helper()
	if _, err := fmt.Sscanf(said, fmt.Sprintf("%d yards, %%d rows", yards), &rows); err != nil {
		b.Fatalf("%v: %s", err, said)
	}
	return rows
}

func reportRates(b *testing.B, yards, rows int) {
	took := b.Elapsed().Seconds() / float64(b.N)
	b.ReportMetric(float64(yards)/took, "yards/s")
	b.ReportMetric(float64(rows)/took, "rows/s")
}

func nameOfMeasured(i int) string { return fmt.Sprintf("y%04d", i) }

// measuredYards makes so many yards.
func measuredYards(b *testing.B, yards int) (dir string) {
	b.Helper()
	dir = filepath.Join(b.TempDir(), "yards")
	for i := range yards {
		yard := filepath.Join(dir, nameOfMeasured(i))
		if err := os.MkdirAll(yard, 0o755); err != nil {
			b.Fatal(err)
		}
		if _, err := synth.Write(context.Background(), yard, synth.NewSpec(vansPerYard, 10*vansPerYard, int64(i), demo.AsOf)); err != nil {
			b.Fatal(err)
		}
	}
	b.ResetTimer()
	return dir
}

// processorSeconds is what this process has taken of all processors.
func processorSeconds(b *testing.B) float64 {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

// highestMemory is the most memory, in MB, that this process ever held.
func highestMemory(b *testing.B) float64 {
	b.Helper()
	MB, err := highestMemoryOf(os.Getpid())
	if err != nil {
		b.Fatal(err)
	}
	return MB
}

// highestMemoryOf is the same of another process.
func highestMemoryOf(pid int) (MB float64, err error) {
	text, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "status"))
	if err != nil {
		return 0, err
	}
	_, after, found := strings.Cut(string(text), "VmHWM:")
	if !found {
		return 0, fmt.Errorf("process %d holds nothing", pid) // it has ended
	}
	kB, err := strconv.Atoi(strings.Fields(after)[0])
	return float64(kB) / 1024, err
}
