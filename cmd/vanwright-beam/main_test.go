package main

import (
	"context"
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/log"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
	"github.com/vanwright/vanwright/cmd/internal/sample/synth"
	"github.com/vanwright/vanwright/data"
)

// vanwright is the program itself, built from the main module with its own
// versions of everything: what the group's reports are held against.
var vanwright string

func TestMain(m *testing.M) {
	args, err := workerArgs(context.Background(), os.Args) // the test binary is a worker too
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Args = args
	flag.Parse()
	log.LogLevel = "error"
	beam.Init()
	os.Exit(buildAndTest(m))
}

func buildAndTest(m *testing.M) int {
	dir, err := os.MkdirTemp("", "vanwright-beam-test-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	vanwright = filepath.Join(dir, "vanwright")
	build := exec.Command("go", "build", "-o", vanwright, "./cmd/vanwright")
	build.Dir = filepath.Join("..", "..")
	if out, err := build.CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "build vanwright: %v\n%s", err, out)
		return 1
	}
	return m.Run()
}

// madeUpGroup is a folder of two small yards with settings of their own, and of
// five that can't be costed.
func madeUpGroup(t *testing.T) (yards string) {
	t.Helper()
	yards = filepath.Join(t.TempDir(), "yards")
	for i, name := range []string{"=north, by the sea", "thornholt"} { // a name that a spreadsheet would run
		dir := filepath.Join(yards, name)
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if _, err := synth.Write(context.Background(), dir, synth.NewSpec(8, 40, int64(i), demo.AsOf)); err != nil {
			t.Fatal(err)
		}
		settings := fmt.Sprintf("plan_schedules: 10\nlabour_cost_per_hour: %d.50\n", 30+i)
		writeFile(t, filepath.Join(dir, "policy.yaml"), settings)
	}
	appendTo(t, filepath.Join(yards, "thornholt", "vans.csv"), "\"a row\nof two lines, \"\"quoted\"\"\"\n")
	writeFile(t, filepath.Join(yards, "no vans", "sales.csv"), "sale_id\n")
	writeFile(t, filepath.Join(yards, "no mileage", "vans.csv"), "stock_id,maker,model,body,first_registered,status\n")
	writeFile(t, filepath.Join(yards, "too many rejects", "policy.yaml"), "max_rejects: 1\n")
	writeFile(t, filepath.Join(yards, "too many rejects", "vans.csv"), "stock_id,maker,model,body,first_registered,mileage,status\n!,,,,,,\n?,,,,,,\n")
	slip := filepath.Join(yards, "thornholt", "slips", "desk")
	writeFile(t, filepath.Join(slip, "slip.csv"), "slip,made,by\ndesk-0001,2026-03-05T17:00:00Z,Office\n")
	writeFile(t, filepath.Join(slip, "vans.csv"), "stock_id,maker,model,body,first_registered,mileage,status,vat,cost,acquired,guide\n"+newsVan+",Larkfield,Rise 540,low-profile,2018-04-02,31000,owned,margin,20000,2026-03-05,26995\n")
	writeFile(t, filepath.Join(slip, "photos.csv"), "stock_id,file\n"+newsVan+",1.png\n"+newsVan+",2.png\n")
	var picture strings.Builder
	if err := png.Encode(&picture, image.NewGray(image.Rect(0, 0, 9, 9))); err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(slip, "photos", "1.png"), picture.String())
	writeFile(t, filepath.Join(slip, "photos", "2.png"), picture.String()[:40]) // which is found out as it is drawn
	writeFile(t, filepath.Join(yards, "half folded", "vans.csv"), "stock_id,maker,model,body,first_registered,mileage,status\n")
	writeFile(t, filepath.Join(yards, "half folded", data.FoldJournal), "{}")
	writeFile(t, filepath.Join(yards, "bad settings", "policy.yaml"), "vat_rat: 0.2\n")
	return yards
}

// newsVan is a van that only a slip of thornholt tells of.
const newsVan = "NEWS-1"

// addDemo adds the demo yard, which has something of everything.
func addDemo(t *testing.T, yards string) {
	t.Helper()
	if err := demo.Write(filepath.Join(yards, "saltmere")); err != nil {
		t.Fatal(err)
	}
	appendTo(t, filepath.Join(yards, "saltmere", "policy.yaml"), "plan_schedules: 10\n")
}

func writeFile(t testing.TB, file, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func appendTo(t *testing.T, file, text string) {
	t.Helper()
	old, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, file, string(old)+text)
}
