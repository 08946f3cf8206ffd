package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"github.com/rs/zerolog"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/spf13/viper"

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
	for _, name := range []string{"yard", "out", "as-of", "strict", "quiet", "workers", "json", "log-level", "config"} {
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
		if s.Text, err = readSettingsFile(s.File); err != nil {
			return s, fmt.Errorf("read settings %s: %w", s.File, err)
		}
	}
	s.Policy, s.Given, err = readPolicy(v, flags, s.File, s.Text)
	return s, err
}

// maxSettingsBytes is far above any settings file that a person has written.
const maxSettingsBytes = 1 << 20

// readSettingsFile reads a settings file once, so that its digest is of the
// bytes that are in force even if somebody saves it meanwhile.
func readSettingsFile(file string) ([]byte, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxSettingsBytes+1))
	if err == nil && len(text) > maxSettingsBytes {
		err = fmt.Errorf("it is larger than %d KiB, the most that is read", maxSettingsBytes>>10)
	}
	return text, err
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

// readPolicy reads the policy's keys from the flags, the environment and the
// settings file, if any.
func readPolicy(v *viper.Viper, flags *pflag.FlagSet, file string, text []byte) (data.Policy, map[string]string, error) {
	policy := data.DefaultPolicy()
	if file != "" {
		if err := readPolicyFile(v, file, text); err != nil {
			return policy, nil, err
		}
	}
	given := map[string]string{}
	for _, k := range policyKeys {
		if err := v.BindPFlag(k.name, flags.Lookup(k.flag())); err != nil {
			return policy, nil, err
		}
		if v.IsSet(k.name) {
			if raw := v.Get(k.name); raw != "" {
				if err := k.set(&policy, raw); err != nil {
					return policy, nil, fmt.Errorf("setting %s is %v; expected %w", k.name, raw, err)
				}
			}
		}
		given[k.name] = k.show(policy)
	}
	if err := policy.Validate(); err != nil {
		return policy, nil, fmt.Errorf("policy: %w", err)
	}
	return policy, given, nil
}

// readPolicyFile loads the text of a settings file into v and checks its keys.
func readPolicyFile(v *viper.Viper, file string, text []byte) error {
	v.SetConfigType("yaml")
	if err := v.ReadConfig(bytes.NewReader(text)); err != nil {
		return fmt.Errorf("read settings %s: %w", file, err)
	}
	known := make([]string, 0, len(policyKeys))
	for _, k := range policyKeys {
		known = append(known, k.name)
	}
	only := viper.New() // v knows the flags and the environment too
	only.SetConfigType("yaml")
	if err := only.ReadConfig(bytes.NewReader(text)); err != nil {
		return fmt.Errorf("read settings %s: %w", file, err)
	}
	keys := only.AllKeys()
	slices.Sort(keys)
	for _, key := range keys {
		if !slices.Contains(known, key) {
			return fmt.Errorf("settings %s: unknown key %q%s", file, key, data.DidYouMean(key, known))
		}
	}
	return nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
