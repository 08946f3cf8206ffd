package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/cmd/internal/write/photos"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
)

func init() {
	register.DoFn4x1[context.Context, Yard, func(string, Block), func(string, Sums), error](&costFn{})
	register.Emitter2[string, Block]()
	register.Emitter2[string, Sums]()
}

var (
	yardsRead    = beam.NewCounter("vanwright", "yards_read")
	yardsFailed  = beam.NewCounter("vanwright", "yards_failed")
	vansCosted   = beam.NewCounter("vanwright", "vans")
	rowsRejected = beam.NewCounter("vanwright", "rows_rejected")
)

// costFn does the whole job of one yard: what vanwright run does, but for the
// pages and the workbook. It emits blocks by the file that they go to, and what
// each van leaves by its status. A yard that can't be costed is a row of
// failed-yards.csv; a store that can't be read is an error, which the runner
// tries again.
type costFn struct {
	AsOf    string // day, as 2026-03-09
	Shards  int
	Workers int
	// Config names the settings file for all yards; blank: each has its own.
	Config   string
	Settings []byte

	asOf data.Date
}

// Setup reads the day once for each worker.
func (f *costFn) Setup() error {
	var err error
	f.asOf, err = data.ParseDate(f.AsOf)
	return err
}

// ProcessElement costs one yard.
func (f *costFn) ProcessElement(ctx context.Context, y Yard, emit func(string, Block), vans func(string, Sums)) error {
	fetched, clear, err := fetch(ctx, y.Path, usualFiles(), yardFiles...)
	if err != nil {
		return err
	}
	defer clear()
	old, clearOld, err := oldReports(ctx, y.Reports)
	if err != nil {
		return err
	}
	defer clearOld()

	result, given, err := f.cost(ctx, y, fetched, old)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	send := func(report string, text []byte) {
		for b := range blocks(y.Name, text) {
			emit(report, b)
		}
	}
	if err != nil {
		yardsFailed.Inc(ctx, 1)
		return writeFailed(send, err)
	}
	yardsRead.Inc(ctx, 1)
	vansCosted.Inc(ctx, int64(len(result.Vans)))
	rowsRejected.Inc(ctx, int64(len(result.Yard.Rejects)))
	for i := range result.Vans {
		vans(string(result.Vans[i].Status), sumsOf(&result.Vans[i]))
	}
	if err := writeYard(send, result, given); err != nil {
		return err
	}
	var sending sync.Mutex // reports are written side by side, emit is for one goroutine
	create := func(name string) (io.WriteCloser, error) {
		return &buffer{done: func(text []byte) {
			sending.Lock()
			defer sending.Unlock()
			send(shardName(name, y.Shard, f.Shards), text)
		}}, nil
	}
	_, err = tables.Write(create, result, tables.Changes(result, old))
	return err
}

// cost reads a yard with the settings in force and works it out, as vanwright
// run does. Its errors are the sentences of run.
func (f *costFn) cost(ctx context.Context, y Yard, fetched string, old fs.FS) (*night.Result, map[string]string, error) {
	file, text, err := f.settingsOf(y, fetched)
	if err != nil {
		return nil, nil, err
	}
	policy, given, err := policyfile.Read(viper.New(), nil, file, text)
	if err != nil {
		return nil, nil, err
	}
	in := night.Settings{Policy: policy, AsOf: f.asOf, Workers: f.Workers, File: file, Text: text}
	yard, err := night.Load(ctx, os.DirFS(fetched), y.Path, in)
	if err != nil {
		return nil, nil, err
	}
	if err := photos.Reject(ctx, yard, photos.All); err != nil {
		return nil, nil, err
	}
	result, err := night.Run(ctx, yard, policy, f.asOf, night.RunOptions{Workers: in.Workers, Previous: tables.Schedule(old)})
	return result, given, err
}

// settingsOf returns the settings file of a yard as messages name it, and its
// text; a blank name where there is none.
func (f *costFn) settingsOf(y Yard, fetched string) (string, []byte, error) {
	if f.Config != "" {
		return f.Config, f.Settings, nil
	}
	found, err := policyfile.Find(fetched)
	if err != nil || found == "" {
		return "", nil, err
	}
	named := join(y.Path, filepath.Base(found))
	text, err := policyfile.ReadText(found)
	if err != nil {
		return "", nil, fmt.Errorf("read settings %s: %w", named, err)
	}
	return named, text, nil
}

// oldReports are the reports of a yard's own last run; nil where there are
// none.
func oldReports(ctx context.Context, at string) (fs.FS, func(), error) {
	if at == "" {
		return nil, func() {}, nil
	}
	dir, clear, err := fetch(ctx, at, nil, "*.csv")
	if err != nil {
		return nil, nil, err
	}
	if !remote(at) {
		// A run that was killed may have left them beside their place.
		if dir, err = swap.Current(at); errors.Is(err, fs.ErrNotExist) {
			return nil, clear, nil
		} else if err != nil {
			return nil, nil, fmt.Errorf("look at the reports %s: %w", at, err)
		}
	}
	return os.DirFS(dir), clear, nil
}

// buffer holds a report until it is closed.
type buffer struct {
	bytes.Buffer
	done func(text []byte)
}

func (b *buffer) Close() error {
	b.done(b.Bytes())
	return nil
}

// oneSentence joins what errors.Join spread over lines.
func oneSentence(err error) string {
	return strings.ReplaceAll(strings.TrimSpace(err.Error()), "\n", "; ")
}
