package tables

import (
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
)

var rejects = csvout.New("rejects.csv", []string{"file", "line"},
	csvout.Text("file", func(r data.Reject) string { return r.File }),
	csvout.Int("line", func(r data.Reject) int { return r.Line }),
	csvout.Text("column", func(r data.Reject) string { return r.Column }),
	csvout.Value("value", func(r data.Reject) string { return r.Value }),
	csvout.Text("expected", func(r data.Reject) string { return r.Expected }),
	csvout.Text("row", func(r data.Reject) string { return r.Row }),
	csvout.Text("also", func(r data.Reject) string { return r.Also }),
	csvout.Text("rule", func(r data.Reject) string { return r.Rule }),
)
