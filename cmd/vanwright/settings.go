package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/rs/zerolog"
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
	Policy  data.Policy
	File    string            // the settings file that was read; blank for none
	Text    []byte            // what it held
	Given   map[string]string // policy keys in force, as text, for run.json
	Log     zerolog.Logger
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
	s.Quiet = v.GetBool("quiet")
	if s.Log, err = newLogger(cmd.ErrOrStderr(), v.GetString("log-level"), s.Quiet); err != nil {
		return s, err
	}
	s.Yard, s.Out = v.GetString("yard"), v.GetString("out")
	s.Strict, s.JSON = v.GetBool("strict"), v.GetBool("json")
	if s.Workers = v.GetInt("workers"); s.Workers < 0 {
		return s, usagef("--workers is %d; expected 0 or more", s.Workers)
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
	s.File = settingsFile(v, s.Yard)
	if s.File != "" {
		if s.Text, err = policyfile.ReadText(s.File); err != nil {
			return s, fmt.Errorf("read settings %s: %w", s.File, err)
		}
	}
	if s.Policy, s.Given, err = policyfile.Read(v, flags, s.File, s.Text); err != nil {
		return s, err
	}
	s.Keep, err = readKeep(v, flags)
	return s, err
}

// settingsFile is --config, or policy.yaml where the yard has one.
func settingsFile(v *viper.Viper, yard string) string {
	if file := v.GetString("config"); file != "" {
		return file
	}
	if usual := filepath.Join(yard, "policy.yaml"); exists(usual) {
		return usual
	}
	return ""
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
