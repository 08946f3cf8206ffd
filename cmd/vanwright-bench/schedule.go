package main

import (
	"errors"

	"github.com/spf13/cobra"
)

func newScheduleCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "schedule",
		Short: "Schedule project instances and print makespans as CSV",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return errors.New("the scheduling engine is not built in yet")
		},
	}
}
