package pages

import (
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

// shot is a photo as a page shows it.
type shot struct {
	Href    string // from the page
	Alt     string
	Caption string
}

// showPhotos has a van's page, one folder below the reports, show those of its
// photos that are wanted there.
func (l *layout) showPhotos(v *night.Van, wanted func(night.Photo) bool) {
	for _, p := range v.Photos {
		if wanted(p) {
			l.Photos = append(l.Photos, shotOf(v, p))
		}
	}
}

func shotOf(v *night.Van, p night.Photo) shot {
	s := shot{Href: "../" + p.Shown, Alt: "Photo of the van"}
	if p.Checkpoint != "" {
		what := p.Checkpoint
		for _, f := range v.Assessment.Findings {
			if f.Code == p.Checkpoint {
				what = f.Title
				if f.Position == p.Position {
					s.Caption = f.Verdict.String()
					break
				}
			}
		}
		if p.Position != "" {
			what += ", " + data.Title(p.Position)
		}
		s.Alt = "Photo of: " + what
		s.Caption = strings.TrimPrefix(strings.TrimSuffix(what+": "+s.Caption, ": "), ": ")
	}
	if p.Note != "" {
		s.Caption = strings.TrimPrefix(s.Caption+". "+p.Note, ". ")
	}
	if !p.TakenOn.IsZero() {
		s.Caption = strings.TrimPrefix(s.Caption+", "+day(p.TakenOn), ", ")
	}
	return s
}

// Which photos a page wants: all, what is not sound, what a van's open jobs are to
// mend, and what a customer may see.
func everyPhoto(night.Photo) bool { return true }

func forCustomers(p night.Photo) bool { return p.Customer }

func ofFaults(v *night.Van) func(night.Photo) bool {
	return func(p night.Photo) bool {
		for _, f := range v.Assessment.Findings {
			if p.Checkpoint != "" && f.Code == p.Checkpoint && f.Position == p.Position && f.Verdict > data.Sound {
				return true
			}
		}
		return false
	}
}

func ofOpenJobs(v *night.Van) func(night.Photo) bool {
	return func(p night.Photo) bool {
		for _, j := range v.Jobs {
			if !j.Open() || p.Checkpoint == "" {
				continue
			}
			for _, f := range v.Assessment.Findings {
				if f.Code == p.Checkpoint && f.Position == p.Position && f.Job == j.Code && f.Verdict > data.Sound {
					return true
				}
			}
		}
		return false
	}
}

// shotsAt are the photos that were taken at a finding.
func shotsAt(v *night.Van, checkpoint, position string) []shot {
	var out []shot
	for _, p := range v.Photos {
		if p.Checkpoint == checkpoint && p.Position == position {
			out = append(out, shotOf(v, p))
		}
	}
	return out
}
