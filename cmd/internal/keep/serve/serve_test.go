package serve

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// reportsFolder makes a folder of reports inside a folder that holds a secret.
func reportsFolder(t *testing.T) string {
	t.Helper()
	parent := t.TempDir()
	dir := filepath.Join(parent, "reports")
	for name, content := range map[string]string{
		"secret.txt":                 "secret",
		"reports/.vanwright-reports": "ours",
		"reports/run.json":           "{}",
		"reports/index.html":         "front",
		"reports/prices.csv":         "stock_id\n",
		"reports/odd.xyz":            "?",
		"reports/vans/V1.html":       "one van",
		"reports/vans/a b%.html":     "odd name",
		"reports/.hidden":            "secret",
		"reports/yard.zip":           "secret",
		"reports/held.json":          "secret",
		"reports/.git/config":        "secret",
		"reports/margin/x.csv":       "x\n",
	} {
		path := filepath.Join(parent, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func opened(t *testing.T, dir string) *Reports {
	t.Helper()
	r, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// raw sends one request as it stands, since clients tidy paths up, and returns
// status and body.
func raw(t *testing.T, address, request string) (int, http.Header, string) {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	conn.SetDeadline(time.Now().Add(10 * time.Second))
	if _, err := io.WriteString(conn, request); err != nil {
		t.Fatal(err)
	}
	method, _, _ := strings.Cut(request, " ")
	resp, err := http.ReadResponse(bufio.NewReader(conn), &http.Request{Method: method})
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, resp.Header, string(body)
}

func TestPathsInsideAndOutside(t *testing.T) {
	dir := reportsFolder(t)
	server := httptest.NewServer(Site{Reports: opened(t, dir), Loopback: true}.Handler())
	defer server.Close()
	address := server.Listener.Addr().String()
	tests := []struct {
		name, path string
		status     int
		body       string
	}{
		{"front page", "/", 200, "front"},
		{"front page by name", "/index.html", 200, "front"},
		{"page in a folder", "/vans/V1.html", 200, "one van"},
		{"query is left aside", "/vans/V1.html?x=../y", 200, "one van"},
		{"escaped name", "/vans/a%20b%25.html", 200, "odd name"},
		{"escaped slash", "/vans%2FV1.html", 200, "one van"},
		{"no such file", "/vans/V2.html", 404, ""},
		{"folder without a page lists nothing", "/margin/", 404, ""},
		{"parent", "/../secret.txt", 404, ""},
		{"parent from below", "/vans/../../secret.txt", 404, ""},
		{"dot segments that stay inside", "/vans/../index.html", 404, ""},
		{"escaped parent", "/%2e%2e/secret.txt", 404, ""},
		{"half-escaped parent", "/.%2e/secret.txt", 404, ""},
		{"escaped slash and parent", "/vans%2f..%2f..%2fsecret.txt", 404, ""},
		{"escaped twice", "/%252e%252e/secret.txt", 404, ""},
		{"backslash", `/..\secret.txt`, 404, ""},
		{"escaped backslash", "/..%5csecret.txt", 404, ""},
		{"backslash below", "/vans%5c..%5c..%5csecret.txt", 404, ""},
		{"empty segment", "//secret.txt", 404, ""},
		{"empty segment to another host", "//evil.example/..", 404, ""},
		{"absolute path", "/" + filepath.ToSlash(filepath.Join(filepath.Dir(dir), "secret.txt")), 404, ""},
		{"drive letter", "/C:/secret.txt", 404, ""},
		{"zero byte", "/index.html%00.csv", 404, ""},
		{"hidden file", "/.hidden", 404, ""},
		{"the yard", "/yard.zip", 404, ""},
		{"the yard in capitals", "/YARD.ZIP", 404, ""},
		{"what the yard held", "/held.json", 404, ""},
		{"escaped hidden file", "/%2ehidden", 404, ""},
		{"hidden folder", "/.git/config", 404, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			status, _, body := raw(t, address, "GET "+tt.path+" HTTP/1.1\r\nHost: "+address+"\r\nConnection: close\r\n\r\n")
			if status != tt.status || status == 200 && body != tt.body {
				t.Errorf("GET %s: %d %q, want %d %q", tt.path, status, body, tt.status, tt.body)
			}
			if strings.Contains(body, "secret") {
				t.Errorf("GET %s gives the secret: %q", tt.path, body)
			}
		})
	}
}

func TestFolderWithoutSlashIsSentOn(t *testing.T) {
	server := httptest.NewServer(Site{Reports: opened(t, reportsFolder(t)), Loopback: true}.Handler())
	defer server.Close()
	address := server.Listener.Addr().String()
	status, header, _ := raw(t, address, "GET /vans HTTP/1.1\r\nHost: "+address+"\r\nConnection: close\r\n\r\n")
	if got := header.Get("Location"); status != 301 || got != "vans/" {
		t.Errorf("got %d to %q, want 301 to vans/", status, got)
	}
}

func TestLinksOutOfTheFolder(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need a privilege on Windows")
	}
	dir := reportsFolder(t)
	for name, target := range map[string]string{
		"up.txt": "../secret.txt", "far.txt": filepath.Join(filepath.Dir(dir), "secret.txt"), "updir": "..", "near.html": "index.html",
	} {
		if err := os.Symlink(target, filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	h := Site{Reports: opened(t, dir)}.Handler()
	for path, want := range map[string]int{"/up.txt": 404, "/far.txt": 404, "/updir/secret.txt": 404, "/updir": 404, "/near.html": 200} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
		if w.Code != want || strings.Contains(w.Body.String(), "secret") {
			t.Errorf("GET %s: %d %q, want %d", path, w.Code, w.Body, want)
		}
	}
}

func TestMethods(t *testing.T) {
	h := Site{Reports: opened(t, reportsFolder(t))}.Handler()
	for method, want := range map[string]int{
		"GET": 200, "HEAD": 200, "POST": 405, "PUT": 405, "PATCH": 405, "DELETE": 405, "OPTIONS": 405, "TRACE": 405, "PROPFIND": 405,
	} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(method, "/index.html", nil))
		if w.Code != want {
			t.Errorf("%s: %d, want %d", method, w.Code, want)
		}
		if want == 405 && w.Header().Get("Allow") != "GET, HEAD" {
			t.Errorf("%s: allows %q", method, w.Header().Get("Allow"))
		}
		if method == "HEAD" && w.Body.Len() != 0 {
			t.Errorf("HEAD has a body: %q", w.Body)
		}
	}
}

// A page from elsewhere can have its own name point to this machine; its
// requests then carry that name.
func TestHostIsThisMachine(t *testing.T) {
	reports := opened(t, reportsFolder(t))
	for host, want := range map[string]int{
		"127.0.0.1:8088": 200, "127.0.0.1": 200, "127.8.9.1:1": 200, "localhost:8088": 200, "LocalHost": 200, "[::1]:8088": 200, "[::1]": 200,
		"evil.example": 421, "evil.example:8088": 421, "localhost.evil.example": 421, "127.0.0.1.evil.example:80": 421,
		"192.168.1.7:8088": 421, "0.0.0.0:8088": 421, "": 421, "localhost.:1": 421, "2130706433": 421,
	} {
		for _, onlyLoopback := range []bool{true, false} {
			r := httptest.NewRequest("GET", "/", nil)
			r.Host = host
			w := httptest.NewRecorder()
			Site{Reports: reports, Loopback: onlyLoopback}.Handler().ServeHTTP(w, r)
			if !onlyLoopback {
				want = 200
			}
			if w.Code != want {
				t.Errorf("host %q, loopback only %t: %d, want %d", host, onlyLoopback, w.Code, want)
			}
		}
	}
}

func TestHeaders(t *testing.T) {
	h := Site{Reports: opened(t, reportsFolder(t))}.Handler()
	for path, kind := range map[string]string{
		"/": "text/html; charset=utf-8", "/prices.csv": "text/csv; charset=utf-8", "/run.json": "application/json",
		"/odd.xyz": "application/octet-stream", "/missing": "text/plain; charset=utf-8",
	} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
		for name, want := range map[string]string{
			"Content-Type":                 kind,
			"Content-Security-Policy":      "frame-ancestors 'none'; base-uri 'none'; form-action 'self'",
			"X-Content-Type-Options":       "nosniff",
			"Referrer-Policy":              "no-referrer",
			"Cache-Control":                "no-store",
			"Cross-Origin-Resource-Policy": "same-origin",
		} {
			if got := w.Header().Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
	}
}

func TestWhatIsNoReports(t *testing.T) {
	empty := t.TempDir()
	for name, tt := range map[string]struct{ dir, want string }{
		"no folder":   {filepath.Join(empty, "none"), "there is no folder " + filepath.Join(empty, "none")},
		"no run.json": {empty, empty + " holds no reports: there is no run.json in it"},
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := Open(tt.dir); err == nil || err.Error() != tt.want {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
}

// A run that puts another folder under the name shows at the next request, and
// no request fails meanwhile.
func TestFolderIsSwappedUnderneath(t *testing.T) {
	dir := reportsFolder(t)
	h := Site{Reports: opened(t, dir)}.Handler()
	stop, swapped := make(chan struct{}), make(chan error, 1)
	go func() {
		defer close(swapped)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			// As a run does where names can't be exchanged: for a moment there is
			// no folder of this name, and the old set stands beside it.
			if err := replaceSet(dir, i); err != nil {
				swapped <- err
				return
			}
		}
	}()
	for range 300 {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest("GET", "/index.html", nil))
		if w.Code != 200 || !strings.HasPrefix(w.Body.String(), "front") {
			t.Errorf("%d %q", w.Code, w.Body)
		}
	}
	close(stop)
	if err := <-swapped; err != nil {
		t.Fatal(err)
	}
	if err := replaceSet(dir, -7); err != nil {
		t.Fatal(err)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest("GET", "/index.html", nil))
	if got := w.Body.String(); got != "front -7" {
		t.Errorf("after the swap: %q", got)
	}
}

// replaceSet writes a set of reports as package folder does and puts it under
// the name of the old one.
func replaceSet(dir string, n int) error {
	parent, name := filepath.Split(dir)
	fresh, old := filepath.Join(parent, "."+name+".vanwright-new"), filepath.Join(parent, "."+name+".vanwright-old")
	if err := os.Mkdir(fresh, 0o755); err != nil {
		return err
	}
	for file, content := range map[string]string{".vanwright-reports": "", "index.html": fmt.Sprint("front ", n), "run.json": "{}"} {
		if err := os.WriteFile(filepath.Join(fresh, file), []byte(content), 0o644); err != nil {
			return err
		}
	}
	if err := os.Rename(dir, old); err != nil {
		return err
	}
	if err := os.Rename(fresh, dir); err != nil {
		return err
	}
	return os.RemoveAll(old)
}

func TestRunEndsWithItsContext(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- Run(ctx, l, Site{Reports: opened(t, reportsFolder(t))}) }()
	address := l.Addr().String()
	status, _, body := raw(t, address, "GET / HTTP/1.1\r\nHost: "+address+"\r\nConnection: close\r\n\r\n")
	if status != 200 || body != "front" {
		t.Errorf("%d %q", status, body)
	}
	// A loopback listener checks the host without being told to.
	if status, _, _ := raw(t, address, "GET / HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n"); status != 421 {
		t.Errorf("another host: %d, want 421", status)
	}
	cancel()
	select {
	case err := <-done:
		if err != nil {
			t.Errorf("the end of the context gives %v", err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("it goes on after its context has ended")
	}
	if conn, err := net.Dial("tcp", address); err == nil {
		conn.Close()
		t.Error("it still listens")
	}
}
