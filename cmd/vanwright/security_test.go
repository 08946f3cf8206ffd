package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// hostileYard has formula text in every cell that holds text: "=1+1", "@x",
// "-2+3" and "+4", and again after a tab.
func hostileYard() files {
	y := files{
		"vans.csv": "stock_id,reg,vin,maker,model,body,chassis,fuel,gearbox,first_registered,mileage,site,status,vat,cost,acquired,asking,sold_on,sold_price,guide,equipment\n" +
			"A1,=1+1,@x,=1+1,@x,low-profile,-2+3,+4,manual,2018-04-02,31000,=1+1,owned,margin,30000,2026-02-07,,,,36995,gas-locker;gas-heater\n" +
			"A2,=1+1,@x,=1+1,@x,low-profile,-2+3,+4,manual,2018-04-02,31000,@x,sold,margin,30000,2026-01-07,,2026-02-15,36000,36995,\n" +
			"A3,=1+1,@x,=1+1,@x,low-profile,-2+3,+4,manual,2018-04-02,31000,-2+3,offered,,,,,,,36995,gas-locker\n" +
			"A4,=1+1,@x,=1+1,@x,low-profile,-2+3,+4,manual,2018-04-02,31000,\"\t=1+1\",preparing,qualifying,31000,2026-02-07,39995,,,36995,\n" +
			"=1+1,@x,-2+3,@x,@x,low-profile,,,,2018-04-02,31000,,owned,,,,,,,,\n",
		"readings.csv": "stock_id,taken_on,inspector,checkpoint,position,value,unit,verdict,note\n" +
			"A1,2026-02-08,=1+1,heater-gas,,,,defect,@x\nA1,2026-02-08,=1+1,tyre-tread,nearside-front,1.2,,,-2+3\n" +
			"A4,2026-02-08,@x,damp,offside-rear-low,33,,,=1+1\nA3,2026-02-08,@x,hob,,,,worn,=1+1\n" +
			"A1,2026-02-08,@x,=1+1,@x,-2+3,+4,@x,=1+1\n",
		"documents.csv": "stock_id,kind,dated,evidence,covers,held,expires,note\n" +
			"A1,invoice,2025-02-08,original,engine-oil,yes,,=1+1\nA3,mot,2025-08-08,online,,yes,2026-08-07,@x\nA1,=1+1,@x,-2+3,+4,@x,,=1+1\n",
		"sales.csv": strings.NewReplacer("Larkfield", "=1+1", "Rothmere 540", "@x", "\nS0", "\n-2+3-S0").Replace(sales(40, nil)),
		"team.csv": "technician,skills,mon,tue,wed,thu,fri,sat,sun\n" +
			"=1+1,mechanical;tyres;valet;photography,8,8,8,8,8,,\n@x,habitation;gas;electrical;damp;bodywork,8,8,8,8,6,,\n=9,@x,,,,,,,\n",
		"bays.csv":     "bay,kind,count\n=1+1,ramp,1\n@x,habitation,2\n-2+3,bodywork,1\n+4,valet,1\n=9,@x,1\n",
		"absence.csv":  "technician,from,to\n@x,2026-03-16,2026-03-18\n=9,2026-03-16,2026-03-18\n",
		"progress.csv": "stock_id,job,state,hours_spent,done_on,technician\nA4,intake-inspection,done,1.5,2026-02-21,=1+1\nA1,=1+1,@x,-2+3,,\n",
		"policy.yaml":  "plan_schedules: 40\n",
	}
	return y
}

// hostileBooks puts formula text into the text columns of the built-in books.
func hostileBooks(t *testing.T, yard string) {
	t.Helper()
	var said bytes.Buffer
	if execute([]string{"books", "--out", yard}, &said, &said) != exitDone {
		t.Fatal(said.String())
	}
	for name, columns := range map[string][]string{
		"labour.csv": {"title", "caution"}, "parts.csv": {"title", "supplier"},
		"checkpoints.csv": {"title", "how", "caution", "source"}, "handover.csv": {"title", "text", "caution", "usual_mistake"},
	} {
		for k, column := range columns {
			rewriteColumn(t, filepath.Join(yard, name), column, func(i int) string { return []string{"=1+1", "@x", "-2+3", "+4"}[(i+k)%4] })
		}
	}
}

var plainNegative = regexp.MustCompile(`^-[0-9]+(\.[0-9]+)?$`)

// TestNoReportHoldsAFormula reads every cell of every report of a yard whose
// every text is one: none begins with what a spreadsheet would run, and the
// workbook's own formulas are not among the yard's.
func TestNoReportHoldsAFormula(t *testing.T) {
	yard := hostileYard().write(t)
	hostileBooks(t, yard)
	out := filepath.Join(filepath.Dir(yard), "reports")
	runYard(t, yard, out, "2026-03-08")
	runYard(t, yard, out, "2026-03-09", "--labour-cost-per-hour=40") // changes.csv has rows
	a := auditReports(t, yard, out)
	guarded := map[string]int{}
	for name := range a.tables {
		rows := csvRows(t, filepath.Join(out, name))
		for _, row := range rows {
			for i, cell := range row {
				if strings.HasPrefix(cell, "'") {
					guarded[name]++
				}
				if bare := strings.TrimLeft(cell, " \t\r\n"); bare != "" && strings.ContainsAny(bare[:1], "=+@-") && !plainNegative.MatchString(bare) {
					t.Errorf("%s: %s is %q", name, rows[0][i], cell)
				}
			}
		}
	}
	for _, name := range []string{"findings.csv", "jobs.csv", "parts-needed.csv", "schedule.csv", "stock-book.csv", "margin.csv", "rejects.csv", "untested.csv"} {
		if guarded[name] == 0 {
			t.Errorf("%s holds no text of the yard's: nothing was checked", name)
		}
	}
	books, err := filepath.Glob(filepath.Join(out, "*", "*.xlsx"))
	if err != nil || len(books) == 0 {
		t.Fatalf("workbooks: %v, %v", books, err)
	}
	for _, name := range books {
		f, err := excelize.OpenFile(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for _, sheet := range f.GetSheetList() {
			rows, err := f.GetRows(sheet)
			if err != nil {
				t.Fatal(err)
			}
			for y, row := range rows {
				for x := range row {
					at, _ := excelize.CoordinatesToCellName(x+1, y+1)
					formula, err := f.GetCellFormula(sheet, at)
					if err != nil {
						t.Fatal(err)
					}
					if f := strings.TrimLeft(formula, "= '\t"); f == "1+1" || f == "x" || f == "@x" || f == "-2+3" || f == "+4" {
						t.Errorf("%s: %s!%s runs %q", name, sheet, at, formula)
					}
				}
			}
		}
	}
}

// policyOf finds a page's Content-Security-Policy.
var policyOf = regexp.MustCompile(`<meta http-equiv="Content-Security-Policy" content="([^"]*)">`)

// reaches finds what would be fetched, run or sent from elsewhere, or run
// without a hash.
var reaches = regexp.MustCompile(`(?i)(src|action)="?(https?:)?//|<(iframe|object|embed|base)\b|\son[a-z]+="|\sstyle="|javascript:`)

// formAction finds a form that names where it goes, or how; findBox is the only
// one that may: a search sent by GET to the list of vans.
var (
	formAction = regexp.MustCompile(`(?i)<form\b[^>]*\b(action|method)=[^>]*>|<[^>]*\bformaction=[^>]*>`)
	findBox    = regexp.MustCompile(`<form class="find" role="search" action="(\.\./)*find\.html">`)
)

// TestEveryPageHasAStrictPolicy: nothing is loaded, sent or run but the page's
// own style and script, which are named by their hashes.
func TestEveryPageHasAStrictPolicy(t *testing.T) {
	yard := hostileYard().with(files{"vans.csv": strings.Replace(hostileYard()["vans.csv"], "A1,=1+1,@x,=1+1,@x", `A1,=1+1,@x,"<script>alert(1)</script>","<img src=""//x"" onerror=""x"">"`, 1)}).write(t)
	out := filepath.Join(filepath.Dir(yard), "reports")
	runYard(t, yard, out, "2026-03-09")
	form := filepath.Join(filepath.Dir(yard), "form.html")
	var stdout, stderr bytes.Buffer
	if code := execute([]string{"form", "--yard", yard, "--out", form}, &stdout, &stderr); code != exitDone {
		t.Fatalf("form: exit status %d\n%s", code, stderr.String())
	}
	pages := filesOf(t, out)
	text, err := os.ReadFile(form)
	if err != nil {
		t.Fatal(err)
	}
	pages["form.html"] = string(text)
	checked, withFind := 0, 0
	for name, page := range pages {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		checked++
		found := policyOf.FindStringSubmatch(page)
		if found == nil {
			t.Errorf("%s has no policy", name)
			continue
		}
		policy := strings.NewReplacer("&#39;", "'", "&#43;", "+").Replace(found[1])
		// A page with the find box may send it to the list of vans beside it, from
		// a server or from a folder. Every other page sends nothing: a customer's
		// page and the list itself have no form, and the forms of the desk, a day
		// and the inspection are read by their scripts.
		send := "form-action 'none'"
		if findBox.MatchString(page) {
			send = "form-action 'self' file:"
			withFind++
		}
		rules := strings.Split(policy, "; ")
		for _, want := range []string{"default-src 'none'", "base-uri 'none'", send} {
			if !slices.Contains(rules, want) {
				t.Errorf("%s: %q lacks %q", name, policy, want)
			}
		}
		if n := strings.Count(policy, "form-action"); n != 1 {
			t.Errorf("%s: %q says %d times where a form may go", name, policy, n)
		}
		for _, action := range formAction.FindAllString(page, -1) {
			if !findBox.MatchString(action) {
				t.Errorf("%s sends a form: %s", name, action)
			}
		}
		if strings.Contains(policy, "unsafe") || strings.Contains(policy, "http") || strings.Contains(policy, "*") {
			t.Errorf("%s: %q is lax", name, policy)
		}
		if head, _, _ := strings.Cut(page, "Content-Security-Policy"); strings.Contains(head, "<script") || strings.Contains(head, "<style") {
			t.Errorf("%s: something stands before the policy", name)
		}
		if name != "form.html" { // its script is text that makes elements
			if at := reaches.FindString(page); at != "" {
				t.Errorf("%s holds %q", name, at)
			}
		}
	}
	if checked < 12 {
		t.Errorf("checked %d pages", checked)
	}
	if withFind == 0 || withFind == checked {
		t.Errorf("%d of %d pages have the find box", withFind, checked)
	}
}

// TestLogHoldsNoNotes runs a yard with a customer's words in its notes, in good
// rows, in bad ones and in a row with a cell too many, and reads every log.
func TestLogHoldsNoNotes(t *testing.T) {
	const words = "ring Mrs Ostler after six"
	yard := usualYard().with(files{
		"readings.csv": "stock_id,taken_on,checkpoint,position,value,verdict,note\n" +
			"A1,2026-02-08,hob,,,defect," + words + "\nA1,2026-02-08,hob,,lots,defect," + words + "\nA1,2026-02-08,hob,,,defect,,," + words + "\n" +
			"A1,2026-02-08,oven,,,defect," + strings.Repeat(words+" ", 400) + "\nNONE,2026-02-08,oven,,,defect," + words + "\n",
		"documents.csv": "stock_id,kind,dated,held,note\nA1,invoice,2025-05-01,yes," + words + "\nA1,invoice,soon,yes," + words + "\nA1,invoice,2025-05-01,yes,\"" + words + "\n",
	}).write(t)
	dir := filepath.Dir(yard)
	for _, args := range [][]string{
		{"run", "--out", filepath.Join(dir, "reports")},
		{"run", "--out", filepath.Join(dir, "reports"), "--strict"},
		{"run", "--out", filepath.Join(dir, "reports"), "--json"},
		{"bid", "A3"},
		{"bid", "A3", "--json"},
	} {
		var stdout, stderr bytes.Buffer
		args = append(args, "--yard", yard, "--as-of", "2026-03-09", "--log-level", "debug")
		execute(args, &stdout, &stderr)
		if stderr.Len() == 0 || !strings.Contains(stderr.String(), "rejected") {
			t.Errorf("%v logs nothing: %s", args, stderr.String())
		}
		if said := stdout.String() + stderr.String(); strings.Contains(said, "Ostler") {
			t.Errorf("%v says\n%s", args, said)
		}
	}
	// A table that has lost its header must not show its first row as one.
	lost := "A1,invoice,2025-05-01,yes," + words + "\n"
	if err := os.WriteFile(filepath.Join(yard, "documents.csv"), []byte(lost), 0o644); err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	code := execute([]string{"run", "--yard", yard, "--out", filepath.Join(dir, "reports"), "--as-of", "2026-03-09"}, &stdout, &stderr)
	if code != exitFailed || strings.Contains(stderr.String(), "Ostler") {
		t.Errorf("exit status %d\n%s", code, stderr.String())
	}
}
