package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// audit is a set of reports read back as text, and the yard that it was made
// of. Its checks work every sum out again from the columns alone, in decimals,
// and share no arithmetic with the packages that wrote them.
type audit struct {
	t    *testing.T
	yard *data.Yard // read leniently, for cost as paid, scheme and status
	run  struct {
		AsOf     string `json:"as_of"`
		Settings map[string]string
		Inputs   []struct {
			Name                     string
			Read, Accepted, Rejected int
		}
		Outputs []struct {
			Name string
			Rows int
		}
	}
	tables map[string][]map[string]string
}

// auditReports checks every identity that holds in any set of reports.
func auditReports(t *testing.T, yard, out string) audit {
	t.Helper()
	a := readAudit(t, yard, out)
	a.plainCells()
	a.rowsAddUp()
	a.sorted()
	a.margins()
	a.bids()
	a.prepIsItsJobs()
	a.schedule()
	return a
}

func readAudit(t *testing.T, yard, out string) audit {
	t.Helper()
	a := audit{t: t, tables: map[string][]map[string]string{}}
	text, err := os.ReadFile(filepath.Join(out, "run.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &a.run); err != nil {
		t.Fatal(err)
	}
	asOf, err := data.ParseDate(a.run.AsOf)
	if err != nil {
		t.Fatal(err)
	}
	if a.yard, err = data.Load(context.Background(), os.DirFS(yard), data.LoadOptions{AsOf: asOf}); err != nil {
		t.Fatal(err)
	}
	if len(a.run.Outputs) < 12 {
		t.Fatalf("run.json names %d reports", len(a.run.Outputs))
	}
	for _, o := range a.run.Outputs {
		a.tables[o.Name] = readTable(t, filepath.Join(out, o.Name))
		if got := len(a.tables[o.Name]); got != o.Rows {
			t.Errorf("%s has %d rows, run.json says %d", o.Name, got, o.Rows)
		}
	}
	return a
}

// csvRows reads a table as it stands, its header first.
func csvRows(t *testing.T, file string) [][]string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return rows
}

// readTable reads a report as rows by column name.
func readTable(t *testing.T, file string) []map[string]string {
	t.Helper()
	rows := csvRows(t, file)
	var out []map[string]string
	for _, cells := range rows[1:] {
		row := map[string]string{}
		for i, name := range rows[0] {
			// What was put before text that a spreadsheet would run.
			if c := cells[i]; len(c) > 1 && c[0] == '\'' && strings.ContainsRune("=+-@", rune(c[1])) {
				cells[i] = c[1:]
			}
			row[name] = cells[i]
		}
		out = append(out, row)
	}
	return out
}

// dec reads a cell that must hold a number.
func (a audit) dec(row map[string]string, column string) decimal.Decimal {
	a.t.Helper()
	d, err := decimal.NewFromString(row[column])
	if err != nil {
		a.t.Errorf("%s: %s is %q, no number", row["stock_id"], column, row[column])
	}
	return d
}

func (a audit) setting(name string) decimal.Decimal {
	a.t.Helper()
	d, err := decimal.NewFromString(a.run.Settings[name])
	if err != nil {
		a.t.Fatalf("setting %s is %q", name, a.run.Settings[name])
	}
	return d
}

// notANumber finds what no cell may hold: the names that Go prints for numbers
// that are none, and its marks of a wrong format.
var notANumber = regexp.MustCompile(`(?i)(^|[^a-z])(nan|[+-]?inf|<nil>)([^a-z]|$)|%!`)

// quantity finds columns that count days, hours or pieces, or are a share of a
// hundred, and so never lie below zero.
var quantity = regexp.MustCompile(`days|^hours_(p50|p80|low|likely|high|spent|left)|^hours$|^(prep|needed|to_order|in_stock|holding|warranty|selling|vat|max_bid|opening_bid|cost|price|market_low|rank)(_|$)|confidence_pct|_60_pct|history`)

func (a audit) plainCells() {
	a.t.Helper()
	for name, rows := range a.tables {
		for _, row := range rows {
			for column, cell := range row {
				if name != "rejects.csv" && notANumber.MatchString(cell) {
					a.t.Errorf("%s of %s: %s is %q", name, row["stock_id"], column, cell)
				}
				if quantity.MatchString(column) && name != "changes.csv" && strings.HasPrefix(cell, "-") {
					a.t.Errorf("%s of %s: %s is below zero: %s", name, row["stock_id"], column, cell)
				}
			}
		}
	}
}

func (a audit) rowsAddUp() {
	a.t.Helper()
	rejected := 0
	for _, in := range a.run.Inputs {
		if in.Read != in.Accepted+in.Rejected {
			a.t.Errorf("%s: read %d, accepted %d, rejected %d", in.Name, in.Read, in.Accepted, in.Rejected)
		}
		rejected += in.Rejected
	}
	if got := len(a.tables["rejects.csv"]); got != rejected {
		a.t.Errorf("rejects.csv has %d rows, run.json says %d", got, rejected)
	}
}

// sortKeys are the stated keys of the reports.
var sortKeys = map[string][]string{
	"findings.csv": {"stock_id", "checkpoint", "position"}, "papers.csv": {"stock_id"},
	"jobs.csv": {"stock_id", "job"}, "parts-needed.csv": {"part"}, "queue.csv": {"rank"}, "delays.csv": {"rank"},
	"schedule.csv": {"start", "technician", "stock_id", "job"}, "prices.csv": {"stock_id"}, "bids.csv": {"stock_id"},
	"margin.csv": {"stock_id"}, "stock-book.csv": {"stock_id"}, "changes.csv": {"stock_id", "what"},
	"wanted.csv": {"rank"}, "one-more.csv": {"kind", "name", "site"},
	"untested.csv": {"stock_id", "checkpoint"}, "realised.csv": {"month"}, "realised-vans.csv": {"stock_id"},
}

func (a audit) sorted() {
	a.t.Helper()
	for name, columns := range sortKeys {
		rows, ok := a.tables[name]
		if !ok {
			a.t.Errorf("run.json does not name %s", name)
		}
		keyOf := func(row map[string]string) []string {
			key := make([]string, len(columns))
			for i, c := range columns {
				if key[i] = row[c]; c == "rank" {
					key[i] = fmt.Sprintf("%09s", row[c])
				}
			}
			return key
		}
		if !slices.IsSortedFunc(rows, func(x, y map[string]string) int { return slices.Compare(keyOf(x), keyOf(y)) }) {
			a.t.Errorf("%s is not sorted by %v", name, columns)
		}
	}
}

// scheme says how the sale of a van is taxed: VAT on the margin or on the
// whole price, and whether the VAT within its cost comes back.
func (a audit) scheme(stockID string) (van data.Van, margin, inputVAT bool) {
	a.t.Helper()
	van, ok := a.yard.Van(stockID)
	if !ok {
		a.t.Fatalf("%s is in the reports and not in the yard", stockID)
	}
	barred := van.Imported || van.Salvage == "A" || van.Salvage == "B"
	return van, van.VAT == data.MarginScheme && !barred, van.VAT == data.Qualifying
}

var hundred = decimal.NewFromInt(100)

// vat is the VAT of one sale to the penny: max(0, price − cost) × rate / (1 +
// rate) under the margin scheme, price × rate / (1 + rate) else.
func (a audit) vat(price, paid decimal.Decimal, margin bool) decimal.Decimal {
	taxed := price
	if margin {
		taxed = decimal.Max(decimal.Zero, price.Sub(paid))
	}
	rate := a.setting("vat_rate")
	return taxed.Mul(rate).Div(rate.Add(decimal.NewFromInt(1))).Round(2)
}

// net is what counts as cost.
func (a audit) net(paid decimal.Decimal, inputVAT bool) decimal.Decimal {
	if !inputVAT {
		return paid
	}
	return paid.Div(a.setting("vat_rate").Add(decimal.NewFromInt(1)))
}

func (a audit) holding(days int64, net decimal.Decimal) decimal.Decimal {
	n := decimal.NewFromInt(days)
	interest := net.Mul(a.setting("stocking_rate")).Mul(n).Div(decimal.NewFromInt(365))
	return n.Mul(a.setting("pitch_cost_per_day")).Add(interest).Round(2)
}

func (a audit) target(price, vat decimal.Decimal) decimal.Decimal {
	share := price.Sub(vat).Mul(a.setting("target_profit_pct")).Div(hundred)
	return decimal.Max(share, a.setting("target_profit_min")).Round(2)
}

func (a audit) equal(row map[string]string, column string, want decimal.Decimal) {
	a.t.Helper()
	if got := a.dec(row, column); !got.Equal(want) {
		a.t.Errorf("%s: %s is %s, want %s", row["stock_id"], column, got, want)
	}
}

func (a audit) margins() {
	a.t.Helper()
	asOf, _ := data.ParseDate(a.run.AsOf)
	for _, row := range a.tables["margin.csv"] {
		van, margin, inputVAT := a.scheme(row["stock_id"])
		if row["profit"] == "" {
			if row["price"] != "" && row["cost"] != "" {
				a.t.Errorf("%s: price and cost are known and profit is blank", row["stock_id"])
			}
			if row["flags"] == "" {
				a.t.Errorf("%s: profit is blank and no flag says why", row["stock_id"])
			}
			continue
		}
		price, paid := a.dec(row, "price"), van.Cost.Value
		held := int64(0)
		if !van.Acquired.IsZero() {
			end := asOf
			if van.Status == data.Sold {
				end = van.SoldOn
			}
			held = int64(end.DaysSince(van.Acquired))
		}
		a.equal(row, "days_held", decimal.NewFromInt(held))
		days := held + a.dec(row, "days_to_sell").IntPart()
		net, vat := a.net(paid, inputVAT), a.vat(price, paid, margin)
		a.equal(row, "vat", vat)
		a.equal(row, "cost", net.Round(2))
		a.equal(row, "holding", a.holding(days, net))
		a.equal(row, "warranty", a.setting("warranty_cost").Round(2))
		a.equal(row, "selling", a.setting("selling_cost").Round(2))
		a.equal(row, "target_profit", a.target(price, vat))
		left := price
		for _, c := range []string{"vat", "cost", "prep", "warranty", "holding", "selling"} {
			left = left.Sub(a.dec(row, c))
		}
		a.equal(row, "profit", left)
		if after := price.Sub(vat); after.IsZero() {
			if row["profit_pct"] != "" {
				a.t.Errorf("%s: profit_pct of nothing is %s", row["stock_id"], row["profit_pct"])
			}
		} else {
			a.equal(row, "profit_pct", left.Mul(hundred).Div(after).Round(1))
		}
	}
}

// bids checks that each largest bid leaves its target and that none of the
// next twenty steps does.
func (a audit) bids() {
	a.t.Helper()
	step := a.setting("bid_step")
	for _, row := range a.tables["bids.csv"] {
		if row["max_bid"] == "" {
			if row["reasons"] == "" {
				a.t.Errorf("%s: no bid and no reason", row["stock_id"])
			}
			continue
		}
		_, margin, inputVAT := a.scheme(row["stock_id"])
		price, most := a.dec(row, "price"), a.dec(row, "max_bid")
		days := a.dec(row, "prep_days").IntPart() + a.dec(row, "days_to_sell").IntPart()
		leaves := func(bid decimal.Decimal) (profit, vat decimal.Decimal, enough bool) {
			vat = a.vat(price, bid, margin)
			net := a.net(bid, inputVAT)
			profit = price.Sub(vat).Sub(net.Round(2)).Sub(a.dec(row, "prep_p80")).
				Sub(a.setting("warranty_cost").Round(2)).Sub(a.holding(days, net)).Sub(a.setting("selling_cost").Round(2))
			return profit, vat, profit.GreaterThanOrEqual(a.target(price, vat))
		}
		if !most.Mod(step).IsZero() || most.IsNegative() {
			a.t.Errorf("%s: max_bid %s is no whole multiple of %s", row["stock_id"], most, step)
		}
		profit, vat, enough := leaves(most)
		a.equal(row, "profit", profit)
		a.equal(row, "vat", vat)
		a.equal(row, "target_profit", a.target(price, vat))
		if !enough && (most.IsPositive() || !strings.Contains(row["reasons"], "no bid leaves the target")) {
			a.t.Errorf("%s: max_bid %s leaves %s, below its target", row["stock_id"], most, profit)
		}
		for i := range 20 {
			if bid := most.Add(step.Mul(decimal.NewFromInt(int64(i + 1)))); bid.LessThanOrEqual(price.Mul(decimal.NewFromInt(2))) {
				if profit, _, enough := leaves(bid); enough {
					a.t.Errorf("%s: max_bid is %s, but %s leaves %s too", row["stock_id"], most, bid, profit)
					break
				}
			}
		}
		if opening := a.dec(row, "opening_bid"); opening.GreaterThan(most) || !opening.Mod(step).IsZero() {
			a.t.Errorf("%s: opening_bid %s with max_bid %s", row["stock_id"], opening, most)
		}
		if c := a.dec(row, "confidence_pct"); c.GreaterThan(hundred) {
			a.t.Errorf("%s: confidence of %s %%", row["stock_id"], c)
		}
	}
}

// prepIsItsJobs checks that preparation is the sum of its jobs' rounded costs.
func (a audit) prepIsItsJobs() {
	a.t.Helper()
	sum := map[string]decimal.Decimal{}
	for _, row := range a.tables["jobs.csv"] {
		id := row["stock_id"]
		sum[id] = sum[id].Add(a.dec(row, "labour_cost")).Add(a.dec(row, "parts_cost"))
	}
	for _, row := range a.tables["margin.csv"] {
		a.equal(row, "prep", sum[row["stock_id"]])
	}
	for _, row := range a.tables["bids.csv"] {
		a.equal(row, "prep_p50", sum[row["stock_id"]])
		if a.dec(row, "prep_p80").LessThan(a.dec(row, "prep_p50")) {
			a.t.Errorf("%s: prep_p80 %s is below prep_p50 %s", row["stock_id"], row["prep_p80"], row["prep_p50"])
		}
	}
}

// block is one row of schedule.csv.
type block struct {
	start, finish time.Time
	what          string
}

// schedule checks that nobody and no bay is in two places at once, that every
// job is with somebody of its skill, and that people work on days on which
// they are there, no longer than they are there.
func (a audit) schedule() {
	a.t.Helper()
	team := map[string]data.Technician{}
	for _, t := range a.yard.Team {
		team[t.Name] = t
	}
	bays := map[string]bool{}
	for _, b := range a.yard.Bays {
		for n := range b.Count {
			bays[b.Name] = b.Count == 1 || bays[b.Name]
			bays[b.Name+" "+strconv.Itoa(n+1)] = true
		}
	}
	skill := map[[2]string]string{}
	for _, row := range a.tables["jobs.csv"] {
		skill[[2]string{row["stock_id"], row["job"]}] = row["skill"]
	}
	of := map[string][]block{}
	day := map[string]time.Duration{}
	for _, row := range a.tables["schedule.csv"] {
		b := block{what: row["stock_id"] + " " + row["job"]}
		var err error
		if b.start, err = time.Parse("2006-01-02 15:04", row["start"]); err != nil {
			a.t.Fatal(err)
		}
		if b.finish, err = time.Parse("2006-01-02 15:04", row["finish"]); err != nil {
			a.t.Fatal(err)
		}
		if b.finish.Before(b.start) || row["start"][:10] < a.run.AsOf {
			a.t.Errorf("%s runs from %s to %s", b.what, row["start"], row["finish"])
		}
		who := row["technician"]
		of["technician "+who] = append(of["technician "+who], b)
		if row["bay"] != "" {
			of["bay "+row["bay"]] = append(of["bay "+row["bay"]], b)
		}
		need, ok := skill[[2]string{row["stock_id"], row["job"]}]
		if !ok {
			a.t.Errorf("%s is planned and not in jobs.csv", b.what)
		}
		if len(a.yard.Team) > 0 {
			t, ok := team[who]
			if !ok || !t.HasSkill(need) {
				a.t.Errorf("%s needs %s and is given to %q, whose skills are %v", b.what, need, who, t.Skills)
			}
			key := who + " " + row["start"][:10]
			day[key] += b.finish.Sub(b.start)
			if got, most := day[key], t.HoursOn(b.start.Weekday()); got.Hours() > most+1.0/60 {
				a.t.Errorf("%s works %s of %g hours on %s", who, got, most, row["start"][:10])
			}
			for _, away := range a.yard.Absences {
				if d := row["start"][:10]; (away.Technician == "" || away.Technician == who) && away.From.String() <= d && d <= away.To.String() {
					a.t.Errorf("%s works on %s, in an absence", who, d)
				}
			}
		}
		if len(a.yard.Bays) > 0 && row["bay"] != "" && !bays[row["bay"]] {
			a.t.Errorf("%s is planned in bay %q, which the yard has not", b.what, row["bay"])
		}
	}
	for who, blocks := range of {
		slices.SortStableFunc(blocks, func(x, y block) int { return x.start.Compare(y.start) })
		for i := 1; i < len(blocks); i++ {
			if blocks[i].start.Before(blocks[i-1].finish) {
				a.t.Errorf("%s is booked twice: %s until %s and %s from %s", who,
					blocks[i-1].what, blocks[i-1].finish.Format(time.TimeOnly), blocks[i].what, blocks[i].start.Format(time.TimeOnly))
			}
		}
	}
}

// runYard runs a yard through the command and wants status 0 and a line of
// JSON.
func runYard(t *testing.T, yard, out, asOf string, more ...string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	args := append([]string{"run", "--yard", yard, "--out", out, "--as-of", asOf, "--quiet", "--json", "--accept-loss"}, more...)
	if code := execute(args, &stdout, &stderr); code != exitDone {
		t.Fatalf("exit status %d\n%s", code, stderr.String())
	}
	if !json.Valid(stdout.Bytes()) {
		t.Errorf("no line of JSON: %s", stdout.String())
	}
}

// filesOf reads every file below a folder, by name with forward slashes.
func filesOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(filepath.Join(dir, name))
		files[name] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}
