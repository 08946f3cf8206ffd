package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

func TestReadCountsWhatItMeasures(t *testing.T) {
	dir := t.TempDir()
	for name, content := range map[string]string{
		"vans.csv":  "stock_id,maker,model,body,first_registered,mileage,status\nV1,Aldmoor,Heron,overcab,2018-05-01,42000,owned\n",
		"bays.csv":  "bay,kind\nOne,ramp\n\nTwo,\"ramp\"\n",
		"notes.txt": "not a table\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	if err := runRead(context.Background(), readOptions{yard: dir, times: 2}, &out); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 2 || rows[1][1] != "5" { // the headers and three rows
		t.Fatalf("got %v, %v; want a header and one line about 5 rows", rows, err)
	}
	ratio, err := strconv.ParseFloat(rows[1][4], 64)
	if err != nil || !(ratio > 0) {
		t.Errorf("the ratio is %q", rows[1][4])
	}
}

func TestReadNeedsAYard(t *testing.T) {
	if err := runRead(context.Background(), readOptions{yard: t.TempDir(), times: 1}, &bytes.Buffer{}); err == nil {
		t.Error("an empty folder was measured")
	}
}
