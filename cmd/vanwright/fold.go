package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/fold"
	"github.com/vanwright/vanwright/data"
)

func newFoldCommand(v *viper.Viper) *cobra.Command {
	return yardCommand(v, &cobra.Command{
		Use:   "fold --yard DIR",
		Short: "write the slips of a yard into its tables",
		Long: `Fold writes the rows of the slips into the yard's own tables, in the order in which
they count, and takes the slips out of the yard. The reports after it are the same
but for file and line. What it replaces, tables, workbooks and slips, is kept in
folded-DATE.zip beside the tables.

Nothing is folded while a row of a slip is rejected, or where a table is the sheet of a
workbook: the answer says what to mend. A slip made after the as-of date stays. A fold
that was cut short is gone on with by the next; until then no other command reads the
yard.
` + exitHelp,
		Args: cobra.NoArgs,
	}, func(cmd *cobra.Command, s settings, _ []string) error { return runFold(cmd, s) })
}

func runFold(cmd *cobra.Command, s settings) error {
	unlock, err := fold.Lock(s.Yard)
	if err != nil {
		return err
	}
	defer unlock()
	out := cmd.OutOrStdout()
	if finished, err := fold.Finish(s.Yard); err != nil {
		return fmt.Errorf("finish the fold that was cut short: %w", err)
	} else if finished {
		fmt.Fprintln(out, "a fold that was cut short is done now")
	}
	root, err := os.OpenRoot(s.Yard)
	if err != nil {
		return err
	}
	defer root.Close()
	folded, err := data.Fold(cmd.Context(), root.FS(), data.LoadOptions{AsOf: s.AsOf, Workers: s.Workers, MaxRejects: s.Policy.MaxRejects})
	if err != nil {
		return fmt.Errorf("fold the slips: %w", err)
	}
	if len(folded.Slips) == 0 {
		fmt.Fprintln(out, "no slip to fold in")
		return nil
	}
	changes, err := changesOf(folded, root.FS())
	if err != nil {
		return fmt.Errorf("fold the slips: %w", err)
	}
	kept, err := fold.Apply(s.Yard, s.AsOf, changes)
	if err != nil {
		return fmt.Errorf("fold the slips: %w", err)
	}
	n := len(folded.Slips)
	fmt.Fprintf(out, "%d %s folded in; what was there before is in %s\n", n, plural(n, "slip", "slips"), kept)
	return nil
}

// changesOf says which files of the yard a fold writes, removes and keeps in its zip.
func changesOf(folded *data.Folded, yard fs.FS) (fold.Changes, error) {
	c := fold.Changes{Write: maps.Clone(folded.Tables)}
	remember, err := folded.Remember(yard)
	if err != nil {
		return c, err
	}
	c.Write[data.FoldedSlips] = remember
	for name, photo := range folded.Photos {
		from, err := photo.Open()
		if err != nil {
			return c, fmt.Errorf("%s: %w", photo.File, err)
		}
		picture, err := io.ReadAll(from)
		if err = errors.Join(err, from.Close()); err != nil {
			return c, fmt.Errorf("%s: %w", photo.File, err)
		}
		c.Write[name] = picture
	}
	for _, name := range slices.Sorted(maps.Keys(c.Write)) {
		if _, err := fs.Stat(yard, name); err == nil {
			c.Keep = append(c.Keep, name)
		}
	}
	for _, s := range folded.Slips {
		c.Remove = append(c.Remove, s.File)
		c.Keep = append(c.Keep, s.File)
	}
	return c, nil
}
