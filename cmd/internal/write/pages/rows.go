package pages

import (
	"bytes"
	"html/template"
	"strings"
	"sync"
)

// rows fills in what many pages have alike, such as the row of a point that
// was not tested or a step of the handover: one template, once for each
// distinct K, and what html/template wrote of it is put on every other page
// as it is. In a large yard nine rows of ten have been filled in before, and
// doing it again took most of the time of all pages.
//
// Its methods may be called from several goroutines.
type rows[K comparable] struct {
	template string
	view     func(K) any // what the template is filled in with
	mu       sync.RWMutex
	filled   map[K]template.HTML
}

// rowsKept bounds the memory: about 10 MB of rows, far more than are distinct
// in a yard of a thousand vans.
const rowsKept = 50_000

// newRows is for rows that are filled in with what tells them apart.
func newRows[K comparable](name string) *rows[K] {
	return rowsBy(name, func(k K) any { return k })
}

// rowsBy is for rows that less tells apart than is shown.
func rowsBy[K comparable](name string, view func(K) any) *rows[K] {
	return &rows[K]{template: name, view: view, filled: map[K]template.HTML{}}
}

// of fills in one row.
func (r *rows[K]) of(k K) template.HTML {
	r.mu.RLock()
	html, ok := r.filled[k]
	r.mu.RUnlock()
	if ok {
		return html
	}
	var text bytes.Buffer
	if err := templates.ExecuteTemplate(&text, r.template, r.view(k)); err != nil {
		panic(err) // the template is part of the program, and so is its view
	}
	html = template.HTML(text.String())
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.filled) < rowsKept {
		r.filled[k] = html
	}
	return html
}

// all fills in one row after another.
func (r *rows[K]) all(keys []K) template.HTML {
	filled := make([]string, len(keys))
	for i, k := range keys {
		filled[i] = string(r.of(k))
	}
	return template.HTML(strings.Join(filled, ""))
}
