package swap

import (
	"errors"
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// exchange swaps two names in one step by renameat2(2). The error is
// errors.ErrUnsupported where the kernel or the file system can't: EINVAL says
// that the file system does not know the flag, EPERM is what some containers
// answer to a system call that they don't list.
func exchange(a, b string) error {
	err := unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE)
	for _, unable := range []error{unix.EINVAL, unix.ENOSYS, unix.ENOTSUP, unix.EPERM} {
		if errors.Is(err, unable) {
			return errors.ErrUnsupported
		}
	}
	if err != nil {
		return fmt.Errorf("exchange %s and %s: %w", a, b, err)
	}
	return nil
}

// beginSync has the system begin to write a file to the disk, and does not wait.
// A system that can't will begin when the file is synced, which also says what
// went wrong.
func beginSync(f *os.File) {
	_ = unix.SyncFileRange(int(f.Fd()), 0, 0, unix.SYNC_FILE_RANGE_WRITE)
}
