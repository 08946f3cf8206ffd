package pages

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
)

// opened390 opens a page on a phone's screen and asks it something.
func opened390(t *testing.T, ctx context.Context, url, script string) ([]string, error) {
	t.Helper()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 844), chromedp.Navigate(url)); err != nil {
		return nil, err
	}
	return chromedp.Run(ctx, chromedp.Evaluate[[]string](script))
}

// smallTargets lists what can be tapped and is below 24 by 24 CSS pixels, but for
// links within a sentence: WCAG 2.2, success criterion 2.5.8 "Target size
// (minimum)", with its exceptions "Inline" and, for the skip link, what is off the
// screen.
const smallTargets = `(() => {
  for (const d of document.querySelectorAll("details")) d.open = true;
  const small = [];
  for (const e of document.querySelectorAll("a[href], button, input, summary")) {
    const r = e.getBoundingClientRect();
    if (r.width === 0 || r.right < 0) continue;
    if (e.type === "checkbox" && e.closest("label")) continue;
    const style = getComputedStyle(e);
    const inSentence = style.display === "inline" && e.closest("p, dd, figcaption, caption") && e.closest("p, dd, figcaption, caption").textContent.trim() !== e.textContent.trim();
    if (inSentence) continue;
    if (r.width < 23.5 || r.height < 23.5) small.push(Math.round(r.width) + " by " + Math.round(r.height) + ": " + e.tagName + " " + e.textContent.slice(0, 30));
  }
  return small.slice(0, 6);
})()`

func TestLinksAreEasyToHit(t *testing.T) {
	ctx := browsertest.Start(t, 12*time.Minute)
	dir := t.TempDir()
	writeTo(t, dir, written(t, nighttest.Demo(t)))
	for _, name := range kinds(t) {
		small, err := opened390(t, ctx, fileURL(dir, name), smallTargets)
		if err != nil {
			t.Fatal(err)
		}
		if len(small) > 0 {
			t.Errorf("%s: too small to hit: %s", name, strings.Join(small, "; "))
		}
	}
}

// On a phone the figure that a table is opened for is on the first screen: price or
// bid of the list of vans, the ready date of the queue, profit of the margin, what
// a kind earns a day.
func TestTheFigureIsOnTheFirstScreen(t *testing.T) {
	ctx := browsertest.Start(t, 12*time.Minute)
	dir := t.TempDir()
	writeTo(t, dir, written(t, nighttest.Demo(t)))
	for _, c := range []struct{ page, table, heading string }{
		{"index.html", "#stock", "Price"},
		{"workshop/index.html", "main", "Ready"},
		{"margin/index.html", "#vantables", "Profit"},
		{"margin/wanted.html", "#kinds", "A day"},
		{"margin/lookback.html", "main", "Our record"},
	} {
		where := `(() => {
  for (const d of document.querySelectorAll("details")) d.open = true;
  const heads = [...document.querySelectorAll("` + c.table + ` thead th")].filter((h) => h.textContent.trim() === "` + c.heading + `");
  return heads.map((h) => {
    const column = [...h.parentNode.children].indexOf(h);
    const cells = [h, ...[...h.closest("table").tBodies[0].rows].map((r) => r.children[column])];
    return String(Math.ceil(Math.max(...cells.map((x) => x.getBoundingClientRect().right))));
  });
})()`
		right, err := opened390(t, ctx, fileURL(dir, c.page), where)
		if err != nil {
			t.Fatal(err)
		}
		if len(right) == 0 {
			t.Errorf("%s has no column %s", c.page, c.heading)
		}
		for _, x := range right {
			if len(x) > 3 || len(x) == 3 && x > "390" {
				t.Errorf("%s: column %s ends at %s px of 390", c.page, c.heading, x)
			}
		}
	}
}

// The box on each page, opened as a file, leads to the van by its mark, by part of
// its stock number, and by its model, sold ones too.
func TestFindAVanFromAFile(t *testing.T) {
	ctx := browsertest.Start(t, 12*time.Minute)
	dir := t.TempDir()
	r := nighttest.Demo(t)
	writeTo(t, dir, written(t, r))
	writeTo(t, dir, phonesWritten(t, r))
	s := newReport(r, nil)
	complaints := watch(t, ctx)
	sold, ok := r.Find("LV125")
	if !ok {
		t.Fatal("the demo has no LV125")
	}
	for _, from := range []string{"index.html", "vans/Q31.html", "margin/wanted.html", "desk.html", s.dayFile(r.Workshop.Team[0].Name)} {
		for _, typed := range []string{strings.ToLower(strings.ReplaceAll(sold.Reg, " ", "")), sold.Reg, "lv125", "sold " + sold.Model} {
			if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 844), chromedp.Navigate(fileURL(dir, from))); err != nil {
				t.Fatal(err)
			}
			if err := chromedp.Do(ctx,
				chromedp.SendKeys(chromedp.CSS(".find input"), typed+"\r"),
				chromedp.WaitVisible(chromedp.CSS("#hits a")),
			); err != nil {
				t.Fatalf("from %s, %q: %v", from, typed, err)
			}
			hits, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](`[...document.querySelectorAll("#hits a")].map((a) => a.getAttribute("href"))`))
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(strings.Join(hits, " "), "vans/LV125.html") {
				t.Errorf("from %s, %q finds %v", from, typed, hits)
			}
		}
	}
	if bad := complaints(); len(bad) > 0 {
		t.Errorf("the pages are not quiet: %s", strings.Join(bad, "; "))
	}
}
