package main

import (
	"os"

	"github.com/spf13/cobra"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

// loadYard reads the yard with the settings in force. admitted, which may be nil, is
// called as in data.LoadOptions.
func loadYard(cmd *cobra.Command, s settings, admitted func()) (*data.Yard, error) {
	in := s.forNight()
	in.Admitted = admitted
	return night.Load(cmd.Context(), os.DirFS(s.Yard), s.Yard, in)
}

// loadForBid reads of it what a bid needs; with --strict all of it, since every
// bad row counts then.
func loadForBid(cmd *cobra.Command, s settings) (*data.Yard, error) {
	yard, err := night.LoadForBid(cmd.Context(), os.DirFS(s.Yard), s.Yard, s.forNight(), s.Strict)
	if err != nil {
		return nil, err
	}
	return yard, s.tellRejects(yard, notUsed)
}

func (s settings) forNight() night.Settings {
	return night.Settings{Policy: s.Policy, AsOf: s.AsOf, Workers: s.Workers, File: s.File, Text: s.Text}
}
