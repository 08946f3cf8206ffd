package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// commandLine runs one command line as a user would and returns the exit status and
// both outputs.
func commandLine(args ...string) (status int, stdout, stderr string) {
	var out, errs strings.Builder
	status = execute(args, &out, &errs)
	return status, out.String(), errs.String()
}

func TestFormIsWrittenAndReplacedButNothingElseIs(t *testing.T) {
	dir := t.TempDir()
	page := filepath.Join(dir, "form.html")
	for range 2 { // the second time over its own form
		if status, out, errs := commandLine("form", "--out", page); status != exitDone || out != page+"\n" || errs != "" {
			t.Fatalf("status %d, out %q, errors %q", status, out, errs)
		}
	}
	mine := filepath.Join(dir, "letter.html")
	if err := os.WriteFile(mine, []byte("<p>a letter</p>"), 0o644); err != nil {
		t.Fatal(err)
	}
	status, _, errs := commandLine("form", "--out", mine)
	if want := "vanwright: write the form: " + mine + " exists and is no form; name another file\n"; status != exitFailed || errs != want {
		t.Errorf("status %d, errors %q, want %q", status, errs, want)
	}
	if got, err := os.ReadFile(mine); err != nil || string(got) != "<p>a letter</p>" {
		t.Errorf("the letter is now %q, %v", got, err)
	}
	if left, err := filepath.Glob(filepath.Join(dir, ".vanwright-form-*")); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

func TestFormOfAYardHasItsOwnBookAndPolicy(t *testing.T) {
	yard, page := t.TempDir(), filepath.Join(t.TempDir(), "form.html")
	for name, content := range map[string]string{
		"checkpoints.csv": "checkpoint,title,zone,unit,worn_at,defect_at,unsafe_at,direction,job\n" +
			"tyre-tread,Tread of ours,tyres,mm,4,3,1.6,low-bad,\n",
		"policy.yaml": "min_tread_mm: 3.5\n",
	} {
		if err := os.WriteFile(filepath.Join(yard, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if status, _, errs := commandLine("form", "--out", page, "--yard", yard); status != exitDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	got, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Tread of ours", "a defect below 3.5 mm"} {
		if !strings.Contains(string(got), want) {
			t.Errorf("the page does not hold %q", want)
		}
	}
	if strings.Contains(string(got), "Wiper blades") {
		t.Error("the built-in book is in it too")
	}
}

func TestFormUsage(t *testing.T) {
	for name, tt := range map[string]struct {
		args   []string
		status int
		says   string
	}{
		"no file":       {[]string{"form"}, exitUsage, "give --out FILE.html"},
		"an argument":   {[]string{"form", "x.html"}, exitUsage, ""},
		"no such yard":  {[]string{"form", "--out", filepath.Join(t.TempDir(), "f.html"), "--yard", "nowhere"}, exitFailed, "the yard nowhere does not exist"},
		"no such place": {[]string{"form", "--out", filepath.Join(t.TempDir(), "none", "f.html")}, exitFailed, "write the form"},
	} {
		t.Run(name, func(t *testing.T) {
			status, _, errs := commandLine(tt.args...)
			if status != tt.status || !strings.Contains(errs, tt.says) || strings.Count(errs, "\n") != 1 {
				t.Errorf("status %d, errors %q", status, errs)
			}
		})
	}
}
