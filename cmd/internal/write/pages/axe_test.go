package pages

import (
	"context"
	"os"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
)

// violations runs rules of axe-core, with every folded part of the page
// unfolded, and lists what breaks one.
const violations = `((rules) => {
  for (const d of document.querySelectorAll("details")) d.open = true;
  return axe.run(document, rules).then((r) => r.violations.flatMap((v) =>
    v.nodes.slice(0, 3).map((n) => v.id + ": " + v.help + ": " + n.html.slice(0, 200))));
})`

// axeRuns says which rules are held against a page: all of them in light, those
// of colour once more in dark.
var axeRuns = []struct{ scheme, rules string }{
	{"light", `{}`},
	{"dark", `{runOnly: ["cat.color"]}`},
}

// axe-core is not part of the project: name its axe.min.js in AXE_CORE to hold
// each kind of page against its rules, in light and dark, on phone and desk.
func TestAxeFindsNothing(t *testing.T) {
	path := os.Getenv("AXE_CORE")
	if path == "" {
		t.Skip("AXE_CORE does not name axe.min.js: accessibility rules were not checked")
	}
	axe, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	ctx := browsertest.Start(t, 12*time.Minute)
	dir := t.TempDir()
	writeTo(t, dir, written(t, nighttest.Demo(t)))
	for _, name := range kinds(t) {
		t.Run(name, func(t *testing.T) {
			load := []chromedp.Action[chromedp.Void]{
				chromedp.Navigate(fileURL(dir, name)), chromedp.Evaluate[chromedp.Void](string(axe)),
			}
			if err := chromedp.Do(ctx, load...); err != nil {
				t.Fatal(err)
			}
			for _, width := range []int64{390, 1280} {
				if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 844)); err != nil {
					t.Fatal(err)
				}
				for _, run := range axeRuns {
					showIn(t, ctx, run.scheme)
					found, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](violations+"("+run.rules+")", chromedp.EvalAwaitPromise))
					if err != nil {
						t.Fatal(err)
					}
					for _, v := range found {
						t.Errorf("%s at %d px: %s", run.scheme, width, v)
					}
				}
			}
		})
	}
}

// showIn has the page shown in light or dark.
func showIn(t *testing.T, ctx context.Context, scheme string) {
	t.Helper()
	media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
		t.Fatal(err)
	}
}
