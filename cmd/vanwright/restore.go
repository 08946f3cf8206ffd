package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/cmd/internal/keep/yardzip"
)

func newRestoreCommand(v *viper.Viper) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "restore --reports DIR.kept/DATE --out DIR",
		Short: "lay out the input files that a kept set of reports was made from",
		Long: `Restore lays out in a new folder the yard that a set of reports was made from:
every table, workbook and slip as it was, and the settings that were in force as
policy.yaml. Only runs with --keep put a yard into their reports. The yard of today
is not touched: compare the two, and copy back what was lost.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := bindFlags(v, cmd, "reports", "out"); err != nil {
				return err
			}
			return runRestore(cmd, v.GetString("reports"), v.GetString("out"))
		},
	}
	cmd.Flags().String("reports", "", "`DIR` of the reports, such as reports.kept/2026-03-09")
	cmd.Flags().String("out", "", "`DIR` to lay the yard out in; new or empty")
	return cmd
}

func runRestore(cmd *cobra.Command, reports, out string) error {
	switch {
	case reports == "":
		return usagef("no reports: give --reports DIR, such as reports.kept/2026-03-09")
	case out == "":
		return usagef("no folder for the yard: give --out DIR")
	}
	if within, err := swap.Within(out); err != nil {
		return fmt.Errorf("restore the yard: %w", err)
	} else if within {
		return fmt.Errorf("%s is in a folder of reports, where the next run would delete it: name another", out)
	}
	at, err := swap.Current(reports)
	if err != nil {
		at = reports // an unpacked copy, perhaps
	}
	archive, err := os.Open(filepath.Join(at, yardzip.File))
	switch {
	case errors.Is(err, fs.ErrNotExist) && !exists(reports):
		return fmt.Errorf("there is no folder %s", reports)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s holds no yard: only a run with --keep puts %s into its reports", reports, yardzip.File)
	case err != nil:
		return fmt.Errorf("restore the yard: %w", err)
	}
	defer archive.Close()
	info, err := archive.Stat()
	if err != nil {
		return fmt.Errorf("restore the yard: %w", err)
	}
	files, err := yardzip.Restore(archive, info.Size(), out)
	if err != nil {
		return fmt.Errorf("restore the yard: %w", err)
	}
	_, err = fmt.Fprintf(cmd.OutOrStdout(), "%d %s of the yard as of %s in %s\n", files, plural(files, "file", "files"), dayOf(os.DirFS(at)), out)
	return err
}
