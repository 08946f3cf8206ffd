package swap

import (
	"bufio"
	"errors"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

func TestSecondRunIsToldSoAtOnce(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "reports")
	commitSet(t, out, 1)
	first := begin(t, out)
	link := filepath.Join(parent, "link")
	symlink(t, out, link)
	for _, name := range []string{out, link, filepath.Join(parent, "x", "..", "reports")} {
		_, err := Begin(name)
		if !errors.Is(err, ErrBusy) || !strings.Contains(err.Error(), "another run") {
			t.Errorf("Begin(%s): %v, want ErrBusy", name, err)
		}
	}
	// The one that was refused has harmed nothing.
	if err := errors.Join(writeSet(first, 2), first.Commit()); err != nil {
		t.Fatal(err)
	}
	wantSet(t, out, 2)
}

func TestRunOfAnotherProcessIsBusyUntilItDies(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	cmd := childCommand(t, "hold", out)
	if _, err := cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	said, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if line, err := bufio.NewReader(said).ReadString('\n'); line != "held\n" {
		t.Fatalf("child said %q, %v", line, err)
	}
	if _, err := Begin(out); !errors.Is(err, ErrBusy) {
		t.Errorf("Begin while the other process runs: %v, want ErrBusy", err)
	}
	cmd.Process.Kill()
	cmd.Wait()
	commitSet(t, out, 1) // a killed run holds nobody up
	wantSet(t, out, 1)
}

func TestTenGoroutinesAtOnce(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	var (
		all     sync.WaitGroup
		tried   sync.WaitGroup
		mu      sync.Mutex
		writing []*Writing
		busy    int
	)
	tried.Add(10)
	for range 10 {
		all.Go(func() {
			defer tried.Done()
			w, err := Begin(out)
			mu.Lock()
			defer mu.Unlock()
			switch {
			case err == nil:
				writing = append(writing, w)
			case errors.Is(err, ErrBusy):
				busy++
			default:
				t.Error(err)
			}
		})
	}
	all.Wait()
	if len(writing) != 1 || busy != 9 {
		t.Fatalf("%d write and %d are busy, want 1 and 9", len(writing), busy)
	}
	if err := errors.Join(writeSet(writing[0], 7), writing[0].Commit()); err != nil {
		t.Fatal(err)
	}
	wantSet(t, out, 7)
}

func TestTenProcessesAtOnce(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "reports")
	commitSet(t, out, 0)
	said := make([]string, 10)
	pids := make([]int, 10)
	var all sync.WaitGroup
	for i := range said {
		cmd := childCommand(t, "once", out)
		all.Go(func() {
			text, err := cmd.Output()
			if err != nil {
				t.Errorf("process %d: %v", i, err)
				return
			}
			said[i], pids[i] = strings.TrimSpace(string(text)), cmd.Process.Pid
		})
	}
	all.Wait()
	stands, err := readSet(out)
	if err != nil {
		t.Fatal(err)
	}
	done := 0
	won := false
	for i, word := range said {
		switch word {
		case "done":
			done++
			won = won || pids[i] == stands
		case "busy":
		default:
			t.Errorf("process %d said %q", i, word)
		}
	}
	if done == 0 || !won {
		t.Errorf("%d done; the set that stands is of process %d", done, stands)
	}
	wantBeside(t, parent, ".reports.lock", "reports")
}

// Pages are written by many goroutines.
func TestFilesWrittenAtOnce(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reports")
	w := begin(t, out)
	var all sync.WaitGroup
	for i := range filesPerSet {
		all.Go(func() {
			if err := writeFile(w, filepath.ToSlash(filepath.Join("vans", "deep", string(rune('A'+i)), "page.html")), pageText(5)); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if err := errors.Join(writeFile(w, "run.json", "5"), w.Commit()); err != nil {
		t.Fatal(err)
	}
	wantSet(t, out, 5)
}
