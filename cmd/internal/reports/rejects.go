package reports

import (
	"github.com/vanwright/vanwright/cmd/internal/table"
	"github.com/vanwright/vanwright/data"
)

var rejects = table.New("rejects.csv", []string{"file", "line"},
	table.Text("file", func(r data.Reject) string { return r.File }),
	table.Int("line", func(r data.Reject) int { return r.Line }),
	table.Text("column", func(r data.Reject) string { return r.Column }),
	table.Value("value", func(r data.Reject) string { return r.Value }),
	table.Text("expected", func(r data.Reject) string { return r.Expected }),
	table.Text("row", func(r data.Reject) string { return r.Row }),
	table.Text("also", func(r data.Reject) string { return r.Also }),
	table.Text("rule", func(r data.Reject) string { return r.Rule }),
)
