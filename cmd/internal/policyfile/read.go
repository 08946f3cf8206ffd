// Package policyfile reads the settings by which a dealer works.
//
// In goes the text of policy.yaml, with flags and an environment over it where
// there are any; out comes a data.Policy that was validated, and every key in
// force as text. A key that is not known is an error, as is a value out of its
// range. The package decides nothing about where the file is.
package policyfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

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
// are in force even if somebody saves it meanwhile. A pipe or a device is refused
// before it is opened: opening one may wait for ever.
func ReadText(file string) ([]byte, error) {
	info, err := os.Stat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist) && isLink(file):
		return nil, errors.New("it is a link to a file that does not exist")
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, errors.New("it is not a regular file")
	}
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

func isLink(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && info.Mode()&fs.ModeSymlink != 0
}

// FlagError is a value on the command line that is right for no yard.
type FlagError struct{ err error }

func (e FlagError) Error() string { return e.err.Error() }
func (e FlagError) Unwrap() error { return e.err }

// Read reads the keys from the flags, the environment that v looks at and the
// text of the settings file. flags may be nil, and file blank: there are none.
// Where a flag is at fault the error is a FlagError.
func Read(v *viper.Viper, flags *pflag.FlagSet, file string, text []byte) (data.Policy, map[string]string, error) {
	policy := data.DefaultPolicy()
	if file != "" {
		settings, err := parse(text)
		if err != nil {
			return policy, nil, fmt.Errorf("settings %s: %w", file, err)
		}
		if err := v.MergeConfigMap(settings); err != nil {
			return policy, nil, fmt.Errorf("settings %s: %w", file, err)
		}
	}
	given := map[string]string{}
	for _, k := range Keys {
		if err := k.read(v, flags, &policy); err != nil {
			return policy, nil, err
		}
		given[k.Name] = k.show(policy)
	}
	if err := policy.Validate(); err != nil {
		return policy, nil, fmt.Errorf("policy: %w", err)
	}
	return policy, given, nil
}

// read puts the value of a key, where one is given, into a policy.
func (k Key) read(v *viper.Viper, flags *pflag.FlagSet, policy *data.Policy) error {
	var flag *pflag.Flag
	if flags != nil {
		flag = flags.Lookup(k.Flag())
		if err := v.BindPFlag(k.Name, flag); err != nil {
			return err
		}
	}
	raw := v.Get(k.Name)
	if raw == nil || raw == "" {
		return nil
	}
	err := k.set(policy, raw)
	if flag == nil || !flag.Changed {
		if err != nil {
			return fmt.Errorf("setting %s is %v; expected %w", k.Name, raw, err)
		}
		return nil
	}
	if err != nil {
		return FlagError{fmt.Errorf("--%s is %v; expected %w", k.Flag(), raw, err)}
	}
	alone := data.DefaultPolicy() // so that what is wrong is known to be this flag's
	if err := errors.Join(k.set(&alone, raw), alone.Validate()); err != nil {
		return FlagError{fmt.Errorf("--%s: %w", k.Flag(), err)}
	}
	return nil
}
