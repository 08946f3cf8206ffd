package main

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
)

// zipped packs files into a slip.
func zipped(t *testing.T, files ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		w, err := z.Create(files[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, files[i+1]); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const slipRow = "slip,made,by\nnews-12345678,2026-03-08T17:05:00+00:00,Una Marl\n"

// handed posts a slip to the server of a link and returns status and answer.
func handed(t *testing.T, link string, slip io.Reader) (int, string) {
	t.Helper()
	return handedBy(t, newSender(), link, slip)
}

// newSender is a client that keeps no connection: the next server may stand at the
// same port, and a slip is not sent twice by itself.
func newSender() *http.Client {
	return &http.Client{Timeout: time.Minute, Transport: &http.Transport{DisableKeepAlives: true}}
}

func handedBy(t *testing.T, client *http.Client, link string, slip io.Reader) (int, string) {
	t.Helper()
	address, key, _ := strings.Cut(link, "?key=")
	r, err := http.NewRequest("POST", address+"hand-in", slip)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+key)
	resp, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	var answer struct {
		Kept bool
		Said []string
	}
	if err := json.NewDecoder(resp.Body).Decode(&answer); err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, fmt.Sprint(answer.Kept, " ", strings.Join(answer.Said, " "))
}

func kept(t *testing.T, yard string) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(yard, "slips", "*"))
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// A slip is read as run reads it, and the answer says in words what would be
// rejected. What harms is refused, nothing of it is kept, and the server goes on.
func TestSlipIsReadBeforeItIsKept(t *testing.T) {
	var many []string
	many = append(many, "slip.csv", slipRow)
	for i := range 10_000 {
		many = append(many, fmt.Sprintf("photos/%d.jpg", i), "x")
	}
	bomb := strings.Repeat("stock_id,taken_on,checkpoint,value\n", 1<<20)
	for name, tt := range map[string]struct {
		slip   []byte
		status int
		says   string
	}{
		"a good one":         {zipped(t, "slip.csv", slipRow, "vans.csv", "stock_id,asking\nLV137,44995\n"), 200, "1 line, all of them good."},
		"one of two lines":   {zipped(t, "slip.csv", slipRow, "vans.csv", "stock_id,asking\nLV137,44995\nLV101,much\n"), 200, "Not used: Vans, line 3: asking “much”"},
		"a van nobody knows": {zipped(t, "slip.csv", slipRow, "readings.csv", "stock_id,taken_on,checkpoint,verdict\nNONE1,2026-03-08,horn,worn\n"), 422, "NONE1"},
		"no slip.csv":        {zipped(t, "vans.csv", "stock_id,asking\nLV137,44995\n"), 422, "slip.csv"},
		"no zip":             {[]byte("a letter"), 422, "cut short or damaged"},
		"a path for a name":  {zipped(t, "slip.csv", slipRow, "../../vans.csv", "stock_id\n"), 422, "leads out of it"},
		"an id with a path":  {zipped(t, "slip.csv", "slip,made,by\n../../12345678,2026-03-08T17:05:00+00:00,\n", "vans.csv", "stock_id,asking\nLV137,44995\n"), 422, "8 to 64 letters"},
		"a bomb":             {zipped(t, "slip.csv", slipRow, "readings.csv", bomb), 422, "MiB"},
		"10,000 files":       {zipped(t, many...), 422, "more than 1000 files"},
	} {
		t.Run(name, func(t *testing.T) {
			yard, reports := twoVans(t), t.TempDir()
			writeFrontPage(t, reports, "front")
			link, stop := openedLink(t, "--reports", reports, "--yard", yard)
			defer stop()
			status, said := handed(t, link, bytes.NewReader(tt.slip))
			if status != tt.status || !strings.Contains(said, tt.says) {
				t.Errorf("%d %s; want %d with %q", status, said, tt.status, tt.says)
			}
			want := map[bool]int{true: 1}[tt.status == 200]
			if got := kept(t, yard); len(got) != want {
				t.Errorf("the yard keeps %q, want %d", got, want)
			}
			if status, said := handed(t, link, bytes.NewReader(zipped(t, "slip.csv", strings.Replace(slipRow, "news", "more", 1), "vans.csv", "stock_id,asking\nLV101,39995\n"))); status != 200 {
				t.Errorf("a good one after it: %d %s", status, said)
			}
		})
	}
}

// twoVans is a yard of two vans.
func twoVans(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	vans := "stock_id,maker,model,body,first_registered,mileage,status\nLV137,Larkfield,Moor,overcab,2018-04-02,31000,owned\nLV101,Larkfield,Rail,overcab,2019-04-02,21000,owned\n"
	if err := os.WriteFile(filepath.Join(dir, "vans.csv"), []byte(vans), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

// A phone that leaves the yard's network, and a server that is started anew with
// another key, lose nothing of what was entered: it is handed in later, once.
func TestHandingInWithoutNetwork(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser is not started in short tests")
	}
	t.Cleanup(browsertest.End)
	yard, reports := twoVans(t), t.TempDir()
	writeFrontPage(t, reports, "front")
	link, stop := openedLink(t, "--reports", reports, "--yard", yard)
	form := func(link string) string { return strings.Replace(link, "/?", "/form.html?", 1) }
	p := browsertest.OpenPhone(t, form(link))
	p.Wait(pageReady)
	p.Airplane(true)
	newVan(p, false, "UA01 AIR", "2018-04-02", "31000", "36995")
	formStep(p, "finish")
	answers := func(start string) {
		t.Helper()
		p.Tap("#slip [value=hand]")
		p.Wait(fmt.Sprintf(`document.querySelector("#answer").textContent.startsWith(%q)`, start))
	}
	answers("The yard's computer was not reached. Nothing is lost")
	p.Airplane(false)

	at, err := url.Parse(link)
	if err != nil {
		t.Fatal(err)
	}
	stop()
	link, stop = openedLink(t, "--reports", reports, "--yard", yard, "--listen", at.Host)
	defer stop()
	answers("Not handed in: open the link with the key")
	if got := kept(t, yard); len(got) != 0 {
		t.Fatalf("the yard keeps %q", got)
	}
	p.Visit(form(link), pageReady)
	formStep(p, "finish")
	answers("Handed in.")
	answers("Handed in.This slip was handed in before")
	if got := kept(t, yard); len(got) != 1 || !strings.Contains(got[0], "UA01AIR-") {
		t.Errorf("the yard keeps %q", got)
	}
}

// A slip that was saved on a phone is handed in at the desk, with the yard's answer;
// what is no slip is refused.
func TestSavedSlipIsHandedInAtTheDesk(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser is not started in short tests")
	}
	t.Cleanup(browsertest.End)
	yard, reports := twoVans(t), filepath.Join(t.TempDir(), "reports")
	if status, _, errs := commandLine("run", "--yard", yard, "--out", reports, "--quiet", schedulesTried); status != exitDone {
		t.Fatal(errs)
	}
	link, stop := openedLink(t, "--reports", reports, "--yard", yard)
	defer stop()
	dir := t.TempDir()
	good, bad := filepath.Join(dir, "LV137-1.zip"), filepath.Join(dir, "letter.zip")
	write(t, good, string(zipped(t, "slip.csv", slipRow, "vans.csv", "stock_id,asking\nLV137,44995\n")))
	write(t, bad, "a letter")
	p := browsertest.OpenPhone(t, strings.Replace(link, "/?", "/desk.html?", 1))
	p.Wait(pageReady)
	p.Tap("#nav-news")
	p.Do(chromedp.SetUploadFiles(chromedp.CSS("#saved [type=file]"), []string{good, bad}))
	p.Wait(`document.querySelectorAll("#saved-answer span").length === 2`)
	said := browsertest.Ask[[]string](p, `[...document.querySelectorAll("#saved-answer span")].map((s) => s.textContent)`)
	if said[0] != "LV137-1.zip: Handed in. 1 line, all of them good." || !strings.HasPrefix(said[1], "letter.zip: Not kept.") {
		t.Errorf("the desk says %q", said)
	}
	p.FitsAndIsAccessible("desk-saved")
	if got := kept(t, yard); len(got) != 1 {
		t.Errorf("the yard keeps %q", got)
	}
}

// The answer never is a bare no: a slip that the yard has already counts as handed
// in, and one from a clock that is ahead says so.
func TestSlipThatTheYardWillNotReadAgain(t *testing.T) {
	yard, reports := twoVans(t), t.TempDir()
	writeFrontPage(t, reports, "front")
	link, stop := openedLink(t, "--reports", reports, "--yard", yard)
	defer stop()
	slip := func(id string, made time.Time) []byte {
		row := fmt.Sprintf("slip,made,by\n%s,%s,Una Marl\n", id, made.Format(time.RFC3339))
		return zipped(t, "slip.csv", row, "vans.csv", "stock_id,asking\nLV137,44995\n")
	}
	now := time.Now()
	first := slip("una-marl-12345678", now.Add(-time.Hour))
	for _, tt := range []struct {
		name, says string
		slip       []byte
		status     int
	}{
		{"a first time", "true Handed in. 1 line, all of them good.", first, 200},
		{"a second time", "true Handed in. This slip was handed in before. It counts once.", first, 200},
		{"another of its id", "false Not kept.", zipped(t, "slip.csv", "slip,made,by\nuna-marl-12345678,2026-03-08T17:05:00Z,\n", "vans.csv", "stock_id,asking\nLV101,1\n"), 422},
		{"a clock some hours ahead", "true Handed in. 1 line, all of them good.", slip("hours-12345678", now.Add(20*time.Hour)), 200},
		{"a clock a week ahead", "false Not kept. The clock of this phone is days ahead: set it, and hand in again.", slip("week-12345678", now.Add(7*24*time.Hour)), 422},
	} {
		status, said := handed(t, link, bytes.NewReader(tt.slip))
		if status != tt.status || !strings.HasPrefix(said, tt.says) || said == "false Not kept." {
			t.Errorf("%s: %d %s, want %d %s", tt.name, status, said, tt.status, tt.says)
		}
	}
	if got := kept(t, yard); len(got) != 2 {
		t.Errorf("the yard keeps %q", got)
	}
	if status, _, errs := commandLine("fold", "--yard", yard, "--as-of", now.AddDate(0, 0, 1).Format(time.DateOnly)); status != exitDone {
		t.Fatal(errs)
	}
	if status, said := handed(t, link, bytes.NewReader(first)); status != 200 || !strings.Contains(said, "handed in before") {
		t.Errorf("after it was folded in: %d %s", status, said)
	}
}

// A server that is killed while slips come in leaves each of them whole or not at
// all, and a sender who was told "kept" finds it there.
func TestKilledWhileHandingIn(t *testing.T) {
	if testing.Short() {
		t.Skip("kills dozens of servers")
	}
	kills := 200
	yard, reports := twoVans(t), t.TempDir()
	writeFrontPage(t, reports, "front")
	keyFile := filepath.Join(t.TempDir(), "key")
	sent, promised := map[string][]byte{}, map[string]bool{}
	var mu sync.Mutex
	cut := 0
	for n := range kills {
		cmd := vanwright(t, "open", "--reports", reports, "--yard", yard, "--key-file", keyFile)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		if !lines.Scan() {
			t.Fatal("open printed nothing")
		}
		_, link, _ := strings.Cut(lines.Text(), " is shown at ")
		go io.Copy(io.Discard, out)
		var senders sync.WaitGroup
		for k := range 3 {
			id := fmt.Sprintf("news-%04d-%04d", n, k)
			slip := zipped(t, "slip.csv", strings.Replace(slipRow, "news-12345678", id, 1), "vans.csv", fmt.Sprintf("stock_id,asking\nLV137,%d\n", 40_000+n),
				"photos/1.jpg", strings.Repeat("x", rand.IntN(1<<20)))
			sent[id+".zip"] = slip
			senders.Go(func() {
				if status := postedTo(link, slip); status == http.StatusOK {
					mu.Lock()
					promised[id+".zip"] = true
					mu.Unlock()
				}
			})
		}
		time.Sleep(time.Duration(rand.IntN(60)) * time.Millisecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		cmd.Wait()
		senders.Wait()
		entries, err := os.ReadDir(filepath.Join(yard, "slips"))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			t.Fatal(err)
		}
		for _, e := range entries {
			if strings.HasPrefix(e.Name(), ".") {
				cut++
				continue
			}
			content, err := os.ReadFile(filepath.Join(yard, "slips", e.Name()))
			if err != nil || !bytes.Equal(content, sent[e.Name()]) {
				t.Fatalf("%s is not the slip that was sent: %d of %d bytes, %v", e.Name(), len(content), len(sent[e.Name()]), err)
			}
			delete(promised, e.Name())
		}
		if len(promised) > 0 {
			t.Fatalf("said to be kept and not there: %v", promised)
		}
		for _, e := range entries { // so that the yard stays small
			if !strings.HasPrefix(e.Name(), ".") {
				os.Remove(filepath.Join(yard, "slips", e.Name()))
			}
		}
	}
	t.Logf("%d servers killed, %d slips cut short", kills, cut)
}

// postedTo hands a slip in to a server that may be killed at any moment; 0 where
// it gave no answer.
func postedTo(link string, slip []byte) int {
	address, key, _ := strings.Cut(link, "?key=")
	r, err := http.NewRequest("POST", address+"hand-in", bytes.NewReader(slip))
	if err != nil {
		return 0
	}
	r.Header.Set("Authorization", "Bearer "+key)
	resp, err := newSender().Do(r)
	if err != nil {
		return 0
	}
	resp.Body.Close()
	return resp.StatusCode
}
