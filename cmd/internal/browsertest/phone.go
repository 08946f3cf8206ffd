package browsertest

import (
	"context"
	"flag"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/security"
	"github.com/chromedp/chromedp"
)

// Shots is the folder of the -shots flag; blank where none was named.
var Shots = flag.String("shots", "", "folder for pictures of the pages that the browser tests open")

// Phone is one window of 390 by 844 px, the presses that were made in it, and
// what went wrong there.
type Phone struct {
	T    *testing.T
	Ctx  context.Context
	Taps int // on the screen; a date or a choice of a list counts as a picker asks for it
	Keys int // on the keyboard

	downloads string
	address   string
	clock     page.ScriptIdentifier // of SetClock; blank: the machine's
	mu        sync.Mutex
	wrong     []string
}

// A date's picker wants opening, a year, a day and closing, a month's likewise; a
// list wants opening and a choice.
const (
	tapsOfDate = 4
	tapsOfList = 2
)

// File is the address of a file.
func File(path string) string { return (&url.URL{Scheme: "file", Path: path}).String() }

// OpenPhone opens an address in a window that shares nothing with those of other
// tests. Only that address, and with http or https its whole origin, may be asked for. The
// test is skipped as Start says; the package's TestMain is Main.
func OpenPhone(t *testing.T, address string) *Phone {
	t.Helper()
	ctx, cancel := chromedp.NewContext(shared(t), chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	ctx, late := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(late)
	p := &Phone{T: t, Ctx: ctx, downloads: t.TempDir()}
	p.open(address)
	to := browser.SetDownloadBehaviorParams{
		Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: p.downloads,
		BrowserContextID: chromedp.FromContext(ctx).BrowserContextID,
	}
	if _, err := chromedp.CallBrowser(p.Ctx, browser.SetDownloadBehavior, to); err != nil {
		t.Fatal(err)
	}
	return p
}

func (p *Phone) open(address string) {
	p.T.Helper()
	p.address = address
	if err := chromedp.Do(p.Ctx); err != nil {
		p.T.Fatalf("open a window: %v", err)
	}
	p.watch()
	Call(p, network.Enable, network.EnableParams{})
	if strings.HasPrefix(address, "https:") { // a test's certificate is its own
		Call(p, security.SetIgnoreCertificateErrors, security.SetIgnoreCertificateErrorsParams{Ignore: true})
	}
	p.Do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile), chromedp.Navigate(address))
}

// one is a browser for all phones of a package's tests, since each start costs
// seconds.
var one struct {
	sync.Mutex
	ctx  context.Context
	stop func()
}

func shared(t *testing.T) context.Context {
	t.Helper()
	one.Lock()
	defer one.Unlock()
	if one.ctx != nil {
		return one.ctx
	}
	profile, err := os.MkdirTemp("", "vanwright-browser-")
	if err != nil {
		t.Fatal(err)
	}
	one.stop = func() { os.RemoveAll(profile) }
	allocated, end := chromedp.NewExecAllocator(context.Background(), options(t, profile)...)
	ctx, cancel := chromedp.NewContext(allocated)
	one.ctx = ctx
	one.stop = func() { cancel(); end(); os.RemoveAll(profile) }
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("start the browser: %v", err)
	}
	return ctx
}

// Main runs a package's tests and ends the browser that they opened phones in.
func Main(m *testing.M) {
	code := m.Run()
	End()
	os.Exit(code)
}

// End ends that browser, for a package that has another Main.
func End() {
	one.Lock()
	defer one.Unlock()
	if one.stop != nil {
		one.stop()
	}
	one.ctx, one.stop = nil, nil
}

// OtherTab opens a second window of the same browser, which shares what is
// stored.
func (p *Phone) OtherTab(address string) *Phone {
	p.T.Helper()
	ctx, cancel := chromedp.NewContext(p.Ctx, chromedp.WithExistingBrowserContext(chromedp.FromContext(p.Ctx).BrowserContextID))
	p.T.Cleanup(cancel)
	other := &Phone{T: p.T, Ctx: ctx, downloads: p.downloads}
	other.open(address)
	return other
}

// watch notes errors in the console and requests for anything but the page.
func (p *Phone) watch() {
	allowed := func(u string) bool {
		at, err := url.Parse(p.address)
		return u == p.address || strings.HasPrefix(u, "data:") || strings.HasPrefix(u, "blob:") ||
			err == nil && strings.HasPrefix(at.Scheme, "http") && strings.HasPrefix(u, at.Scheme+"://"+at.Host+"/")
	}
	err := chromedp.Listen(p.Ctx, func(event any) {
		p.mu.Lock()
		defer p.mu.Unlock()
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			text := "exception: " + e.ExceptionDetails.Text
			if e.ExceptionDetails.Exception != nil {
				text += " " + e.ExceptionDetails.Exception.Description
			}
			p.wrong = append(p.wrong, text)
		case *runtime.EventConsoleAPICalled:
			p.wrong = append(p.wrong, fmt.Sprintf("console %s: %v", e.Type, e.Args))
		case *cdplog.EventEntryAdded:
			p.wrong = append(p.wrong, "log: "+e.Entry.Text)
		case *network.EventRequestWillBeSent:
			if !allowed(e.Request.URL) {
				p.wrong = append(p.wrong, "request: "+e.Request.URL)
			}
		}
	})
	if err != nil {
		p.T.Fatalf("open a window: %v", err)
	}
}

// Quiet fails the test where the console or the network was used.
func (p *Phone) Quiet() {
	p.T.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, w := range p.wrong {
		p.T.Error(w)
	}
}

// Do runs steps and fails the test where one of them fails.
func (p *Phone) Do(steps ...chromedp.Action[chromedp.Void]) {
	p.T.Helper()
	ctx, late := context.WithTimeout(p.Ctx, 30*time.Second)
	defer late()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.T.Fatalf("%v; %s", err, p.said())
	}
}

func (p *Phone) said() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return strings.Join(p.wrong, "; ")
}

// Call sends one command of the browser's protocol.
func Call[P, R any](p *Phone, command cdp.Command[P, R], params P) {
	p.T.Helper()
	if _, err := chromedp.Call(p.Ctx, command, params); err != nil {
		p.T.Fatal(err)
	}
}

// JS runs a script in the page.
func JS(format string, args ...any) chromedp.Action[chromedp.Void] {
	return chromedp.Evaluate[chromedp.Void](fmt.Sprintf(format, args...))
}

// Ask evaluates an expression in the page and waits for a promise.
func Ask[T any](p *Phone, expression string) T {
	p.T.Helper()
	out, err := chromedp.Run(p.Ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		p.T.Fatalf("%v of %s; %s", err, expression, p.said())
	}
	return out
}

// Wait waits until an expression is true.
func (p *Phone) Wait(expression string) {
	p.T.Helper()
	for range 800 {
		ok, err := chromedp.Run(p.Ctx, chromedp.Evaluate[bool](expression))
		if err == nil && ok {
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	p.T.Fatalf("%s never came; %s", expression, p.said())
}

// Tap presses what a selector finds, scrolled to where it is not under the bars.
func (p *Phone) Tap(selector string) {
	p.T.Helper()
	p.Taps++
	p.Do(
		JS("document.querySelector(%q).scrollIntoView({block: 'center'})", selector),
		chromedp.Click(chromedp.CSS(selector), chromedp.NodeVisible),
	)
}

// Type taps an input and types into it.
func (p *Phone) Type(selector, words string) {
	p.T.Helper()
	p.Tap(selector)
	p.Keystrokes(selector, words)
}

// Keystrokes types into an input that has the focus.
func (p *Phone) Keystrokes(selector, words string) {
	p.T.Helper()
	p.Keys += utf8.RuneCountInString(words)
	p.Do(chromedp.SendKeys(chromedp.CSS(selector), words))
}

// Pick sets an input as its picker would: dates and lists have one of their own
// on every phone.
func (p *Phone) Pick(selector, value string) {
	p.T.Helper()
	p.Taps += tapsOfList
	if Ask[bool](p, fmt.Sprintf("['date', 'month'].includes(document.querySelector(%q).type)", selector)) {
		p.Taps += tapsOfDate - tapsOfList
	}
	p.Do(JS(`(() => {
		const input = document.querySelector(%q);
		input.value = %q;
		for (const kind of ["input", "change"]) input.dispatchEvent(new Event(kind, {bubbles: true}));
	})()`, selector, value))
}

// Reload loads the page anew and waits until an expression is true in it.
func (p *Phone) Reload(ready string) {
	p.T.Helper()
	p.Do(JS("window.before = true"), chromedp.Reload())
	p.Wait("!window.before && " + ready)
}

// Dark turns the dark scheme on or off.
func (p *Phone) Dark(on bool) {
	p.T.Helper()
	scheme := "light"
	if on {
		scheme = "dark"
	}
	Call(p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
}

// Shoot keeps a picture of the whole page where the -shots flag asks for it.
func (p *Phone) Shoot(name string) {
	p.T.Helper()
	if *Shots == "" {
		return
	}
	png, err := chromedp.Run(p.Ctx, chromedp.FullScreenshot(100))
	if err != nil {
		p.T.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*Shots, name+".png"), png, 0o644); err != nil {
		p.T.Fatal(err)
	}
}

// Downloaded waits for one file in the downloads, takes it from there and
// returns its name and what is in it.
func (p *Phone) Downloaded() (string, []byte) {
	p.T.Helper()
	for range 200 {
		found, err := filepath.Glob(filepath.Join(p.downloads, "*.zip"))
		if err == nil && len(found) > 0 {
			content, err := os.ReadFile(found[0])
			if err == nil && len(content) > 0 {
				os.Remove(found[0])
				return filepath.Base(found[0]), content
			}
		}
		time.Sleep(25 * time.Millisecond)
	}
	p.T.Fatalf("nothing was downloaded; %s", p.said())
	return "", nil
}

// Axe runs axe-core, which AXE_CORE names, and returns what it finds: nothing,
// with a word in the test's log, where it is not named.
func (p *Phone) Axe() []string {
	p.T.Helper()
	path := os.Getenv("AXE_CORE")
	if path == "" {
		p.T.Log("AXE_CORE does not name axe.min.js: accessibility rules were not checked")
		return nil
	}
	if !Ask[bool](p, `"axe" in window`) { // it stays until the page is loaded anew
		axe, err := os.ReadFile(path)
		if err != nil {
			p.T.Fatal(err)
		}
		p.Do(chromedp.Evaluate[chromedp.Void](string(axe)))
	}
	return Ask[[]string](p, `axe.run().then((r) => r.violations.map((v) => v.id + ": " + v.help + " " + v.nodes[0].html.slice(0, 150)))`)
}
