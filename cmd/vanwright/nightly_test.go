package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
)

// nightlyDir has the files for nightly use that a user copies.
const nightlyDir = "nightly"

func nightlyFile(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(nightlyDir, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// units are the systemd units by their names.
func units(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, name := range []string{"vanwright.service", "vanwright-mail.service", "vanwright.timer"} {
		all[name] = nightlyFile(t, name)
	}
	return all
}

// nightPlace makes a yard, a place for reports, and a folder of programs in
// which vanwright is this test and mail writes down what it is given.
func nightPlace(t *testing.T) (yard, place, programs string) {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("these are lines for unix")
	}
	yard = usualYard().with(files{"policy.yaml": "plan_schedules: 10\n"}).write(t)
	place, programs = t.TempDir(), t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	// testscript.Main runs the command whose name the binary is called by.
	if err := os.Symlink(self, filepath.Join(programs, "vanwright")); err != nil {
		t.Fatal(err)
	}
	mail := "#!/bin/sh\n{ echo \"$@\"; cat; } > '" + filepath.Join(place, "sent") + "'\n"
	if err := os.WriteFile(filepath.Join(programs, "mail"), []byte(mail), 0o755); err != nil {
		t.Fatal(err)
	}
	return yard, place, programs
}

// sh runs a line as cron and systemd's sh -c would, with our programs first.
func sh(t *testing.T, dir, programs, line string) string {
	t.Helper()
	cmd := exec.Command("/bin/sh", "-c", line)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "PATH="+programs+string(os.PathListSeparator)+os.Getenv("PATH"))
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s\n%v\n%s", line, err, stderr.String())
	}
	return string(out)
}

func sent(t *testing.T, place string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(place, "sent"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestCronLine runs the crontab for two nights.
func TestCronLine(t *testing.T) {
	yard, place, programs := nightPlace(t)
	line := strings.TrimSpace(nightlyFile(t, "crontab"))
	if strings.Contains(line, "\n") {
		t.Fatalf("more than one line: %q", line)
	}
	when := regexp.MustCompile(`^[0-5]?[0-9] [0-9]+ \* \* \* `).FindString(line)
	if when == "" || strings.Contains(line, "%") { // which cron takes for a line break
		t.Fatalf("not a line for cron: %s", line)
	}
	line = strings.NewReplacer("/srv/vanwright", place, "/srv/yard", yard).Replace(strings.TrimPrefix(line, when))
	t.Setenv("VANWRIGHT_AS_OF", "2026-03-09")
	if said := sh(t, place, programs, line); said != "" {
		t.Errorf("cron would mail: %s", said)
	}
	if got := sent(t, place); !strings.HasPrefix(got, "-s The yard this morning manager@example.com\nThe yard on Mon 9 Mar 2026\n") {
		t.Errorf("sent:\n%s", got)
	}
	t.Setenv("VANWRIGHT_AS_OF", "2026-03-10")
	sh(t, place, programs, line)
	if got := sent(t, place); !strings.Contains(got, "\nThe yard on Tue 10 Mar 2026 and what changed since Mon 9 Mar 2026\n") {
		t.Errorf("sent:\n%s", got)
	}
}

// TestServiceCommands runs what the units would.
func TestServiceCommands(t *testing.T) {
	yard, place, programs := nightPlace(t)
	all := units(t)
	if err := os.Mkdir(filepath.Join(place, "mail"), 0o755); err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, name := range []string{"vanwright.service", "vanwright-mail.service"} {
		for _, found := range regexp.MustCompile(`(?m)^Exec[A-Za-z]+=(.*)$`).FindAllStringSubmatch(all[name], -1) {
			lines = append(lines, found[1])
		}
	}
	if len(lines) != 3 {
		t.Fatalf("the units run %q", lines)
	}
	t.Setenv("VANWRIGHT_AS_OF", "2026-03-09")
	own := strings.NewReplacer("/usr/local/bin/vanwright", "vanwright", "/srv/vanwright", place, "/srv/yard", yard, "$$", "$")
	var said []string
	for _, line := range lines {
		said = append(said, sh(t, filepath.Join(place, "mail"), programs, own.Replace(line)))
	}
	if !strings.HasPrefix(said[0], `{"version":`) || said[1] != "" || said[2] != "" {
		t.Errorf("said %q", said)
	}
	if got := sent(t, place); !strings.HasPrefix(got, "-s The yard on Mon 9 Mar 2026 manager@example.com\nThe yard on Mon 9 Mar 2026\n") {
		t.Errorf("sent:\n%s", got)
	}
	if _, err := os.Stat(filepath.Join(place, "mail", "since.html")); err != nil {
		t.Error(err)
	}
}

// leastExposed is what "systemd-analyze security" may find open of the sandbox,
// in tenths of its scale from 0, closed, to 10.
const leastExposed = "15"

// TestUnitsAsSystemdReadsThem has systemd-analyze check the units.
func TestUnitsAsSystemdReadsThem(t *testing.T) {
	analyze, err := exec.LookPath("systemd-analyze")
	if err != nil {
		t.Skip("no systemd-analyze here: the units are not checked")
	}
	dir := t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	var paths []string
	for name, unit := range units(t) {
		// It wants the programs to be there.
		unit = strings.ReplaceAll(unit, "/usr/local/bin/vanwright ", self+" ")
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(unit), 0o644); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	run := func(args ...string) string {
		cmd := exec.Command(analyze, args...)
		cmd.Env = append(os.Environ(), "SYSTEMD_UNIT_PATH="+dir+":", "SYSTEMD_LOG_LEVEL=warning")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Errorf("systemd-analyze %s: %v\n%s", strings.Join(args, " "), err, out)
		}
		return string(out)
	}
	if said := run(append([]string{"verify", "--man=no", "--recursive-errors=no"}, paths...)...); strings.Contains(said, dir) {
		t.Errorf("systemd says:\n%s", said)
	}
	run("security", "--offline=yes", "--threshold="+leastExposed, filepath.Join(dir, "vanwright.service"))
	calendar := regexp.MustCompile(`(?m)^OnCalendar=(.*)$`).FindStringSubmatch(units(t)["vanwright.timer"])
	if calendar == nil {
		t.Fatal("the timer has no calendar line")
	}
	if said := run("calendar", calendar[1]); !strings.Contains(said, "05:30:00") {
		t.Errorf("the calendar line means\n%s", said)
	}
}
