package appraise

import (
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// bytesOf hands out the fuzzer's bytes as the cells of records.
type bytesOf struct{ b []byte }

func (s *bytesOf) next() byte {
	if len(s.b) == 0 {
		return 0
	}
	c := s.b[0]
	s.b = s.b[1:]
	return c
}

func (s *bytesOf) int() int {
	var w [4]byte
	for i := range w {
		w[i] = s.next()
	}
	return int(int32(binary.LittleEndian.Uint32(w[:])))
}

func (s *bytesOf) number() data.Opt[float64] {
	return data.Opt[float64]{Value: float64(math.Float32frombits(uint32(s.int()))), Known: s.next()%4 > 0}
}

func (s *bytesOf) count() data.Opt[int] { return data.Opt[int]{Value: s.int(), Known: s.next()%4 > 0} }

func (s *bytesOf) text() string {
	n := min(int(s.next()%24), len(s.b))
	out := string(s.b[:n])
	s.b = s.b[n:]
	return out
}

func pick[T any](s *bytesOf, list []T) T { return list[int(s.next())%len(list)] }

// FuzzAssess: no record, however odd, makes Assess panic, and the outcome keeps
// its shape and never says that a van is safe.
func FuzzAssess(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte("AB01 CDE\x00VW1ZZZ7HZKX012345 offside-rear-low 12.5 3004 \xff\xff\xff\xff\x7f"))
	f.Add([]byte(strings.Repeat("\x07\x10\x80\xff\x00\x01", 60)))
	books := builtIn(f)
	positions := append([]string{"", "front", "-", "offside-rear-low", "roof--"}, wheelPlaces...)
	f.Fuzz(func(t *testing.T, raw []byte) {
		s := &bytesOf{raw}
		van := data.Van{
			Reg: s.text(), VIN: s.text(), Body: pick(s, data.Bodies), FirstRegistered: data.Date(s.int()), Mileage: s.int(),
			Belts: s.count(), LengthMM: s.count(), MaxMassKg: s.count(), RunningMassKg: s.count(), FrontAxleKg: s.count(), RearAxleKg: s.count(),
			Keepers: s.count(), Keys: s.count(), Equipment: data.EquipmentWords[:int(s.next())%len(data.EquipmentWords)],
		}
		asOf := data.Date(s.int())
		var readings []data.Reading
		var docs []data.Document
		for range s.next() % 12 {
			c := pick(s, books.Checkpoints)
			readings = append(readings, data.Reading{
				TakenOn: data.Date(s.int()), Checkpoint: c.Code, Position: pick(s, positions), Value: s.text(), Number: s.number(),
				Day: data.Date(s.int()), Verdict: data.Verdict(s.next() % 6), Note: s.text(),
			})
		}
		for range s.next() % 12 {
			docs = append(docs, data.Document{
				Kind: pick(s, data.DocumentKinds), Dated: data.Date(s.int()), Mileage: s.count(), Evidence: s.text(),
				Covers: []string{pick(s, data.CoverWords)}, Held: pick(s, data.HeldWords), Expires: data.Date(s.int()), Note: s.text(),
			})
		}
		a := assessed(van, readings, docs, nil, books, data.DefaultPolicy(), asOf)
		if p := a.Papers; p.HistoryScore < 0 || p.HistoryScore > 100 || p.EngineHistoryPct < 0 || p.EngineHistoryPct > 100 {
			t.Errorf("score %d, engine %v", p.HistoryScore, p.EngineHistoryPct)
		}
		for _, w := range a.Requests {
			if _, ok := books.Job(w.Job); !ok || !(w.Units > 0) || math.IsInf(w.Units, 0) {
				t.Errorf("a want without a job or units: %+v", w)
			}
		}
	})
}
