package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/unix"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
)

// TestDiskTooSmallForTheReports runs the demo yard onto a disk that holds a
// small yard's reports and not its own: the old ones stand, whole. The same on
// a disk that became read-only.
func TestDiskTooSmallForTheReports(t *testing.T) {
	if testing.Short() {
		t.Skip("fills a disk")
	}
	disk := t.TempDir()
	if err := unix.Mount("tmpfs", disk, "tmpfs", 0, "size=4m"); err != nil {
		t.Skipf("a small disk can't be mounted here (%v): run as root to test a full one", err)
	}
	t.Cleanup(func() {
		if err := unix.Unmount(disk, unix.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	small, large := usualYard().write(t), filepath.Join(t.TempDir(), "yard")
	if err := demo.Write(large); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(disk, "reports")
	runYard(t, small, out, "2026-03-09")
	before := filesOf(t, out)
	fails := func(words string) {
		t.Helper()
		var stdout, stderr bytes.Buffer
		code := execute([]string{"run", "--yard", large, "--out", out, "--as-of", "2026-03-09", "--quiet", "--accept-loss", schedulesTried}, &stdout, &stderr)
		said := stderr.String()
		if code != exitFailed || !strings.Contains(said, words) || !strings.Contains(said[strings.LastIndex(said[:len(said)-1], "\n")+1:], "vanwright: ") {
			t.Errorf("exit status %d\n%s", code, said)
		}
		sameFiles(t, filesOf(t, out), before)
		checkWhole(t, out)
	}
	fails("no space left on device")
	runYard(t, small, out, "2026-03-09") // the space has been given back
	before = filesOf(t, out)

	if err := unix.Mount("", disk, "", unix.MS_REMOUNT|unix.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	fails("read-only file system")
}
