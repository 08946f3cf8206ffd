package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"github.com/spf13/pflag"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/data"
)

// maxKeep is some years of nights; more is a slip of the finger.
const maxKeep = 3660

// readKeep reads how many replaced sets of reports a run keeps.
func readKeep(v *viper.Viper, flags *pflag.FlagSet) (int, error) {
	raw := v.Get("keep")
	if raw == nil || raw == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(strings.TrimSpace(fmt.Sprint(raw)))
	if err == nil && n >= 0 && n <= maxKeep {
		return n, nil
	}
	if flags.Changed("keep") {
		return 0, usagef("--keep is %v; expected a whole number from 0 to %d", raw, maxKeep)
	}
	return 0, fmt.Errorf("setting keep is %v; expected a whole number from 0 to %d", raw, maxKeep)
}

// keeping says how a run keeps the sets that it replaces: each under the day
// that its run.json gives.
func (s settings) keeping() swap.Keep { return swap.Keep{Sets: s.Keep, Day: dayOf} }

// dayOf reads the as-of date of a set of reports; blank where it has none.
func dayOf(set fs.FS) string {
	text, err := fs.ReadFile(set, "run.json")
	if err != nil {
		return ""
	}
	var run struct {
		AsOf string `json:"as_of"`
	}
	if json.Unmarshal(text, &run) != nil {
		return ""
	}
	day, err := data.ParseDate(run.AsOf)
	if err != nil {
		return ""
	}
	return day.String()
}
