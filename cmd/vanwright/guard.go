package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/keep/loss"
	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/cmd/internal/keep/yardzip"
	"github.com/vanwright/vanwright/data"
)

// keepYard holds the yard against the reports that are to be replaced, stops the
// run where much of it is gone, and puts among the new reports what the next run
// holds its yard against and, where sets are kept, the yard itself.
func (s settings) keepYard(yard *data.Yard, old fs.FS, writing *swap.Writing) error {
	var before *loss.Held
	if old != nil {
		var err error
		if before, err = loss.Read(old); err != nil {
			s.Log.Warn().Err(err).Msg("what the last reports were made from can't be read; nothing to hold the yard against")
		}
	}
	held := loss.Of(yard, s.AsOf, before)
	if losses := loss.Losses(before, held, data.DateOf(time.Now())); len(losses) > 0 {
		said := strings.Join(losses, "; ")
		if !s.AcceptLoss {
			return fmt.Errorf("nothing was replaced, since much seems to be lost: %s; if it is right so, run again with --accept-loss", said)
		}
		s.Log.Warn().Msg("loss accepted: " + said)
	}
	if err := held.Write(writing.Create); err != nil {
		return err
	}
	if s.Keep == 0 {
		return nil
	}
	return s.writeYardZip(yard, writing)
}

func (s settings) writeYardZip(yard *data.Yard, writing *swap.Writing) error {
	f, err := writing.Create(yardzip.File)
	if err != nil {
		return err
	}
	root, err := os.OpenRoot(s.Yard) // so that no link in the yard leads out of it
	if err != nil {
		return err
	}
	defer root.Close()
	of := yardzip.Yard{Files: root.FS(), Inputs: yard.Inputs}
	if s.File != "" {
		of.Settings = s.Text
	}
	changed, err := of.Write(f)
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("keep the yard: %w", err)
	}
	for _, name := range changed {
		s.Log.Warn().Msgf("%q was saved while it was read: %s has the later", name, yardzip.File)
	}
	return nil
}
