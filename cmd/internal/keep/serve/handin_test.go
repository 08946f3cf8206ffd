package serve

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/iotest"
	"time"
)

// checked is a reader of slips whose words stand in the slip: "keep ID" is kept
// under that id, "refuse" brings nothing.
func checked(_ context.Context, slip io.ReaderAt, size int64) (Verdict, error) {
	text := make([]byte, min(size, 200))
	if _, err := slip.ReadAt(text, 0); err != nil && !errors.Is(err, io.EOF) {
		return Verdict{}, err
	}
	first, _, _ := strings.Cut(string(text), "\n")
	if id, ok := strings.CutPrefix(first, "keep "); ok {
		return Verdict{ID: id, Keep: true, Said: []string{"All of it is good."}}, nil
	}
	return Verdict{Said: []string{"It brings nothing."}}, nil
}

const key = "KEYKEYKEYKEY"

// yardDesk is a server that takes slips into a folder.
func yardDesk(t *testing.T) (*httptest.Server, string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "slips")
	slips, err := NewSlips(dir, checked)
	if err != nil {
		t.Fatal(err)
	}
	site := Site{Reports: opened(t, reportsFolder(t)), Slips: slips, Key: key}
	server := httptest.NewServer(site.Handler())
	t.Cleanup(server.Close)
	return server, dir
}

func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	out := []string{}
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

// post hands a slip in and returns status and answer.
func post(t *testing.T, server *httptest.Server, slip io.Reader, headers ...string) (int, string) {
	t.Helper()
	r, err := http.NewRequest("POST", server.URL+HandIn, slip)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+key)
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	resp, err := server.Client().Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, string(body)
}

func TestSlipIsKeptUnderItsID(t *testing.T) {
	server, dir := yardDesk(t)
	status, said := post(t, server, strings.NewReader("keep form-12345678"))
	if status != 200 || said != `{"kept":true,"said":["Handed in.","All of it is good."]}`+"\n" {
		t.Errorf("%d %s", status, said)
	}
	status, said = post(t, server, strings.NewReader("keep form-12345678"))
	if status != 200 || !strings.Contains(said, "handed in before") {
		t.Errorf("the second time: %d %s", status, said)
	}
	status, said = post(t, server, strings.NewReader("keep form-12345678\nother"))
	if status != 422 || !strings.Contains(said, "Another slip") {
		t.Errorf("another with its id: %d %s", status, said)
	}
	status, _ = post(t, server, strings.NewReader("keep FORM-12345678\nother"))
	if status != 422 {
		t.Errorf("another with its id in capitals, which a disk may not tell apart: %d", status)
	}
	if got := names(t, dir); len(got) != 1 || got[0] != "form-12345678.zip" {
		t.Errorf("the folder holds %q", got)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "form-12345678.zip")); err != nil || string(text) != "keep form-12345678" {
		t.Errorf("the first slip is now %q, %v", text, err)
	}
}

func TestWhatIsRefusedIsNotKept(t *testing.T) {
	large := func() io.Reader { return io.LimitReader(zeros{}, MostSlip+1) }
	for name, tt := range map[string]struct {
		slip    io.Reader
		headers []string
		status  int
	}{
		"no key":                    {strings.NewReader("keep form-12345678"), []string{"Authorization", ""}, 401},
		"another key":               {strings.NewReader("keep form-12345678"), []string{"Authorization", "Bearer KEYKEYKEYKEX"}, 401},
		"another origin":            {strings.NewReader("keep form-12345678"), []string{"Origin", "http://evil.example"}, 403},
		"a file's origin":           {strings.NewReader("keep form-12345678"), []string{"Origin", "null"}, 403},
		"a page from elsewhere":     {strings.NewReader("keep form-12345678"), []string{"Sec-Fetch-Site", "cross-site"}, 403},
		"brings nothing":            {strings.NewReader("refuse"), nil, 422},
		"a path for an id":          {strings.NewReader("keep ../../x-12345678"), nil, 500},
		"a short id":                {strings.NewReader("keep a"), nil, 500},
		"too large, as it says":     {large(), nil, 413},
		"too large, without saying": {iotest.DataErrReader(large()), []string{"X-Chunked", "yes"}, 413},
	} {
		t.Run(name, func(t *testing.T) {
			server, dir := yardDesk(t)
			status, said := post(t, server, tt.slip, tt.headers...)
			if status != tt.status || !strings.Contains(said, `"kept":false`) {
				t.Errorf("%d %s, want %d", status, said, tt.status)
			}
			if got := names(t, dir); len(got) != 0 {
				t.Errorf("the folder holds %q", got)
			}
			if status, said := post(t, server, strings.NewReader("keep form-12345678")); status != 200 {
				t.Errorf("a good slip after it: %d %s", status, said)
			}
		})
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func TestOnlyPostHandsIn(t *testing.T) {
	server, _ := yardDesk(t)
	for _, method := range []string{"GET", "PUT", "DELETE", "OPTIONS"} {
		r, err := http.NewRequest(method, server.URL+HandIn, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Authorization", "Bearer "+key)
		resp, err := server.Client().Do(r)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		if resp.StatusCode != 405 || resp.Header.Get("Allow") != "POST" {
			t.Errorf("%s: %d, allows %q", method, resp.StatusCode, resp.Header.Get("Allow"))
		}
	}
	readOnly := httptest.NewServer(Site{Reports: opened(t, reportsFolder(t)), Key: key}.Handler())
	defer readOnly.Close()
	if status, _ := post(t, readOnly, strings.NewReader("keep form-12345678")); status != 405 {
		t.Errorf("without a yard: %d, want 405", status)
	}
}

// Beyond this machine each page wants the key; the link with it lets a browser
// in and leaves no key in the address.
func TestKeyOfPages(t *testing.T) {
	server, _ := yardDesk(t) // not said to be a loopback
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	browser := &http.Client{Jar: jar}
	get := func(path string) (int, string) {
		t.Helper()
		resp, err := browser.Get(server.URL + path)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		return resp.StatusCode, resp.Request.URL.RequestURI()
	}
	for _, path := range []string{"/", "/vans/V1.html", "/prices.csv", "/?key=", "/?key=wrong", "/missing"} {
		if status, _ := get(path); status != 401 {
			t.Errorf("%s without the key: %d, want 401", path, status)
		}
	}
	if status, at := get("/vans/V1.html?key=" + key + "&x=1"); status != 200 || at != "/vans/V1.html?x=1" {
		t.Errorf("with the key: %d at %s", status, at)
	}
	if status, _ := get("/"); status != 200 {
		t.Errorf("the browser that came by the link: %d", status)
	}
	resp, err := browser.Post(server.URL+HandIn, "application/zip", strings.NewReader("keep form-12345678"))
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if resp.StatusCode != 200 {
		t.Errorf("and it hands in: %d", resp.StatusCode)
	}
	for _, path := range []string{"//evil.example/", "///evil.example/", `/\evil.example/`} {
		w := httptest.NewRecorder()
		r := httptest.NewRequest("GET", "/", nil)
		r.URL = &url.URL{Path: path, RawQuery: "key=" + key}
		server.Config.Handler.ServeHTTP(w, r)
		if to := w.Header().Get("Location"); w.Code != 303 || strings.HasPrefix(to, "//") || strings.HasPrefix(to, `/\`) {
			t.Errorf("%s leads to %d %q", path, w.Code, to)
		}
	}
}

// A hundred at once are taken as far as the minute allows, and the server goes
// on.
func TestHundredAtOnce(t *testing.T) {
	server, dir := yardDesk(t)
	got := map[int]int{}
	var mu sync.Mutex
	var wg sync.WaitGroup
	for i := range 100 {
		wg.Go(func() {
			status, _ := post(t, server, strings.NewReader(fmt.Sprintf("keep form-%08d", i)))
			mu.Lock()
			got[status]++
			mu.Unlock()
		})
	}
	wg.Wait()
	if got[200] < slipsPerMinute || got[200]+got[429] != 100 {
		t.Errorf("answers: %v", got)
	}
	if kept := names(t, dir); len(kept) != got[200] {
		t.Errorf("%d said to be kept, %d are", got[200], len(kept))
	}
	resp, err := server.Client().Get(server.URL + "/?key=" + key)
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
}

// A sender that stops halfway leaves nothing behind, and holds nobody up.
func TestSlowSender(t *testing.T) {
	server, dir := yardDesk(t)
	conn, err := net.Dial("tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: %s\r\nAuthorization: Bearer %s\r\nContent-Length: 1000\r\n\r\nkeep form", HandIn, server.Listener.Addr(), key)
	deadline := time.Now().Add(5 * time.Second)
	for len(names(t, dir)) == 0 && time.Now().Before(deadline) {
		time.Sleep(10 * time.Millisecond)
	}
	if status, said := post(t, server, strings.NewReader("keep form-12345678")); status != 200 {
		t.Errorf("another sender meanwhile: %d %s", status, said)
	}
	conn.Close() // as the deadline does
	for len(names(t, dir)) != 1 && time.Now().Before(deadline) {
		time.Sleep(10 * time.Millisecond)
	}
	if got := names(t, dir); len(got) != 1 || got[0] != "form-12345678.zip" {
		t.Errorf("the folder holds %q", got)
	}
}

func TestWhatAComputerThatWentDownLeft(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{unfinished + "123", "form-12345678.zip"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := NewSlips(dir, checked); err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); len(got) != 1 || got[0] != "form-12345678.zip" {
		t.Errorf("the folder holds %q", got)
	}
}
