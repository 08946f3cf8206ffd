package main

import (
	"bufio"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func writeFrontPage(t *testing.T, dir, front string) {
	t.Helper()
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string]string{"run.json": "{}", "index.html": front} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestOpenShowsTheFolderUntilItIsStopped(t *testing.T) {
	demo := filepath.Join("vanwright-demo", "reports")
	for name, tt := range map[string]struct {
		args, folders []string
		want          string
	}{
		"the folder named":             {[]string{"--reports", "mine"}, []string{"mine", demo, "reports"}, "mine"},
		"the demo's, if none is":       {nil, []string{demo, "reports"}, demo},
		"reports, if there is no demo": {nil, []string{"reports"}, "reports"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			for _, dir := range tt.folders {
				writeFrontPage(t, dir, dir)
			}
			openAndRead(t, tt.args, tt.want)
		})
	}
}

// startOpen starts open and waits for its first line. What it ends with comes from done.
func startOpen(ctx context.Context, t *testing.T, args []string) (lines *bufio.Scanner, printed io.Reader, done chan error) {
	t.Helper()
	root := newRootCommand()
	root.SetArgs(append([]string{"open"}, args...))
	in, out := io.Pipe()
	root.SetOut(out)
	done = make(chan error, 1)
	go func() {
		err := root.ExecuteContext(ctx)
		out.Close()
		done <- err
	}()
	lines = bufio.NewScanner(in)
	if !lines.Scan() {
		t.Fatalf("nothing was printed: %v", <-done)
	}
	return lines, in, done
}

// openAndRead starts open, reads the front page from the address that it
// prints, and stops it.
func openAndRead(t *testing.T, args []string, want string) {
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	lines, printed, done := startOpen(ctx, t, args)
	dir, address, _ := strings.Cut(lines.Text(), " is shown at ")
	if dir != want || !strings.HasPrefix(address, "http://127.0.0.1:") {
		t.Fatalf("printed %q", lines.Text())
	}
	go io.Copy(io.Discard, printed)
	client := http.Client{Timeout: 10 * time.Second}
	resp, err := client.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(resp.Body)
	resp.Body.Close()
	if err != nil || string(body) != want {
		t.Errorf("got %q, %v; want %q", body, err, want)
	}
	client.CloseIdleConnections()
	stop()
	select {
	case err := <-done:
		if err != nil {
			t.Errorf("stopped with %v", err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("it does not stop")
	}
}

func TestOpenRefuses(t *testing.T) {
	empty := t.TempDir()
	for name, tt := range map[string]struct {
		args   []string
		status int
		says   string
	}{
		"a folder of something else": {[]string{"--reports", empty}, exitFailed, "vanwright: " + empty + " holds no reports: there is no run.json in it\n"},
		"nothing of the usual names": {nil, exitFailed, "vanwright: there is no folder reports\n"},
		"an argument":                {[]string{empty}, exitUsage, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			status, _, errs := commandLine(append([]string{"open"}, tt.args...)...)
			if status != tt.status || tt.says != "" && errs != tt.says {
				t.Errorf("status %d, errors %q, want %d, %q", status, errs, tt.status, tt.says)
			}
		})
	}
	for name, content := range map[string]string{"run.json": "{}"} {
		if err := os.WriteFile(filepath.Join(empty, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if status, _, errs := commandLine("open", "--reports", empty, "--listen", "8088"); status != exitUsage || !strings.Contains(errs, "host:port") {
		t.Errorf("status %d, errors %q", status, errs)
	}
}

func TestOpenBeyondThisMachineWantsItsKey(t *testing.T) {
	dir, keyFile := t.TempDir(), filepath.Join(t.TempDir(), "key")
	writeFrontPage(t, dir, "front")
	var first string
	for range 2 { // the second start reads the key that the first wrote
		link, stop := openedLink(t, "--reports", dir, "--listen", "0.0.0.0:0", "--key-file", keyFile)
		address, key, ok := strings.Cut(link, "?key=")
		if !ok || first != "" && key != first {
			t.Fatalf("the link is %q, the first key %q", link, first)
		}
		first = key
		for path, want := range map[string]int{address: http.StatusUnauthorized, link: http.StatusOK} {
			jar, err := cookiejar.New(nil)
			if err != nil {
				t.Fatal(err)
			}
			resp, err := (&http.Client{Jar: jar, Timeout: 10 * time.Second}).Get(path)
			if err != nil {
				t.Fatal(err)
			}
			resp.Body.Close()
			if resp.StatusCode != want {
				t.Errorf("%s: %d, want %d", path, resp.StatusCode, want)
			}
		}
		stop()
	}
	if err := os.WriteFile(keyFile, []byte("short\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	status, _, errs := commandLine("open", "--reports", dir, "--listen", "0.0.0.0:0", "--key-file", keyFile)
	if status != exitFailed || !strings.Contains(errs, "holds no key") {
		t.Errorf("status %d, errors %q", status, errs)
	}
	if status, _, errs := commandLine("open", "--reports", dir, "--tls-cert", "x.pem"); status != exitUsage || !strings.Contains(errs, "go together") {
		t.Errorf("status %d, errors %q", status, errs)
	}
}

// openedLink starts open and returns the link that it prints, on this machine,
// and what stops it.
func openedLink(t *testing.T, args ...string) (string, func()) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	lines, printed, done := startOpen(ctx, t, args)
	_, link, _ := strings.Cut(lines.Text(), " is shown at ")
	squared := lines.Scan()
	for squared && !strings.Contains(lines.Text(), "█") {
		squared = lines.Scan()
	}
	if !squared {
		t.Error("no square of the link is printed")
	}
	go io.Copy(io.Discard, printed)
	at, err := url.Parse(link)
	if err != nil {
		t.Fatal(err)
	}
	at.Host = net.JoinHostPort("127.0.0.1", at.Port())
	return at.String(), func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("stopped with %v", err)
		}
	}
}
