package main

import (
	"flag"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expectations in the scripts")

// The scripts run this test binary as vanwright: nothing needs installing.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"vanwright": func() { os.Exit(execute(os.Args[1:], os.Stdout, os.Stderr)) },
	})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireUniqueNames:  true,
		RequireExplicitExec: true,
	})
}

// Whole runs of vans worked by hand: the head of each script has the arithmetic.
func TestVansWorkedByHand(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "../../testdata/vans", UpdateScripts: *update, RequireUniqueNames: true, RequireExplicitExec: true,
	})
}
