package folder

import (
	"bufio"
	"errors"
	"fmt"
	"os"
)

// bufferSize suits a page of HTML written in small pieces.
const bufferSize = 16 << 10

// file is one report of a new set.
type file struct {
	writing *Writing
	name    string
	under   *os.File
	buffer  *bufio.Writer
	closed  bool
}

func newFile(w *Writing, name string, under *os.File) *file {
	return &file{writing: w, name: name, under: under, buffer: bufio.NewWriterSize(under, bufferSize)}
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

// Close writes the file through to the disk. A second Close is an error and
// changes nothing.
func (f *file) Close() error {
	if f.closed {
		return fmt.Errorf("report %q: %w", f.name, os.ErrClosed)
	}
	f.closed = true
	err := f.buffer.Flush()
	if err == nil {
		err = f.under.Sync()
	}
	err = f.noted(errors.Join(err, f.under.Close()))
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
