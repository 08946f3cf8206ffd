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

// makerModels are the models of one maker that the yard has or had.
type makerModels struct {
	Maker  string   `json:"maker"`
	Models []string `json:"models"`
}

func models(vans []data.Van) []makerModels {
	out := []makerModels{}
	sorted := slices.SortedFunc(slices.Values(vans), func(a, b data.Van) int {
		return cmp.Or(cmp.Compare(a.Maker, b.Maker), cmp.Compare(a.Model, b.Model))
	})
	for _, v := range sorted {
		if n := len(out); n == 0 || out[n-1].Maker != v.Maker {
			out = append(out, makerModels{Maker: v.Maker})
		}
		last := &out[len(out)-1]
		if n := len(last.Models); n == 0 || last.Models[n-1] != v.Model {
			last.Models = append(last.Models, v.Model)
		}
	}
	return out
}
