package swap

import (
	"os"

	"golang.org/x/sys/unix"
)

// beginSync has the system begin to write a file to the disk, and does not wait.
// A system that can't will begin when the file is synced, which also says what
// went wrong.
func beginSync(f *os.File) {
	_ = unix.SyncFileRange(int(f.Fd()), 0, 0, unix.SYNC_FILE_RANGE_WRITE)
}
