package mail

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/write/csp"
)

// styles are what the elements look like. They stand in style attributes, since
// mail programs drop style sheets.
var styles = map[string]string{
	"page":    "margin:0;padding:16px;background:#ffffff;color:#1e1c19;font:16px/1.5 Georgia,serif;overflow-wrap:anywhere",
	"column":  "max-width:42em;margin:0 auto",
	"title":   "font-size:22px;line-height:1.25;font-weight:600;margin:0 0 12px",
	"section": "font-size:18px;line-height:1.25;font-weight:600;margin:24px 0 6px;padding-top:8px;border-top:1px solid #1e1c19",
	"text":    "margin:6px 0",
	"list":    "margin:6px 0;padding-left:20px",
	"table":   "border-collapse:collapse;width:100%;font-size:14px;overflow-wrap:normal",
	"what":    "text-align:left;font-weight:400;padding:4px 0;border-bottom:1px solid #cfc7b6",
	"cell":    "text-align:right;vertical-align:bottom;white-space:nowrap;padding:4px 0 4px 7px;border-bottom:1px solid #cfc7b6",
	"head":    "text-align:right;vertical-align:bottom;font-weight:600;padding:4px 0 4px 7px;border-bottom:1px solid #1e1c19",
	"item":    "padding:3px 0",
	"link":    "display:inline-block;min-width:24px;min-height:24px;font-weight:600;color:#2c3f8c",
	"foot":    "margin:6px 0;color:#5b564d;font-size:14px",
}

//go:embed templates/since.html
var source string

var page = template.Must(template.New("since").Funcs(template.FuncMap{
	"style": func(name string) (template.CSS, error) {
		css, ok := styles[name]
		if !ok {
			return "", fmt.Errorf("no style %q", name)
		}
		return template.CSS(css), nil
	},
}).Parse(source))

// securityPolicy allows these style attributes, each named by its hash, and
// nothing else. A mail program takes no notice of it; a browser does.
var securityPolicy = func() string {
	hashes := []string{"'unsafe-hashes'"} // what CSP calls it when hashes count for attributes too
	for _, name := range slices.Sorted(maps.Keys(styles)) {
		hashes = append(hashes, csp.Hash(styles[name]))
	}
	return "default-src 'none'; style-src " + strings.Join(hashes, " ") + "; base-uri 'none'; form-action 'none'"
}()

// HTML writes the digest as one page without scripts or anything to fetch, for the
// body of a mail. reports is where its links find the reports, with a slash at its
// end: an address, or a way from the page's folder. Without it there are no links.
func (d Digest) HTML(w io.Writer, reports string) error {
	return page.Execute(w, struct {
		Digest
		Policy, Reports string
	}{d, securityPolicy, reports})
}
