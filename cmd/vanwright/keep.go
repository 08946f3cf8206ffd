package main

import (
	"encoding/json"
	"io/fs"

	"github.com/vanwright/vanwright/cmd/internal/keep/swap"
	"github.com/vanwright/vanwright/data"
)

// maxKeep is some years of nights; more is a slip of the finger.
const maxKeep = 3660

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
