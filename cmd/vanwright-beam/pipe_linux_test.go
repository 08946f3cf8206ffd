package main

import (
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A pause is a file that nobody gets past: a pipe in its place, without a word in it.
// So a test knows that a worker is in the middle of a yard, and which, and does its
// harm then, with no clock to guess by.
type pause struct {
	file string
	text []byte
	pipe *os.File // open for writing once somebody reads
}

// pauseAt puts the pipe in the place of a file.
func pauseAt(t *testing.T, file string) *pause {
	t.Helper()
	text, err := os.ReadFile(file)
	if err == nil {
		err = os.Remove(file)
	}
	if err == nil {
		err = syscall.Mkfifo(file, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	p := &pause{file: file, text: text}
	t.Cleanup(func() {
		if p.pipe != nil {
			p.pipe.Close()
		}
	})
	return p
}

// reached waits for somebody to read, and returns the number of the process.
func (p *pause) reached(t *testing.T) int {
	t.Helper()
	for deadline := time.Now().Add(6 * time.Minute); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		var err error
		if p.pipe == nil {
			// Fails with ENXIO until somebody has it open for reading.
			if p.pipe, err = os.OpenFile(p.file, os.O_WRONLY|syscall.O_NONBLOCK, 0); err != nil {
				p.pipe = nil
				if !errors.Is(err, syscall.ENXIO) {
					t.Fatal(err)
				}
				continue
			}
		}
		if pid := readerOf(p.file); pid != 0 {
			return pid
		}
	}
	t.Fatalf("nobody came to %s", p.file)
	return 0
}

// over lets everybody pass: the file is what it was, for who reads now and for who
// opens it later.
func (p *pause) over(t *testing.T) {
	t.Helper()
	whole := p.file + ".whole"
	writeFile(t, whole, string(p.text))
	if err := os.Rename(whole, p.file); err != nil {
		t.Fatal(err)
	}
	_, err := p.pipe.Write(p.text)
	if err != nil && !errors.Is(err, syscall.EPIPE) { // the reader was killed
		t.Fatal(err)
	}
	p.pipe.Close()
	p.pipe = nil
}

// readerOf is the process other than this that has a file open, 0 for none.
func readerOf(file string) int {
	links, _ := filepath.Glob("/proc/[0-9]*/fd/*")
	for _, link := range links {
		to, err := os.Readlink(link)
		if err != nil || to != file {
			continue
		}
		pid, err := strconv.Atoi(strings.Split(link, "/")[2])
		if err == nil && pid != os.Getpid() {
			return pid
		}
	}
	return 0
}
