package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/serve"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/photos"
	"github.com/vanwright/vanwright/data"
)

// yardDesk answers for a yard while open shows its reports: it checks slips, and
// makes the form and the figures of a deal anew for each reader.
type yardDesk struct {
	settings func() (settings, error) // in force at the moment: a server runs for days
}

func newYardDesk(v *viper.Viper, cmd *cobra.Command) (yardDesk, settings, error) {
	var one sync.Mutex // viper is not for several at once
	d := yardDesk{func() (settings, error) {
		one.Lock()
		defer one.Unlock()
		return readSettings(v, cmd)
	}}
	s, err := d.settings()
	return d, s, err
}

// slips takes slips into the yard's folder of them.
func (d yardDesk) slips(yard string) (*serve.Slips, error) {
	return serve.NewSlips(filepath.Join(yard, data.SlipsFolder), d.check)
}

// mostSaid is how many rejected rows the answer names.
const mostSaid = 8

// check reads the yard with one more slip in it, as a run would, and says what
// becomes of that slip.
func (d yardDesk) check(ctx context.Context, slip io.ReaderAt, size int64) (serve.Verdict, error) {
	s, err := d.settings()
	if err != nil {
		return serve.Verdict{}, err
	}
	with := withSlip{base: os.DirFS(s.Yard), name: incoming + ".zip", slip: slip, size: size}
	// A phone's clock may be a little ahead, past midnight.
	yard, err := data.Load(ctx, with, data.LoadOptions{AsOf: s.AsOf.AddDays(1), Workers: s.Workers})
	if err != nil {
		return serve.Verdict{}, err
	}
	ours := func(p data.Photo) bool { return strings.HasPrefix(p.Source.File, data.SlipsFolder+"/"+incoming+"/") }
	if err := photos.Reject(ctx, yard, ours); err != nil {
		return serve.Verdict{}, err
	}
	return verdictOf(yard), nil
}

// incoming is what a slip is called while it is checked. It comes behind the slips
// that are there, so that of two alike it is the second.
const incoming = "zzz-just-handed-in"

func verdictOf(yard *data.Yard) serve.Verdict {
	var v serve.Verdict
	ours := func(file string) (string, bool) {
		rest, ok := strings.CutPrefix(file, data.SlipsFolder+"/"+incoming)
		return strings.TrimPrefix(strings.TrimPrefix(rest, ".zip"), "/"), ok
	}
	for _, slip := range yard.Slips {
		if _, ok := ours(slip.Name); ok {
			v.ID = slip.ID
		}
	}
	accepted, rejected := 0, 0
	for _, in := range yard.Inputs {
		if name, ok := ours(in.Name); ok && name != "slip.csv" {
			accepted += in.Accepted
			rejected += in.Rejected
		}
	}
	told := 0
	for _, r := range yard.Rejects {
		name, ok := ours(r.File)
		if !ok {
			continue
		}
		if told++; told <= mostSaid {
			v.Said = append(v.Said, saidOf(r, name))
		}
	}
	if told > mostSaid {
		v.Said = append(v.Said, fmt.Sprintf("and %d more.", told-mostSaid))
	}
	for _, w := range yard.Warnings {
		switch _, ours := ours(w); {
		case !ours:
		case strings.Contains(w, "was not read again"):
			v.Had = true
		case strings.Contains(w, "was not read yet"):
			v.Said = append(v.Said, "The clock of this phone is days ahead: set it, and hand in again.")
		}
	}
	v.Keep = v.ID != "" && accepted > 0
	switch {
	case v.Keep && rejected == 0:
		v.Said = append([]string{fmt.Sprintf("%s, all of them good.", lines(accepted))}, v.Said...)
	case v.Keep:
		v.Said = append([]string{fmt.Sprintf("%s good. Not used:", lines(accepted))}, v.Said...)
	}
	return v
}

func lines(n int) string {
	if n == 1 {
		return "1 line"
	}
	return fmt.Sprintf("%d lines", n)
}

// saidOf words a reject for a person on a phone.
func saidOf(r data.Reject, name string) string {
	what := strings.TrimSuffix(name, ".csv")
	if what != "" {
		what = data.Capital(what)
		if r.Line > 0 {
			what += fmt.Sprintf(", line %d", r.Line)
		}
		what += ": "
	}
	if r.Column != "" {
		what += strings.ReplaceAll(r.Column, "_", " ") + " "
	}
	if r.Value != "" {
		what += "“" + r.Value + "”: "
	}
	return data.Capital(what + "expected " + r.Expected + ".")
}

// pages are what the server makes anew for each reader.
func (d yardDesk) pages() map[string]serve.Page {
	return map[string]serve.Page{"/form.html": d.form, "/deal": d.deal}
}

func (d yardDesk) form(r *http.Request) ([]byte, string, error) {
	s, err := d.settings()
	if err != nil {
		return nil, "", err
	}
	page, err := makeForm(r.Context(), os.DirFS(s.Yard), s.Policy)
	return page, "text/html; charset=utf-8", err
}

// deal says what `vanwright deal` says of the terms in the query.
func (d yardDesk) deal(r *http.Request) ([]byte, string, error) {
	const kind = "text/plain; charset=utf-8"
	q := r.URL.Query()
	terms, err := termsOf(q.Get)
	if err != nil {
		return nil, kind, err
	}
	s, err := d.settings()
	if err != nil {
		return nil, kind, err
	}
	yard, err := night.LoadForBid(r.Context(), os.DirFS(s.Yard), s.Yard, s.forNight(), false)
	if err != nil {
		return nil, kind, err
	}
	sheet, err := dealSheet(r.Context(), yard, s, terms)
	if err != nil {
		return nil, kind, err
	}
	var b bytes.Buffer
	if err := sheet.Print(&b); err != nil {
		return nil, kind, errors.New("the deal could not be written")
	}
	return b.Bytes(), kind, nil
}
