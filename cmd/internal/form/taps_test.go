package form

import (
	"fmt"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
	"github.com/vanwright/vanwright/data"
)

// The van of 50 points: what a salesman looks at in a quarter of an hour. Digits
// that only a keyboard can give, the registration, mileage and measured values,
// are its only key presses.
func TestVanOfFiftyPointsTakesAHundredTaps(t *testing.T) {
	known := data.Van{StockID: "K1", Maker: "Brackwater", Model: "Tern 640", Body: data.Overcab, FirstRegistered: data.NewDate(2018, 3, 1), Status: data.Owned}
	p := openForm(t, known)
	p.Do(browsertest.JS(`rememberPerson("Una Marl"); van.set("field:inspector", person()); fillVan()`)) // from an earlier van
	typed := 0
	keys := func(selector, digits string) {
		p.Type(selector, digits)
		typed += len(digits)
	}
	points := 0
	next := func() {
		before := browsertest.Ask[string](p.Phone, "here")
		p.Tap("#next")
		p.Wait(fmt.Sprintf("here !== %q", before))
	}
	sound := func(code string) { p.Tap("#" + code + " .verdicts label:nth-child(1)"); points++ }
	worn := func(code string) { p.Tap("#" + code + " .verdicts label:nth-child(2)"); points++ }

	keys("#f-reg", "ab01cde")
	p.Tap("#f-maker")
	p.Tap(".suggestions button") // the model and the body with it
	p.Pick("#f-first_registered", "2016-05-01")
	keys("#f-mileage", "41200")
	next()
	for _, word := range []string{"gas-locker", "hob", "three-way-fridge", "hookup", "battery-lead-acid", "freshwater-tank", "cassette-toilet", "smoke-alarm"} {
		p.Tap(".tick:has([value=" + word + "])")
	}
	visited := browsertest.Ask[[]string](p.Phone, `steps().map((s) => s.code)`)
	for {
		next()
		here := browsertest.Ask[string](p.Phone, "here")
		if here == "paperwork" {
			break
		}
		for _, c := range browsertest.Ask[[]string](p.Phone, `zoneShown.points.filter((p) => unreadAt(p, zoneShown.wheel).length).map((p) => p.code)`) {
			if points >= 50 {
				break
			}
			unit := browsertest.Ask[string](p.Phone, fmt.Sprintf("points.get(%q).unit", c))
			places := browsertest.Ask[int](p.Phone, fmt.Sprintf("placesOf(points.get(%q)).length", c))
			wheel := browsertest.Ask[bool](p.Phone, "Boolean(zoneShown.wheel)")
			switch {
			case c == "damp":
				for _, side := range []string{"nearside", "offside"} {
					p.Tap(".to-side[value=" + side + "]")
					p.Tap(".spot")
					for range 5 {
						p.Keystrokes("#damp .value input", "12\r")
						typed += 3
						points++
					}
				}
			case unit == "mm":
				keys("#"+c+" .value input", "5")
				points++
			case unit == "code":
				keys("#"+c+" .value input", "2319")
				points++
				p.Tap("#" + c + " .same")
				points += 3
			case unit == "date":
				p.Pick("#"+c+" .value input", "2022-04")
				points++
			case unit != "":
				keys("#"+c+" .value input", browsertest.Ask[string](p.Phone, fmt.Sprintf("String(Math.ceil(points.get(%q).least))", c)))
				points++
			case places > 0 && !wheel:
				p.Tap("#" + c + " .places [value='*']")
				sound(c)
			case points%9 == 8:
				worn(c)
			default:
				sound(c)
				if wheel {
					p.Tap("#" + c + " .same")
					points += 3
				}
			}
		}
	}
	p.Tap("#adds [data-paper=mot][value=yes]")
	p.Pick(".paper [data-cell=dated]", "2025-09-12")
	p.Tap(".paper .year")
	p.Tap("#adds [data-paper=registration][value=yes]")
	p.Tap("#adds [data-paper=habitation-service][value=no]")
	taps, pressed := p.Taps+2, p.Keys // to the last step, and the one that hands in
	s := p.takeSlip()
	readings := len(s.Table("readings.csv"))
	t.Logf("%d taps and %d key presses for %d readings on %d steps", taps, pressed, readings, len(visited))
	if readings < 50 {
		t.Errorf("%d readings, want 50", readings)
	}
	if taps > 100 {
		t.Errorf("%d taps, want 100 at most", taps)
	}
	if pressed != typed {
		t.Errorf("%d key presses, of which %d were digits to be typed", pressed, typed)
	}
	p.Quiet()
}
