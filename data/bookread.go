package data

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

//go:embed books/*.csv
var builtIn embed.FS

// BookFiles are the names of the four books.
var BookFiles = []string{"labour.csv", "parts.csv", "checkpoints.csv", "handover.csv"}

// BuiltInBooks returns the four books that the program brings along, as files
// to be written out and edited.
func BuiltInBooks() fs.FS {
	books, err := fs.Sub(builtIn, "books")
	if err != nil {
		panic(err) // only for a malformed path
	}
	return books
}

type rawCheckpoint struct {
	Checkpoint string `csv:"checkpoint" need:"yes"`
	Title      string `csv:"title" need:"yes"`
	Zone       string `csv:"zone"`
	Unit       string `csv:"unit" need:"yes"`
	Positions  string `csv:"positions"`
	Fitted     string `csv:"fitted"`
	WornAt     string `csv:"worn_at" need:"yes"`
	DefectAt   string `csv:"defect_at" need:"yes"`
	UnsafeAt   string `csv:"unsafe_at" need:"yes"`
	Direction  string `csv:"direction" need:"yes"`
	Job        string `csv:"job" need:"yes"`
	WornJob    string `csv:"worn_job"`
	System     string `csv:"system"`
	RiskNewPct string `csv:"risk_new_pct"`
	RiskOldPct string `csv:"risk_old_pct"`
	RiskJob    string `csv:"risk_job"`
	How        string `csv:"how"`
	Caution    string `csv:"caution"`
	Source     string `csv:"source"`
}

// Directions say which way a value gets worse.
const (
	highBad = "high-bad"
	lowBad  = "low-bad"
)

// bookCode reads the code by which another book or table calls a row.
func (c *cells) bookCode(column, value string) string {
	value = strings.TrimSpace(value)
	const expected = "a code of 1 to 60 letters, digits, hyphens, underscores and dots"
	if !c.need(column, value, expected) {
		return ""
	}
	if len(value) > 60 || value[0] == '.' || strings.ContainsFunc(value, notInCode) {
		c.refuse(column, value, column+".form", expected)
		return ""
	}
	return strings.Clone(value)
}

func notInCode(r rune) bool {
	return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' || r == '.')
}

// codes reads a list of codes separated by semicolons.
func (c *cells) codes(column, value string) []string {
	var out []string
	for code := range strings.SplitSeq(value, ";") {
		if strings.TrimSpace(code) != "" {
			out = append(out, c.bookCode(column, code))
		}
	}
	return out
}

func (c *cells) optCode(column, value string) string {
	if strings.TrimSpace(value) == "" {
		return ""
	}
	return c.bookCode(column, value)
}

func parseCheckpoint(raw *rawCheckpoint, c *cells, at Source) Checkpoint {
	const far = 1e9
	p := Checkpoint{
		Code:       c.bookCode("checkpoint", raw.Checkpoint),
		Title:      c.needLabel("title", raw.Title),
		Zone:       c.label("zone", raw.Zone),
		Unit:       c.label("unit", raw.Unit),
		Positions:  c.codes("positions", strings.ToLower(raw.Positions)),
		Fitted:     words(c, "fitted", raw.Fitted, EquipmentWords),
		WornAt:     c.number("worn_at", raw.WornAt, -far, far),
		DefectAt:   c.number("defect_at", raw.DefectAt, -far, far),
		UnsafeAt:   c.number("unsafe_at", raw.UnsafeAt, -far, far),
		Job:        c.optCode("job", raw.Job),
		WornJob:    c.optCode("worn_job", raw.WornJob),
		System:     c.label("system", raw.System),
		RiskNewPct: c.number("risk_new_pct", raw.RiskNewPct, 0, 100).Value,
		RiskOldPct: c.number("risk_old_pct", raw.RiskOldPct, 0, 100).Value,
		RiskJob:    c.optCode("risk_job", raw.RiskJob),
		How:        c.note("how", raw.How),
		Caution:    c.note("caution", raw.Caution),
		Reference:  c.note("source", raw.Source),
		Source:     at,
	}
	direction := word(c, "direction", raw.Direction, []string{highBad, lowBad})
	p.HighBad = direction == highBad
	limited := p.WornAt.Known || p.DefectAt.Known || p.UnsafeAt.Known
	switch {
	case limited && direction == "" && !c.refused("direction"):
		c.refuse("direction", "", "direction.missing", "high-bad or low-bad, as there are limits")
	case limited && p.Unit == "" && !c.refused("unit"):
		c.refuse("unit", "", "unit.missing", "a unit, as there are limits")
	}
	return p
}

type rawLabourJob struct {
	Job              string `csv:"job" need:"yes"`
	Title            string `csv:"title" need:"yes"`
	Skill            string `csv:"skill" need:"yes"`
	Bay              string `csv:"bay" need:"yes"`
	HoursLow         string `csv:"hours_low" need:"yes"`
	HoursLikely      string `csv:"hours_likely" need:"yes"`
	HoursHigh        string `csv:"hours_high" need:"yes"`
	FactorPanelVan   string `csv:"factor_panel_van" also:"body_factor_panel_van,panel_van_factor,panel_van"`
	FactorRisingRoof string `csv:"factor_rising_roof" also:"body_factor_rising_roof,rising_roof_factor,rising_roof"`
	FactorLowProfile string `csv:"factor_low_profile" also:"body_factor_low_profile,low_profile_factor,low_profile"`
	FactorOvercab    string `csv:"factor_overcab" also:"body_factor_overcab,overcab_factor,overcab"`
	FactorAClass     string `csv:"factor_a_class" also:"body_factor_a_class,a_class_factor,a_class"`
	DryingHours      string `csv:"drying_hours"`
	After            string `csv:"after"`
	Parts            string `csv:"parts"`
	Gate             string `csv:"gate"`
	Absorbs          string `csv:"absorbs"`
	Per              string `csv:"per"`
	Caution          string `csv:"caution"`
	Source           string `csv:"source"`
}

// PerWords say what one unit of a labour job is.
var PerWords = []string{"van", "position", "area"}

func parseLabourJob(raw *rawLabourJob, c *cells, at Source) LabourJob {
	const mostHours = 500
	j := LabourJob{
		Code:        c.bookCode("job", raw.Job),
		Title:       c.needLabel("title", raw.Title),
		Skill:       needWord(c, "skill", raw.Skill, Skills),
		Bay:         word(c, "bay", raw.Bay, BayKinds), // blank: work that needs no bay
		HoursLow:    c.number("hours_low", raw.HoursLow, 0, mostHours).Value,
		HoursLikely: c.number("hours_likely", raw.HoursLikely, 0, mostHours).Value,
		HoursHigh:   c.number("hours_high", raw.HoursHigh, 0, mostHours).Value,
		BodyFactor:  map[Body]float64{},
		DryingHours: c.number("drying_hours", raw.DryingHours, 0, 2000).Value,
		After:       c.codes("after", raw.After),
		Parts:       c.partUses("parts", raw.Parts),
		Gate:        word(c, "gate", raw.Gate, Gates),
		Absorbs:     c.codes("absorbs", raw.Absorbs),
		Per:         word(c, "per", raw.Per, PerWords),
		Caution:     c.note("caution", raw.Caution),
		Reference:   c.note("source", raw.Source),
		Source:      at,
	}
	for _, h := range []struct{ column, value string }{
		{"hours_low", raw.HoursLow}, {"hours_likely", raw.HoursLikely}, {"hours_high", raw.HoursHigh},
	} {
		c.need(h.column, h.value, "labour hours such as 1.5")
	}
	if len(c.bad) == 0 && !(j.HoursLow <= j.HoursLikely && j.HoursLikely <= j.HoursHigh) {
		c.refuse("hours_likely", raw.HoursLikely, "hours_likely.order", "hours_low ≤ hours_likely ≤ hours_high")
	}
	if j.Per == "" {
		j.Per = "van"
	}
	for _, f := range []struct {
		column, value string
		body          Body
	}{
		{"factor_panel_van", raw.FactorPanelVan, PanelVan}, {"factor_rising_roof", raw.FactorRisingRoof, RisingRoof},
		{"factor_low_profile", raw.FactorLowProfile, LowProfile}, {"factor_overcab", raw.FactorOvercab, Overcab},
		{"factor_a_class", raw.FactorAClass, AClass},
	} {
		if n := c.number(f.column, f.value, 0.05, 20); n.Known {
			j.BodyFactor[f.body] = n.Value
		}
	}
	return j
}

// partUses reads a list such as tyre*2;valve; without a number one is meant.
func (c *cells) partUses(column, value string) []PartUse {
	var out []PartUse
	for item := range strings.SplitSeq(value, ";") {
		item = strings.TrimSpace(item)
		if item == "" {
			continue
		}
		code, times, many := strings.Cut(item, "*")
		use := PartUse{Part: c.bookCode(column, code), Qty: 1}
		if many {
			n, ok := parseWhole(strings.TrimSpace(times))
			if !ok || n < 1 || n > 1000 {
				c.refuse(column, item, column+".quantity", "code*quantity with a whole quantity from 1 to 1000")
			}
			use.Qty = n
		}
		if slices.ContainsFunc(out, func(u PartUse) bool { return u.Part == use.Part }) {
			c.refuse(column, item, column+".duplicate", "each part once")
		}
		out = append(out, use)
	}
	return out
}

type rawPart struct {
	Part     string `csv:"part" need:"yes"`
	Title    string `csv:"title" need:"yes"`
	UnitCost string `csv:"unit_cost" need:"yes"`
	InStock  string `csv:"in_stock"`
	LeadDays string `csv:"lead_days"`
	Supplier string `csv:"supplier"`
	Bin      string `csv:"bin"`
}

func parsePart(raw *rawPart, c *cells, at Source) Part {
	c.need("unit_cost", raw.UnitCost, "the price of one, ex VAT")
	return Part{
		Code:     c.bookCode("part", raw.Part),
		Title:    c.needLabel("title", raw.Title),
		UnitCost: c.money("unit_cost", raw.UnitCost).Value,
		InStock:  c.whole("in_stock", raw.InStock, 0, 1_000_000).Value,
		LeadDays: c.whole("lead_days", raw.LeadDays, 0, 1000).Value,
		Supplier: c.label("supplier", raw.Supplier),
		Bin:      c.label("bin", raw.Bin),
		Source:   at,
	}
}

type rawHandoverStep struct {
	Equipment    string `csv:"equipment" need:"yes"`
	Step         string `csv:"step" need:"yes"`
	Title        string `csv:"title" need:"yes"`
	Text         string `csv:"text" need:"yes"`
	Caution      string `csv:"caution"`
	Season       string `csv:"season"`
	Zone         string `csv:"zone"`
	UsualMistake string `csv:"usual_mistake"`
	Order        string `csv:"order"`
}

// SeasonWords are the seasons of a handover step; a blank is all year.
var SeasonWords = []string{"summer", "winter"}

func parseHandoverStep(raw *rawHandoverStep, c *cells, at Source) HandoverStep {
	return HandoverStep{
		Equipment:    word(c, "equipment", raw.Equipment, EquipmentWords),
		Step:         c.needLabel("step", raw.Step),
		Title:        c.needLabel("title", raw.Title),
		Text:         c.note("text", raw.Text),
		Caution:      c.note("caution", raw.Caution),
		Season:       word(c, "season", raw.Season, SeasonWords),
		Zone:         c.label("zone", raw.Zone),
		UsualMistake: c.note("usual_mistake", raw.UsualMistake),
		Order:        c.whole("order", raw.Order, 0, 1_000_000).Or(at.Line), // else as they stand
		Source:       at,
	}
}

// bookFile is one book as read, the yard's own or built in.
type bookFile[T any] struct {
	table[T]
	own bool
}

// readBook reads the yard's own book, or the built-in one where it has none.
// Rows that cannot be used are errors: a price worked out from half a book
// would look like any other price.
func readBook[R, T any](ctx context.Context, yard *tables, name string, parse rowParser[R, T]) (bookFile[T], error) {
	f, err := yard.read(name, true)
	own := err == nil
	if errors.Is(err, fs.ErrNotExist) {
		f, err = readFile(builtIn, "books/"+name, false)
	}
	if err != nil {
		return bookFile[T]{}, err
	}
	if !own {
		f.name = builtInName(name)
	}
	t, err := readTable(ctx, f, tableOptions{gocsv: true}, parse)
	if err != nil {
		return bookFile[T]{}, err
	}
	problems := make([]string, len(t.rejects))
	for i, r := range t.rejects {
		problems[i] = r.String()
	}
	if own && len(t.records) == 0 && len(problems) == 0 {
		problems = append(problems, f.name+" holds no rows; remove it to use the built-in book")
	}
	return bookFile[T]{t, own}, problemList(problems)
}

// builtInName is the Source.File of a built-in book's rows.
func builtInName(name string) string { return "built-in " + name }

// problemList makes one error of many sentences; nil of none.
func problemList(problems []string) error {
	const most = 3
	if len(problems) == 0 {
		return nil
	}
	if more := len(problems) - most; more > 0 {
		problems = append(problems[:most:most], fmt.Sprintf("and %d more", more))
	}
	return errors.New(strings.Join(problems, "\n"))
}
