package main

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
)

// week is a dealer's reports over seven nights.
type week struct {
	*testing.T
	yard, out string
	stands    map[string]string // the reports as they must be
	attempts  int
	failures  int
}

// TestWeekOfNights plays seven nights in which everything goes wrong that a machine
// does: kills, a full disk, a clock that jumps back and ahead, two machines at once,
// a table cut short. After each attempt the reports are one whole set: that of the
// night before, byte for byte, where the run did not end as done. At the end each
// kept set gives back the yard of its night.
func TestWeekOfNights(t *testing.T) {
	if testing.Short() {
		t.Skip("runs dozens of nights")
	}
	disk := t.TempDir()
	if err := unix.Mount("tmpfs", disk, "tmpfs", 0, "size=160m"); err != nil {
		t.Skipf("a small disk can't be mounted here (%v): run as root to test a full one", err)
	}
	t.Cleanup(func() {
		if err := unix.Unmount(disk, unix.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	w := &week{T: t, yard: usualYard().write(t), out: filepath.Join(disk, "reports")}
	yards := map[string]map[string]string{}
	night := func(day string, trouble func()) {
		t.Helper()
		w.readingsOf(day)
		yards[day] = filesOf(t, w.yard)
		if trouble != nil {
			trouble()
		}
		w.run(day)
	}

	night("2026-03-09", nil)
	night("2026-03-10", func() {
		for range 12 {
			w.kill("2026-03-10")
		}
	})
	night("2026-03-11", func() { w.fullDisk(disk, "2026-03-11") })
	night("2026-03-12", func() { w.fails("2001-01-01", "before the 2026-03-11 of the last reports") })
	night("2026-03-13", func() {
		w.run("2026-06-01") // a clock that is months ahead, which nobody can know that night
		w.fails("2026-03-13", "before the 2026-06-01 of the last reports")
		w.run("2026-03-13", "--accept-loss")
	})
	night("2026-03-14", func() { w.twoMachines("2026-03-14") })
	night("2026-03-15", func() {
		vans := filepath.Join(w.yard, "vans.csv")
		whole, err := os.ReadFile(vans)
		if err != nil {
			t.Fatal(err)
		}
		write(t, vans, string(whole[:len(whole)/2]))
		w.fails("2026-03-15", "vans that were not sold are gone")
		restored := filepath.Join(t.TempDir(), "restored")
		if status, _, errs := commandLine("restore", "--reports", w.out, "--out", restored); status != exitDone {
			t.Fatal(errs)
		}
		again, err := os.ReadFile(filepath.Join(restored, "vans.csv"))
		if err != nil {
			t.Fatal(err)
		}
		write(t, vans, string(again))
	})

	kept, err := swap.Kept(w.out)
	if err != nil {
		t.Fatal(err)
	}
	for _, set := range kept { // the newest first, and of a night the one that stood in the end
		yard, ok := yards[set.Day]
		if !ok {
			continue
		}
		delete(yards, set.Day)
		restored := filepath.Join(t.TempDir(), "yard")
		if status, _, errs := commandLine("restore", "--reports", set.Path, "--out", restored); status != exitDone {
			t.Errorf("%s: %s", set.Path, errs)
		} else if !maps.Equal(filesOf(t, restored), yard) {
			t.Errorf("%s does not give back the yard of that night", set.Path)
		}
	}
	if left := slices.Collect(maps.Keys(yards)); len(left) != 1 || left[0] != "2026-03-15" {
		t.Errorf("no set is kept of %v; the last night's stands", left)
	}
	t.Logf("%d runs, %d of them failed as they should; the reports were whole after each", w.attempts, w.failures)
}

// readingsOf adds what was measured that day.
func (w *week) readingsOf(day string) {
	w.Helper()
	file := filepath.Join(w.yard, "readings.csv")
	text, err := os.ReadFile(file)
	if err != nil {
		w.Fatal(err)
	}
	write(w.T, file, string(text)+fmt.Sprintf("A4,%s,damp,rear-centre-low,%s,,\n", day, strings.TrimLeft(day[8:], "0")))
}

func (w *week) args(day string) []string {
	return []string{"run", "--yard", w.yard, "--out", w.out, "--as-of", day, "--quiet", "--keep", "99"}
}

// run is a night that goes well.
func (w *week) run(day string, more ...string) {
	w.Helper()
	w.attempts++
	if status, _, errs := commandLine(append(w.args(day), more...)...); status != exitDone {
		w.Fatalf("%s: status %d, %s", day, status, errs)
	}
	if got := checkWhole(w.T, w.out); got != day {
		w.Fatalf("the reports are of %s, want %s", got, day)
	}
	w.stands = filesOf(w.T, w.out)
}

// fails is a night that leaves the reports as they were and says why.
func (w *week) fails(day, words string) {
	w.Helper()
	w.attempts++
	w.failures++
	status, _, errs := commandLine(w.args(day)...)
	if status != exitFailed || !strings.Contains(errs, words) {
		w.Errorf("%s: status %d, %s", day, status, errs)
	}
	w.asBefore()
}

func (w *week) asBefore() {
	w.Helper()
	checkWhole(w.T, w.out)
	if !maps.Equal(filesOf(w.T, w.out), w.stands) {
		w.Error("the reports are not those that stood before")
	}
}

// kill kills a run at a random moment. The reports are those before or those of it.
func (w *week) kill(day string) {
	w.Helper()
	w.attempts++
	cmd := vanwright(w.T, append(w.args(day), "--accept-loss")...)
	if err := cmd.Start(); err != nil {
		w.Fatal(err)
	}
	time.Sleep(time.Duration(rand.IntN(1500)) * time.Millisecond)
	cmd.Process.Kill()
	if cmd.Wait() != nil {
		w.failures++
	}
	if checkWhole(w.T, w.out) == day {
		w.stands = filesOf(w.T, w.out)
	} else {
		w.asBefore()
	}
}

// fullDisk fills the disk but for some kilobytes, more each time.
func (w *week) fullDisk(disk, day string) {
	w.Helper()
	filler := filepath.Join(disk, "filler")
	for _, free := range []int64{0, 8 << 10, 64 << 10, 256 << 10} {
		var fs unix.Statfs_t
		if err := unix.Statfs(disk, &fs); err != nil {
			w.Fatal(err)
		}
		if err := os.WriteFile(filler, make([]byte, int64(fs.Bavail)*fs.Bsize-free), 0o600); err != nil {
			w.Fatal(err)
		}
		w.fails(day, "no space left on device")
		if err := os.Remove(filler); err != nil {
			w.Fatal(err)
		}
	}
}

// twoMachines starts runs in pairs on one share whose lock does not reach from the one
// to the other: it is taken away between them. Each ends as done, or says that it is
// not; the reports are whole at any moment.
func (w *week) twoMachines(day string) {
	w.Helper()
	for range 6 {
		var said [2]bytes.Buffer
		cmds := [2]interface {
			Start() error
			Wait() error
		}{}
		for i := range cmds {
			cmd := vanwright(w.T, w.args(day)...)
			cmd.Stderr = &said[i]
			cmds[i] = cmd
			if err := cmd.Start(); err != nil {
				w.Fatal(err)
			}
			time.Sleep(time.Duration(rand.IntN(900)) * time.Millisecond)
			os.Remove(filepath.Join(filepath.Dir(w.out), ".reports.lock"))
		}
		for i := range cmds {
			w.attempts++
			if cmds[i].Wait() == nil {
				continue
			}
			w.failures++
			if text := said[i].String(); !strings.Contains(text, "vanwright: ") {
				w.Errorf("machine %d failed without a word: %s", i+1, text)
			}
		}
		if got := checkWhole(w.T, w.out); got != day && got != "2026-03-13" {
			w.Errorf("the reports are of %s", got)
		}
	}
}
