package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/data"
)

func newBooksCommand(*viper.Viper) *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "books",
		Short: "write the built-in books as tables to edit",
		Long: `Books writes the built-in books of checkpoints, labour, parts and handover
steps as CSV files. Put an edited one in the yard under the same name and it
takes the place of the built-in book. Files that exist are not overwritten.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runBooks(cmd, out)
		},
	}
	cmd.Flags().StringVar(&out, "out", "vanwright-books", "`DIR` to write them to")
	return cmd
}

func runBooks(cmd *cobra.Command, out string) error {
	for _, name := range data.BookFiles {
		if path := filepath.Join(out, name); exists(path) {
			return fmt.Errorf("write the books: %s exists already", path)
		}
	}
	if err := os.MkdirAll(out, folderMode); err != nil {
		return fmt.Errorf("write the books: %w", err)
	}
	for _, name := range data.BookFiles {
		content, err := fs.ReadFile(data.BuiltInBooks(), name)
		if err != nil {
			return fmt.Errorf("read the built-in books: %w", err)
		}
		path := filepath.Join(out, name)
		if err := os.WriteFile(path, content, fileMode); err != nil {
			return fmt.Errorf("write the books: %w", err)
		}
		if _, err := fmt.Fprintln(cmd.OutOrStdout(), path); err != nil {
			return err
		}
	}
	return nil
}
