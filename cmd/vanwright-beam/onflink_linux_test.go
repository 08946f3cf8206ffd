package main

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/cmd/internal/sample/synth"
	"github.com/vanwright/vanwright/data"
)

// TestOnFlink costs groups on a real Flink and holds every report against run, yard by
// yard, byte for byte.
func TestOnFlink(t *testing.T) {
	f := startFlink(t)
	t.Run("thirty yards with slips and a large one on two workers", func(t *testing.T) { thirtyYards(t, f.cluster, f.managerIDs) })
	t.Run("a worker killed in the middle", func(t *testing.T) { workerKilled(t, f) })
	t.Run("a task manager killed in the middle", func(t *testing.T) { managerKilled(t, f) })
	t.Run("a yard that vanishes between two tries", func(t *testing.T) { yardVanishes(t, f) })
	t.Run("the output folder full for a while", func(t *testing.T) { outputFull(t, f) })
}

// yardsWithSlips makes so many small yards; every third has news in slips. It returns
// them as they stand in the reports.
func yardsWithSlips(t *testing.T, dir string, n int) []costed {
	t.Helper()
	var all []costed
	for i := range n {
		name := fmt.Sprintf("yard %02d", i)
		makeYard(t, filepath.Join(dir, name), 3+i%4, int64(i))
		if i%3 == 0 {
			addSlips(t, filepath.Join(dir, name))
		}
		all = append(all, costed{name, name})
	}
	return all
}

func makeYard(t *testing.T, dir string, vans int, seed int64) {
	t.Helper()
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := synth.Write(context.Background(), dir, synth.NewSpec(vans, 10*vans, seed, demo.AsOf)); err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(dir, "policy.yaml"), "plan_schedules: 10\n")
}

// addSlips puts two slips into a yard: a reading and a new van, and a row that is
// rejected.
func addSlips(t *testing.T, yard string) {
	t.Helper()
	slip := func(id, table, text string) {
		dir := filepath.Join(yard, "slips", id)
		writeFile(t, filepath.Join(dir, "slip.csv"), "slip,made,by\n"+id+",2026-03-08T18:00:00Z,Ann\n")
		writeFile(t, filepath.Join(dir, table), text)
	}
	slip("beam-0801", "vans.csv", "stock_id,maker,model,body,first_registered,mileage,status,vat,cost,acquired\nS1,Dunmarrow,Rookhope 636,panel-van,2019-05-01,31000,owned,margin,28000,2026-03-07\n")
	slip("beam-0802", "readings.csv", "stock_id,taken_on,inspector,checkpoint,position,value\nS1,2026-03-08,Ann,tyre-tread,nearside-front,1.4\nS1,2026-03-08,Ann,tyre-tread,nowhere,1.4\n")
}

// madeUp is a group of yards and where its reports go.
type madeUp struct {
	yards, out string
	reports    string // of run, yard by yard
	before     string // of run on the day before; blank: none
	good       []costed
}

func newGroup(t *testing.T, n int) madeUp {
	t.Helper()
	dir := t.TempDir()
	g := madeUp{yards: filepath.Join(dir, "yards"), reports: filepath.Join(dir, "reports"), out: filepath.Join(dir, "out")}
	g.good = yardsWithSlips(t, g.yards, n)
	return g
}

// newSecondDay makes a group and runs its first day, so that the second has
// schedules to keep to.
func newSecondDay(t *testing.T, n int) madeUp {
	t.Helper()
	g := newGroup(t, n)
	g.before = filepath.Join(filepath.Dir(g.reports), "before")
	runYards(t, g.yards, g.reports, "2026-03-06")
	if err := os.CopyFS(g.before, os.DirFS(g.reports)); err != nil {
		t.Fatal(err)
	}
	return g
}

func (g madeUp) args() []string {
	args := []string{"--yards", g.yards, "--out", g.out, "--as-of", "2026-03-09"}
	if g.before != "" {
		args = append(args, "--reports", g.before)
	}
	return args
}

// asRun wants the group's reports to be those of run, and nothing else in the folder.
func (g madeUp) asRun(t *testing.T) {
	t.Helper()
	failed := runYards(t, g.yards, g.reports, "2026-03-09")
	for _, d := range differences(t, g.out, g.reports, g.good) {
		t.Error(d)
	}
	left, err := filepath.Glob(filepath.Join(g.out, ".*"))
	if err != nil || len(left) > 0 {
		t.Errorf("beside the reports there are %q, %v", left, err)
	}
	if _, err := os.Stat(filepath.Join(g.out, closing)); err != nil {
		t.Error(err)
	}
	for _, row := range rows(t, filepath.Join(g.out, failedYards.Name()))[1:] {
		if row[1] != failed[row[0]] {
			t.Errorf("%s failed with\n%s\nwant\n%s", row[0], row[1], failed[row[0]])
		}
		delete(failed, row[0])
	}
	if len(failed) > 0 {
		t.Errorf("run failed on %v, the group did not", failed)
	}
}

// thirtyYards costs a group in which two yards can't be costed. masters are the two
// processes of the cluster each of which is to start a worker.
func thirtyYards(t *testing.T, c *cluster, masters func(*testing.T) []int) {
	g := newGroup(t, 30)
	g.addLarge(t)
	// Two that can't be costed, of which the sentences are to say so.
	writeFile(t, filepath.Join(g.yards, "half folded", data.FoldJournal), "{}")
	g.cannotRead(t, "unreadable")
	s := c.submit(t, testTime, g.args()...)
	workers, by := map[int]bool{}, map[int]bool{} // by the process that started them
	s.while(t, func() {
		for _, master := range masters(t) {
			by[master] = true
		}
		for _, parent := range c.workers(t) {
			workers[parent] = true
		}
	})
	// by may hold more: a process that one of them started and that is not yet another.
	maps.DeleteFunc(by, func(pid int, _ bool) bool { return !workers[pid] })
	if len(workers) != 2 || len(by) != 2 {
		t.Errorf("workers were started by %v, want two of which each started one, %v", workers, by)
	}
	g.asRun(t)
	if n := len(rows(t, filepath.Join(g.out, failedYards.Name()))) - 1; n != 2 {
		t.Errorf("%d yards failed, want 2", n)
	}
	slips := 0
	for _, row := range rows(t, filepath.Join(g.out, "inputs.csv")) {
		if strings.HasPrefix(row[1], "slips/") {
			slips++
		}
	}
	if slips < 20 {
		t.Errorf("%d files of slips were read, want those of 10 yards", slips)
	}
	waitUntil(t, "the workers have ended", func() bool { return len(c.workers(t)) == 0 })
}

// managerIDs are the processes of the task managers.
func (f *flink) managerIDs(*testing.T) (pids []int) {
	for _, m := range f.managers {
		pids = append(pids, m.Process.Pid)
	}
	return pids
}

// pausedGroup is a group in which a worker stands still in a yard.
func pausedGroup(t *testing.T, c *cluster) (g madeUp, p *pause, s *submission, worker int) {
	t.Helper()
	g = newSecondDay(t, 4)
	p = pauseAt(t, filepath.Join(g.before, g.good[2].name, "schedule.csv"))
	s = c.submit(t, testTime, g.args()...)
	worker = p.reached(t)
	if c.workers(t)[worker] == 0 {
		t.Fatalf("process %d reads the yard, which is no worker: %v", worker, c.workers(t))
	}
	return g, p, s, worker
}

func workerKilled(t *testing.T, f *flink) {
	g, p, s, worker := pausedGroup(t, f.cluster)
	if err := syscall.Kill(worker, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	p.over(t)
	s.ends(t)
	if f.failures(t) == 0 {
		t.Error("Flink never noticed: nothing was tried again")
	}
	g.asRun(t)
}

func managerKilled(t *testing.T, f *flink) {
	g, p, s, worker := pausedGroup(t, f.cluster)
	manager := f.workers(t)[worker]
	if err := syscall.Kill(manager, syscall.SIGKILL); err != nil { // its worker is left alone
		t.Fatal(err)
	}
	p.over(t)
	s.ends(t)
	if f.failures(t) == 0 {
		t.Error("Flink never noticed: nothing was tried again")
	}
	g.asRun(t)
	waitUntil(t, "the workers have ended, the orphan too", func() bool { return len(f.workers(t)) == 0 })
	f.startTaskManager(t)
	f.waitForManagers(t, 2)
}

func yardVanishes(t *testing.T, f *flink) {
	g, p, s, worker := pausedGroup(t, f.cluster)
	if err := os.RemoveAll(filepath.Join(g.yards, g.good[2].name)); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Kill(worker, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	p.over(t)
	s.ends(t)
	g.withoutYard(t, 2)
}

// outputFull lets the reports' disk be full at first: no set is closed, and once there
// is room what was tried again is whole.
func outputFull(t *testing.T, f *flink) {
	g := newSecondDay(t, 3)
	disk := smallDisk(t, "size=4m")
	g.out = filepath.Join(disk, "out")
	ballast := filepath.Join(disk, "ballast")
	fill(t, ballast)
	s := f.submit(t, testTime, g.args()...)
	waitUntil(t, "a file could not be written", func() bool { return f.failures(t) > 0 })
	if _, err := os.Stat(filepath.Join(g.out, closing)); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("%s stands on a full disk: %v", closing, err)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	s.ends(t)
	g.asRun(t)
}

// smallDisk mounts one that is gone with the test.
func smallDisk(t *testing.T, size string) string {
	t.Helper()
	disk := t.TempDir()
	if err := unix.Mount("tmpfs", disk, "tmpfs", 0, size); err != nil {
		t.Skipf("a small disk can't be mounted here (%v): run as root to test a full one", err)
	}
	t.Cleanup(func() {
		if err := unix.Unmount(disk, unix.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return disk
}

// fill takes all room of a disk but a little.
func fill(t *testing.T, ballast string) {
	t.Helper()
	w, err := os.Create(ballast)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	for some := make([]byte, 4096); err == nil; {
		_, err = w.Write(some)
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
}

// addLarge adds a yard of forty times the vans. VANWRIGHT_TEST_LARGE_VANS sets another
// number.
func (g *madeUp) addLarge(t *testing.T) {
	t.Helper()
	vans := 200
	if text := os.Getenv("VANWRIGHT_TEST_LARGE_VANS"); text != "" {
		var err error
		if vans, err = strconv.Atoi(text); err != nil {
			t.Fatal(err)
		}
	}
	makeYard(t, filepath.Join(g.yards, "large"), vans, 99)
	g.good = append([]costed{{"large", "large"}}, g.good...)
}
