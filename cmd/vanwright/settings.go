package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/rs/zerolog"
	"github.com/spf13/cast"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/data"
)

// settings is everything a command was told, read once and passed by value.
type settings struct {
	Yard    string // folder
	Out     string // folder; blank for commands that write none
	AsOf    data.Date
	Strict  bool
	Quiet   bool
	Workers int // ≥ 1
	JSON    bool
	Keep    int // replaced sets of reports to keep
	// AcceptLoss has a run go on although much of the yard is gone. Only a flag
	// says so: set once and for all it would be no guard.
	AcceptLoss bool
	Policy     data.Policy
	File       string            // the settings file that was read; blank for none
	Text       []byte            // what it held
	Given      map[string]string // policy keys in force, as text, for run.json
	Log        zerolog.Logger
}

const acceptLoss = "accept-loss"

// yardCommand is a command on a yard: run gets its settings, and its arguments.
func yardCommand(v *viper.Viper, cmd *cobra.Command, run func(*cobra.Command, settings, []string) error) *cobra.Command {
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		s, err := readSettings(v, cmd)
		if err != nil {
			return err
		}
		return run(cmd, s, args)
	}
	addYardFlags(cmd.Flags())
	return cmd
}

// addYardFlags adds the flags that every command on a yard has.
func addYardFlags(flags *pflag.FlagSet) {
	flags.String("yard", "", "`DIR` of the yard's tables")
	flags.String("as-of", "", "work as of this `DATE` rather than today")
}

// readSettings layers flags over the environment over policy.yaml over the
// defaults, and refuses keys that are not known.
func readSettings(v *viper.Viper, cmd *cobra.Command) (settings, error) {
	var s settings
	flags := cmd.Flags()
	v.SetEnvPrefix("VANWRIGHT")
	v.SetEnvKeyReplacer(strings.NewReplacer("-", "_"))
	v.AutomaticEnv()
	for _, name := range []string{"yard", "out", "as-of", "strict", "quiet", "workers", "json", "log-level", "config", "keep"} {
		if f := flags.Lookup(name); f != nil {
			if err := v.BindPFlag(name, f); err != nil {
				return s, err
			}
		}
	}
	var err error
	if s.Quiet, err = readBool(v, "quiet"); err != nil {
		return s, err
	}
	if s.Log, err = newLogger(cmd.ErrOrStderr(), v.GetString("log-level"), s.Quiet); err != nil {
		return s, err
	}
	if flags.Changed(acceptLoss) {
		if s.AcceptLoss, err = flags.GetBool(acceptLoss); err != nil {
			return s, err
		}
	}
	s.Yard, s.Out = v.GetString("yard"), v.GetString("out")
	if s.Strict, err = readBool(v, "strict"); err != nil {
		return s, err
	}
	if s.JSON, err = readBool(v, "json"); err != nil {
		return s, err
	}
	if s.Workers, err = readCount(v, flags, "workers", math.MaxInt32); err != nil {
		return s, err
	} else if s.Workers == 0 {
		s.Workers = runtime.GOMAXPROCS(0)
	}
	if s.Yard == "" {
		return s, usagef("no yard: give --yard DIR")
	}
	if s.AsOf = data.DateOf(time.Now()); v.GetString("as-of") != "" {
		if s.AsOf, err = data.ParseDate(v.GetString("as-of")); err != nil {
			return s, usagef("--as-of is %q; expected %w", v.GetString("as-of"), err)
		}
	}
	if err := requireFolder(s.Yard); err != nil {
		return s, err
	}
	if s.File, err = settingsFile(v, s.Yard); err != nil {
		return s, err
	}
	if s.File != "" {
		if s.Text, err = policyfile.ReadText(s.File); err != nil {
			return s, fmt.Errorf("read settings %s: %w", s.File, err)
		}
	}
	if s.Policy, s.Given, err = policyfile.Read(v, flags, s.File, s.Text); err != nil {
		return s, err
	}
	s.Keep, err = readCount(v, flags, "keep", maxKeep)
	return s, err
}

// settingsFile is --config, or policy.yaml where the yard has one.
func settingsFile(v *viper.Viper, yard string) (string, error) {
	if file := v.GetString("config"); file != "" {
		return file, nil
	}
	return policyfile.Find(yard)
}

// readBool reads a switch, which the environment may give as text.
func readBool(v *viper.Viper, name string) (bool, error) {
	raw := v.Get(name)
	if raw == nil || raw == "" {
		return false, nil
	}
	on, err := cast.ToBoolE(raw)
	if err != nil {
		return false, fmt.Errorf("setting %s is %v; expected true or false", name, raw)
	}
	return on, nil
}

// readCount reads a whole number from 0 to most; blank is 0.
func readCount(v *viper.Viper, flags *pflag.FlagSet, name string, most int) (int, error) {
	raw := v.Get(name)
	if raw == nil || raw == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(strings.TrimSpace(fmt.Sprint(raw)))
	if err == nil && n >= 0 && n <= most {
		return n, nil
	}
	if flags.Changed(name) {
		return 0, usagef("--%s is %v; expected a whole number from 0 to %d", name, raw, most)
	}
	return 0, fmt.Errorf("setting %s is %v; expected a whole number from 0 to %d", name, raw, most)
}

// requireFolder says in one sentence what is wrong with a yard's path.
func requireFolder(dir string) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("the yard %s does not exist", dir)
	case err != nil:
		return fmt.Errorf("look at the yard: %w", err)
	case !info.IsDir():
		return fmt.Errorf("the yard %s is not a folder", dir)
	}
	return nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
