package policyfile

import (
	"strings"

	"github.com/vanwright/vanwright/data"
)

// Setting is one key of a policy as the reports list it.
type Setting struct{ Name, What, Value string }

// Title is the key in words: VAT rate for vat_rate.
func (s Setting) Title() string { return data.Capital(keyWords.Replace(s.Name)) }

var keyWords = strings.NewReplacer("vat_", "VAT ", "_pct", " %", "_mm", ", mm", "_", " ")

// InForce lists every key with what it means and its value in p, in the order in
// which they are explained.
func InForce(p data.Policy) []Setting {
	list := make([]Setting, len(Keys))
	for i, k := range Keys {
		list[i] = Setting{k.Name, k.what, k.show(p)}
	}
	return list
}
