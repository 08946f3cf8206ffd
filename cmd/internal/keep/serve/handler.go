package serve

import (
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

	"github.com/vanwright/vanwright/cmd/internal/keep/loss"
	"github.com/vanwright/vanwright/cmd/internal/keep/yardzip"
)

// policy is what the pages cannot say for themselves: they carry a stricter
// Content-Security-Policy of their own, with the hashes of their scripts, but
// frame-ancestors counts in a header only.
const policy = "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"

// types are the kinds of file that reports consist of. The list is ours,
// because what the system says of an ending differs from machine to machine.
var types = map[string]string{
	".html": "text/html; charset=utf-8",
	".csv":  "text/csv; charset=utf-8",
	".json": "application/json",
	".txt":  "text/plain; charset=utf-8",
	".svg":  "image/svg+xml",
	".png":  "image/png",
	".pdf":  "application/pdf",
	".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}

// Handler answers GET and HEAD with the files of the reports. With loopbackOnly
// it refuses requests that name another host than this machine.
func Handler(reports *Reports, loopbackOnly bool) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case loopbackOnly && !namesLoopback(r.Host):
			http.Error(w, "These reports are shown on this machine only.", http.StatusMisdirectedRequest)
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			h.Set("Allow", "GET, HEAD")
			http.Error(w, "The reports are for reading only.", http.StatusMethodNotAllowed)
		default:
			answer(w, r, reports)
		}
	})
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
