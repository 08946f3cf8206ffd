package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/form"
	"github.com/vanwright/vanwright/data"
)

func newFormCommand(v *viper.Viper) *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "form --out FILE.html [--yard DIR]",
		Short: "write a page for a phone on which a condition report is taken",
		Long: `Form writes one page that needs no network: send it to a phone, open it beside
the van, and walk round. It asks for the van, what is fitted, each checkpoint of
the book that applies, the papers and photos, of several vans if need be, and
keeps what was entered in the browser. It begins with a short appraisal; the
whole walk is one tap away. Each van ends in one slip, a .zip to be put into
DIR/slips of the yard as it is, where run reads it.

With --yard DIR the checkpoints are those of the yard's own book, where it has
one, the limits are those of its policy, and the vans of the yard can be chosen.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if out == "" {
				return usagef("no file for the page: give --out FILE.html")
			}
			if err := bindFlags(v, cmd, "yard"); err != nil {
				return err
			}
			page, err := formPage(v, cmd)
			if err != nil {
				return err
			}
			if err := writeForm(out, page); err != nil {
				return err
			}
			_, err = fmt.Fprintln(cmd.OutOrStdout(), out)
			return err
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "`FILE` to write the page to")
	cmd.Flags().String("yard", "", "`DIR` of a yard whose checkpoints and policy count")
	return cmd
}

// formPage builds the page from the built-in book, or from the yard where one
// was named.
func formPage(v *viper.Viper, cmd *cobra.Command) ([]byte, error) {
	yard, policy := data.BuiltInBooks(), data.DefaultPolicy()
	if v.GetString("yard") != "" {
		s, err := readSettings(v, cmd)
		if err != nil {
			return nil, err
		}
		yard, policy = os.DirFS(s.Yard), s.Policy
	}
	return makeForm(cmd.Context(), yard, policy)
}

// makeForm makes the form of a yard. One that has no vans yet has a form all the
// same.
func makeForm(ctx context.Context, yard fs.FS, policy data.Policy) ([]byte, error) {
	known := form.Yard{Policy: policy}
	read, err := data.Load(ctx, yard, data.LoadOptions{Wanted: func([]data.Van) func(*data.Van) bool { return func(*data.Van) bool { return false } }})
	switch {
	case errors.Is(err, data.ErrNoVans):
		if known.Books, err = data.LoadBooks(yard); err != nil {
			return nil, fmt.Errorf("read the books: %w", err)
		}
	case err != nil:
		return nil, err
	default:
		known.Books, known.Vans = read.Books, read.Vans
	}
	var page bytes.Buffer
	if err := form.Write(&page, known); err != nil {
		return nil, fmt.Errorf("make the form: %w", err)
	}
	return page.Bytes(), nil
}

// writeForm puts the page under its name in one step, so that a page that is
// being copied to a phone is never half of one. A file that is no form of ours
// is left alone.
func writeForm(out string, page []byte) error {
	switch ours, err := holds(out, form.Mark, formHead); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return fmt.Errorf("write the form: %w", err)
	case !ours:
		return fmt.Errorf("write the form: %s exists and is no form; name another file", out)
	}
	err := replaceFile(out, func(w io.Writer) error {
		_, err := w.Write(page)
		return err
	})
	if err != nil {
		return fmt.Errorf("write the form: %w", err)
	}
	return nil
}

// formHead is how much of a file is looked at for the mark of a form.
const formHead = 2048

// bindFlags lets the environment set flags of a command that needs no yard.
func bindFlags(v *viper.Viper, cmd *cobra.Command, names ...string) error {
	v.SetEnvPrefix("VANWRIGHT")
	v.SetEnvKeyReplacer(strings.NewReplacer("-", "_"))
	v.AutomaticEnv()
	for _, name := range names {
		if err := v.BindPFlag(name, cmd.Flags().Lookup(name)); err != nil {
			return err
		}
	}
	return nil
}
