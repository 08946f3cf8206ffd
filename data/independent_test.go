package data

import (
	"strings"
	"testing"

	"github.com/gocarina/gocsv"
)

// Another reader of CSV finds the same cells in the same columns.
func TestAnIndependentReaderFindsTheSame(t *testing.T) {
	vansText := vansHeader + ",asking,equipment,sold_on,sold_price\n" +
		"V1,Aldmoor,Heron £5,overcab,2018-05-01,42000,ready,31995,hob;oven,,\nV2,Aldmoor,Tern,a-class,2016-03-01,51000,owned,,,,\n" +
		"V3,Café,Knot,panel-van,2020-01-01,9000,sold,24995,,2026-02-01,24500\nV4,Aldmoor,Heron,barge,2018-05-01,42000,owned,,,,\n"
	salesText := "sale_id,maker,model,body,first_registered,mileage,sold_on,sold_price\nS1,Aldmoor,Heron,overcab,2016-05-01,42000,2025-05-01,30000\nS2,Aldmoor,Tern,a-class,2016-05-01,42000,2025-06-01,28000\n"
	y := mustLoad(t, yardOf("vans.csv", vansText, "sales.csv", salesText))
	var vans []rawVan
	var sales []rawSale
	if err := gocsv.UnmarshalString(vansText, &vans); err != nil {
		t.Fatal(err)
	}
	if err := gocsv.UnmarshalString(salesText, &sales); err != nil {
		t.Fatal(err)
	}
	for _, raw := range vans {
		v, ok := y.Van(raw.StockID)
		if ok != (raw.Body != "barge") || ok && (v.Model != raw.Model || v.FirstRegistered.String() != raw.FirstRegistered || strings.Join(v.Equipment, ";") != raw.Equipment) {
			t.Errorf("%+v was read as %+v", raw, v)
		}
	}
	for i, raw := range sales {
		if s := y.Sales[i]; s.SaleID != raw.SaleID || s.SoldOn.String() != raw.SoldOn || s.SoldPrice.Value.String() != raw.SoldPrice {
			t.Errorf("%+v was read as %+v", raw, s)
		}
	}
}
