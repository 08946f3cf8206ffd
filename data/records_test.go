package data

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/shopspring/decimal"
)

// asOf is the day on which every yard of these tests is read.
var asOf = NewDate(2026, time.March, 9)

const vansHeader = "stock_id,maker,model,body,first_registered,mileage,status"

// yardOf makes a yard of files given as name, content, name, content. Without a
// vans.csv it has the vans V1 and V2.
func yardOf(files ...string) fstest.MapFS {
	fsys := fstest.MapFS{"vans.csv": {Data: []byte(vansHeader + "\n" +
		"V1,Aldmoor,Heron,overcab,2018-05-01,42000,owned\nV2,Aldmoor,Wren,panel-van,2020-06-01,18000,ready\n")}}
	for i := 0; i < len(files); i += 2 {
		fsys[files[i]] = &fstest.MapFile{Data: []byte(files[i+1])}
	}
	return fsys
}

func mustLoad(t *testing.T, fsys fstest.MapFS) *Yard {
	t.Helper()
	y, err := Load(context.Background(), fsys, LoadOptions{AsOf: asOf})
	if err != nil {
		t.Fatal(err)
	}
	return y
}

// cellCase sets cells of an otherwise good row, as "column=value", and says
// which rules refuse it; none: the row is accepted.
type cellCase struct {
	name  string
	cells []string
	want  []string
}

// checkCells runs cases against one file of the yard. base is a good row, as
// "column=value".
func checkCells(t *testing.T, file string, base []string, cases []cellCase) {
	for _, tc := range append([]cellCase{{"the good row", nil, nil}}, cases...) {
		t.Run(tc.name, func(t *testing.T) {
			content := oneRow(base, tc.cells)
			y := mustLoad(t, yardOf(file, content))
			var rules []string
			for _, r := range y.Rejects {
				if r.File != file || r.Line != 2 || r.Row != strings.Split(content, "\n")[1] {
					t.Errorf("reject is of %s:%d, row %q; want %s:2 of\n%s", r.File, r.Line, r.Row, file, content)
				}
				rules = append(rules, r.Rule)
				if r.Also != "" {
					for also := range strings.SplitSeq(r.Also, "; ") {
						if column, rest, ok := strings.Cut(also, ": "); ok && strings.Contains(rest, ": ") {
							rules = append(rules, column)
						}
					}
				}
			}
			if diff := cmp.Diff(rules, tc.want); diff != "" {
				t.Errorf("refused by (-), wanted (+):\n%s%v", diff, y.Rejects)
			}
		})
	}
}

// oneRow writes a table of one row from "column=value" cells; later cells
// replace earlier ones.
func oneRow(base, cells []string) string {
	var names []string
	values := map[string]string{}
	for _, cell := range append(append([]string{}, base...), cells...) {
		name, value, _ := strings.Cut(cell, "=")
		if _, ok := values[name]; !ok {
			names = append(names, name)
		}
		values[name] = value
	}
	row := make([]string, len(names))
	for i, n := range names {
		row[i] = `"` + strings.ReplaceAll(values[n], `"`, `""`) + `"`
	}
	return strings.Join(names, ",") + "\n" + strings.Join(row, ",") + "\n"
}

func TestVanCells(t *testing.T) {
	base := []string{"stock_id=V1", "maker=Aldmoor", "model=Heron", "body=overcab", "first_registered=2018-05-01", "mileage=42000", "status=owned"}
	sold := []string{"status=sold", "acquired=2026-01-02", "sold_on=2026-02-03", "sold_price=31,995"}
	with := func(cells []string, more ...string) []string { return append(append([]string{}, cells...), more...) }
	checkCells(t, "vans.csv", base, []cellCase{
		{"twenty characters of stock_id", []string{"stock_id=abcdefghij-123456789"}, nil},
		{"a stock_id that climbs folders", []string{"stock_id=../../etc"}, []string{"stock_id.form"}},
		{"twenty-one characters of stock_id", []string{"stock_id=abcdefghij-1234567890"}, []string{"stock_id.form"}},
		{"a stock_id with an accent", []string{"stock_id=Vé"}, []string{"stock_id.form"}},
		{"blank stock_id", []string{"stock_id="}, []string{"stock_id.missing"}},
		{"blank maker", []string{"maker= "}, []string{"maker.missing"}},
		{"body in other spelling", []string{"body=Rising Roof"}, nil},
		{"body with an underscore", []string{"body=A_CLASS"}, nil},
		{"unknown body", []string{"body=caravan"}, []string{"body.word"}},
		{"blank body", []string{"body="}, []string{"body.missing"}},
		{"unknown gearbox", []string{"gearbox=semi"}, []string{"gearbox.word"}},
		{"gearbox in capitals", []string{"gearbox=AUTOMATIC"}, nil},
		{"mileage with thousands", []string{"mileage=42,000"}, nil},
		{"mileage with a comma out of place", []string{"mileage=42,00"}, []string{"mileage.number"}},
		{"mileage below zero", []string{"mileage=-1"}, []string{"mileage.range"}},
		{"mileage of a million", []string{"mileage=1000000"}, []string{"mileage.range"}},
		{"the largest mileage", []string{"mileage=999999"}, nil},
		{"mileage in words", []string{"mileage=12k"}, []string{"mileage.number"}},
		{"fractional mileage", []string{"mileage=42000.5"}, []string{"mileage.number"}},
		{"mileage NaN", []string{"mileage=NaN"}, []string{"mileage.number"}},
		{"mileage 1e999", []string{"mileage=1e999"}, []string{"mileage.number"}},
		{"mileage in hexadecimal", []string{"mileage=0x1p4"}, []string{"mileage.number"}},
		{"blank mileage", []string{"mileage="}, []string{"mileage.missing"}},
		{"twenty belts", []string{"belts=20"}, nil},
		{"twenty-one belts", []string{"belts=21"}, []string{"belts.range"}},
		{"berths below zero", []string{"berths=-1"}, []string{"berths.range"}},
		{"fifty-one keepers", []string{"keepers=51"}, []string{"keepers.range"}},
		{"twenty-one keys", []string{"keys=21"}, []string{"keys.range"}},
		{"length in metres", []string{"length_mm=7"}, []string{"length_mm.range"}},
		{"the lowest van and the least and greatest pressure", []string{"height_mm=1700", "front_tyre_psi=20", "rear_tyre_psi=110"}, nil},
		{"height in feet", []string{"height_mm=9"}, []string{"height_mm.range"}},
		{"tyre pressure in bar", []string{"front_tyre_psi=5.5"}, []string{"front_tyre_psi.unit"}},
		{"tyre pressure of a bicycle", []string{"rear_tyre_psi=111"}, []string{"rear_tyre_psi.range"}},
		{"mass in tonnes", []string{"max_mass_kg=3.5"}, []string{"max_mass_kg.number"}},
		{"mass of 499 kg", []string{"front_axle_kg=499"}, []string{"front_axle_kg.range"}},
		{"mass in running order at the maximum", []string{"running_mass_kg=3500", "max_mass_kg=3500"}, nil},
		{"mass in running order above the maximum", []string{"running_mass_kg=3501", "max_mass_kg=3500"}, []string{"running_mass_kg.order"}},
		{"registered on the as-of date", []string{"first_registered=09/03/2026"}, nil},
		{"registered tomorrow", []string{"first_registered=10/03/2026"}, []string{"first_registered.future"}},
		{"registered in 1899", []string{"first_registered=30/12/1899"}, []string{"first_registered.date"}},
		{"registered in 2999", []string{"first_registered=2999-01-01"}, []string{"first_registered.date"}},
		{"month first", []string{"first_registered=05/13/2018"}, []string{"first_registered.date"}},
		{"acquired tomorrow", []string{"acquired=2026-03-10"}, []string{"acquired.future"}},
		{"promised for next year", []string{"promised_on=2027-01-01"}, nil},
		{"source with a space", []string{"source=Part Exchange"}, nil},
		{"unknown source", []string{"source=friend"}, []string{"source.word"}},
		{"unknown vat", []string{"vat=exempt"}, []string{"vat.word"}},
		{"unknown status", []string{"status=gone"}, []string{"status.word"}},
		{"a cost on an owned van", []string{"cost=£20,000.50"}, nil},
		{"a cost below zero", []string{"cost=-5"}, []string{"cost.negative"}},
		{"a cost with a decimal comma", []string{"cost=20000,50"}, []string{"cost.money"}},
		{"a cost that is not a number", []string{"cost=NaN"}, []string{"cost.money"}},
		{"a cost of 1e999", []string{"cost=1e999"}, []string{"cost.money"}},
		{"a cost of 0", []string{"cost=0"}, nil},
		{"asking nothing", []string{"asking=0"}, []string{"asking.zero"}},
		{"a cost on an offered van", []string{"status=offered", "cost=20000"}, []string{"cost.offered"}},
		{"an offered van without a cost", []string{"status=Offered", "cost="}, nil},
		{"sold", sold, nil},
		{"sold on the day it was acquired", with(sold, "sold_on=2026-01-02"), nil},
		{"sold before acquired", with(sold, "sold_on=2026-01-01"), []string{"sold_on.order"}},
		{"sold tomorrow", with(sold, "sold_on=2026-03-10"), []string{"sold_on.future"}},
		{"sold without a day", with(sold, "sold_on="), []string{"sold_on.missing"}},
		{"sold without a price", with(sold, "sold_price="), []string{"sold_price.missing"}},
		{"a sale of a van that is not sold", with(sold, "status=ready"), []string{"sold_on.status", "sold_price"}},
		{"salvage in small letters", []string{"salvage=n"}, nil},
		{"unknown salvage", []string{"salvage=C"}, []string{"salvage.word"}},
		{"imported", []string{"imported=Yes"}, nil},
		{"perhaps imported", []string{"imported=maybe"}, []string{"imported.word"}},
		{"equipment in other spelling", []string{"equipment=Gas Locker; hob;HOB;"}, nil},
		{"unknown equipment", []string{"equipment=hob;jacuzzi"}, []string{"equipment.word"}},
		{"equipment separated by commas", []string{"equipment=hob, oven"}, []string{"equipment.word"}},
		{"a maker of 201 characters", []string{"maker=" + strings.Repeat("é", 201)}, []string{"maker.length"}},
		{"a maker of 200 characters", []string{"maker=" + strings.Repeat("é", 200)}, nil},
		{
			"every bad cell of a row", []string{"stock_id=V 1", "body=barge", "mileage=lots", "belts=99", "imported=x"},
			[]string{"stock_id.form", "body", "mileage", "belts", "imported"},
		},
	})
}

func TestReadingCells(t *testing.T) {
	base := []string{"stock_id=V1", "taken_on=2026-03-01", "inspector=R. Fell", "checkpoint=damp", "position=offside-rear-low", "value=18.5", "unit=percent", "verdict=worn", "note="}
	tread := []string{"checkpoint=tyre-tread", "position=nearside-front", "value=4.5", "unit=mm"}
	code := []string{"checkpoint=tyre-code", "position=spare", "value=0118", "unit="}
	hose := []string{"checkpoint=gas-hose-date", "position=", "value=03/2021", "unit=date"}
	pump := []string{"checkpoint=water-pump", "position=", "value=", "unit=", "verdict=sound"}
	with := func(cells []string, more ...string) []string { return append(append([]string{}, cells...), more...) }
	checkCells(t, "readings.csv", base, []cellCase{
		{"a van that is not there", []string{"stock_id=V9"}, []string{"stock_id.unknown"}},
		{"a van in other letters", []string{"stock_id=v1"}, []string{"stock_id.unknown"}},
		{"blank van", []string{"stock_id="}, []string{"stock_id.missing"}},
		{"taken today", []string{"taken_on=2026-03-09"}, nil},
		{"taken tomorrow", []string{"taken_on=2026-03-10"}, []string{"taken_on.future"}},
		{"no day", []string{"taken_on="}, []string{"taken_on.missing"}},
		{"a checkpoint in other spelling", []string{"checkpoint=DAMP"}, nil},
		{"an unknown checkpoint", []string{"checkpoint=dmap"}, []string{"checkpoint.unknown"}},
		{"blank checkpoint", []string{"checkpoint="}, []string{"checkpoint.missing"}},
		{"a damp point of one's own", []string{"position=Nearside Fridge-Vent_low"}, nil},
		{"a damp point on no side", []string{"position=left-rear-low"}, []string{"position.word"}},
		{"a damp point without a height", []string{"position=offside-rear"}, []string{"position.word"}},
		{"a damp point that ends in a hyphen", []string{"position=offside-rear-"}, []string{"position.word"}},
		{"damp of the van as a whole", []string{"position="}, nil},
		{"percent as a sign", []string{"unit=%"}, nil},
		{"no unit is the checkpoint's", []string{"unit="}, nil},
		{"another unit", []string{"unit=mm"}, []string{"unit.other"}},
		{"above 100 percent", []string{"value=100.1"}, []string{"value.impossible"}},
		{"below 0 percent", []string{"value=-0.1"}, []string{"value.impossible"}},
		{"100 percent", []string{"value=100"}, nil},
		{"a decimal comma", []string{"value=18,5"}, []string{"value.number"}},
		{"the unit within the value", []string{"value=18%"}, []string{"value.number"}},
		{"NaN", []string{"value=NaN"}, []string{"value.number"}},
		{"infinite", []string{"value=Inf"}, []string{"value.number"}},
		{"1e999", []string{"value=1e999"}, []string{"value.number"}},
		{"an exponent", []string{"value=1e1"}, []string{"value.number"}},
		{"hexadecimal", []string{"value=0x1p4"}, []string{"value.number"}},
		{"an underscore", []string{"value=1_8"}, []string{"value.number"}},
		{"a verdict alone", []string{"value=", "verdict=Untested"}, nil},
		{"a value alone", []string{"verdict="}, nil},
		{"neither value nor verdict", []string{"value=", "verdict="}, []string{"value.missing"}},
		{"an unknown verdict", []string{"verdict=fine"}, []string{"verdict.word"}},
		{"a note of 4001 characters", []string{"note=" + strings.Repeat("x", 4001)}, []string{"note.length"}},
		{"tread", tread, nil},
		{"tread of a tyre with no such place", with(tread, "position=middle"), []string{"position.word"}},
		{"tread in inches", with(tread, "unit=in"), []string{"unit.other"}},
		{"tread below zero", with(tread, "value=-1"), []string{"value.impossible"}},
		{"a tyre's date code keeps its nought", code, nil},
		{"a three-digit date code", with(code, "value=118"), nil},
		{"a date code of two digits", with(code, "value=18"), []string{"value.code"}},
		{"a date code with letters", with(code, "value=DOT18"), []string{"value.code"}},
		{"a date", with(hose, "value=01/03/2021"), nil},
		{"a month", hose, nil},
		{"a month in words", with(hose, "value=Jun 2021"), nil},
		{"a month with a slash", with(hose, "value=6/2021"), nil},
		{"a thirteenth month", with(hose, "value=2021-13"), []string{"value.date"}},
		{"a hose of next year", with(hose, "value=2027-01-01"), []string{"value.impossible"}},
		{"a hose of this month", with(hose, "value=2026-03"), nil},
		{"a hose of 1970", with(hose, "value=1970-01-01"), []string{"value.impossible"}},
		{"29 mm of tread", with(tread, "value=29"), []string{"value.impossible"}},
		{"250 volts of a battery", []string{"checkpoint=starter-battery", "position=", "value=250", "unit=V"}, []string{"value.impossible"}},
		{"a fridge of 1,250 degrees", []string{"checkpoint=fridge-temp", "position=", "value=1250", "unit=degC"}, []string{"value.impossible"}},
		{"a date of 2999", with(hose, "value=2999-01-01"), []string{"value.date"}},
		{"a checkpoint that is not measured", pump, nil},
		{"text where nothing is measured", with(pump, "value=runs rough"), nil},
		{"text where nothing is measured and no verdict", with(pump, "value=runs rough", "verdict="), []string{"verdict.missing"}},
		{"a unit where nothing is measured", with(pump, "unit=bar"), []string{"unit.other"}},
		{"a load index for single and twin wheels", []string{"checkpoint=tyre-load-index", "position=nearside-rear-inner", "value=112/110", "unit=index"}, nil},
		{"a load index with half a twin", []string{"checkpoint=tyre-load-index", "position=nearside-rear-inner", "value=112/1x", "unit=index"}, []string{"value.number"}},
		{"half a key", []string{"checkpoint=keys-count", "position=", "value=1.5", "unit="}, []string{"value.whole"}},
		{
			"every bad cell of a row", []string{"stock_id=V9", "taken_on=soon", "checkpoint=damp", "position=x", "value=y", "verdict=z"},
			[]string{"stock_id.unknown", "taken_on", "verdict", "position", "value"},
		},
	})
}

func TestDocumentCells(t *testing.T) {
	base := []string{"stock_id=V1", "kind=invoice", "dated=2025-03-01", "mileage=41,000", "evidence=original", "covers=engine-oil;timing-belt", "held=yes", "expires=", "note="}
	checkCells(t, "documents.csv", base, []cellCase{
		{"a van that is not there", []string{"stock_id=V9"}, []string{"stock_id.unknown"}},
		{"kind in other spelling", []string{"kind=Service Book"}, nil},
		{"unknown kind", []string{"kind=receipt"}, []string{"kind.word"}},
		{"blank kind", []string{"kind="}, []string{"kind.missing"}},
		{"unknown evidence", []string{"evidence=rumour"}, []string{"evidence.word"}},
		{"an appliance covered", []string{"covers=three-way-fridge;hob"}, nil},
		{"unknown cover", []string{"covers=paint"}, []string{"covers.word"}},
		{"dated tomorrow", []string{"dated=2026-03-10"}, []string{"dated.future"}},
		{"expires next year", []string{"expires=2027-03-10"}, nil},
		{"expires before it is dated", []string{"expires=2025-02-28"}, []string{"expires.order"}},
		{"promised without a date", []string{"held=promised", "dated="}, nil},
		{"held without a date", []string{"dated="}, nil},
		{"a dated paper of which held is blank", []string{"held="}, nil},
		{"neither dated nor held", []string{"held=", "dated="}, []string{"held.missing"}},
		{"unknown held", []string{"held=maybe"}, []string{"held.word"}},
		{"mileage below zero", []string{"mileage=-1"}, []string{"mileage.range"}},
	})
}

func TestSaleCells(t *testing.T) {
	base := []string{"sale_id=S1", "maker=Aldmoor", "model=Heron", "body=overcab", "first_registered=2016-05-01", "mileage=50000", "grade=2", "listed=2025-03-01", "asking=31,995", "sold_on=2025-04-01", "sold_price=31000", "vat=margin"}
	checkCells(t, "sales.csv", base, []cellCase{
		{"still for sale", []string{"sold_on=", "sold_price="}, nil},
		{"sold without a price known", []string{"sold_price="}, nil},
		{"a price without a day", []string{"sold_on="}, []string{"sold_on.missing"}},
		{"sold before listed", []string{"sold_on=2025-02-28"}, []string{"sold_on.order"}},
		{"sold tomorrow", []string{"sold_on=2026-03-10"}, []string{"sold_on.future"}},
		{"sold for nothing", []string{"sold_price=0"}, []string{"sold_price.zero"}},
		{"grade 6", []string{"grade=6"}, []string{"grade.range"}},
		{"grade 0", []string{"grade=0"}, []string{"grade.range"}},
		{"blank sale_id", []string{"sale_id="}, []string{"sale_id.missing"}},
		{"unknown body", []string{"body=barge"}, []string{"body.word"}},
	})
}

func TestWorkshopCells(t *testing.T) {
	checkCells(t, "team.csv", []string{"technician=R. Fell", "skills=gas;damp", "mon=8", "tue=7.5", "wed=", "thu=8", "fri=0"}, []cellCase{
		{"24 hours", []string{"mon=24"}, nil},
		{"25 hours", []string{"mon=25"}, []string{"mon.range"}},
		{"hours below zero", []string{"fri=-1"}, []string{"fri.range"}},
		{"hours with a decimal comma", []string{"tue=7,5"}, []string{"tue.number"}},
		{"hours NaN", []string{"tue=NaN"}, []string{"tue.number"}},
		{"unknown skill", []string{"skills=plumbing"}, []string{"skills.word"}},
		{"no skill", []string{"skills="}, []string{"skills.missing"}},
		{"no name", []string{"technician="}, []string{"technician.missing"}},
	})
	checkCells(t, "bays.csv", []string{"bay=Ramp 1", "kind=ramp", "count=1"}, []cellCase{
		{"unknown kind", []string{"kind=lawn"}, []string{"kind.word"}},
		{"count below zero", []string{"count=-1"}, []string{"count.range"}},
		{"blank count", []string{"count="}, nil},
	})
	checkCells(t, "absence.csv", []string{"technician=", "from=2026-04-03", "to=2026-04-06"}, []cellCase{
		{"one day", []string{"to=2026-04-03"}, nil},
		{"no end is one day", []string{"to="}, nil},
		{"ends before it starts", []string{"to=2026-04-02"}, []string{"to.order"}},
		{"no start", []string{"from="}, []string{"from.missing"}},
		{"nobody of the team", []string{"technician=R. Fell"}, []string{"technician.unknown"}},
	})
	checkCells(t, "progress.csv", []string{"stock_id=V1", "job=road-test", "state=started", "hours_spent=0.5", "done_on=", "technician="}, []cellCase{
		{"job in other spelling", []string{"job=Road Test"}, nil},
		{"unknown job", []string{"job=repaint"}, []string{"job.unknown"}},
		{"state in other spelling", []string{"state=awaiting parts"}, nil},
		{"unknown state", []string{"state=nearly"}, []string{"state.word"}},
		{"hours below zero", []string{"hours_spent=-1"}, []string{"hours_spent.range"}},
		{"1,001 hours", []string{"hours_spent=1001"}, []string{"hours_spent.range"}},
		{"hours 1e999", []string{"hours_spent=1e999"}, []string{"hours_spent.number"}},
		{"done tomorrow", []string{"done_on=2026-03-10"}, []string{"done_on.future"}},
		{"a van that is not there", []string{"stock_id=V9"}, []string{"stock_id.unknown"}},
		{"an hour and a quarter", []string{"hours_spent=1h15"}, nil},
		{"a row of tomorrow", []string{"on=2026-03-10"}, []string{"on.future"}},
		{"parts below zero", []string{"parts_spent=-1"}, []string{"parts_spent.negative"}},
	})
	checkCells(t, "orders.csv", []string{"part=gas-hose-hp", "stock_id=", "quantity=2", "ordered_on=2026-03-01", "due_on=2026-03-12", "arrived_on=", "unit_cost=16.90", "supplier=Quernfold"}, []cellCase{
		{"for a van", []string{"stock_id=V1"}, nil},
		{"for a van that is not there", []string{"stock_id=V9"}, []string{"stock_id.unknown"}},
		{"a part that no book has", []string{"part=gas-hose"}, []string{"part.unknown"}},
		{"none of it", []string{"quantity=0"}, []string{"quantity.range"}},
		{"due before it was ordered", []string{"due_on=2026-02-01"}, []string{"due_on.order"}},
		{"arrived tomorrow", []string{"arrived_on=2026-03-10"}, []string{"arrived_on.future"}},
	})
	checkCells(t, "costs.csv", []string{"stock_id=V1", "on=2026-03-01", "kind=sublet", "cost=84.50", "invoice=A17", "note="}, []cellCase{
		{"a credit", []string{"cost=-12.00"}, nil},
		{"no amount", []string{"cost="}, []string{"cost.missing"}},
		{"another kind", []string{"kind=tea"}, []string{"kind.word"}},
		{"no day", []string{"on="}, []string{"on.missing"}},
		{"a van that is not there", []string{"stock_id=V9"}, []string{"stock_id.unknown"}},
	})
}

// The cells of vans.csv about weights and papers, which most yards leave out.
func TestMoreVanCells(t *testing.T) {
	checkCells(t, "vans.csv", []string{
		"stock_id=V2", "maker=A", "model=H", "body=overcab", "first_registered=2018-05-01", "mileage=1", "status=sold", "acquired=2025-10-01",
		"sold_on=2026-01-05", "sold_price=20000", "options_kg=85", "weighed_kg=3240", "weighed_front_kg=1490", "weighed_rear_kg=1750",
		"weighed_with=driver;passenger;passenger;water", "reserved_on=2026-01-02", "delivered_on=2026-01-12", "vat_on_invoice=no",
		"bought_from=E. Hale", "purchase_invoice=P-7", "sold_to=J. Marl", "sale_invoice=S-7",
	}, []cellCase{
		{"weighed with the dog", []string{"weighed_with=driver;dog"}, []string{"weighed_with.word"}},
		{"an axle heavier than the van", []string{"weighed_rear_kg=3300"}, []string{"weighed_rear_kg.order"}},
		{"options of four tonnes", []string{"options_kg=4000"}, []string{"options_kg.range"}},
		{"delivered tomorrow", []string{"delivered_on=2026-03-10"}, []string{"delivered_on.future"}},
		{"delivered before it was bought", []string{"delivered_on=2025-09-01"}, []string{"delivered_on.order"}},
		{"nobody has looked at the invoice", []string{"vat_on_invoice="}, nil},
		{"VAT perhaps", []string{"vat_on_invoice=perhaps"}, []string{"vat_on_invoice.word"}},
	})
}

func TestHoursAsPeopleNoteThem(t *testing.T) {
	for text, want := range map[string]float64{
		"1.25": 1.25, "1h15": 1.25, "1:15": 1.25, "1h": 1, "1h 15m": 1.25, "1H15": 1.25, "45m": 0.75, "45 min": 0.75, "0:30": 0.5, "2 hrs": 2, "1.5h": 1.5, "0": 0, "12": 12,
	} {
		if got, ok := parseHours(text); !ok || got != want {
			t.Errorf("%q is %v, %v; want %v", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "h", "1:5", "1:60", "1h75", "x", "1,5", "1:15:00", "m", "-1h", "1e3"} {
		if got, ok := parseHours(text); ok {
			t.Errorf("%q was read as %v hours", text, got)
		}
	}
}

// Of many rows for a job the last by its day counts, then by its line; a row
// without a day comes before all that have one.
func TestLastWordOnAJob(t *testing.T) {
	y := mustLoad(t, yardOf("progress.csv", "stock_id,job,state,hours_spent,on\n"+
		"V1,road-test,done,2,2026-03-05\nV1,road-test,started,1,2026-03-02\nV1,road-test,open,,\n"+
		"V1,valet,started,1,2026-03-04\nV1,valet,awaiting-parts,1h30,2026-03-04\n"))
	states := func(rows []Progress) (out []string) {
		for _, p := range rows {
			out = append(out, fmt.Sprintf("%s %s %v", p.Job, p.State, p.HoursSpent.Value))
		}
		return out
	}
	if diff := cmp.Diff(states(y.Progress["V1"]), []string{"road-test done 2", "valet awaiting-parts 1.5"}); diff != "" {
		t.Errorf("last: got (-), want (+):\n%s", diff)
	}
	if diff := cmp.Diff(states(y.ProgressHistory["V1"]), []string{"road-test open 0", "road-test started 1", "valet started 1"}); diff != "" {
		t.Errorf("history: got (-), want (+):\n%s", diff)
	}
}

// A value that cannot be is refused with what was probably meant.
func TestImpossibleValuesNameTheLikelySlip(t *testing.T) {
	for _, tc := range []struct{ row, want string }{
		{"tyre-tread,nearside-front,29,mm", "Tyre tread depth: from 0 to 16 mm; did you mean 2.9?"},
		{"starter-battery,,126,V", "Starter battery at rest: from 0 to 16 V; did you mean 12.6?"},
		{"coolant-strength,,25,degC", "Coolant freezing point: from -70 to 0 degC; did you mean -25?"},
		{"smoke-alarm-expiry,,2062-05-01,date", "Smoke alarm expiry date: from -15 to 40 years before the day of the reading"},
	} {
		y := mustLoad(t, yardOf("readings.csv", "stock_id,taken_on,checkpoint,position,value,unit\nV1,2026-03-01,"+tc.row+"\n"))
		if len(y.Rejects) != 1 || y.Rejects[0].Expected != tc.want {
			t.Errorf("%s: got %v, want %s", tc.row, y.Rejects, tc.want)
		}
	}
}

// Every measured checkpoint of the built-in book says what can be measured.
func TestMeasuredCheckpointsHaveBounds(t *testing.T) {
	for _, c := range builtInBooks(t).Checkpoints {
		if c.Unit != "" && c.Unit != unitTyreCode && !(c.Least.Known && c.Most.Known) {
			t.Errorf("%s, in %s, has no least or most", c.Code, c.Unit)
		}
		for _, limit := range []Opt[float64]{c.WornAt, c.DefectAt, c.UnsafeAt} {
			if limit.Known && !c.canBe(limit.Value) {
				t.Errorf("%s can never reach its limit %v", c.Code, limit.Value)
			}
		}
	}
}

// What is accepted also arrives as it was meant.
func TestRecordsAsRead(t *testing.T) {
	y := mustLoad(t, yardOf(
		"vans.csv", "Stock-ID;Reg;VIN;Maker;Model;Body;Gearbox;First Registered;Mileage;Berths;Max_Mass_KG;Source;VAT;Status;Cost;Acquired;Sold On;Sold Price;Salvage;Imported;Equipment\r\n"+
			"M-1;AB01 CDE;;Aldmoor;Heron;A Class;Manual;9 Mar 2019;42,000;4;3500;Auction;Qualifying;SOLD;£20,000;01/02/2026;2026-02-20;24,995.50;s;YES;\"Hob;gas locker\"\r\n"+
			"M-2;;;Aldmoor;Heron;overcab;;9 Mar 2019;0;;;;;offered;;;;;;;\r\n",
		"team.csv", "technician,skills,Monday,tue,wed,thu,fri,sun\nR. Fell,Gas; damp,8,7.5,,0,1,2\n",
		"absence.csv", "technician,from,to\nr. fell,2026-04-03,\n",
		"bays.csv", "bay,kind\nRamp 1,RAMP\n",
		"progress.csv", "stock_id,job,state,hours_spent\nM-1,road-test,done,1.25\n",
		"documents.csv", "stock_id,kind,dated,covers\nM-1,MOT,1/2/2026,\n",
		"sales.csv", "sale_id,maker,model,body,first_registered,mileage,sold_on,sold_price\nS1,Aldmoor,Heron,overcab,2016-05-01,50000,,\n",
	))
	if len(y.Rejects) > 0 {
		t.Fatal(y.Rejects)
	}
	day := func(s string) Date {
		d, err := ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	check := func(what string, got, want any) {
		t.Helper()
		if diff := cmp.Diff(got, want, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s: got (-), want (+):\n%s", what, diff)
		}
	}
	check("vans", y.Vans, []Van{
		{
			StockID: "M-1", Reg: "AB01 CDE", Maker: "Aldmoor", Model: "Heron", Body: AClass, Gearbox: "manual",
			FirstRegistered: day("2019-03-09"), Mileage: 42000, Berths: Some(4), MaxMassKg: Some(3500),
			PurchaseSource: Auction, VAT: Qualifying, Status: Sold, Cost: Some(decimal.RequireFromString("20000")),
			Acquired: day("2026-02-01"), SoldOn: day("2026-02-20"), SoldPrice: Some(decimal.RequireFromString("24995.5")),
			Salvage: "S", Imported: true, Equipment: []string{"hob", "gas-locker"}, Source: Source{"vans.csv", 2},
		},
		{
			StockID: "M-2", Maker: "Aldmoor", Model: "Heron", Body: Overcab, FirstRegistered: day("2019-03-09"),
			VAT: MarginScheme, VATAssumed: true, Status: Offered, Source: Source{"vans.csv", 3},
		},
	})
	check("team", y.Team, []Technician{{
		Name: "R. Fell", Skills: []string{"gas", "damp"}, Hours: [7]float64{2, 8, 7.5, 0, 0, 1, 0}, Source: Source{"team.csv", 2},
	}})
	check("absences", y.Absences, []Absence{{"R. Fell", day("2026-04-03"), day("2026-04-03"), false, Source{"absence.csv", 2}}})
	check("bays", y.Bays, []Bay{{Name: "Ramp 1", Kind: "ramp", Count: 1, Source: Source{"bays.csv", 2}}})
	check("progress", y.Progress, map[string][]Progress{"M-1": {{
		StockID: "M-1", Job: "road-test", State: JobDone, HoursSpent: Some(1.25), Source: Source{"progress.csv", 2},
	}}})
	check("documents", y.Documents, map[string][]Document{"M-1": {{
		StockID: "M-1", Kind: "mot", Dated: day("2026-02-01"), Held: "yes", Source: Source{"documents.csv", 2},
	}}})
	check("sales", y.Sales, []Sale{y.Vans[0].sale(), {
		SaleID: "S1", Maker: "Aldmoor", Model: "Heron", Body: Overcab, FirstRegistered: day("2016-05-01"), Mileage: 50000,
		Source: Source{"sales.csv", 2},
	}})
}

func TestReadingsAsReadAndInOrder(t *testing.T) {
	y := mustLoad(t, yardOf("readings.csv", "stock_id,taken_on,inspector,checkpoint,position,value,unit,verdict,note\n"+
		"V1,2026-03-01,R. Fell,tyre-code,Nearside Front,0118,,,\n"+
		"V1,2026-03-02,R. Fell,damp,offside-rear-low,22,%,,soft\n"+
		"V2,2026-03-01,R. Fell,gas-hose-date,,01/06/2021,date,worn,\n"+
		"V1,2026-03-01,R. Fell,damp,offside-rear-low,18,percent,Sound,\n"+
		"V1,2026-03-01,R. Fell,damp,front-centre-low,12.5,,,\n"))
	if len(y.Rejects) > 0 {
		t.Fatal(y.Rejects)
	}
	march := func(d int) Date { return NewDate(2026, time.March, d) }
	want := map[string][]Reading{
		"V1": {
			{StockID: "V1", TakenOn: march(1), Inspector: "R. Fell", Checkpoint: "damp", Position: "front-centre-low", Value: "12.5", Number: Some(12.5), Unit: "percent", Source: Source{"readings.csv", 6}},
			{StockID: "V1", TakenOn: march(1), Inspector: "R. Fell", Checkpoint: "damp", Position: "offside-rear-low", Value: "18", Number: Some(18.0), Unit: "percent", Verdict: Sound, Source: Source{"readings.csv", 5}},
			{StockID: "V1", TakenOn: march(2), Inspector: "R. Fell", Checkpoint: "damp", Position: "offside-rear-low", Value: "22", Number: Some(22.0), Unit: "percent", Note: "soft", Source: Source{"readings.csv", 3}},
			{StockID: "V1", TakenOn: march(1), Inspector: "R. Fell", Checkpoint: "tyre-code", Position: "nearside-front", Value: "0118", Unit: "code", Source: Source{"readings.csv", 2}},
		},
		"V2": {
			{StockID: "V2", TakenOn: march(1), Inspector: "R. Fell", Checkpoint: "gas-hose-date", Value: "01/06/2021", Day: NewDate(2021, time.June, 1), Unit: "date", Verdict: Worn, Source: Source{"readings.csv", 4}},
		},
	}
	if diff := cmp.Diff(y.Readings, want); diff != "" {
		t.Errorf("got (-), want (+):\n%s", diff)
	}
}

// Rows of one key: where all say the same one is used, and none where they do
// not, so that their order decides nothing. A row that is refused for itself
// does not count.
func TestDuplicates(t *testing.T) {
	van := "%s,A,H,overcab,2018-05-01,%s,owned\n"
	reading := "V2,2026-03-01,%s,%s,%s,,%s\n"
	sale := "S%d,A,H,overcab,2016-05-01,%d,,\n"
	y := mustLoad(t, yardOf(
		"vans.csv", vansHeader+"\n"+fmt.Sprintf(van, "V1", "1")+fmt.Sprintf(van, "V2", "bad")+fmt.Sprintf(van, "v1", "2")+
			fmt.Sprintf(van, "V2", "3")+fmt.Sprintf(van, "V1", "4")+fmt.Sprintf(van, "V3", "5")+fmt.Sprintf(van, "V3", "5"),
		"readings.csv", "stock_id,taken_on,checkpoint,position,value,verdict,note\n"+
			fmt.Sprintf(reading, "damp", "offside-rear-low", "18", "")+fmt.Sprintf(reading, "damp", "offside-rear-low", "19", "")+
			fmt.Sprintf(reading, "damp", "nearside-rear-low", "20", "\"two\nlines\"")+fmt.Sprintf(reading, "damp", "Nearside Rear Low", "20", "")+
			fmt.Sprintf(reading, "tyre-tread", "spare", "29", "")+"V1,2026-03-01,awning,,,sound,\n",
		"sales.csv", "sale_id,maker,model,body,first_registered,mileage,sold_on,sold_price\n"+
			fmt.Sprintf(sale, 1, 1)+fmt.Sprintf(sale, 1, 2)+fmt.Sprintf(sale, 2, 1)+fmt.Sprintf(sale, 2, 1),
		"team.csv", "technician,skills,mon,tue,wed,thu,fri\nr. fell,gas,8,8,8,8,8\nR. Fell,gas,8,8,8,8,8\n",
		"bays.csv", "bay,kind,count\nOne,ramp,1\none,ramp,2\n",
	))
	var got []string
	for _, r := range y.Rejects {
		got = append(got, fmt.Sprintf("%s:%d %s: %s <%s>", r.File, r.Line, r.Rule, r.Expected, r.Row))
	}
	different := "lines %s say different things, so none of them is used"
	want := []string{
		"vans.csv:2 stock_id.duplicate: one row for stock_id V1; " + fmt.Sprintf(different, "2, 4, 6") + " <V1,A,H,overcab,2018-05-01,1,owned>",
		"vans.csv:3 mileage.number: a whole number from 0 to 999999 <V2,A,H,overcab,2018-05-01,bad,owned>",
		"vans.csv:4 stock_id.duplicate: one row for stock_id v1; " + fmt.Sprintf(different, "2, 4, 6") + " <v1,A,H,overcab,2018-05-01,2,owned>",
		"vans.csv:6 stock_id.duplicate: one row for stock_id V1; " + fmt.Sprintf(different, "2, 4, 6") + " <V1,A,H,overcab,2018-05-01,4,owned>",
		"vans.csv:8 stock_id.duplicate: one row for stock_id V3; line 7 says the same <V3,A,H,overcab,2018-05-01,5,owned>",
		"readings.csv:2 checkpoint.duplicate: one row for damp at offside-rear-low of V2 on 2026-03-01; " + fmt.Sprintf(different, "2, 3") + " <V2,2026-03-01,damp,offside-rear-low,18,,>",
		"readings.csv:3 checkpoint.duplicate: one row for damp at offside-rear-low of V2 on 2026-03-01; " + fmt.Sprintf(different, "2, 3") + " <V2,2026-03-01,damp,offside-rear-low,19,,>",
		"readings.csv:4 checkpoint.duplicate: one row for damp at nearside-rear-low of V2 on 2026-03-01; line 6 says the same <V2,2026-03-01,damp,nearside-rear-low,20,,\"two\nlines\">",
		"readings.csv:7 value.impossible: Tyre tread depth: from 0 to 16 mm; did you mean 2.9? <V2,2026-03-01,tyre-tread,spare,29,,>",
		"readings.csv:8 stock_id.rejected: a van that was accepted; its row, vans.csv:6, was rejected <V1,2026-03-01,awning,,,sound,>",
		"sales.csv:2 sale_id.duplicate: one row for sale_id S1; " + fmt.Sprintf(different, "2, 3") + " <S1,A,H,overcab,2016-05-01,1,,>",
		"sales.csv:3 sale_id.duplicate: one row for sale_id S1; " + fmt.Sprintf(different, "2, 3") + " <S1,A,H,overcab,2016-05-01,2,,>",
		"sales.csv:5 sale_id.duplicate: one row for sale_id S2; line 4 says the same <S2,A,H,overcab,2016-05-01,1,,>",
		"team.csv:2 technician.duplicate: one row for technician r. fell; line 3 says the same <r. fell,gas,8,8,8,8,8>",
		"bays.csv:2 bay.duplicate: one row for bay One; " + fmt.Sprintf(different, "2, 3") + " <One,ramp,1>",
		"bays.csv:3 bay.duplicate: one row for bay one; " + fmt.Sprintf(different, "2, 3") + " <one,ramp,2>",
	}
	if diff := cmp.Diff(got, want); diff != "" {
		t.Errorf("got (-), want (+):\n%s", diff)
	}
	var points []string // what is known of V2, whose row on line 5 is good
	for _, r := range y.Readings["V2"] {
		points = append(points, fmt.Sprintf("%s %s %q %s refused %q", r.Checkpoint, r.Position, r.Value, r.Verdict, r.Refused))
	}
	want = []string{
		`damp nearside-rear-low "20"  refused ""`,
		`damp offside-rear-low "" untested refused "18 and 19"`,
		`tyre-tread spare "" untested refused "29"`,
	}
	if diff := cmp.Diff(points, want); diff != "" {
		t.Errorf("points: got (-), want (+):\n%s", diff)
	}
}

// A reading of a van whose own row was refused says so, since mending the van
// mends the reading.
func TestOrphanOfARejectedVan(t *testing.T) {
	y := mustLoad(t, yardOf(
		"vans.csv", vansHeader+"\nV1,A,H,overcab,2018-05-01,bad,owned\n",
		"readings.csv", "stock_id,taken_on,checkpoint,verdict\nV1,2026-03-01,awning,sound\n"))
	if len(y.Rejects) != 2 || y.Rejects[1].Rule != "stock_id.rejected" || !strings.Contains(y.Rejects[1].Expected, "vans.csv:2") {
		t.Errorf("got %v; want the reading refused for vans.csv:2", y.Rejects)
	}
}
