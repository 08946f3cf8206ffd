package main

import (
	"io"
	"os"
	"path/filepath"
	"testing"
)

// A deal that the yard forbids is a failure; terms that can't be read are
// wrong usage, whatever the yard holds.
func TestDealExitStatus(t *testing.T) {
	yard := t.TempDir()
	const vans = `stock_id,maker,model,body,first_registered,mileage,status,vat,cost,acquired,asking,guide
A1,Larkfield,Rothmere 540,low-profile,2018-04-02,31000,ready,margin,30000,2026-02-07,36000,36000
B1,Larkfield,Rothmere 540,low-profile,2010-04-02,61000,offered,margin,,,,13000
`
	if err := os.WriteFile(filepath.Join(yard, "vans.csv"), []byte(vans), 0o644); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name string
		args []string
		want int
	}{
		{"a deal", []string{"--selling", "A1", "--taking", "B1", "--allowance", "10000"}, exitDone},
		{"the same van twice", []string{"--selling", "A1", "--taking", "A1", "--allowance", "10000"}, exitFailed},
		{"selling a van that is offered", []string{"--selling", "B1", "--taking", "A1", "--allowance", "10000"}, exitFailed},
		{"a van that is not there", []string{"--selling", "A1", "--taking", "B9", "--allowance", "10000"}, exitFailed},
		{"an allowance that is no money", []string{"--selling", "A1", "--taking", "B1", "--allowance", "ten"}, exitUsage},
		{"an allowance below zero", []string{"--selling", "A1", "--taking", "B1", "--allowance=-1"}, exitUsage},
		{"no allowance", []string{"--selling", "A1", "--taking", "B1"}, exitUsage},
		{"a price that is no money", []string{"--selling", "A1", "--taking", "B1", "--allowance", "1", "--price", "1.234"}, exitUsage},
		{"an argument too many", []string{"--selling", "A1", "--taking", "B1", "--allowance", "1", "B2"}, exitUsage},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			args := append([]string{"deal", "--yard", yard, "--as-of", "2026-03-09"}, tt.args...)
			if got := execute(args, io.Discard, io.Discard); got != tt.want {
				t.Errorf("got status %d, want %d", got, tt.want)
			}
		})
	}
}
