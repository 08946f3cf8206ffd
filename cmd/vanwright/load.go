package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"github.com/vanwright/vanwright/cmd/internal/keep/fold"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

// loadYard reads the yard with the settings in force.
func loadYard(cmd *cobra.Command, s settings) (*data.Yard, error) {
	return s.whileUnfolded(func() (*data.Yard, error) {
		return night.Load(cmd.Context(), os.DirFS(s.Yard), s.Yard, s.forNight())
	})
}

// loadForBid reads of it what a bid needs; with --strict all of it, since every
// bad row counts then.
func loadForBid(cmd *cobra.Command, s settings) (*data.Yard, error) {
	yard, err := s.whileUnfolded(func() (*data.Yard, error) {
		return night.LoadForBid(cmd.Context(), os.DirFS(s.Yard), s.Yard, s.forNight(), s.Strict)
	})
	if err != nil {
		return nil, err
	}
	return yard, s.tellRejects(yard, notUsed)
}

func (s settings) forNight() night.Settings {
	return night.Settings{Policy: s.Policy, AsOf: s.AsOf, Workers: s.Workers, File: s.File, Text: s.Text}
}

// whileUnfolded reads the yard, and again where its slips were folded in meanwhile: a
// table of after it and a slip of before would give rows twice.
func (s settings) whileUnfolded(read func() (*data.Yard, error)) (*data.Yard, error) {
	for range 3 {
		before, err := fold.State(s.Yard)
		if err != nil {
			return nil, err
		}
		yard, err := read()
		after, folding := fold.State(s.Yard)
		if folding == nil && before == after {
			return yard, err
		}
	}
	return nil, fmt.Errorf("the yard %s was folded while it was read: run again", s.Yard)
}
