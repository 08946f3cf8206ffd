// Package demo holds a small made-up yard: what a newcomer runs first.
//
// The dealer, Larkfoot & Byrd of Saltmere and Thornholt, is invented, like
// every maker, model, person, mark and number in it. About forty vans stand in
// all states, with condition reports, papers, past sales, a workshop team and a
// policy, and a few bad rows among them, so that the rejects can be seen at
// work. In goes nothing; out comes a folder of input files. The yard is the same
// each time.
//
// Files under yard are what is embedded. vans.csv, team.csv, bays.csv,
// absence.csv, progress.csv and policy.yaml there are written by hand.
// readings.csv, documents.csv and sales.csv are made from the tables under story
// with ordinary rows from package synth around them:
//
//	go generate ./cmd/internal/demo
package demo

import (
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/vanwright/vanwright/data"
)

//go:generate go test -run TestMadeFilesAreUpToDate -update .

// AsOf is the day on which the demo yard is seen: Monday 9 March 2026.
var AsOf = data.NewDate(2026, 3, 9)

//go:embed yard
var embedded embed.FS

// Files returns the input files of the demo yard, read-only.
func Files() fs.FS {
	files, err := fs.Sub(embedded, "yard")
	if err != nil {
		panic(err) // the folder is part of the program
	}
	return files
}

// Write writes the input files to a folder, which it makes where it is missing.
// A file of the same name is overwritten: the demo yard is the program's own.
func Write(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("make the demo yard: %w", err)
	}
	files := Files()
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return fmt.Errorf("read the built-in demo yard: %w", err)
	}
	for _, e := range entries {
		content, err := fs.ReadFile(files, e.Name())
		if err != nil {
			return fmt.Errorf("read the built-in demo yard: %w", err)
		}
		if err := os.WriteFile(filepath.Join(dir, e.Name()), content, 0o644); err != nil {
			return fmt.Errorf("write the demo yard: %w", err)
		}
	}
	return nil
}
