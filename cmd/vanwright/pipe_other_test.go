//go:build !unix

package main

import "errors"

func makePipe(string) error { return errors.ErrUnsupported }
