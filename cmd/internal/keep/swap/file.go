package swap

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"sync"
)

// bufferSize suits a page of HTML, and a table of a million rows.
const bufferSize = 64 << 10

var buffers = sync.Pool{New: func() any { return bufio.NewWriterSize(nil, bufferSize) }}

// file is one report of a new set.
type file struct {
	writing *Writing
	name    string
	under   *os.File
	buffer  *bufio.Writer
	closed  bool
}

func newFile(w *Writing, name string, under *os.File) *file {
	buffer := buffers.Get().(*bufio.Writer)
	buffer.Reset(under)
	return &file{writing: w, name: name, under: under, buffer: buffer}
}

func (f *file) Write(p []byte) (int, error) {
	if f.closed {
		return 0, f.noted(os.ErrClosed)
	}
	n, err := f.buffer.Write(p)
	return n, f.noted(err)
}

// WriteString spares a copy for writers of text.
func (f *file) WriteString(s string) (int, error) {
	if f.closed {
		return 0, f.noted(os.ErrClosed)
	}
	n, err := f.buffer.WriteString(s)
	return n, f.noted(err)
}

// Close writes what is buffered and sends the file through to the disk; Commit
// waits until it is there. A second Close is an error and changes nothing.
func (f *file) Close() error {
	if f.closed {
		return fmt.Errorf("report %q: %w", f.name, os.ErrClosed)
	}
	f.closed = true
	err := f.buffer.Flush()
	f.buffer.Reset(nil)
	buffers.Put(f.buffer)
	f.buffer = nil
	if err == nil {
		f.writing.syncer.send(f.name, f.under)
	} else {
		err = f.noted(errors.Join(err, f.under.Close()))
	}
	f.writing.mu.Lock()
	defer f.writing.mu.Unlock()
	delete(f.writing.open, f)
	return err
}

// noted names the report in an error and makes it bar Commit.
func (f *file) noted(err error) error {
	if err == nil {
		return nil
	}
	err = fmt.Errorf("report %q: %w", f.name, err)
	f.writing.mu.Lock()
	defer f.writing.mu.Unlock()
	f.writing.noteFailure(err)
	return err
}
