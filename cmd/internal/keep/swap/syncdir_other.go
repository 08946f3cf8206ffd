//go:build !unix

package swap

// syncDir does nothing: Windows has no call to write a folder's names through,
// its file systems keep a journal of them.
func syncDir(string) error { return nil }
