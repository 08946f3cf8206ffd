package main

import (
	"errors"
	"fmt"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
)

// The exit statuses, as in each command's help. The Go runtime ends a process
// that crashed with 2, too: watched has it end otherwise.
const (
	exitDone     = 0
	exitFailed   = 1
	exitUsage    = 2
	exitRejected = 3
)

const exitHelp = `
Exit status: 0 done; 1 failed, nothing replaced; 2 wrong usage; 3 rows were
rejected and --strict was given, nothing replaced.`

// usageError is a command line that can't be right whatever the yard holds.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

func usagef(format string, args ...any) error {
	return usageError{fmt.Errorf(format, args...)}
}

// rejectedError says that --strict stopped a run.
type rejectedError struct{ rows int }

func (e rejectedError) Error() string {
	return fmt.Sprintf("%d %s rejected and --strict was given", e.rows, plural(e.rows, "row was", "rows were"))
}

// exitStatus maps the error of a command to the status of the process.
func exitStatus(err error) int {
	var usage usageError
	var flag policyfile.FlagError
	var rejected rejectedError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &usage), errors.As(err, &flag):
		return exitUsage
	case errors.As(err, &rejected):
		return exitRejected
	}
	return exitFailed
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
