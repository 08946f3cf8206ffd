package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"strconv"
	"testing"

	"github.com/vanwright/vanwright/cmd/vanwright-bench/internal/replay"
)

func TestTheReplayIsTheSameEachTimeAndCountsEveryWay(t *testing.T) {
	if testing.Short() {
		t.Skip("replays months of plans")
	}
	run := func() string {
		var out bytes.Buffer
		if err := runWorkshop(context.Background(), workshopOptions{seeds: 1, first: 1, days: 10, schedules: 5, change: -1, yard: "quiet"}, &out); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	first := run()
	if first != run() {
		t.Error("the second replay differs from the first")
	}
	rows, err := csv.NewReader(bytes.NewBufferString(first)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	// Each van alone is one more line, and costs less than any way of working.
	if want := 1 + 3*(len(replay.Ways)+1); len(rows) != want {
		t.Fatalf("%d lines, want %d: a header, each way, and its mean and spread", len(rows), want)
	}
	pounds := func(row []string) float64 {
		v, err := strconv.ParseFloat(row[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	alone := rows[1+len(replay.Ways)]
	for _, row := range rows[1 : 1+len(replay.Ways)] {
		if alone[1] != replay.Alone || pounds(row) <= pounds(alone) {
			t.Errorf("%s costs %s, %s %s", row[1], row[4], alone[1], alone[4])
		}
	}
	costs := map[string]bool{}
	for _, row := range rows[1 : 1+len(replay.Ways)] {
		costs[row[2]] = true
	}
	if costs["0.0"] || len(costs) < 3 {
		t.Errorf("the five ways cost %v pounds", costs)
	}
}

func TestTheReplayRefusesNoSeedsNoDaysAndNoYard(t *testing.T) {
	for _, o := range []workshopOptions{{seeds: 0, days: 10, yard: "busy"}, {seeds: 1, days: 3, yard: "busy"}, {seeds: 1, days: 10, yard: "wet"}} {
		if err := runWorkshop(context.Background(), o, &bytes.Buffer{}); err == nil {
			t.Errorf("%+v is taken", o)
		}
	}
}
