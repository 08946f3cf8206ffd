package pages

import (
	"bytes"
	"html/template"
	"strings"
	"sync"
)

// rows fills in what many pages have alike, such as the row of a point that
// was not tested or a step of the handover: one template, once for each
// distinct V, and what html/template wrote of it is put on every other page
// as it is. In a large yard nine rows of ten have been filled in before, and
// doing it again took most of the time of all pages.
//
// Its methods may be called from several goroutines.
type rows[V comparable] struct {
	template string
	mu       sync.RWMutex
	filled   map[V]template.HTML
}

// rowsKept bounds the memory: about 10 MB of rows, far more than are distinct
// in a yard of a thousand vans.
const rowsKept = 50_000

func newRows[V comparable](name string) *rows[V] {
	return &rows[V]{template: name, filled: map[V]template.HTML{}}
}

// of fills in one row.
func (r *rows[V]) of(v V) template.HTML {
	r.mu.RLock()
	html, ok := r.filled[v]
	r.mu.RUnlock()
	if ok {
		return html
	}
	var text bytes.Buffer
	if err := templates.ExecuteTemplate(&text, r.template, v); err != nil {
		panic(err) // the template is part of the program, and V its only value
	}
	html = template.HTML(text.String())
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.filled) < rowsKept {
		r.filled[v] = html
	}
	return html
}

// all fills in one row after another.
func (r *rows[V]) all(values []V) template.HTML {
	filled := make([]string, len(values))
	for i, v := range values {
		filled[i] = string(r.of(v))
	}
	return template.HTML(strings.Join(filled, ""))
}
