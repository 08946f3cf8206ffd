package tables

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"sync"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
)

// passing is a report that is written as the vans pass, a stretch of them at a
// time. Whoever brings a stretch makes its text; the texts go out in the order
// of the stretches, by whoever brings the one that is next.
type passing[R any] struct {
	table csvout.Table[R]
	file  io.WriteCloser
	room  sync.Pool // of *[]byte

	mu      sync.Mutex
	written sync.Cond       // of mu: a text went out
	waiting map[int]*[]byte // made before their turn
	next    int             // the stretch whose turn it is
	busy    bool            // somebody is writing
	rows    int
	err     error
}

// mostWaiting is how many texts may wait for whoever writes, so that a slow disk
// does not fill the memory.
const mostWaiting = 64

// begin makes the report's file.
func begin[R any](create Create, t csvout.Table[R]) (*passing[R], error) {
	f, err := create(t.Name())
	if err != nil {
		return nil, err
	}
	p := &passing[R]{table: t, file: f, waiting: map[int]*[]byte{}}
	p.room.New = func() any { return new([]byte) }
	p.written.L = &p.mu
	return p, nil
}

// pass takes the rows of a stretch. Each stretch comes once, in any order and from
// several goroutines. The error may be of another stretch.
func (p *passing[R]) pass(stretch int, rows iter.Seq[R]) error {
	room := p.room.Get().(*[]byte)
	text, count := (*room)[:0], 0
	if stretch == 0 {
		text = p.table.AppendHeader(text)
	}
	for row := range rows {
		text = p.table.AppendRow(text, row)
		count++
	}
	*room = text

	p.mu.Lock()
	defer p.mu.Unlock()
	for p.busy && len(p.waiting) >= mostWaiting {
		p.written.Wait()
	}
	p.rows += count
	p.waiting[stretch] = room
	if p.busy {
		return p.err
	}
	p.busy = true
	for p.err == nil {
		room, ok := p.waiting[p.next]
		if !ok {
			break
		}
		delete(p.waiting, p.next)
		p.next++
		p.mu.Unlock()
		_, err := p.file.Write(*room)
		p.room.Put(room)
		p.mu.Lock()
		p.written.Broadcast()
		if err != nil {
			p.err = fmt.Errorf("write %s: %w", p.table.Name(), err)
		}
	}
	p.busy = false
	p.written.Broadcast() // the next may be among those that wait
	return p.err
}

// finish closes the report when all stretches have come.
func (p *passing[R]) finish() (Output, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	err := p.err
	if p.next == 0 && err == nil { // no van has passed
		_, err = p.file.Write(p.table.AppendHeader(nil))
	}
	return Output{p.table.Name(), p.rows}, errors.Join(err, p.file.Close())
}
