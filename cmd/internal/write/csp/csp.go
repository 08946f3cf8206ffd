// Package csp names what a page carries by its hash, for the page's own
// Content-Security-Policy: a browser then runs and shows that and nothing else,
// from a file as well as from a server.
package csp

import (
	"crypto/sha256"
	"encoding/base64"
)

// Hash is the source expression of a style sheet, a script or, beside
// 'unsafe-hashes', a style attribute with exactly this text.
func Hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
