package serve

import (
	"crypto/rand"
	"crypto/subtle"
	"net/http"
	"net/url"
	"strings"
)

// NewKey draws a key that cannot be guessed: 26 letters and digits, 130 bits.
func NewKey() string { return rand.Text() }

// keyCookie keeps the key in the browser that came by the link with it.
const keyCookie = "vanwright-key"

// cookieAge is how long a browser keeps the key, in seconds: a working day. A
// server that starts anew has another key, unless it reads it from a file.
const cookieAge = 16 * 60 * 60

// hasKey reports whether a request brings the key: in the cookie that the link
// left, or as a bearer token (RFC 6750) of a program.
func hasKey(r *http.Request, key string) bool {
	given := ""
	if c, err := r.Cookie(keyCookie); err == nil {
		given = c.Value
	}
	if token, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok {
		given = token
	}
	return same(given, key)
}

func same(given, key string) bool {
	return key != "" && subtle.ConstantTimeCompare([]byte(given), []byte(key)) == 1
}

// letIn answers a link that carries the key: it leaves the cookie and goes on to
// the page without the key in its address. It reports false where the link has
// none, or another.
func letIn(w http.ResponseWriter, r *http.Request, key string) bool {
	query := r.URL.Query()
	if !query.Has("key") || !same(query.Get("key"), key) {
		return false
	}
	http.SetCookie(w, &http.Cookie{
		Name: keyCookie, Value: key, Path: "/", MaxAge: cookieAge,
		HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: r.TLS != nil,
	})
	query.Del("key")
	// One slash at its start, so that it can't lead to another host.
	to := url.URL{Path: "/" + strings.TrimLeft(r.URL.Path, "/"), RawQuery: query.Encode()}
	w.Header().Set("Location", to.RequestURI())
	w.WriteHeader(http.StatusSeeOther)
	return true
}

// sameOrigin refuses what a page from elsewhere sends: browsers say from where
// (RFC 6454, Fetch's Sec-Fetch-Site). A program that is no browser says nothing.
func sameOrigin(r *http.Request) bool {
	if site := r.Header.Get("Sec-Fetch-Site"); site != "" && site != "same-origin" {
		return false
	}
	origin := r.Header.Get("Origin")
	if origin == "" {
		return true
	}
	scheme := "http"
	if r.TLS != nil {
		scheme = "https"
	}
	return strings.EqualFold(origin, scheme+"://"+r.Host)
}
