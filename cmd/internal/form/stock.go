package form

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// stockVan is a van that the yard knows, by the columns of vans.csv that the
// form asks for.
type stockVan map[string]string

// stock lists the vans that are not sold, by stock_id.
func stock(vans []data.Van) []stockVan {
	out := []stockVan{}
	for _, v := range vans {
		if v.Status == data.Sold {
			continue
		}
		out = append(out, stockVan{
			"stock_id": v.StockID, "reg": v.Reg, "vin": v.VIN, "maker": v.Maker, "model": v.Model, "body": string(v.Body),
			"first_registered": v.FirstRegistered.String(), "mileage": strconv.Itoa(v.Mileage), "site": v.Site,
			"equipment": strings.Join(slices.Sorted(slices.Values(v.Equipment)), ";"),
		})
	}
	slices.SortFunc(out, func(a, b stockVan) int { return cmp.Compare(a["stock_id"], b["stock_id"]) })
	return out
}

// model is one that the yard has or had.
type model struct {
	Maker string `json:"maker"`
	Model string `json:"model"`
	Body  string `json:"body"` // of all its vans; blank where they differ
}

func models(vans []data.Van) []model {
	out := []model{}
	sorted := slices.SortedStableFunc(slices.Values(vans), func(a, b data.Van) int {
		return cmp.Or(cmp.Compare(a.Maker, b.Maker), cmp.Compare(a.Model, b.Model))
	})
	for _, v := range sorted {
		n := len(out)
		if n == 0 || out[n-1].Maker != v.Maker || out[n-1].Model != v.Model {
			out = append(out, model{v.Maker, v.Model, string(v.Body)})
		} else if out[n-1].Body != string(v.Body) {
			out[n-1].Body = ""
		}
	}
	return out
}
