package swap

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"
)

// mountSmall puts a disk of one megabyte in memory at a new folder. It takes
// the right to mount; without it the test is skipped.
func mountSmall(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := unix.Mount("tmpfs", dir, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("a small disk can't be mounted here (%v): run as root to test a full and a read-only one", err)
	}
	t.Cleanup(func() {
		if err := unix.Unmount(dir, unix.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

func TestFullDiskLeavesTheOldFolder(t *testing.T) {
	disk := mountSmall(t)
	out := filepath.Join(disk, "reports")
	w := begin(t, out)
	if err := errors.Join(writeFile(w, "run.json", "old"), w.Commit()); err != nil {
		t.Fatal(err)
	}
	w = begin(t, out)
	// The writer of the page takes no notice of errors; Commit does.
	f, err := w.Create("vans/big.html")
	if err != nil {
		t.Fatal(err)
	}
	for range 400 {
		f.Write(make([]byte, 8<<10))
	}
	f.Close()
	err = w.Commit()
	if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "vans/big.html") {
		t.Fatalf("Commit: %v, want a full disk at vans/big.html", err)
	}
	if err := w.Abort(); err != nil {
		t.Fatal(err)
	}
	if text, err := os.ReadFile(filepath.Join(out, "run.json")); err != nil || string(text) != "old" {
		t.Fatalf("old run.json: %q, %v", text, err)
	}
	wantBeside(t, disk, ".reports.lock", "reports")
	// With the space given back the next run succeeds.
	w = begin(t, out)
	if err := errors.Join(writeFile(w, "run.json", "new"), w.Commit()); err != nil {
		t.Fatal(err)
	}
}

func TestReadOnlyDisk(t *testing.T) {
	disk := mountSmall(t)
	out := filepath.Join(disk, "reports")
	w := begin(t, out)
	if err := errors.Join(writeFile(w, "run.json", "old"), w.Commit()); err != nil {
		t.Fatal(err)
	}
	if err := unix.Mount("", disk, "", unix.MS_REMOUNT|unix.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{out, filepath.Join(disk, "other"), filepath.Join(disk, "a", "b")} {
		if _, err := Begin(name); !errors.Is(err, syscall.EROFS) {
			t.Errorf("Begin(%s): %v, want a read-only disk", name, err)
		}
	}
	if _, err := Current(out); err != nil {
		t.Errorf("Current on a read-only disk: %v", err)
	}
}

func TestDiskThatTurnsReadOnlyDuringTheRun(t *testing.T) {
	disk := mountSmall(t)
	out := filepath.Join(disk, "reports")
	w := begin(t, out)
	if err := errors.Join(writeFile(w, "run.json", "old"), w.Commit()); err != nil {
		t.Fatal(err)
	}
	w = begin(t, out)
	if err := writeFile(w, "run.json", "new"); err != nil {
		t.Fatal(err)
	}
	if err := w.syncer.wait(); err != nil { // a disk with open files stays writable
		t.Fatal(err)
	}
	if err := unix.Mount("", disk, "", unix.MS_REMOUNT|unix.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); !errors.Is(err, syscall.EROFS) {
		t.Errorf("Commit: %v, want a read-only disk", err)
	}
	if err := w.Abort(); err == nil {
		t.Error("Abort says that it deleted the new folder on a read-only disk")
	}
	if text, err := os.ReadFile(filepath.Join(out, "run.json")); err != nil || string(text) != "old" {
		t.Errorf("old run.json: %q, %v", text, err)
	}
	// Writable again, the next run clears up.
	if err := unix.Mount("", disk, "", unix.MS_REMOUNT, ""); err != nil {
		t.Fatal(err)
	}
	w = begin(t, out)
	if err := errors.Join(writeFile(w, "run.json", "new"), w.Commit()); err != nil {
		t.Fatal(err)
	}
	wantBeside(t, disk, ".reports.lock", "reports")
}

func TestMountPointIsSaidPlainly(t *testing.T) {
	disk := mountSmall(t)
	w := begin(t, disk)
	if err := writeFile(w, "run.json", "new"); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err == nil || !strings.Contains(err.Error(), "mount point") {
		t.Fatalf("Commit onto a mount point: %v", err)
	}
}
