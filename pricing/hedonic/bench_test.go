package hedonic

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
)

// market makes up sales of 300 models of 25 makers in 5 bodies, with curved
// ages, mileages, a gearbox worth more in some bodies, 12 % of noise and one
// price in five hundred ten times too high.
func market(n int) ([]Row, Spec) {
	spec := Spec{
		Numerics: []Numeric{{"age", true}, {"mileage", true}, {"berths", false}, {"length", true}, {"grade", false}, {"month", true}},
		Categories: []Category{{Name: "body"}, {Name: "maker"}, {Name: "model", Within: "maker"},
			{Name: "gearbox"}},
	}
	rng := rand.New(rand.NewPCG(1, 2))
	effect := make([]float64, 300)
	for i := range effect {
		effect[i] = 0.2*rng.NormFloat64() + 0.15*math.Sin(float64(i%25))
	}
	makers, models, bodies := make([]string, 25), make([]string, 300), make([]string, 5)
	for i := range makers {
		makers[i] = fmt.Sprint("maker ", i)
	}
	for i := range models {
		models[i] = fmt.Sprint("model ", i)
	}
	for i := range bodies {
		bodies[i] = fmt.Sprint("body ", i)
	}
	gearboxes := [2]string{"manual", "automatic"}
	rows := make([]Row, n)
	for i := range rows {
		model := int(300 * math.Pow(rng.Float64(), 1.7))
		age := 25 * rng.Float64() * rng.Float64()
		miles := age*6000*rng.Float64() + 2000
		gearbox, body := rng.IntN(2), model%5
		log := 11 + effect[model] - 0.08*age + 0.0012*age*age - 2e-6*miles + 0.06*float64(gearbox*(1+body%3)) + 0.12*rng.NormFloat64()
		if i%500 == 77 {
			log += math.Log(10)
		}
		rows[i] = Row{
			Numerics: []float64{age, miles, float64(2 + rng.IntN(5)), 5500 + 400*float64(body) + 300*rng.Float64(),
				float64(1 + rng.IntN(5)), float64(rng.IntN(60))},
			Categories: []string{bodies[body], makers[model%25], models[model], gearboxes[gearbox]},
			Target:     math.Exp(log),
			Weight:     1,
		}
	}
	return rows, spec
}

func BenchmarkFit(b *testing.B) {
	for _, n := range []int{100, 400, 1_000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			rows, spec := market(n)
			runtime.GC()
			b.ReportAllocs()
			for b.Loop() {
				m, err := Fit(rows, spec, Options{})
				if err != nil {
					b.Fatal(err)
				}
				b.StopTimer()
				reportHeld(b, m)
				b.StartTimer()
			}
		})
	}
}

// reportHeld reports what is in use while m lives, the caller's rows included.
func reportHeld(b *testing.B, m *Model) {
	var stats runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&stats)
	b.ReportMetric(float64(stats.HeapAlloc)/1e6, "MB-held")
	b.ReportMetric(float64(stats.Sys)/1e6, "MB-from-system")
	runtime.KeepAlive(m)
}

func BenchmarkPredict10000(b *testing.B) {
	rows, spec := market(100_000)
	m, err := Fit(rows, spec, Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		for _, r := range rows[:10_000] {
			if _, err := m.Predict(r); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkNearest(b *testing.B) {
	rows, spec := market(100_000)
	m, err := Fit(rows, spec, Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := m.Nearest(rows[7], 8); err != nil {
			b.Fatal(err)
		}
	}
}
