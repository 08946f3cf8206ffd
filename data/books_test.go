package data

import (
	"context"
	"errors"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func builtInBooks(t testing.TB) *Books {
	t.Helper()
	b, err := LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Every reference of the built-in books leads somewhere, walked here without
// the checks of NewBooks.
func TestBuiltInBooks(t *testing.T) {
	b := builtInBooks(t)
	for what, size := range map[string][2]int{
		"checkpoints": {len(b.Checkpoints), 60}, "jobs": {len(b.Labour), 60}, "parts": {len(b.Parts), 90}, "steps": {len(b.Handover), 60},
	} {
		if size[0] < size[1] {
			t.Errorf("%d %s; want at least %d", size[0], what, size[1])
		}
	}
	job := func(from, code string) {
		if code == "" {
			return
		}
		if _, ok := b.Job(code); !ok {
			t.Errorf("%s names the job %q, which is not in the book", from, code)
		}
	}
	for _, c := range b.Checkpoints {
		job(c.Code, c.Job)
		job(c.Code, c.WornJob)
		job(c.Code, c.RiskJob)
		if c.Title == "" || c.Zone == "" || c.Reference == "" || c.How == "" {
			t.Errorf("%s lacks a title, zone, source or how", c.Code)
		}
		if c.Unit != "" && !(c.Least.Known && c.Most.Known && c.Least.Value < c.Most.Value) {
			t.Errorf("%s is measured in %s, from %v to %v: the book must say what can be measured", c.Code, c.Unit, c.Least, c.Most)
		}
		for _, w := range c.Fitted {
			if !slices.Contains(EquipmentWords, w) {
				t.Errorf("%s is fitted with %q", c.Code, w)
			}
		}
		if got, ok := b.Checkpoint(c.Code); !ok || got.Title != c.Title {
			t.Errorf("looking up %s gives %v, %t", c.Code, got, ok)
		}
	}
	for _, j := range b.Labour {
		for _, code := range slices.Concat(j.After, j.Absorbs) {
			job(j.Code, code)
		}
		for _, use := range j.Parts {
			if part, ok := b.Part(use.Part); !ok || part.Code != use.Part || use.Qty < 1 {
				t.Errorf("%s uses %v; the parts book has %v, %t", j.Code, use, part, ok)
			}
		}
		if !slices.Contains(Skills, j.Skill) || j.Bay != "" && !slices.Contains(BayKinds, j.Bay) || !slices.Contains(Gates, j.Gate) {
			t.Errorf("%s has skill %q, bay %q, gate %q", j.Code, j.Skill, j.Bay, j.Gate)
		}
		if !(0 < j.HoursLow && j.HoursLow <= j.HoursLikely && j.HoursLikely <= j.HoursHigh) {
			t.Errorf("%s takes %v, %v, %v hours", j.Code, j.HoursLow, j.HoursLikely, j.HoursHigh)
		}
		for _, body := range Bodies {
			if f := j.Factor(body); f < 0.3 || f > 3 {
				t.Errorf("%s has factor %v for %s", j.Code, f, body)
			}
		}
	}
	for _, p := range b.Parts {
		if !p.UnitCost.IsPositive() || p.Supplier == "" || p.Title == "" {
			t.Errorf("part %s costs %s from %q", p.Code, p.UnitCost, p.Supplier)
		}
	}
	for _, s := range b.Handover {
		if s.Equipment != "" && !slices.Contains(EquipmentWords, s.Equipment) || s.Text == "" || s.Title == "" {
			t.Errorf("step %q of %q is not whole", s.Step, s.Equipment)
		}
	}
}

// The checkpoints that data/README.md names are in the book with the units
// that it fixes.
func TestFixedCheckpoints(t *testing.T) {
	b := builtInBooks(t)
	for code, unit := range map[string]string{
		"tyre-tread": "mm", "tyre-code": "code", "tyre-load-index": "index", "damp": "percent",
		"battery-rest-volts": "V", "gas-drop": "mbar", "gas-hose-date": "date", "gas-regulator-date": "date",
		"rcd-trip": "ms", "insulation": "megohm", "brake-pad": "mm", "fridge-gas": "", "fridge-mains": "",
		"fridge-12v": "", "heater-gas": "", "heater-electric": "", "heater-diesel": "", "water-pump": "",
		"hot-water-drain": "", "freshwater-drain": "", "toilet-cassette": "", "awning": "",
		"smoke-alarm-expiry": "date", "co-alarm-expiry": "date",
	} {
		if c, ok := b.Checkpoint(code); !ok || c.Unit != unit {
			t.Errorf("%s: in the book %t, unit %q; want %q", code, ok, c.Unit, unit)
		}
	}
	c, _ := b.Checkpoint("tyre-tread")
	for _, wheel := range []string{
		"nearside-front", "offside-front", "nearside-rear", "offside-rear", "spare",
		"nearside-rear-inner", "nearside-rear-outer", "offside-rear-inner", "offside-rear-outer",
	} {
		if !slices.Contains(c.Positions, wheel) {
			t.Errorf("tyre-tread has no position %s", wheel)
		}
	}
}

// Books written out and read back as the yard's own are the same books.
func TestBuiltInBooksAsTheYardsOwn(t *testing.T) {
	yard := fstest.MapFS{}
	for _, name := range BookFiles {
		b, err := fs.ReadFile(BuiltInBooks(), name)
		if err != nil {
			t.Fatal(err)
		}
		yard[name] = &fstest.MapFile{Data: b}
	}
	got, err := LoadBooks(yard)
	if err != nil {
		t.Fatal(err)
	}
	ignore := cmp.Options{
		cmpopts.IgnoreUnexported(Books{}), cmpopts.IgnoreTypes(Source{}),
	}
	if diff := cmp.Diff(got, builtInBooks(t), ignore); diff != "" {
		t.Error(diff)
	}
	if at := got.Labour[0].Source.String(); at != "labour.csv:2" {
		t.Errorf("the yard's own job stands at %s", at)
	}
	if at := builtInBooks(t).Labour[0].Source.String(); at != "built-in labour.csv:2" {
		t.Errorf("the built-in job stands at %s", at)
	}
}

const (
	labourHeader = "job,title,skill,bay,hours_low,hours_likely,hours_high,drying_hours,after,parts,gate,caution\n"
	checkHeader  = "checkpoint,title,zone,unit,worn_at,defect_at,unsafe_at,direction,job,source\n"
)

func TestBookErrors(t *testing.T) {
	checks := checkHeader + "damp,Damp,living,percent,15,20,,high-bad,dry-out,\n"
	labour := labourHeader + "dry-out,Dry out,damp,habitation,1,2,3,48,,,habitation,\n"
	for _, tc := range []struct {
		name  string
		files []string
		want  []string // each within the error
	}{
		{
			"a labour book alone leaves the built-in checkpoints without jobs", []string{"labour.csv", labour},
			[]string{`built-in checkpoints.csv:2: column "job": "windscreen-replace" is not in labour.csv`, "more"},
		},
		{
			"a checkpoint with a job that is not there",
			[]string{"labour.csv", labour, "checkpoints.csv", checkHeader + "damp,Damp,living,percent,15,20,,high-bad,dry-uot,\n"},
			[]string{`checkpoints.csv:2: column "job": "dry-uot" is not in labour.csv; did you mean "dry-out"?`},
		},
		{
			"a part that is not there", []string{"checkpoints.csv", checks, "labour.csv", labourHeader +
				"dry-out,Dry out,damp,habitation,1,2,3,48,,sponge*2,habitation,\n"},
			[]string{`labour.csv:2: column "parts": "sponge" is not in parts.csv`},
		},
		{
			"jobs in a circle", []string{"checkpoints.csv", checks, "labour.csv", labour +
				"b,B,damp,habitation,1,2,3,,a,,,\na,A,damp,habitation,1,2,3,,c;dry-out,,,\nc,C,damp,habitation,1,2,3,,b,,,\n"},
			[]string{`labour.csv:3: column "after": jobs go round in a circle: b → a → c → b`},
		},
		{
			"a job after itself", []string{"checkpoints.csv", checks, "labour.csv", labour + "a,A,damp,habitation,1,2,3,,a,,,\n"},
			[]string{`labour.csv:3: column "after": jobs go round in a circle: a → a`},
		},
		{
			"a job twice", []string{"checkpoints.csv", checks, "labour.csv", labour + "dry-out,Again,damp,habitation,1,2,3,,,,,\n"},
			[]string{`labour.csv:3: job "dry-out" stands twice; first on line 2`},
		},
		{
			"hours out of order", []string{"labour.csv", labourHeader + "a,A,damp,habitation,3,2,1,,,,,\n"},
			[]string{`labour.csv:2: column "hours_likely": "2": expected hours_low ≤ hours_likely ≤ hours_high`},
		},
		{
			"every bad row at once", []string{"labour.csv", labourHeader + "a,A,magic,habitation,1,2,3,,,,,\nb,B,damp,lawn,1,x,3,,,,\"open\n"},
			[]string{`labour.csv:2: column "skill": "magic"`, "labour.csv:3: expected a closing quote"},
		},
		{
			"limits against their direction", []string{"labour.csv", labour, "checkpoints.csv", checkHeader + "damp,Damp,living,percent,20,15,,high-bad,dry-out,\n"},
			[]string{`checkpoints.csv:2: limits of "damp" run against their direction: 20 then 15`},
		},
		{
			"limits without a direction", []string{"labour.csv", labour, "checkpoints.csv", checkHeader + "damp,Damp,living,percent,15,20,,,dry-out,\n"},
			[]string{`checkpoints.csv:2: column "direction": expected high-bad or low-bad, as there are limits`},
		},
		{
			"limits without a unit", []string{"labour.csv", labour, "checkpoints.csv", checkHeader + "damp,Damp,living,,15,20,,high-bad,dry-out,\n"},
			[]string{`checkpoints.csv:2: column "unit": expected a unit, as there are limits`},
		},
		{
			"equipment that nobody fits", []string{"handover.csv", "equipment,step,title,text\njacuzzi,fill,Fill it,Slowly.\n"},
			[]string{`handover.csv:2: column "equipment": "jacuzzi"`},
		},
		{
			"a price that is not a number", []string{"parts.csv", "part,title,unit_cost\nsponge,Sponge,NaN\n"},
			[]string{`parts.csv:2: column "unit_cost": "NaN"`},
		},
		{
			"a quantity of none", []string{"checkpoints.csv", checks, "labour.csv", labourHeader + "dry-out,Dry out,damp,habitation,1,2,3,48,,sponge*0,habitation,\n"},
			[]string{`labour.csv:2: column "parts": "sponge*0": expected code*quantity`},
		},
		{
			"an empty book", []string{"parts.csv", "part,title,unit_cost\n"},
			[]string{"parts.csv holds no rows; remove it to use the built-in book"},
		},
		{
			"a book without a needed column", []string{"labour.csv", "job,title\n"},
			[]string{`labour.csv lacks the required columns "skill", "bay", "hours_low", "hours_likely", "hours_high"`},
		},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, err := LoadBooks(yardOf(tc.files...))
			if err == nil {
				t.Fatal("the books were taken")
			}
			for _, want := range tc.want {
				if !strings.Contains(err.Error(), want) {
					t.Errorf("got %v\nwant %q in it", err, want)
				}
			}
			if _, loadErr := Load(context.Background(), yardOf(tc.files...), LoadOptions{}); loadErr == nil || loadErr.Error() != err.Error() {
				t.Errorf("Load gives %v", loadErr)
			}
		})
	}
}

func TestAbsorbingInACircle(t *testing.T) {
	at := func(line int) Source { return Source{"labour.csv", line} }
	_, err := NewBooks(nil, []LabourJob{
		{Code: "a", Absorbs: []string{"b"}, Source: at(2)}, {Code: "b", Absorbs: []string{"a"}, Source: at(3)},
	}, nil, nil)
	if err == nil || err.Error() != `labour.csv:2: column "absorbs": jobs go round in a circle: a → b → a` {
		t.Errorf("got %v", err)
	}
}

// A yard's book of the plain columns keeps what the built-in book says of the
// same code beyond them, and a code of its own has plain defaults.
func TestPlainBooksInherit(t *testing.T) {
	ours := builtInBooks(t)
	b, err := LoadBooks(yardOf("checkpoints.csv", checkHeader+
		"damp,Damp,living,percent,15,22,,high-bad,,our meter's sheet\n"+
		"smoke-alarm-expiry,Smoke alarm,safety,date,,0,,high-bad,smoke-alarm,\n"+
		"our-own,Our own,,,,,,,road-test,\n"))
	if err != nil {
		t.Fatal(err)
	}
	damp, _ := b.Checkpoint("damp")
	builtInDamp, _ := ours.Checkpoint("damp")
	if damp.DefectAt != Some(22.0) || !slices.Equal(damp.Positions, builtInDamp.Positions) || damp.Caution != builtInDamp.Caution {
		t.Errorf("damp is %+v; want the yard's limit and the built-in positions and caution", damp)
	}
	if alarm, _ := b.Checkpoint("smoke-alarm-expiry"); !slices.Equal(alarm.Fitted, []string{"smoke-alarm"}) {
		t.Errorf("the smoke alarm is looked for where %v is fitted", alarm.Fitted)
	}
	if own, ok := b.Checkpoint("our-own"); !ok || own.Positions != nil || own.Fitted != nil {
		t.Errorf("the yard's own checkpoint is %+v", own)
	}
}

func TestYardsOwnBooksAreInputs(t *testing.T) {
	y := mustLoad(t, yardOf("parts.csv", builtInFile(t, "parts.csv")))
	in := y.Inputs[len(y.Inputs)-1]
	if in.Name != "parts.csv" || in.Read != len(y.Books.Parts) || in.Accepted != in.Read || in.SHA256 == "" {
		t.Errorf("got %+v; want parts.csv with all %d rows accepted", in, len(y.Books.Parts))
	}
}

func builtInFile(t testing.TB, name string) string {
	t.Helper()
	b, err := fs.ReadFile(BuiltInBooks(), name)
	if errors.Is(err, fs.ErrNotExist) {
		t.Fatalf("no built-in %s", name)
	}
	return string(b)
}

// Where a part lies is the dealer's own knowledge: a yard's parts book may say
// it, and need not.
func TestPartsBookMayNameABin(t *testing.T) {
	const header = "part,title,unit_cost,in_stock,lead_days,supplier"
	content := header + ",bin\n"
	plain := partsOf(t, nil)
	for _, p := range plain {
		content += p.Code + ",A part,1.00,0,0,Somebody,B3\n"
	}
	for _, p := range partsOf(t, fstest.MapFS{"parts.csv": {Data: []byte(content)}}) {
		if p.Bin != "B3" {
			t.Fatalf("%s lies in bin %q, want B3", p.Code, p.Bin)
		}
	}
	if plain[0].Bin != "" {
		t.Errorf("the built-in book puts %s into bin %q", plain[0].Code, plain[0].Bin)
	}
}

// partsOf returns the parts of the books of a yard.
func partsOf(t *testing.T, yard fstest.MapFS) []Part {
	t.Helper()
	books, err := LoadBooks(yard)
	if err != nil {
		t.Fatal(err)
	}
	return books.Parts
}
