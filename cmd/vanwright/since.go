package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/cmd/internal/write/mail"
	"github.com/vanwright/vanwright/data"
)

func newSinceCommand(v *viper.Viper) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "since [--reports DIR] [--before DIR | --since DATE] [--out DIR [--link ADDRESS]]",
		Short: "what changed since the last reports, as an email",
		Long: `Since says in a page what a sales manager wants to know in the morning: what
there is to do, as in attention.csv, the worst first; the money in stock, what was
sold, bought, made ready and offered, prices, bids and profits that moved, rows
rejected and warnings. It reads two sets of reports, never the yard.

The earlier set is --before DIR; or with --since DATE the newest that run --keep
has kept of that date or one before it; or else the newest that it has kept of
an earlier day than the reports, or failing that of the same day. Where none is
kept it says how things stand.

The text goes to standard output. With --out DIR it goes to DIR/since.txt, as
text/plain in UTF-8 with lines of at most 78 characters, and to DIR/since.html,
one page that needs nothing else. Its links lead to the reports in their folder;
in a mail they need --link ADDRESS, where people open the reports, such as that of
a web server. Sending is left to the mail system.

Without --reports it reads vanwright-demo/reports where that exists, or else
reports.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := bindFlags(v, cmd, "reports", "before", "since", "out", "link", "quiet"); err != nil {
				return err
			}
			return runSince(cmd, v)
		},
	}
	cmd.Flags().String("reports", "", "`DIR` of the reports")
	cmd.Flags().String("before", "", "`DIR` of the reports to compare with")
	cmd.Flags().String("since", "", "compare with the newest kept reports of this `DATE` or before")
	cmd.Flags().String("out", "", "`DIR` to write since.txt and since.html to")
	cmd.Flags().String("link", "", "`ADDRESS` where people open the reports, for the links of since.html")
	cmd.MarkFlagsMutuallyExclusive("before", "since")
	return cmd
}

func runSince(cmd *cobra.Command, v *viper.Viper) error {
	dir := v.GetString("reports")
	if dir == "" {
		dir = usualReports()
	}
	now, err := readSet(dir)
	if err != nil {
		return err
	}
	before, err := readEarlier(dir, now, v.GetString("before"), v.GetString("since"))
	if err != nil {
		return err
	}
	d := mail.Compare(now, before)
	out := v.GetString("out")
	if out == "" {
		return d.Text(cmd.OutOrStdout())
	}
	if err := writeDigest(out, d, linkTo(out, dir, v.GetString("link"))); err != nil {
		return fmt.Errorf("write the summary: %w", err)
	}
	if quiet, err := readBool(v, "quiet"); err != nil || quiet {
		return err
	}
	_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s\n%s\n", filepath.Join(out, mail.TextName), filepath.Join(out, mail.HTMLName))
	return err
}

// readEarlier reads the set to compare with; nil where there is none.
func readEarlier(dir string, now *mail.Set, before, since string) (*mail.Set, error) {
	if before != "" {
		return readSet(before)
	}
	latest := now.AsOf.AddDays(-1)
	if since != "" {
		var err error
		if latest, err = data.ParseDate(since); err != nil {
			return nil, usagef("--since is %q; expected %w", since, err)
		}
	}
	kept, err := swap.Kept(dir)
	if err != nil {
		return nil, err
	}
	for _, set := range kept { // the newest first
		if day, err := data.ParseDate(set.Day); err == nil && day <= latest {
			return readSet(set.Path)
		}
	}
	switch {
	case since != "":
		return nil, fmt.Errorf("no reports of %s or before are kept beside %s", latest, dir)
	case len(kept) > 0:
		return readSet(kept[0].Path)
	}
	return nil, nil
}

// readSet reads a set of reports. A run may put another set under the name
// meanwhile and delete the one that is being read: then the new one is read.
func readSet(dir string) (*mail.Set, error) {
	var err error
	for range 2 {
		at, notOurs := swap.Current(dir)
		if notOurs != nil {
			at = dir // an unpacked copy, perhaps
		}
		var root *os.Root
		if root, err = os.OpenRoot(at); err != nil {
			continue
		}
		var set *mail.Set
		set, err = mail.Read(root.FS())
		root.Close()
		if err == nil {
			return set, nil
		}
	}
	var missing *fs.PathError
	switch {
	case !exists(dir):
		return nil, fmt.Errorf("there is no folder %s", dir)
	case errors.As(err, &missing) && missing.Path == "run.json" && errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s holds no reports: there is no run.json in it", dir)
	}
	return nil, fmt.Errorf("reports in %s: %w", dir, err)
}

// usualReports is where a command looks that was not told where the reports
// are.
func usualReports() string {
	if dir := filepath.Join("vanwright-demo", "reports"); exists(dir) {
		return dir
	}
	return "reports"
}

// linkTo is what the links of a page in out begin with: the address that was given,
// or else the way to the folder of reports, where there is one.
func linkTo(out, reports, address string) string {
	if address == "" {
		way, err := filepath.Rel(out, reports)
		if err != nil {
			return ""
		}
		address = filepath.ToSlash(way)
	}
	return strings.TrimSuffix(address, "/") + "/"
}

// writeDigest writes both files of the digest, each in one step.
func writeDigest(out string, d mail.Digest, reports string) error {
	switch within, err := swap.Within(out); {
	case err != nil:
		return err
	case within:
		return fmt.Errorf("%s is in a folder of reports, where the next run would delete it: name another", out)
	}
	if err := os.MkdirAll(out, folderMode); err != nil {
		return err
	}
	text, page := filepath.Join(out, mail.TextName), filepath.Join(out, mail.HTMLName)
	for _, file := range []string{text, page} { // both, before either is replaced
		if err := ours(file, mail.Mark); err != nil {
			return err
		}
	}
	if err := replaceFile(text, d.Text); err != nil {
		return err
	}
	return replaceFile(page, func(w io.Writer) error { return d.HTML(w, reports) })
}
