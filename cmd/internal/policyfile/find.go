package policyfile

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Usual is the name of a yard's settings file.
const Usual = "policy.yaml"

// misnamed are names, in lower case, under which people save a settings file that
// then is not read.
var misnamed = []string{"policy.yaml", "policy.yml", "policy.yaml.txt", "policy.yml.txt"}

// Find returns the settings file of a yard's folder; blank where it has none. A
// settings file by another name is an error: passing it over would put the defaults
// in force without a word.
func Find(yard string) (file string, err error) {
	entries, err := os.ReadDir(yard)
	if err != nil {
		return "", fmt.Errorf("look at the yard: %w", err)
	}
	for _, e := range entries {
		switch name := e.Name(); {
		case name == Usual:
			file = filepath.Join(yard, name)
		case slices.Contains(misnamed, strings.ToLower(name)):
			return "", fmt.Errorf("the yard has %s, but settings are read from %s: rename the one that counts and remove the other", name, Usual)
		}
	}
	return file, nil
}
