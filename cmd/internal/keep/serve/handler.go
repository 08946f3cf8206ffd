package serve

import (
	"bytes"
	"errors"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/keep/loss"
	"github.com/vanwright/vanwright/cmd/internal/keep/yardzip"
)

// policy is what the pages cannot say for themselves: they carry a stricter
// Content-Security-Policy of their own, with the hashes of their scripts, but
// frame-ancestors counts in a header only.
const policy = "frame-ancestors 'none'; base-uri 'none'; form-action 'self'"

// types are the kinds of file that reports consist of. The list is ours,
// because what the system says of an ending differs from machine to machine.
var types = map[string]string{
	".html": "text/html; charset=utf-8",
	".csv":  "text/csv; charset=utf-8",
	".json": "application/json",
	".txt":  "text/plain; charset=utf-8",
	".svg":  "image/svg+xml",
	".png":  "image/png",
	".jpg":  "image/jpeg",
	".pdf":  "application/pdf",
	".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}

// Site is what is served.
type Site struct {
	Reports *Reports
	Slips   *Slips // takes what is handed in; nil: for reading only
	// Key must come with each slip, and beyond this machine with each page. Blank:
	// pages need none.
	Key string
	// Loopback says that only this machine can reach the server: requests that
	// name another host are refused.
	Loopback bool
	// Pages are made anew for each reader, by their paths; they come before the
	// reports.
	Pages map[string]Page
}

// Page makes a page, or an answer in JSON. Its error is a sentence for the reader.
type Page func(r *http.Request) (content []byte, kind string, err error)

// HandIn is the path to which slips are posted.
const HandIn = "/hand-in"

// Handler answers GET and HEAD with the files of the reports, and takes slips.
func (s Site) Handler() http.Handler {
	var desk http.Handler
	if s.Slips != nil {
		desk = newDesk(s.Slips, s.Key)
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case s.Loopback && !namesLoopback(r.Host):
			http.Error(w, "These reports are shown on this machine only.", http.StatusMisdirectedRequest)
		case desk != nil && r.URL.Path == HandIn:
			desk.ServeHTTP(w, r)
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			h.Set("Allow", "GET, HEAD")
			http.Error(w, "The reports are for reading only.", http.StatusMethodNotAllowed)
		case s.Key != "" && letIn(w, r, s.Key):
		case s.Key != "" && !s.Loopback && !hasKey(r, s.Key):
			http.Error(w, "These pages need the link with the key that the yard's computer shows.", http.StatusUnauthorized)
		default:
			s.answer(w, r)
		}
	})
}

func (s Site) answer(w http.ResponseWriter, r *http.Request) {
	page, ok := s.Pages[r.URL.Path]
	if !ok {
		answer(w, r, s.Reports)
		return
	}
	content, kind, err := page(r)
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", kind)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(content))
}

func answer(w http.ResponseWriter, r *http.Request, reports *Reports) {
	name, ok := fileName(r.URL.Path)
	if !ok {
		http.Error(w, "There is no such report.", http.StatusNotFound)
		return
	}
	f, info, err := reports.find(name)
	switch {
	case errors.Is(err, errIsFolder):
		// Relative, and only ever the last of segments that are not empty, so
		// that it cannot lead to another host.
		w.Header().Set("Location", (&url.URL{Path: path.Base(name) + "/"}).EscapedPath())
		w.WriteHeader(http.StatusMovedPermanently)
		return
	case errors.Is(err, fs.ErrPermission):
		http.Error(w, "This report may not be read.", http.StatusForbidden)
		return
	case err != nil: // not there, no file, or a link that leads out
		http.Error(w, "There is no such report.", http.StatusNotFound)
		return
	}
	defer f.Close()
	kind, ok := types[strings.ToLower(path.Ext(name))]
	if !ok {
		kind = "application/octet-stream"
	}
	w.Header().Set("Content-Type", kind)
	http.ServeContent(w, r, "", info.ModTime(), f)
}

// notShown are files of a set that are for the next run and for restore. They hold
// more than the reports tell: notes, and the names of customers.
var notShown = []string{loss.File, yardzip.File}

// fileName turns the decoded path of a request into a name below the folder,
// or refuses it. Nothing is tidied up: a path with a dot segment, an empty one,
// a backslash or a hidden name in it is nothing that a page of ours links to.
func fileName(urlPath string) (string, bool) {
	name, ok := strings.CutPrefix(urlPath, "/")
	if !ok {
		return "", false
	}
	if name == "" || strings.HasSuffix(name, "/") {
		name += "index.html"
	}
	if strings.ContainsAny(name, "\\\x00:") {
		return "", false
	}
	if slices.Contains(notShown, strings.ToLower(name)) {
		return "", false
	}
	for segment := range strings.SplitSeq(name, "/") {
		if segment == "" || segment[0] == '.' {
			return "", false
		}
	}
	return name, filepath.IsLocal(filepath.FromSlash(name))
}

// namesLoopback reports whether a Host header means this machine and cannot
// mean another: a name that somebody else's name server answers for might.
func namesLoopback(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	host = strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
	if strings.EqualFold(host, "localhost") {
		return true
	}
	addr, err := netip.ParseAddr(host)
	return err == nil && addr.IsLoopback()
}
