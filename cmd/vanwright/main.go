// Command vanwright works out, from a folder of plain tables, what a dealer in
// used motorhomes and campervans needs to know each morning: what each van
// needs, what it will fetch and when, what may be bid, and in what order the
// workshop should work.
//
// This package is the edge: flags, settings, clock, files and exit status. The
// work is done by the packages data, appraise, prep and pricing.
package main

import "os"

func main() {
	os.Exit(watched(func() int { return execute(os.Args[1:], os.Stdout, os.Stderr) }))
}
