// Package nighttest gives tests of what is written from a Result the demo yard
// worked through, and a reports folder in memory to write it to.
package nighttest

import (
	"bytes"
	"context"
	"io"
	"sync"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/data"
)

var demoResult = sync.OnceValues(func() (*night.Result, error) {
	yard, err := data.Load(context.Background(), demo.Files(), data.LoadOptions{AsOf: demo.AsOf})
	if err != nil {
		return nil, err
	}
	return night.Run(context.Background(), yard, data.DefaultPolicy(), demo.AsOf, night.RunOptions{Workers: 2})
})

// Demo is the demo yard by the default policy, worked through once a process.
// It is shared: a test that changes it works on a copy.
func Demo(t testing.TB) *night.Result {
	t.Helper()
	r, err := demoResult()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Folder is a reports folder in memory, by file name.
type Folder map[string]*bytes.Buffer

// creating lets one goroutine at a time into a Folder.
var creating sync.Mutex

// Create makes a file of the folder; several goroutines may call it.
func (f Folder) Create(name string) (io.WriteCloser, error) {
	b := new(bytes.Buffer)
	creating.Lock()
	defer creating.Unlock()
	f[name] = b
	return file{b}, nil
}

type file struct{ *bytes.Buffer }

func (file) Close() error { return nil }
