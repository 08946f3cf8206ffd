package main

import (
	"fmt"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

// BenchmarkGroupOnFlink costs groups on a real Flink of two task managers, each of which
// starts one worker. The first job pays for the start of Java.
func BenchmarkGroupOnFlink(b *testing.B) { onCluster(b, startFlink(b).cluster) }

// BenchmarkGroupOnSpark does so on a real Spark of two workers.
func BenchmarkGroupOnSpark(b *testing.B) { onCluster(b, startSpark(b).cluster) }

func onCluster(b *testing.B, c *cluster) {
	for _, yards := range []int{10, 30, 100, 1000} {
		b.Run(fmt.Sprint(yards), func(b *testing.B) {
			dir := measuredYards(b, yards)
			rows := 0
			var took usage
			for b.Loop() {
				args := []string{"--yards", dir, "--out", filepath.Join(b.TempDir(), "out"), "--as-of", "2026-03-09", "--shards", strconv.Itoa(shardsOf(yards))}
				s := c.submit(b, 2*time.Hour, args...)
				before := c.javaSeconds(b)
				s.while(b, func() { took.look(b, c) })
				took.java += c.javaSeconds(b) - before
				took.client += s.cmd.ProcessState.UserTime().Seconds() + s.cmd.ProcessState.SystemTime().Seconds()
				rows = rowsSaid(b, s.output.String(), yards)
			}
			reportRates(b, yards, rows)
			b.ReportMetric(took.inWorkers()/float64(yards*b.N), "worker-cpu-s/yard")
			b.ReportMetric(took.java/float64(b.N), "java-cpu-s")
			b.ReportMetric(took.client/float64(b.N), "client-cpu-s")
			b.ReportMetric(took.workerMB, "MB-of-a-worker")
			b.ReportMetric(took.javaMB, "MB-of-a-java")
		})
	}
}

// usage is what the processes of a cluster took.
type usage struct {
	workers          map[int]float64 // processor time in seconds, by process
	java, client     float64         // in seconds
	workerMB, javaMB float64         // of the largest process
}

// look takes down what can be seen of the processes now. What a worker does in its
// last twentieth of a second is not seen.
func (u *usage) look(b *testing.B, c *cluster) {
	if u.workers == nil {
		u.workers = map[int]float64{}
	}
	for pid := range c.workers(b) {
		if s, err := secondsOf(pid); err == nil {
			u.workers[pid] = s
		}
		if MB, err := highestMemoryOf(pid); err == nil {
			u.workerMB = max(u.workerMB, MB)
		}
	}
	for _, pid := range c.javas(b) {
		if MB, err := highestMemoryOf(pid); err == nil {
			u.javaMB = max(u.javaMB, MB)
		}
	}
}

func (u *usage) inWorkers() (sum float64) {
	for _, s := range u.workers {
		sum += s
	}
	return sum
}
