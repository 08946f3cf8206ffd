package replay

import (
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Two ways see the same draws, and nobody works when away, without the skill or
// twice at once.
func TestADayKeepsTheRulesOfTheFloor(t *testing.T) {
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	s := newState(newYard(books, "none", Kinds[0], 5, 3), data.DefaultPolicy())
	s.absent["Ada"][0] = true
	work := s.work()
	s.order(work)
	s.workDay(work, s.byRule(work, Ways[1]))
	worked := 0
	for id, rows := range s.progress {
		for _, row := range rows {
			book, _ := books.Job(row.Job)
			for _, tech := range s.shop.Team {
				if tech.Name == row.Technician && !tech.HasSkill(book.Skill) {
					t.Errorf("%s does %s on %s without the skill %s", row.Technician, row.Job, id, book.Skill)
				}
			}
			if row.Technician == "Ada" {
				t.Errorf("Ada is away and works on %s", id)
			}
			worked += int(row.HoursSpent.Value*60 + 0.5)
		}
	}
	if most := 5 * 8 * 60; worked == 0 || worked > most {
		t.Errorf("five people work %d minutes of at most %d", worked, most)
	}
}

func TestPartsAreThereWhenTheyHaveTrulyArrived(t *testing.T) {
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	s := newState(newYard(books, "none", Kinds[0], 40, 3), data.DefaultPolicy())
	work := s.work()
	s.order(work)
	if len(s.orders) == 0 {
		t.Fatal("nothing was ordered")
	}
	for _, w := range work {
		for i := range w.Jobs {
			j := &w.Jobs[i]
			before := s.hasParts(j)
			s.now = 39 // after the longest lead time of the built-in book and the latest delay
			if !s.hasParts(j) {
				t.Errorf("%s %s has not its parts after 39 days", j.StockID, j.Code)
			}
			s.now = 0
			if missing := func() bool {
				for _, use := range j.Parts {
					if s.partsOn[jobPart{j.StockID, j.Code, use.Part}] > day0 {
						return true
					}
				}
				return false
			}(); before == missing && len(j.Parts) > 0 {
				t.Errorf("%s %s: parts there %t, on order %t", j.StockID, j.Code, before, missing)
			}
		}
	}
}
