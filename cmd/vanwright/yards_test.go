package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// files are the tables of a small yard by name.
type files map[string]string

func (f files) write(t *testing.T) (yard string) {
	t.Helper()
	yard = filepath.Join(t.TempDir(), "yard")
	for name, text := range f {
		file := filepath.Join(yard, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return yard
}

// with returns a copy in which some files are others; a blank one is left out.
func (f files) with(others files) files {
	out := files{}
	for name, text := range f {
		out[name] = text
	}
	for name, text := range others {
		if out[name] = text; text == "" {
			delete(out, name)
		}
	}
	return out
}

const vanHeader = "stock_id,maker,model,body,first_registered,mileage,status,vat,cost,acquired,asking,sold_on,sold_price,guide\n"

// usualYard is a yard of five vans, one of each status, with a condition
// report, papers, sales, a workshop and work in hand.
func usualYard() files {
	return files{
		"vans.csv": vanHeader +
			"A1,Larkfield,Rothmere 540,low-profile,2018-04-02,31000,owned,margin,30000,2026-02-07,,,,36995\n" +
			"A2,Larkfield,Rothmere 540,low-profile,2017-04-02,41000,sold,margin,30000,2026-01-01,,2026-02-15,36000,\n" +
			"A3,Larkfield,Rothmere 540,low-profile,2016-04-02,51000,offered,margin,,,,,,29995\n" +
			"A4,Larkfield,Rothmere 540,low-profile,2019-04-02,21000,preparing,qualifying,33000,2026-02-20,39995,,,39995\n" +
			"A5,Larkfield,Rothmere 540,low-profile,2015-04-02,61000,ready,margin,21000,2025-11-20,27995,,,27995\n",
		"readings.csv": "stock_id,taken_on,checkpoint,position,value,verdict,note\n" +
			"A1,2026-02-08,tyre-tread,nearside-front,1.2,,\nA1,2026-02-08,damp,offside-rear-low,31,,\n" +
			"A1,2026-02-08,heater-gas,,,defect,will not light\nA3,2026-03-01,damp,front-centre-low,24,,\n" +
			"A4,2026-02-21,rcd-trip,,410,,\nA4,2026-02-21,brake-pad,offside-front,1.5,,\n",
		"documents.csv": "stock_id,kind,dated,mileage,evidence,covers,held,expires,note\n" +
			"A1,mot,2025-06-01,30000,online,,yes,2026-06-01,\nA4,service-book,2025-05-01,20000,stamp,engine-oil;timing-belt,yes,,\n",
		"sales.csv": sales(40, nil),
		"team.csv": "technician,skills,mon,tue,wed,thu,fri,sat,sun\n" +
			"Ada Wren,mechanical;tyres;valet;photography,8,8,8,8,8,,\nIvo Marl,habitation;gas;electrical;damp;bodywork,8,8,8,8,6,,\n",
		"bays.csv":     "bay,kind,count\nRamp,ramp,1\nHall,habitation,2\nShop,bodywork,1\nWash,valet,1\n",
		"absence.csv":  "technician,from,to\nIvo Marl,2026-03-16,2026-03-18\n",
		"progress.csv": "stock_id,job,state,hours_spent,done_on,technician\nA4,intake-inspection,done,1.5,2026-02-21,Ada Wren\n",
		"policy.yaml":  "plan_schedules: 10\n",
	}
}

// sales writes n past sales of two models; change, if not nil, alters the cells
// of a row: maker, first registered, mileage, price.
func sales(n int, change func(i int, cell []string)) string {
	var b strings.Builder
	b.WriteString("sale_id,maker,model,body,first_registered,mileage,berths,grade,listed,asking,sold_on,sold_price,vat\n")
	for i := range n {
		price := 52000 - 2100*(i%10) - 37*i
		cell := []string{[]string{"Larkfield", "Tarnbrook"}[i%2], fmt.Sprintf("%d-04-02", 2022-i%10), fmt.Sprint(9000 + 8100*(i%10) + 131*i), fmt.Sprint(price)}
		if change != nil {
			change(i, cell)
		}
		fmt.Fprintf(&b, "S%03d,%s,Rothmere 540,low-profile,%s,%s,4,%d,2025-%02d-03,%d,2025-%02d-28,%s,margin\n",
			i, cell[0], cell[1], cell[2], 1+i%5, 1+i%9, price+1500, 2+i%9, cell[3])
	}
	return b.String()
}

func onlyVans(rows ...string) files {
	return usualYard().with(files{
		"vans.csv": vanHeader + strings.Join(rows, ""), "readings.csv": "", "documents.csv": "", "progress.csv": "",
	})
}

// TestYardsThatAreUnusual runs small yards that are each odd in one way. Every
// one ends in reports whose identities hold, or in one sentence on stderr.
func TestYardsThatAreUnusual(t *testing.T) {
	if testing.Short() {
		t.Skip("runs a hundred unusual yards")
	}
	const offered = "A3,Larkfield,Rothmere 540,low-profile,2016-04-02,51000,offered,margin,,,,,,29995\n"
	const sold = "A2,Larkfield,Rothmere 540,low-profile,2017-04-02,41000,sold,margin,30000,2026-01-01,,2026-02-15,36000,\n"
	const owned = "A1,Larkfield,Rothmere 540,low-profile,2018-04-02,31000,owned,margin,30000,2026-02-07,,,,36995\n"
	policy := func(lines ...string) files {
		return usualYard().with(files{"policy.yaml": "plan_schedules: 10\n" + strings.Join(lines, "\n") + "\n"})
	}
	for _, c := range []struct {
		name  string
		yard  files
		fails string // part of the one sentence; blank: the run is done
	}{
		{name: "the usual", yard: usualYard()},
		{name: "vans.csv of a header alone", yard: onlyVans()},
		{name: "vans.csv of a byte order mark and a header", yard: onlyVans().with(files{"vans.csv": "\xEF\xBB\xBF" + vanHeader})},
		{name: "vans.csv of nothing", yard: onlyVans().with(files{"vans.csv": " "}), fails: "vans.csv"},
		{name: "only offered vans", yard: onlyVans(offered, strings.ReplaceAll(offered, "A3", "B3"))},
		{name: "only sold vans", yard: onlyVans(sold, strings.ReplaceAll(sold, "A2", "B2"))},
		{name: "one van", yard: onlyVans(owned)},
		{name: "no sales", yard: usualYard().with(files{"sales.csv": sales(0, nil)})},
		{name: "sales all of one price", yard: usualYard().with(files{"sales.csv": sales(40, func(_ int, c []string) { c[3] = "31995" })})},
		{name: "sales all alike", yard: usualYard().with(files{"sales.csv": sales(40, func(_ int, c []string) {
			c[0], c[1], c[2], c[3] = "Larkfield", "2018-04-02", "31000", "31995"
		})})},
		{name: "sales of one maker", yard: usualYard().with(files{"sales.csv": sales(40, func(_ int, c []string) { c[0] = "Tarnbrook" })})},
		{name: "sales of a penny and of a hundred million", yard: usualYard().with(files{"sales.csv": sales(40, func(i int, c []string) {
			c[3] = []string{"0.01", "100000000"}[i/2%2]
		})})},
		{name: "exactly twelve sales", yard: usualYard().with(files{"sales.csv": sales(12, nil)})},
		{name: "eleven sales", yard: usualYard().with(files{"sales.csv": sales(11, nil)})},
		{name: "vans first registered on the day", yard: onlyVans(
			strings.Replace(owned, "2018-04-02", "2026-03-09", 1), strings.Replace(offered, "2016-04-02", "2026-03-09", 1))},
		{name: "a van of 1899", yard: onlyVans(strings.Replace(owned, "2018-04-02", "1899-12-31", 1), offered)},
		{name: "a van of 2999", yard: onlyVans(strings.Replace(owned, "2018-04-02", "2999-01-01", 1), offered)},
		{name: "papers, promises and absences of 1899 and 2999", yard: usualYard().with(files{
			"documents.csv": "stock_id,kind,dated,held,expires\nA1,mot,1899-06-01,yes,2999-06-01\nA4,invoice,2999-05-01,yes,\n",
			"absence.csv":   "technician,from,to\nIvo Marl,1899-03-16,1899-03-18\nAda Wren,2999-01-01,2999-12-31\n",
			"vans.csv": strings.Replace(vanHeader, "guide", "guide,promised_on,listed", 1) +
				strings.Replace(owned, "36995\n", "36995,2999-01-01,1899-01-01\n", 1) + strings.Replace(offered, "29995\n", "29995,1899-01-01,2999-01-01\n", 1),
			"readings.csv": "stock_id,taken_on,checkpoint,position,value,verdict\nA1,1899-02-08,gas-hose-date,,1899-01-01,\n" +
				"A1,2026-02-08,smoke-alarm-expiry,,2999-01-01,\nA1,2026-02-08,gas-regulator-date,,2999-01-01,\n",
			"progress.csv": "stock_id,job,state,hours_spent,done_on,technician\nA1,intake-inspection,done,1,1899-02-21,\n",
		})},
		{name: "acquired in 1899", yard: onlyVans(strings.Replace(owned, "2026-02-07", "1899-12-31", 1))},
		{name: "sold below cost", yard: onlyVans(strings.Replace(sold, ",36000,", ",26000,", 1))},
		{name: "sold for nothing", yard: onlyVans(strings.Replace(sold, ",36000,", ",0,", 1))},
		{name: "sold on the day it came", yard: onlyVans(strings.Replace(sold, "2026-01-01", "2026-02-15", 1))},
		{name: "asked a hundred million", yard: onlyVans(strings.Replace(owned, "2026-02-07,,", "2026-02-07,100000000,", 1))},
		{name: "guide of one pound", yard: onlyVans(strings.Replace(owned, "36995", "1", 1), strings.Replace(offered, "29995", "1", 1)).with(files{"sales.csv": ""})},
		{name: "cost nothing", yard: onlyVans(strings.Replace(owned, "30000", "0", 1))},
		{name: "cost unknown", yard: onlyVans(strings.Replace(owned, "30000", "", 1))},
		{name: "offered with VAT", yard: onlyVans(strings.Replace(offered, "margin", "qualifying", 1))},
		{name: "price endings of round thousands", yard: policy("price_endings: [0]")},
		{name: "a horizon of two weeks", yard: policy("horizon_days: 14")},
		{name: "a horizon of three years, repriced daily", yard: policy("horizon_days: 1095", "reprice_days: 1")},
		{name: "repricing slower than the horizon", yard: policy("horizon_days: 14", "reprice_days: 365")},
		{name: "a confidence of 0.99", yard: policy("confidence: 0.99")},
		{name: "bids by five thousand", yard: policy("bid_step: 5000")},
		{name: "bids by the pound", yard: policy("bid_step: 1")},
		{name: "no VAT", yard: policy("vat_rate: 0")},
		{name: "VAT of a half", yard: policy("vat_rate: 0.5")},
		{name: "nothing costs anything", yard: policy("labour_cost_per_hour: 0", "pitch_cost_per_day: 0", "stocking_rate: 0",
			"warranty_cost: 0", "selling_cost: 0", "target_profit_pct: 0", "target_profit_min: 0")},
		{name: "everything costs the most", yard: policy("labour_cost_per_hour: 500", "pitch_cost_per_day: 500", "stocking_rate: 1",
			"warranty_cost: 20000", "selling_cost: 20000", "target_profit_pct: 60", "target_profit_min: 100000")},
		{name: "a seed below zero", yard: policy("seed: -5")},
		{name: "the trade pays nothing", yard: policy("trade_disposal_share: 0")},
		{name: "confidence of one", yard: policy("confidence: 1"), fails: "confidence is 1; expected 0.5 to 0.99"},
		{name: "bid_step of nothing", yard: policy("bid_step: 0"), fails: "bid_step is 0"},
		{name: "settings that are no YAML", yard: policy("\t: ["), fails: "policy.yaml"},
		{name: "settings that are a list", yard: usualYard().with(files{"policy.yaml": "- a\n- b\n"}), fails: "policy.yaml"},
		{name: "settings of a binary file", yard: usualYard().with(files{"policy.yaml": "\x00\xff\x00"}), fails: "policy.yaml"},
		{name: "nobody has gas", yard: usualYard().with(files{"team.csv": "technician,skills,mon,tue,wed,thu,fri\nAda Wren,mechanical,8,8,8,8,8\n"})},
		{name: "a team without hours", yard: usualYard().with(files{"team.csv": "technician,skills,mon,tue,wed,thu,fri\nAda Wren,mechanical;gas;habitation,0,0,0,0,\n"})},
		{name: "a team of nobody", yard: usualYard().with(files{"team.csv": "technician,skills,mon,tue,wed,thu,fri\n", "absence.csv": ""})},
		{name: "a team that works a minute a week", yard: usualYard().with(files{"team.csv": "technician,skills,mon,tue,wed,thu,fri\n" +
			"Ada Wren,mechanical;gas;habitation;electrical;bodywork;damp;tyres;valet;photography,0.02,,,,\n", "absence.csv": ""})},
		{name: "a team that works day and night", yard: usualYard().with(files{"team.csv": "technician,skills,mon,tue,wed,thu,fri,sat,sun\n" +
			"Ada Wren,mechanical;gas;habitation;electrical;bodywork;damp;tyres;valet;photography,24,24,24,24,24,24,24\n", "absence.csv": ""})},
		{name: "bays that count nothing", yard: usualYard().with(files{"bays.csv": "bay,kind,count\nRamp,ramp,0\nHall,habitation,0\n"})},
		{name: "bays of nothing", yard: usualYard().with(files{"bays.csv": "bay,kind,count\n"})},
		{name: "everybody away for a year", yard: usualYard().with(files{"absence.csv": "technician,from,to\n,2026-03-01,2027-03-01\n"})},
		{name: "everybody away for ever", yard: usualYard().with(files{"absence.csv": "technician,from,to\n,2026-03-01,2999-03-01\n"})},
		{name: "work done before the van came", yard: usualYard().with(files{"progress.csv": "stock_id,job,state,hours_spent,done_on,technician\n" +
			"A4,intake-inspection,done,1.5,2024-02-21,Ada Wren\nA1,tyre-axle,started,1000,2020-01-01,Nobody\n"})},
		{name: "jobs that go round in a circle", yard: usualYard().with(files{
			"labour.csv": labourHeader + "alpha,Alpha,gas,,1,2,3,beta,\nbeta,Beta,gas,,1,2,3,alpha,\n",
			"parts.csv":  partsHeader, "checkpoints.csv": pointsHeader,
		}), fails: "jobs go round in a circle: alpha → beta → alpha"},
		{name: "a job that comes after itself", yard: usualYard().with(files{
			"labour.csv": labourHeader + "alpha,Alpha,gas,,1,2,3,alpha,\n", "parts.csv": partsHeader, "checkpoints.csv": pointsHeader,
		}), fails: "alpha → alpha"},
		{name: "a part that stands twice", yard: usualYard().with(files{
			"labour.csv": labourHeader + "alpha,Alpha,gas,,1,2,3,,hose*2\n", "parts.csv": partsHeader + "hose,Hose,4,0,1,\nhose,Hose again,5,0,1,\n", "checkpoints.csv": pointsHeader,
		}), fails: `part "hose" stands twice`},
		{name: "a job that needs itself as a part", yard: usualYard().with(files{
			"labour.csv": labourHeader + "alpha,Alpha,gas,,1,2,3,,alpha*2\n", "parts.csv": partsHeader + "hose,Hose,4,0,1,\n", "checkpoints.csv": pointsHeader,
		}), fails: `"alpha" is not in parts.csv`},
		{name: "stock numbers that lead out of the folder", yard: onlyVans(owned, strings.ReplaceAll(owned, "A1", "../../etc"), strings.ReplaceAll(owned, "A1", "."))},
		{name: "stock numbers that differ in case", yard: onlyVans(owned, strings.ReplaceAll(owned, "A1", "a1"))},
		{name: "stock numbers that are names of devices", yard: onlyVans(strings.ReplaceAll(owned, "A1", "NUL"), strings.ReplaceAll(owned, "A1", "Com1"), strings.ReplaceAll(owned, "A1", "-"), strings.ReplaceAll(offered, "A3", "--help"))},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			yard := c.yard.write(t)
			out := filepath.Join(filepath.Dir(yard), "reports")
			if c.fails == "" {
				runYard(t, yard, out, "2026-03-09")
				auditReports(t, yard, out)
				return
			}
			wantSentence(t, yard, out, c.fails)
		})
	}
}

const (
	labourHeader = "job,title,skill,bay,hours_low,hours_likely,hours_high,after,parts\n"
	partsHeader  = "part,title,unit_cost,in_stock,lead_days,supplier\nvalve,Valve,3,0,1,\n"
	pointsHeader = "checkpoint,title,zone,unit,worn_at,defect_at,unsafe_at,direction,job,source\nawning,Awning,outside,,,,,,,from memory\n"
)

// wantSentence wants a run to fail with one sentence on stderr that holds the
// words, and without reports.
func wantSentence(t *testing.T, yard, out, words string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code := execute([]string{"run", "--yard", yard, "--out", out, "--as-of", "2026-03-09", "--quiet"}, &stdout, &stderr)
	said := stderr.String()
	if code != exitFailed || !strings.Contains(said, words) {
		t.Errorf("exit status %d\n%swant %q", code, said, words)
	}
	if strings.Count(said, "\n") != 1 || !strings.HasPrefix(said, "vanwright: ") || len(said) > 600 {
		t.Errorf("not one sentence: %s", said)
	}
	if _, err := os.Stat(out); err == nil || stdout.Len() > 0 {
		t.Errorf("a failed run left reports, or said %q", stdout.String())
	}
}
