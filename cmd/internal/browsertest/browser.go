// Package browsertest starts the browser that tests open pages in.
package browsertest

import (
	"context"
	"os/exec"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// Start starts Chromium for a test that takes no longer than the limit, or skips
// the test where there is none. It ends with the test.
func Start(t *testing.T, limit time.Duration) context.Context {
	t.Helper()
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options(t, t.TempDir())...)
	t.Cleanup(stop)
	ctx, end := chromedp.NewContext(ctx)
	t.Cleanup(end)
	ctx, late := context.WithTimeout(ctx, limit)
	t.Cleanup(late)
	return ctx
}

// options are how Chromium is started with a profile. The test is skipped where
// there is none, and in short tests.
func options(t *testing.T, profile string) []chromedp.ExecAllocatorOption {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser is not started in short tests")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		t.Skip("no Chromium on this machine: install it to test pages in a browser")
	}
	return append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(profile),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
}
