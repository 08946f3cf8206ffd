package pages

import (
	"html/template"
	"strconv"
)

// markup is a piece of a page that is written without a template. A template calls
// every escaper by reflection, which was half the time of a van's page; the parts
// of which a page has hundreds, such as the cells of the damp map, are written
// here: a van's page takes two thirds of the time, a handover one third. What is
// not known when the program is built goes in by text or number, never by raw.
type markup []byte

// raw adds what the program itself says: a constant, since a string that is made
// while it runs is not of this type.
func (m *markup) raw(s constant) { *m = append(*m, s...) }

type constant string

// text adds what may be anything, within an element or a quoted attribute.
func (m *markup) text(s string) { *m = append(*m, template.HTMLEscapeString(s)...) }

func (m *markup) number(n int) { *m = strconv.AppendInt(*m, int64(n), 10) }

// HTML is the piece for a template.
func (m markup) HTML() template.HTML { return template.HTML(m) }

// factList is a list of facts.
type factList []fact

// HTML writes the list.
func (list factList) HTML() template.HTML {
	m := make(markup, 0, 100*len(list))
	for _, f := range list {
		m.raw(`<div><dt>`)
		m.text(f.What)
		m.raw(`</dt><dd>`)
		m.text(f.Value)
		m.raw("</dd></div>\n")
	}
	return m.HTML()
}

// HTML draws the cells of a wall.
func (p panel) HTML() template.HTML {
	m := make(markup, 0, 256*len(p.Cells))
	for _, c := range p.Cells {
		m.raw(`<g><title>`)
		m.text(c.Title)
		m.raw(`</title><rect class="`)
		m.text(c.Class)
		m.raw(`" x="`)
		m.number(c.X)
		m.raw(`" y="`)
		m.number(c.Y)
		m.raw(`" width="38" height="24"/><text class="mid halo" x="`)
		m.number(c.TextX)
		m.raw(`" y="`)
		m.number(c.TextY)
		m.raw(`">`)
		m.text(c.Text)
		m.raw("</text></g>\n")
	}
	return m.HTML()
}

// Rows writes the table of jobs.
func (w workView) Rows() template.HTML {
	m := make(markup, 0, 512*len(w.Jobs))
	for i := range w.Jobs {
		j := &w.Jobs[i]
		m.raw(`<tr id="job-`)
		m.text(j.Code)
		m.raw(`"><th scope="row" class="t">`)
		m.text(j.Title)
		if j.Places != "" {
			m.raw(`: `)
			m.text(j.Places)
		}
		m.raw(`</th><td class="n">`)
		m.text(j.Hours)
		m.raw(`<br><small>`)
		m.text(j.P80)
		m.raw(`</small></td><td class="n">`)
		m.text(j.Labour)
		m.raw(`</td><td class="n">`)
		m.text(j.Parts)
		m.raw(`</td><td class="t">`)
		m.text(j.State)
		m.cell(`</td><td class="t w">`, j.Because, "</td></tr>\n")
	}
	return m.HTML()
}

// Row writes a finding, up to its photos.
func (f findingLine) Row() template.HTML {
	m := make(markup, 0, 400)
	m.raw(`<tr><th scope="row">`)
	m.text(f.Point)
	m.raw(`</th><td>`)
	if f.Value != "" {
		m.text(f.Value)
		m.raw(` `)
	}
	m.raw(`<span class="mark `)
	m.text(f.Mark.Class)
	m.raw(`">`)
	m.text(f.Mark.Word)
	m.raw(`</span></td><td>`)
	m.text(f.Reason)
	m.raw(`.`)
	if f.Job.Text != "" {
		m.raw(` Work: `)
		if f.Job.Href != "" {
			m.raw(`<a href="`)
			m.text(f.Job.Href)
			m.raw(`">`)
			m.text(f.Job.Text)
			m.raw(`</a>`)
		} else {
			m.text(f.Job.Text)
		}
	}
	return m.HTML()
}

// cell adds an element with a text: cell(`<td class="n">`, x, `</td>`).
func (m *markup) cell(before constant, text string, after constant) {
	m.raw(before)
	m.text(text)
	m.raw(after)
}

// Past writes the table of past sales most like a van.
func (p priceView) Past() template.HTML {
	m := make(markup, 0, 300*len(p.Comparables))
	for _, c := range p.Comparables {
		m.cell(`<tr><th scope="row">`, c.SaleID, `</th>`)
		m.cell(`<td class="t">`, c.Van, `</td>`)
		m.cell(`<td>`, c.Age, `</td>`)
		m.cell(`<td class="n">`, c.Miles, `</td>`)
		m.cell(`<td>`, c.Sold, `</td>`)
		m.cell(`<td class="n">`, c.Price, `</td>`)
		m.cell(`<td class="n">`, c.Adjusted, "</td></tr>\n")
	}
	return m.HTML()
}

// Factors writes what makes up a value.
func (p priceView) Factors() template.HTML {
	m := make(markup, 0, 100*len(p.Explained))
	for _, f := range p.Explained {
		m.cell(`<tr><th scope="row">`, f.What, `</th>`)
		m.cell(`<td class="n">`, f.Value, "</td></tr>\n")
	}
	return m.HTML()
}

// ByDay writes every paper and gap.
func (p papersView) ByDay() template.HTML {
	m := make(markup, 0, 200*len(p.Events))
	for _, e := range p.Events {
		m.cell(`<tr><th scope="row">`, e.When, `</th><td class="t">`)
		if e.Gap {
			m.raw(`<b>Gap:</b> `)
		}
		m.text(e.What)
		if e.Miles != "" {
			m.cell(`, `, e.Miles, ` miles`)
		}
		m.cell(`</td><td>`, e.Evidence, "</td></tr>\n")
	}
	return m.HTML()
}

// ScoreLines writes what the history score is made of.
func (p papersView) ScoreLines() template.HTML {
	m := make(markup, 0, 120*len(p.Lines))
	for _, l := range p.Lines {
		m.cell(`<tr><th scope="row">`, l.What, `</th>`)
		m.cell(`<td class="n">`, l.Points, `</td>`)
		m.cell(`<td class="n">`, l.Of, "</td></tr>\n")
	}
	return m.HTML()
}

// HTML writes the steps of a part of the walk.
func (p walkPart) HTML() template.HTML {
	m := make(markup, 0, 300*len(p.Steps))
	for _, step := range p.Steps {
		m.raw(`<li><p class="number">`)
		m.number(step.Number)
		m.raw(`</p><div><p>`)
		m.cell(`<b>`, step.Title, `.</b> `)
		m.text(step.Text)
		if step.Caution != "" {
			m.cell(` <b>Take care:</b> `, step.Caution, ``)
		}
		m.raw("</p></div><p class=\"shown\"><i class=\"tick\"></i></p></li>\n")
	}
	return m.HTML()
}

// Booklet writes the steps as the owner reads them at home.
func (p walkPart) Booklet() template.HTML {
	m := make(markup, 0, 500*len(p.Steps))
	for _, step := range p.Steps {
		m.raw(`<li><p class="number">`)
		m.number(step.Number)
		m.cell("</p><div>\n<h3>", step.Title, "</h3>\n")
		m.cell(`<p>`, step.Text, "</p>\n")
		if step.UsualMistake != "" {
			m.cell(`<p><b>Usual mistake:</b> `, step.UsualMistake, "</p>\n")
		}
		if step.Caution != "" {
			m.cell(`<p class="caution"><b>Take care.</b> `, step.Caution, "</p>\n")
		}
		m.raw("</div></li>\n")
	}
	return m.HTML()
}
