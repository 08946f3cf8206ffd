package data

// HandoverStep is one row of the handover book: something to show a new owner.
type HandoverStep struct {
	Equipment    string // blank: every van
	Step         string
	Title        string
	Text         string
	Caution      string
	Season       string // summer, winter or blank
	Zone         string
	UsualMistake string
	Essential    bool // shown at every handover; the others are in the booklet
	Order        int  // place in the walk
	Source       Source
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
	Essential    string `csv:"essential"`
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
		Essential:    c.yesNo("essential", raw.Essential),
		Source:       at,
	}
}
