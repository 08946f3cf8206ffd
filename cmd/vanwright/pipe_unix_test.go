//go:build unix

package main

import "golang.org/x/sys/unix"

func makePipe(name string) error { return unix.Mkfifo(name, 0o600) }
