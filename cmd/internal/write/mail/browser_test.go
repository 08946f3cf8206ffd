package mail

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
)

// TestPageInBrowser opens the page in Chromium on a phone and on a desk: its
// policy lets its own styles through and no other, and nothing reaches beyond
// the page.
func TestPageInBrowser(t *testing.T) {
	ctx := browsertest.Start(t, 2*time.Minute)
	now, before := sets(t, filepath.Join("testdata", "night.txtar"))
	_, page := written(t, Compare(now, before))
	// As if a cell's text had got through as an element.
	page = strings.Replace(page, "</body>", `<p id="foreign" style="font-size:99px">x</p><script>document.title = "ran"</script></body>`, 1)
	file := filepath.Join(t.TempDir(), "since.html")
	if err := os.WriteFile(file, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, width := range []int64{390, 1280} {
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 844), chromedp.Navigate("file://"+filepath.ToSlash(file))); err != nil {
			t.Fatal(err)
		}
		type seen struct {
			Width, Scroll        int64
			Title, Cell, Foreign string
			Ran                  bool
		}
		got, err := chromedp.Run(ctx, chromedp.Evaluate[seen](`(() => {
			const style = (e, p) => getComputedStyle(document.querySelector(e))[p], root = document.documentElement;
			return {Width: root.clientWidth, Scroll: root.scrollWidth, Title: style("h1", "fontSize"), Cell: style("tbody td", "textAlign"),
				Foreign: style("#foreign", "fontSize"), Ran: document.title === "ran"};
		})()`))
		if err != nil {
			t.Fatal(err)
		}
		if want := (seen{Width: width, Scroll: width, Title: "22px", Cell: "right", Foreign: "16px"}); got != want {
			t.Errorf("got %+v, want %+v", got, want)
		}
		if *browsertest.Shots != "" {
			picture, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(*browsertest.Shots, fmt.Sprintf("since-%d.png", width)), picture, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
