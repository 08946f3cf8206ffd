package main

import (
	"os"
	"os/exec"
	"os/signal"
	"syscall"
	"unsafe"

	"golang.org/x/sys/windows"
)

const (
	// exitCrashed is the status after a crash of the Go runtime: what shells show of
	// SIGABRT, by which one ends on other systems.
	exitCrashed = 134
	// endedItself is added to the status of the process that works, so that what it
	// says itself is told apart from what the runtime says for it.
	endedItself = 64
	// watchedBy is the environment variable that tells it to work.
	watchedBy = "VANWRIGHT_WATCHED"
)

// watched has another process of this program do the work, and returns its exit status,
// or exitCrashed where it did not end by itself.
//
// The Go runtime ends a crash with status 2, which says wrong usage, on Windows whatever
// debug.SetTraceback is told: dieFromException in the runtime's signal_windows.go raises
// a fail-fast exception whose code is 2, too, unless the crash was a bad access to
// memory. So the one that may crash can't be the one that says how it ended.
func watched(work func() int) int {
	if os.Getenv(watchedBy) != "" {
		_ = os.Unsetenv(watchedBy) // is of this process alone
		return endedItself + work()
	}
	self, err := os.Executable()
	if err != nil {
		return work()
	}
	cmd := exec.Command(self, os.Args[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	cmd.Env = append(os.Environ(), watchedBy+"=1")
	// Whoever works hears of Ctrl+C and of a console that closes as well, and ends.
	signal.Notify(make(chan os.Signal, 1), os.Interrupt, syscall.SIGTERM)
	if err := cmd.Start(); err != nil {
		return work()
	}
	endsWithThis(cmd.Process.Pid)
	_ = cmd.Wait() // the status says all
	return statusOf(cmd.ProcessState.ExitCode())
}

// statusOf is the exit status of the program, from that of the process that works.
func statusOf(code int) int {
	if code < endedItself+exitDone || code > endedItself+exitRejected {
		return exitCrashed
	}
	return code - endedItself
}

// endsWithThis has a process ended where this one is: as by the Task Scheduler. It is a
// wish: where it fails, the process goes on to its end.
func endsWithThis(pid int) {
	job, err := windows.CreateJobObject(nil, nil)
	if err != nil {
		return
	}
	limits := windows.JOBOBJECT_EXTENDED_LIMIT_INFORMATION{
		BasicLimitInformation: windows.JOBOBJECT_BASIC_LIMIT_INFORMATION{LimitFlags: windows.JOB_OBJECT_LIMIT_KILL_ON_JOB_CLOSE},
	}
	_, err = windows.SetInformationJobObject(job, windows.JobObjectExtendedLimitInformation, uintptr(unsafe.Pointer(&limits)), uint32(unsafe.Sizeof(limits)))
	if err != nil {
		return
	}
	process, err := windows.OpenProcess(windows.PROCESS_SET_QUOTA|windows.PROCESS_TERMINATE, false, uint32(pid))
	if err != nil {
		return
	}
	_ = windows.AssignProcessToJobObject(job, process)
	_ = windows.CloseHandle(process) // that of the job stays open until this process ends
}
