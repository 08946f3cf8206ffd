package form

import (
	"context"
	"flag"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"github.com/vanwright/vanwright/data"
)

var shots = flag.String("shots", "", "folder for pictures of the pages that the browser tests open")

// phone is one browser with the form open, and what went wrong in it.
type phone struct {
	t         *testing.T
	ctx       context.Context
	downloads string
	mu        sync.Mutex
	wrong     []string
}

// chrome is one browser for all tests, since each start costs seconds. Its
// path is blank where there is no Chromium.
var chrome = sync.OnceValue(func() *running {
	r := &running{}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			r.path = found
			break
		}
	}
	if r.path == "" {
		return r
	}
	if r.profile, r.err = os.MkdirTemp("", "vanwright-form-"); r.err != nil {
		return r
	}
	allocated, stop := chromedp.NewExecAllocator(context.Background(),
		chromedp.ExecPath(r.path), chromedp.UserDataDir(r.profile),
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
	)
	ctx, cancel := chromedp.NewContext(allocated)
	r.ctx = ctx
	stopChrome = func() { cancel(); stop(); os.RemoveAll(r.profile) }
	r.err = chromedp.Do(ctx) // starts it
	return r
})

type running struct {
	path, profile string
	ctx           context.Context
	err           error
}

// stopChrome ends the browser, if one was started.
var stopChrome = func() {}

func TestMain(m *testing.M) {
	code := m.Run()
	stopChrome()
	os.Exit(code)
}

// openForm opens a new form as a file, in a window that shares nothing with
// those of other tests. The test is skipped where there is no Chromium.
func openForm(t *testing.T) *phone {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser is not started in short tests")
	}
	r := chrome()
	if r.path == "" {
		t.Skip("no Chromium on this machine: the form was not opened in a browser")
	}
	if r.err != nil {
		t.Fatalf("start %s: %v", r.path, r.err)
	}
	p := &phone{t: t, downloads: t.TempDir()}
	ctx, cancel := chromedp.NewContext(r.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	ctx, late := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(late)
	p.ctx = ctx

	file := filepath.Join(t.TempDir(), "form.html")
	writePage(t, file)
	address := (&url.URL{Scheme: "file", Path: file}).String()
	if err := chromedp.Listen(ctx, p.watch(address)); err != nil {
		t.Fatalf("open a window: %v", err)
	}
	call(p, network.Enable, network.EnableParams{})
	to := browser.SetDownloadBehaviorParams{
		Behavior:         browser.SetDownloadBehaviorBehaviorAllow,
		BrowserContextID: chromedp.FromContext(ctx).BrowserContextID,
		DownloadPath:     p.downloads,
	}
	if _, err := chromedp.CallBrowser(ctx, browser.SetDownloadBehavior, to); err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile), chromedp.Navigate(address))
	return p
}

func writePage(t *testing.T, path string) {
	t.Helper()
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := Write(f, books, data.DefaultPolicy()); err != nil {
		t.Fatal(err)
	}
}

// watch notes errors in the console and requests for anything but the page.
func (p *phone) watch(address string) func(any) {
	return func(event any) {
		p.mu.Lock()
		defer p.mu.Unlock()
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			p.wrong = append(p.wrong, "exception: "+e.ExceptionDetails.Text)
		case *runtime.EventConsoleAPICalled:
			p.wrong = append(p.wrong, fmt.Sprintf("console %s: %v", e.Type, e.Args))
		case *cdplog.EventEntryAdded:
			p.wrong = append(p.wrong, "log: "+e.Entry.Text)
		case *network.EventRequestWillBeSent:
			u := e.Request.URL
			if u != address && !strings.HasPrefix(u, "data:") && !strings.HasPrefix(u, "blob:") {
				p.wrong = append(p.wrong, "request: "+u)
			}
		}
	}
}

// quiet fails the test where the console or the network was used.
func (p *phone) quiet() {
	p.t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, w := range p.wrong {
		p.t.Error(w)
	}
}

func (p *phone) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	if err := chromedp.Do(p.ctx, steps...); err != nil {
		p.t.Fatal(err)
	}
}

func call[P, R any](p *phone, command cdp.Command[P, R], params P) {
	p.t.Helper()
	if _, err := chromedp.Call(p.ctx, command, params); err != nil {
		p.t.Fatal(err)
	}
}

// js runs a script in the page.
func js(format string, args ...any) chromedp.Action[chromedp.Void] {
	return chromedp.Evaluate[chromedp.Void](fmt.Sprintf(format, args...))
}

// ask evaluates an expression in the page.
func ask[T any](p *phone, expression string) T {
	p.t.Helper()
	out, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.t.Fatalf("%v of %s", err, expression)
	}
	return out
}

// tap presses what a selector finds, scrolled to where it is not under the bars.
func (p *phone) tap(selector string) {
	p.t.Helper()
	p.do(
		js("document.querySelector(%q).scrollIntoView({block: 'center'})", selector),
		chromedp.Click(chromedp.CSS(selector), chromedp.NodeVisible),
	)
}

func (p *phone) typeInto(selector, words string) {
	p.t.Helper()
	p.tap(selector)
	p.do(chromedp.SendKeys(chromedp.CSS(selector), words))
}

// pick sets an input as its picker would: dates and lists have one of their own
// on every phone.
func (p *phone) pick(selector, value string) {
	p.t.Helper()
	p.do(js(`(() => {
		const input = document.querySelector(%q);
		input.value = %q;
		for (const kind of ["input", "change"]) input.dispatchEvent(new Event(kind, {bubbles: true}));
	})()`, selector, value))
}

// step goes to a step by the address, as a link of the page does.
func (p *phone) step(code string) {
	p.t.Helper()
	p.do(js("location.hash = %q", code))
	if _, err := chromedp.Run(p.ctx, chromedp.Poll[bool](fmt.Sprintf("here === %q", code))); err != nil {
		p.t.Fatal(err)
	}
}

// reload loads the page anew and waits for its script, because a change of the
// address just before may pass for the end of loading.
func (p *phone) reload() {
	p.t.Helper()
	p.do(js("window.before = true"), chromedp.Reload())
	for range 100 {
		fresh, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("!window.before && typeof here === 'string'"))
		if err == nil && fresh {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.t.Fatal("the page did not come back")
}

func (p *phone) dark(on bool) {
	p.t.Helper()
	scheme := "light"
	if on {
		scheme = "dark"
	}
	call(p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
}

// shoot keeps a picture of the whole page where the -shots flag asks for it.
func (p *phone) shoot(name string) {
	p.t.Helper()
	if *shots == "" {
		return
	}
	png, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*shots, name+".png"), png, 0o644); err != nil {
		p.t.Fatal(err)
	}
}

// take downloads a file and returns what is in it.
func (p *phone) take(name string) string {
	p.t.Helper()
	p.tap(fmt.Sprintf(`[data-file="%s"]`, name))
	path := filepath.Join(p.downloads, name)
	for range 100 {
		if content, err := os.ReadFile(path); err == nil && len(content) > 0 {
			return string(content)
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.t.Fatalf("%s was not downloaded", name)
	return ""
}
