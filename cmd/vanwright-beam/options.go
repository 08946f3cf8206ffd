package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/data"
)

// options is everything that the command line says beside the flags of the SDK.
type options struct {
	Yards   string // folder or pattern
	List    string // file; in place of Yards
	Reports string // folder of the yards' own last reports; blank: none
	Out     string // folder
	AsOf    string // day, as 2026-03-09
	Config  string // settings file in place of each yard's own; blank: none
	Shards  int    // files for each report, 1 or more
	Workers int    // vans of a yard worked on at once; 0: one for each processor
	Strict  bool

	settings []byte // text of Config
}

// addFlags adds the program's own flags to those of the SDK.
func addFlags(flags *flag.FlagSet, o *options) {
	flags.StringVar(&o.Yards, "yards", "", "`DIR` that holds a folder for each yard, or a pattern such as '/srv/*/yard', or the like at gs://")
	flags.StringVar(&o.List, "list", "", "`FILE` with the path of a yard on each line, in place of --yards")
	flags.StringVar(&o.Reports, "reports", "", "`DIR` that holds the yards' own last reports, each in a folder of the yard's name: schedules keep to them, and changes are told against them")
	flags.StringVar(&o.Out, "out", "", "new or empty `DIR` of the group's reports")
	flags.StringVar(&o.AsOf, "as-of", "", "work as of this `DATE`")
	flags.StringVar(&o.Config, "config", "", "settings `FILE` for all yards in place of the policy.yaml of each")
	flags.IntVar(&o.Shards, "shards", 1, "write each report in `N` files")
	flags.IntVar(&o.Workers, "workers", 0, "`N` vans of a yard worked on at once (0: one for each processor)")
	flags.BoolVar(&o.Strict, "strict", false, "end with status 3 where a yard failed or a row was rejected; the reports are written all the same")
}

// usageError is a command line that can't be right whatever the yards hold.
type usageError struct{ error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// check says what is wrong with the options, and makes them such that a worker
// on another machine takes them in the same way.
func (o *options) check(ctx context.Context) error {
	switch {
	case (o.Yards == "") == (o.List == ""):
		return usagef("give the yards by one of --yards and --list")
	case o.Out == "":
		return usagef("no folder for the reports: give --out DIR")
	case o.AsOf == "":
		return usagef("no day: give --as-of DATE, the same for every yard and machine")
	case o.Shards < 1:
		return usagef("--shards is %d; expected 1 or more", o.Shards)
	case o.Workers < 0:
		return usagef("--workers is %d; expected 0 or more", o.Workers)
	}
	asOf, err := data.ParseDate(o.AsOf)
	if err != nil {
		return usagef("--as-of is %q; expected %w", o.AsOf, err)
	}
	o.AsOf = asOf.String()
	for _, dir := range []*string{&o.Out, &o.Reports} {
		if *dir == "" {
			continue
		}
		if *dir, err = absolute(*dir); err != nil {
			return err
		}
	}
	if err := o.apart(); err != nil {
		return err
	}
	if o.Config != "" {
		if o.settings, err = policyfile.ReadText(o.Config); err != nil {
			return fmt.Errorf("read settings %s: %w", o.Config, err)
		}
	}
	if err := requireEmpty(ctx, o.Out); err != nil || remote(o.Out) {
		return err
	}
	if err := os.MkdirAll(o.Out, folderMode); err != nil {
		return fmt.Errorf("make the folder of the reports: %w", err)
	}
	return nil
}

// apart refuses reports in the folder of the yards, where the next run would
// take them for one.
func (o *options) apart() error {
	if o.Yards == "" || remote(o.Yards) != remote(o.Out) {
		return nil
	}
	yards, err := absolute(o.Yards)
	if err != nil {
		return err
	}
	if o.Out == yards || strings.HasPrefix(o.Out, yards+"/") || strings.HasPrefix(o.Out, yards+string(filepath.Separator)) {
		return errors.New("the reports would lie among the yards, and be taken for one: name another folder")
	}
	return nil
}
