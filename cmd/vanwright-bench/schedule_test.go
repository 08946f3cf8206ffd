package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// madeUp is an invented instance: two jobs of 3 and 2 periods that both need
// the whole of the one resource, so 5 is the best makespan.
const madeUp = `projects : 1
jobs (incl. supersource/sink ): 4
RESOURCES
  - renewable : 1 R
PROJECT INFORMATION:
PRECEDENCE RELATIONS:
jobnr. #modes #successors successors
1 1 2 2 3
2 1 1 4
3 1 1 4
4 1 0
REQUESTS/DURATIONS:
jobnr. mode duration R 1
1 1 0 0
2 1 3 2
3 1 2 2
4 1 0 0
RESOURCEAVAILABILITIES:
R 1
2
`

func runWith(t *testing.T, files map[string]string, args ...string) (string, error) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	cmd := newScheduleCommand()
	cmd.SilenceUsage, cmd.SilenceErrors = true, true
	cmd.SetOut(&out)
	cmd.SetArgs(append([]string{"--dir", dir}, args...))
	err := cmd.ExecuteContext(context.Background())
	return out.String(), err
}

func TestScheduleReadsFoldersInOrder(t *testing.T) {
	got, err := runWith(t, map[string]string{
		"b.sm": madeUp, "a/c.sm": madeUp, "notes.txt": "not an instance",
	}, "--schedules", "100")
	if err != nil {
		t.Fatal(err)
	}
	want := regexp.MustCompile(`^instance,makespan,lower_bound,schedules,milliseconds
c,5,5,\d+,\d+\.\d{3}
b,5,5,\d+,\d+\.\d{3}
$`)
	if !want.MatchString(got) {
		t.Errorf("got\n%s", got)
	}
}

func TestScheduleNamesTheFileAndLineAtFault(t *testing.T) {
	for _, c := range []struct {
		name  string
		files map[string]string
		args  []string
		want  string
	}{
		{"a bad number", map[string]string{"a.sm": strings.Replace(madeUp, "3 1 2 2", "3 1 two 2", 1)}, nil, `a.sm:16: requests: "two"`},
		{"no instances", map[string]string{"a.txt": ""}, nil, "no .sm or .def file"},
		{"no schedules", map[string]string{"a.sm": madeUp}, []string{"--schedules", "0"}, "at least 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := runWith(t, c.files, c.args...)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want %q", err, c.want)
			}
		})
	}
}
