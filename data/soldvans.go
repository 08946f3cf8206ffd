package data

import (
	"fmt"
	"slices"
	"strings"
)

// addSoldVans makes a past sale of each sold van, so that nobody types a sale
// twice. A row of sales.csv with its stock_id as sale_id, or of the same van, is
// the same sale; that row counts, and where the two differ it is said.
func (y *Yard) addSoldVans() {
	type sameVan struct {
		maker, model   string
		registered, on Date
		mileage        int
	}
	// Past sales may be ten times the vans, so only what some van asks for is kept.
	known, vans := map[string]*Sale{}, map[sameVan]*Sale{}
	for i := range y.Vans {
		if v := &y.Vans[i]; v.wasSold() {
			known[strings.ToLower(v.StockID)] = nil
			vans[sameVan{v.Maker, v.Model, v.FirstRegistered, v.SoldOn, v.Mileage}] = nil
		}
	}
	for i := range y.Sales {
		s := &y.Sales[i]
		if id := strings.ToLower(s.SaleID); has(known, id) {
			known[id] = s
		}
		if same := (sameVan{s.Maker, s.Model, s.FirstRegistered, s.SoldOn, s.Mileage}); has(vans, same) {
			vans[same] = s
		}
	}
	var sold []Sale
	var differ []string
	for i := range y.Vans {
		v := &y.Vans[i]
		if !v.wasSold() {
			continue
		}
		s := known[strings.ToLower(v.StockID)]
		if s == nil {
			s = vans[sameVan{v.Maker, v.Model, v.FirstRegistered, v.SoldOn, v.Mileage}]
		}
		if s == nil {
			sold = append(sold, v.sale())
		} else if what := s.differsFrom(v); what != "" {
			differ = append(differ, fmt.Sprintf("%s and %s are one sale but differ in %s; the row of sales.csv counts", s.Source, v.Source, what))
		}
	}
	const most = 5
	if more := len(differ) - most; more > 0 {
		differ = append(differ[:most], fmt.Sprintf("%d more sales differ between sales.csv and vans.csv", more))
	}
	y.Warnings = append(y.Warnings, differ...)
	y.Sales = append(y.Sales, sold...)
	slices.SortStableFunc(y.Sales, func(a, b Sale) int { return strings.Compare(a.SaleID, b.SaleID) })
}

// wasSold reports whether the van's row tells a sale.
func (v *Van) wasSold() bool { return v.Status == Sold && v.SoldPrice.Known && v.SoldOn != 0 }

func has[K comparable, V any](m map[K]V, key K) bool {
	_, ok := m[key]
	return ok
}

// sale is a sold van as a past sale.
func (v *Van) sale() Sale {
	return Sale{
		SaleID: v.StockID, Maker: v.Maker, Model: v.Model, Body: v.Body, Chassis: v.Chassis, Gearbox: v.Gearbox,
		FirstRegistered: v.FirstRegistered, Mileage: v.Mileage, Berths: v.Berths, LengthMM: v.LengthMM,
		Listed: v.Listed, Asking: v.Asking, SoldOn: v.SoldOn, SoldPrice: v.SoldPrice, VAT: v.VAT, Source: v.Source,
	}
}

// differsFrom names the columns in which a sale and a sold van say different
// things; blank where they agree as far as both say something.
func (s *Sale) differsFrom(v *Van) string {
	var out []string
	differ := func(column string, differs bool) {
		if differs {
			out = append(out, column)
		}
	}
	money := func(a, b Opt[Money]) bool { return a.Known && b.Known && !a.Value.Equal(b.Value) }
	days := func(a, b Date) bool { return a != 0 && b != 0 && a != b }
	differ("sold_price", money(s.SoldPrice, v.SoldPrice))
	differ("sold_on", days(s.SoldOn, v.SoldOn))
	differ("listed", days(s.Listed, v.Listed))
	differ("asking", money(s.Asking, v.Asking))
	differ("mileage", s.Mileage != v.Mileage)
	return strings.Join(out, ", ")
}
