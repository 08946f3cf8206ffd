package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/x/beamx"
)

// TestAYardThatVanishes takes a yard away between the search for yards and its turn, on
// the local runner. On Flink see TestOnFlink.
func TestAYardThatVanishes(t *testing.T) {
	g := newSecondDay(t, 3)
	o := options{Yards: g.yards, Reports: g.before, Out: g.out, AsOf: "2026-03-09", Shards: 1}
	if err := o.check(t.Context()); err != nil {
		t.Fatal(err)
	}
	yards, err := findYards(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	gone := g.good[1].name
	if err := os.RemoveAll(filepath.Join(g.yards, gone)); err != nil {
		t.Fatal(err)
	}
	left := filepath.Join(g.out, part+"123") // as of a worker that was killed while it wrote
	writeFile(t, left, "half a rep")
	if _, err := beamx.RunWithMetrics(t.Context(), newPipeline(o, yards)); err != nil {
		t.Fatal(err)
	}
	g.withoutYard(t, 1)
	if _, err := os.Stat(left); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("what a killed worker left stands among the reports: %v", err)
	}
}

// withoutYard wants reports of all yards but one, and a sentence of that one.
func (g madeUp) withoutYard(t *testing.T, i int) {
	t.Helper()
	gone := g.good[i].name
	good := append(g.good[:i:i], g.good[i+1:]...)
	failed := rows(t, filepath.Join(g.out, failedYards.Name()))[1:]
	if len(failed) != 1 || failed[0][0] != gone || !strings.Contains(failed[0][1], "no such file") || !strings.Contains(failed[0][1], gone) {
		t.Errorf("failed yards are %q, want %s", failed, gone)
	}
	runYards(t, g.yards, g.reports, "2026-03-09")
	for _, d := range differences(t, g.out, g.reports, good) {
		t.Error(d)
	}
}

// TestAYardThatCannotBeRead has links in a circle in the place of a table, which not
// even root can read, on the local runner.
func TestAYardThatCannotBeRead(t *testing.T) {
	g := newSecondDay(t, 2)
	g.cannotRead(t, "unreadable")
	costGroup(t, options{Yards: g.yards, Reports: g.before, Out: g.out, AsOf: "2026-03-09", Shards: 1})
	g.asRun(t)
	if n := len(rows(t, filepath.Join(g.out, failedYards.Name()))) - 1; n != 1 {
		t.Errorf("%d yards failed, want 1", n)
	}
}

// cannotRead adds a yard that can't be read.
func (g madeUp) cannotRead(t *testing.T, name string) {
	t.Helper()
	makeYard(t, filepath.Join(g.yards, name), 3, 7)
	sales := filepath.Join(g.yards, name, "sales.csv")
	if err := errors.Join(os.Remove(sales), os.Symlink("sales.csv", sales)); err != nil {
		t.Fatal(err)
	}
}

// TestALargeYardAmongSmallOnes costs one of forty times the vans, on the local
// runner.
func TestALargeYardAmongSmallOnes(t *testing.T) {
	g := newSecondDay(t, 3)
	g.addLarge(t)
	costGroup(t, options{Yards: g.yards, Reports: g.before, Out: g.out, AsOf: "2026-03-09", Shards: 1})
	g.asRun(t)
}

// TestTheOutputFolderIsFull writes onto a disk with no room, on the local runner: the
// error names the file, and no part of a set is left that looks whole.
func TestTheOutputFolderIsFull(t *testing.T) {
	disk := smallDisk(t, "size=1m")
	g := newSecondDay(t, 2)
	g.out = filepath.Join(disk, "out")
	if err := os.Mkdir(g.out, 0o750); err != nil {
		t.Fatal(err)
	}
	fill(t, filepath.Join(disk, "ballast"))
	var said bytes.Buffer
	err := run(t.Context(), options{Yards: g.yards, Out: g.out, AsOf: "2026-03-09", Shards: 1}, &said, &said)
	if err == nil || !strings.Contains(err.Error(), "write "+g.out) || !strings.Contains(err.Error(), "no space left on device") {
		t.Errorf("error is %v", err)
	}
	left, err := filepath.Glob(filepath.Join(g.out, "*"))
	hidden, errHidden := filepath.Glob(filepath.Join(g.out, ".*"))
	if err != nil || errHidden != nil || len(hidden) > 0 {
		t.Errorf("left are %q and %q", left, hidden)
	}
	for _, file := range left {
		if filepath.Base(file) == closing {
			t.Errorf("%s stands", closing)
		}
	}
}
