package swap

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// The tests start their own binary again with these in the environment.
const (
	childJob = "VANWRIGHT_TEST_CHILD" // what to do
	childOut = "VANWRIGHT_TEST_OUT"   // on which folder
)

// killCount raises the number of kills, as in VANWRIGHT_TEST_KILLS=400.
const killCount = "VANWRIGHT_TEST_KILLS"

// child is the other process. Jobs:
//
//	exchange       runs without end, one generation after the other
//	rename         the same without the exchange of names
//	keep exchange  the same as exchange, with old sets kept
//	keep rename    the same as rename, with old sets kept
//	once           one run, then says done or busy
//	hold           begins, says held and waits for its standard input to end
func child(job string) int {
	var err error
	switch out := os.Getenv(childOut); job {
	case "exchange", "rename":
		err = runForever(out, job == "rename", Keep{})
	case "keep exchange", "keep rename":
		err = runForever(out, job == "keep rename", keepThree)
	case "once":
		err = runOnce(out)
	case "hold":
		err = hold(out)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

func runForever(out string, byRename bool, keep Keep) error {
	for {
		w, err := BeginKeeping(out, keep)
		if err != nil {
			return err
		}
		if byRename {
			w.exchange = func(_, _ string) error { return errors.ErrUnsupported }
		}
		generation := 1
		if old := w.Old(); old != "" {
			before, err := readSet(old)
			if err != nil {
				return fmt.Errorf("old reports at Begin: %w", err)
			}
			generation = before + 1
		}
		fmt.Println(generation)
		if err := writeSet(w, generation); err != nil {
			return err
		}
		if err := w.Commit(); err != nil {
			return err
		}
	}
}

func runOnce(out string) error {
	w, err := Begin(out)
	if errors.Is(err, ErrBusy) {
		fmt.Println("busy")
		return nil
	}
	if err != nil {
		return err
	}
	if err := errors.Join(writeSet(w, os.Getpid()), w.Commit()); err != nil {
		return err
	}
	fmt.Println("done")
	return nil
}

func hold(out string) error {
	w, err := Begin(out)
	if err != nil {
		return err
	}
	defer w.Abort()
	fmt.Println("held")
	_, err = io.Copy(io.Discard, os.Stdin)
	return err
}

func childCommand(t *testing.T, job, out string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), childJob+"="+job, childOut+"="+out)
	return cmd
}

// A kill is not a power cut: what the kernel took in, it still writes. These
// tests show the order of the steps, not the flushing to the disk.
func TestKilledTwoHundredTimesAtRandomMoments(t *testing.T) {
	if testing.Short() {
		t.Skip("kills hundreds of writers")
	}
	kills := 200
	if s := os.Getenv(killCount); s != "" {
		var err error
		if kills, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	for _, job := range []string{"exchange", "rename", "keep exchange", "keep rename"} {
		kills := kills
		if job != "exchange" { // which is the way that Linux and macOS go
			kills = kills * 3 / 10
		}
		t.Run(job, func(t *testing.T) {
			parent := t.TempDir()
			out := filepath.Join(parent, "reports")
			random := rand.New(rand.NewPCG(1, uint64(len(job))))
			// Long enough for the kill to fall on any step of a run, and at times
			// on a second run.
			longest := 2 * timeOfARun(t, out)
			last, cutShort, moved, since := 0, 0, 0, 0
			for kill := range kills {
				seen := killOne(t, job, out, time.Duration(random.Int64N(int64(longest))))
				// Before the next Begin has mended anything:
				now, err := Current(out)
				if err != nil {
					t.Fatalf("kill %d: %v", kill, err)
				}
				generation, err := readSet(now)
				if err != nil {
					t.Fatalf("kill %d: %v", kill, err)
				}
				if strings.HasPrefix(job, "keep") {
					wantKeptWhole(t, out, generation)
				}
				if generation < last || generation < seen-1 || generation > seen {
					t.Fatalf("kill %d: generation %d stands, after %d, while %d was being written", kill, generation, last, seen)
				}
				switch {
				case strings.HasSuffix(job, "exchange") && exchangeWorks(t) && now != out:
					t.Fatalf("kill %d: the reports were away from their place", kill)
				case now != out:
					moved++
				}
				if exists(filepath.Join(parent, ".reports.vanwright-new")) {
					cutShort++
				}
				// Nothing committed for long: runs have become slower than the
				// ones that were timed, as on a machine that others use too.
				if since++; generation > last {
					since = 0
				} else if since%8 == 0 {
					longest += longest / 2
				}
				last = generation
			}
			t.Logf("%d kills: %d generations committed, %d runs cut short, %d between the two renames", kills, last, cutShort, moved)
			if last == 0 || cutShort == 0 {
				t.Errorf("the kills did not fall on both sides of a Commit: %d committed, %d cut short", last, cutShort)
			}
			if strings.HasPrefix(job, "keep") {
				commitKeeping(t, out, last+1, keepThree)
				wantKept(t, out, []int{last, last - 1, last - 2}[:min(last+1, 3)]...) // the first is 0
				wantBeside(t, parent, ".reports.lock", "reports", "reports.kept")
			} else {
				commitSet(t, out, last+1)
				wantBeside(t, parent, ".reports.lock", "reports")
			}
			wantSet(t, out, last+1)
		})
	}
}

// timeOfARun is the shortest of three, in case the machine is busy with others.
func timeOfARun(t *testing.T, out string) time.Duration {
	t.Helper()
	shortest := time.Minute
	for range 3 {
		start := time.Now()
		commitSet(t, out, 0)
		shortest = min(shortest, time.Since(start))
	}
	return shortest
}

// killOne starts a child, lets it get to work, kills it after a while and
// returns the last generation that it began to write.
func killOne(t *testing.T, job, out string, after time.Duration) int {
	t.Helper()
	cmd := childCommand(t, job, out)
	said, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var complaint strings.Builder
	cmd.Stderr = &complaint
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(said)
	lines.Scan()
	time.AfterFunc(after, func() { cmd.Process.Kill() })
	text := lines.Text()
	for lines.Scan() {
		text = lines.Text()
	}
	cmd.Wait()
	if complaint.Len() > 0 {
		t.Fatalf("the run failed before it was killed: %s", complaint.String())
	}
	generation, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return generation
}

// Random kills seldom fall between two renames, so the states that they would
// leave are made by hand.
func TestWhatAKillCanLeaveIsPutRight(t *testing.T) {
	tests := []struct {
		name string
		make func(t *testing.T, p place)
		want int // the generation that stands afterwards
	}{
		{"between the two renames, new set whole", func(t *testing.T, p place) {
			commitSet(t, p.new(), 2)
			mustRename(t, p.out, p.old())
		}, 1},
		{"between the two renames, an empty folder made since", func(t *testing.T, p place) {
			mustRename(t, p.out, p.old())
			mustMkdir(t, p.out)
		}, 1},
		{"after the two renames", func(t *testing.T, p place) {
			mustRename(t, p.out, p.old())
			commitSet(t, p.out, 2)
		}, 2},
		{"after the exchange", func(t *testing.T, p place) {
			mustRename(t, p.out, p.new())
			commitSet(t, p.out, 2)
		}, 2},
		{"after the exchange, before the new set was marked as whole", func(t *testing.T, p place) {
			mustRename(t, p.out, p.new())
			commitSet(t, p.out, 2)
			mustRename(t, filepath.Join(p.out, marker), filepath.Join(p.out, unfinished))
		}, 2},
		{"while the old set was deleted", func(t *testing.T, p place) {
			commitSet(t, p.new(), 0)
			mustRename(t, filepath.Join(p.new(), marker), filepath.Join(p.new(), unfinished))
			if err := os.RemoveAll(filepath.Join(p.new(), "vans")); err != nil {
				t.Fatal(err)
			}
		}, 1},
		{"before the new folder had its marker", func(t *testing.T, p place) { mustMkdir(t, p.new()) }, 1},
		{"before the marker had its text", func(t *testing.T, p place) {
			mustWrite(t, filepath.Join(p.new(), unfinished), "")
		}, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			parent := t.TempDir()
			out := filepath.Join(parent, "reports")
			commitSet(t, out, 1)
			p, err := locate(out)
			if err != nil {
				t.Fatal(err)
			}
			tt.make(t, p)
			os.RemoveAll(filepath.Join(parent, "..reports.vanwright-new.lock")) // of commitSet on our own name

			now, err := Current(out)
			if err != nil {
				t.Fatal(err)
			}
			wantSet(t, now, tt.want)
			w := begin(t, out)
			if w.Old() != out {
				t.Errorf("Old is %q, want %q", w.Old(), out)
			}
			wantSet(t, out, tt.want)
			if err := w.Abort(); err != nil {
				t.Fatal(err)
			}
			wantBeside(t, parent, ".reports.lock", "reports")
		})
	}
}

func TestCurrentOfNoReports(t *testing.T) {
	parent := t.TempDir()
	mustWrite(t, filepath.Join(parent, "foreign", "run.json"), "{}")
	for _, name := range []string{"absent", "deep/absent", "foreign"} {
		if got, err := Current(filepath.Join(parent, name)); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("Current(%s) = %q, %v, want fs.ErrNotExist", name, got, err)
		}
	}
}

// Whoever reads while sets are replaced finds reports at every moment.
func TestReaderAlwaysFindsReports(t *testing.T) {
	if !exchangeWorks(t) {
		t.Skip("names can't be exchanged here: there is a moment between two renames")
	}
	out := filepath.Join(t.TempDir(), "reports")
	commitSet(t, out, 0)
	done := make(chan struct{})
	var reader sync.WaitGroup
	looks := 0
	reader.Go(func() {
		for {
			select {
			case <-done:
				return
			default:
			}
			if _, err := os.ReadFile(filepath.Join(out, "run.json")); err != nil {
				// Between finding the folder and opening its file the old set
				// may be deleted; the next look finds the new one.
				if _, err := os.ReadFile(filepath.Join(out, "run.json")); err != nil {
					t.Error(err)
					return
				}
			}
			looks++
		}
	})
	for generation := range 20 {
		commitSet(t, out, generation)
	}
	close(done)
	reader.Wait()
	if looks < 100 {
		t.Errorf("only %d looks: too few to tell", looks)
	}
}

func exchangeWorks(t *testing.T) bool {
	t.Helper()
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	mustMkdir(t, a)
	mustMkdir(t, b)
	return exchange(a, b) == nil
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

func mustRename(t *testing.T, from, to string) {
	t.Helper()
	if err := os.Rename(from, to); err != nil {
		t.Fatal(err)
	}
}

func mustMkdir(t *testing.T, path string) {
	t.Helper()
	if err := os.Mkdir(path, 0o755); err != nil {
		t.Fatal(err)
	}
}
