// Package policyfile reads the settings by which a dealer works.
//
// In goes the text of policy.yaml, with flags and an environment over it where
// there are any; out comes a data.Policy that was validated, and every key in
// force as text. A key that is not known is an error, as is a value out of its
// range. The package decides nothing about where the file is.
package policyfile

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/spf13/pflag"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/data"
)

// maxBytes is far above any settings file that a person has written.
const maxBytes = 1 << 20

// runKeys are the keys that say how run goes about its work and change nothing
// in the reports. They are no part of the policy: run reads them.
var runKeys = []string{"keep"}

// ReadText reads a settings file once, so that its digest is of the bytes that
// are in force even if somebody saves it meanwhile.
func ReadText(file string) ([]byte, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err == nil && len(text) > maxBytes {
		err = fmt.Errorf("it is larger than %d KiB, the most that is read", maxBytes>>10)
	}
	return text, err
}

// Read reads the keys from the flags, the environment that v looks at and the
// text of the settings file. flags may be nil, and file blank: there are none.
func Read(v *viper.Viper, flags *pflag.FlagSet, file string, text []byte) (data.Policy, map[string]string, error) {
	policy := data.DefaultPolicy()
	if file != "" {
		if err := readText(v, file, text); err != nil {
			return policy, nil, err
		}
	}
	given := map[string]string{}
	for _, k := range Keys {
		if flags != nil {
			if err := v.BindPFlag(k.Name, flags.Lookup(k.Flag())); err != nil {
				return policy, nil, err
			}
		}
		if v.IsSet(k.Name) {
			if raw := v.Get(k.Name); raw != "" {
				if err := k.set(&policy, raw); err != nil {
					return policy, nil, fmt.Errorf("setting %s is %v; expected %w", k.Name, raw, err)
				}
			}
		}
		given[k.Name] = k.show(policy)
	}
	if err := policy.Validate(); err != nil {
		return policy, nil, fmt.Errorf("policy: %w", err)
	}
	return policy, given, nil
}

// readText loads the text of a settings file into v and checks its keys.
func readText(v *viper.Viper, file string, text []byte) error {
	v.SetConfigType("yaml")
	if err := v.ReadConfig(bytes.NewReader(text)); err != nil {
		return fmt.Errorf("read settings %s: %w", file, err)
	}
	known := slices.Clone(runKeys)
	for _, k := range Keys {
		known = append(known, k.Name)
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
