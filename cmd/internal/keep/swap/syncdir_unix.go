//go:build unix

package swap

import (
	"errors"
	"os"
	"syscall"
)

// syncDir writes a folder's list of names through to the disk. File systems
// that have no such thing answer EINVAL or ENOTSUP; they have done what they
// can.
func syncDir(path string) error {
	dir, err := os.Open(path)
	if err != nil {
		return err
	}
	defer dir.Close()
	err = dir.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		return nil
	}
	return err
}
