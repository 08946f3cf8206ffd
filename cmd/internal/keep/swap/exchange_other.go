//go:build !linux && !darwin

package swap

import "errors"

// exchange is not to be had here: the caller renames twice.
func exchange(_, _ string) error { return errors.ErrUnsupported }
