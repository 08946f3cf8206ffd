package pages

import (
	"io"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
)

// BenchmarkPage fills in one page of each kind of a van.
func BenchmarkPage(b *testing.B) {
	s := newReport(nighttest.Demo(b), nil)
	v, ok := s.Find("LV145")
	if !ok {
		b.Fatal("the demo yard has no LV145")
	}
	offered, ok := s.Find("Q31")
	if !ok {
		b.Fatal("the demo yard has no Q31")
	}
	for _, p := range append(s.vanPages(v), s.vanPages(offered)...) {
		b.Run(p.template+"/"+p.name, func(b *testing.B) {
			for b.Loop() {
				if err := templates.ExecuteTemplate(io.Discard, p.template, p.view()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkWrite fills in all pages of a yard.
func BenchmarkWrite(b *testing.B) {
	r := nighttest.Demo(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := Write(nighttest.Folder{}.Create, r, nil); err != nil {
			b.Fatal(err)
		}
	}
}
