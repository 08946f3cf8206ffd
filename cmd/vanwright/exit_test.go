package main

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestCrashIsNotWrongUsage: a supervisor that passes over status 2 retries a crash.
func TestCrashIsNotWrongUsage(t *testing.T) {
	for how, want := range map[string]int{"panic": crashed, "fatal": crashed, "nonsense": exitUsage, "--version": exitDone} {
		t.Run(how, func(t *testing.T) {
			self, err := os.Executable()
			if err != nil {
				t.Fatal(err)
			}
			cmd := exec.Command(self, "-test.run=^TestCrashesItself$")
			cmd.Env = append(os.Environ(), crashes+"="+how)
			text, err := cmd.CombinedOutput()
			if exit := (*exec.ExitError)(nil); err != nil && !errors.As(err, &exit) {
				t.Fatalf("%v\n%s", err, text)
			}
			if got := endOf(cmd.ProcessState); got != want {
				t.Errorf("ended with %d, want %d\n%s", got, want, text)
			}
		})
	}
}

// crashes is the environment variable by which the test binary is told to crash.
const crashes = "VANWRIGHT_TEST_CRASH"

// TestCrashesItself runs a command line, or crashes as a bug in it might: by a panic
// that nothing recovers, or by what the runtime calls fatal.
func TestCrashesItself(t *testing.T) {
	how := os.Getenv(crashes)
	if how == "" {
		t.Skip("only run by TestCrashIsNotWrongUsage")
	}
	os.Exit(watched(func() int {
		if how != "panic" && how != "fatal" {
			return execute([]string{how}, io.Discard, io.Discard)
		}
		over := make(chan bool)
		go func() {
			if how == "panic" {
				panic("a bug")
			}
			all := map[int]int{}
			for range 2 {
				go func() {
					for i := 0; ; i++ {
						all[i%100] = i // concurrent map writes, which the runtime finds out
					}
				}()
			}
		}()
		<-over
		return exitDone
	}))
}

// full is an output that takes nothing, as a disk that is full.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, syscall.ENOSPC }

func TestAnswerThatCannotBeWrittenIsAFailure(t *testing.T) {
	yard := usualYard().write(t)
	out := filepath.Join(filepath.Dir(yard), "reports")
	for _, args := range [][]string{
		{"check", "--yard", yard, "--as-of", "2026-03-09"},
		{"bid", "--yard", yard, "A3", "--as-of", "2026-03-09"},
		{"run", "--yard", yard, "--out", out, "--as-of", "2026-03-09", "--json"},
		{"since", "--reports", out},
		{"books", "--out", filepath.Join(t.TempDir(), "books")},
		{"--version"},
	} {
		var errs strings.Builder
		if status := execute(args, full{}, &errs); status != exitFailed || !strings.Contains(errs.String(), "no space left on device") {
			t.Errorf("%s: status %d, %s", args[0], status, errs.String())
		}
	}
}

// TestSignalSaysWhatItStopped ends runs in the middle, as systemctl stop does.
func TestSignalSaysWhatItStopped(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there is no SIGTERM to send")
	}
	if testing.Short() {
		t.Skip("runs a large yard")
	}
	yard := filepath.Join(t.TempDir(), "yard")
	if status, _, errs := commandLine("synth", "--vans", "3000", "--out", yard); status != exitDone {
		t.Fatal(errs)
	}
	out := filepath.Join(t.TempDir(), "reports")
	said := map[string]bool{}
	for _, wait := range []time.Duration{50 * time.Millisecond, 200 * time.Millisecond, 500 * time.Millisecond, time.Second} {
		cmd := vanwright(t, "run", "--yard", yard, "--out", out, "--quiet")
		var errs strings.Builder
		cmd.Stderr = &errs
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(wait, func() { cmd.Process.Signal(syscall.SIGTERM) })
		if err := cmd.Wait(); err == nil {
			t.Fatal("done before it was stopped")
		}
		lines := strings.Split(strings.TrimSpace(errs.String()), "\n")
		last := lines[len(lines)-1]
		if code := cmd.ProcessState.ExitCode(); code == -1 && last == "" {
			continue // before it listened to signals
		} else if code != exitFailed || !strings.HasSuffix(last, ", nothing replaced: terminated signal received") {
			t.Errorf("after %v: status %d, %s", wait, code, last)
		}
		said[last] = true
		if exists(out) {
			t.Error("reports after a run that was stopped")
		}
	}
	if len(said) == 0 {
		t.Error("no run said what it was stopped at")
	}
}
