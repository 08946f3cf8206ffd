package browsertest

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// What happens to a phone in a yard: days pass, the network goes, the battery goes
// flat.

// clockScript shifts the clock of a page to a moment, in ms since 1970.
const clockScript = `(() => {
	const Real = Date, shift = %d - Real.now();
	globalThis.Date = class extends Real {
		constructor(...given) { if (given.length) super(...given); else super(Real.now() + shift); }
		static now() { return Real.now() + shift; }
	};
})()`

// SetClock has the pages that this window opens from now on take the time from a
// clock that is set.
func (p *Phone) SetClock(at time.Time) {
	p.T.Helper()
	if p.clock != "" {
		Call(p, page.RemoveScriptToEvaluateOnNewDocument, page.RemoveScriptToEvaluateOnNewDocumentParams{Identifier: p.clock})
	}
	set, err := chromedp.Call(p.Ctx, page.AddScriptToEvaluateOnNewDocument,
		page.AddScriptToEvaluateOnNewDocumentParams{Source: fmt.Sprintf(clockScript, at.UnixMilli())})
	if err != nil {
		p.T.Fatal(err)
	}
	p.clock = set.Identifier
}

// Visit goes to another address, and waits until an expression is true there.
func (p *Phone) Visit(address, ready string) {
	p.T.Helper()
	p.mu.Lock()
	p.address = address
	p.mu.Unlock()
	p.Do(JS("window.before = true"), chromedp.Navigate(address))
	p.Wait("!window.before && " + ready)
}

// conditions are those of the network; the command for them stands in the protocol
// and no longer in its Go package.
type conditions struct {
	Offline            bool    `json:"offline"`
	Latency            float64 `json:"latency"`
	DownloadThroughput float64 `json:"downloadThroughput"` // -1: as fast as it goes
	UploadThroughput   float64 `json:"uploadThroughput"`
}

var emulateNetworkConditions = cdp.Command[conditions, cdp.Empty]{Method: "Network.emulateNetworkConditions"}

// Airplane turns the network of this window off or on.
func (p *Phone) Airplane(on bool) {
	p.T.Helper()
	Call(p, emulateNetworkConditions, conditions{Offline: on, DownloadThroughput: -1, UploadThroughput: -1})
}

// OpenOwn opens an address in a browser of its own, whose profile is a folder that
// outlives it.
func OpenOwn(t *testing.T, profile, address string) *Phone {
	t.Helper()
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options(t, profile)...)
	t.Cleanup(stop)
	ctx, end := chromedp.NewContext(ctx)
	t.Cleanup(end)
	ctx, late := context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(late)
	p := &Phone{T: t, Ctx: ctx, downloads: t.TempDir()}
	p.open(address)
	to := browser.SetDownloadBehaviorParams{Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: p.downloads}
	if _, err := chromedp.CallBrowser(p.Ctx, browser.SetDownloadBehavior, to); err != nil {
		t.Fatal(err)
	}
	return p
}

// Kill ends the browser of OpenOwn as a flat battery does: at once, with no time to
// put anything on the disk.
func (p *Phone) Kill() {
	p.T.Helper()
	process := chromedp.FromContext(p.Ctx).Browser.Process()
	if process == nil {
		p.T.Fatal("this window has no browser of its own")
	}
	if err := process.Kill(); err != nil {
		p.T.Fatal(err)
	}
	time.Sleep(300 * time.Millisecond) // its other processes see that it has gone
}
