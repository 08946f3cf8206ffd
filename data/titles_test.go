package data

import "testing"

func TestTitlesReadAsPeopleSayThem(t *testing.T) {
	for code, want := range map[string]string{
		"electrics-12v": "12 V electrics", "hookup": "230 V hook-up", "co-alarm": "CO alarm", "registration": "V5C",
		"offside-rear-low": "offside rear low", "": "", "service-book": "service book", "a-class": "A-class",
	} {
		if got := Title(code); got != want {
			t.Errorf("Title(%q) = %q, want %q", code, got, want)
		}
	}
	if got, want := Heading("service-book"), "Service book"; got != want {
		t.Errorf("Heading gives %q, want %q", got, want)
	}
	if got, want := Titles([]string{"mot", "key-code"}), "MOT, key code"; got != want {
		t.Errorf("Titles gives %q, want %q", got, want)
	}
}

// A number of the readings tables has one spelling wherever it is shown.
func TestValuesCarryTheirUnit(t *testing.T) {
	for _, c := range []struct{ value, unit, want string }{
		{"54", "percent", "54%"}, {"12.6", "V", "12.6 V"}, {"2", "count", "2"}, {"2319", "code", "2319"},
		{"61", "degC", "61 °C"}, {"1.5", "megohm", "1.5 MΩ"}, {"", "mm", ""}, {"3.5", "mm", "3.5 mm"}, {"ok", "", "ok"},
	} {
		if got := WithUnit(c.value, c.unit); got != c.want {
			t.Errorf("WithUnit(%q, %q) = %q, want %q", c.value, c.unit, got, c.want)
		}
	}
}

func TestATitleWithinASentence(t *testing.T) {
	for title, want := range map[string]string{
		"Auxiliary belt": "auxiliary belt", "MOT test fee, class 4": "MOT test fee, class 4", "12 V socket": "12 V socket", "V2": "V2", "": "",
	} {
		if got := Within(title); got != want {
			t.Errorf("Within(%q) = %q, want %q", title, got, want)
		}
	}
}

func TestTheFirstFewOfManyThings(t *testing.T) {
	for _, c := range []struct {
		things []string
		want   string
	}{
		{nil, ""},
		{[]string{"a", "b", "c", "d"}, "a, b, c, d"}, // one more takes no more room than its count
		{[]string{"a", "b", "c", "d", "e"}, "a, b, c and 2 more"},
		{[]string{"coolant, litre", "belt"}, "coolant, litre; belt"},
		{[]string{"a", "coolant, litre", "c", "d", "e"}, "a; coolant, litre; c and 2 more"},
	} {
		if got := FirstFew(c.things); got != c.want {
			t.Errorf("FirstFew(%q) = %q, want %q", c.things, got, c.want)
		}
	}
}
