package prep

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// chance hands out the fuzzer's bytes; zeros once they are used up.
type chance struct{ b []byte }

func (c *chance) byte() int {
	if len(c.b) == 0 {
		return 0
	}
	v := c.b[0]
	c.b = c.b[1:]
	return int(v)
}

// some returns the items of a list whose bits are set in a byte.
func some[T any](c *chance, list []T) (out []T) {
	bits := c.byte()
	for i, item := range list {
		if bits&(1<<i) != 0 {
			out = append(out, item)
		}
	}
	return out
}

// bookCodes are the jobs of a fuzzed labour book: the last four have rules of
// their own.
var bookCodes = []string{"a", "b", "c", "d", "gas-test", "electrical-test", valetJob, photographsJob}

// others are mostly jobs that stand above in the book, so that circles and
// jobs that no book holds stay few.
func (c *chance) others(at int) []string {
	if c.byte() >= 248 {
		return some(c, bookCodes)
	}
	return some(c, bookCodes[:at])
}

func (c *chance) labourBook() []data.LabourJob {
	var book []data.LabourJob
	for i, code := range bookCodes[:1+c.byte()%len(bookCodes)] {
		likely := float64(c.byte()) / 8
		if c.byte()%16 == 15 {
			likely = 500
		}
		j := data.LabourJob{
			Code: code, Title: code, Skill: data.Skills[c.byte()%len(data.Skills)], Bay: append([]string{""}, data.BayKinds...)[c.byte()%(len(data.BayKinds)+1)],
			HoursLow: likely / 2, HoursLikely: likely, HoursHigh: min(500, 2*likely),
			After: c.others(i), Absorbs: c.others(i), Per: data.PerWords[c.byte()%len(data.PerWords)],
			Gate: data.Gates[c.byte()%len(data.Gates)],
		}
		j.Touches, j.Proves = some(c, data.Systems[:8]), some(c, data.Systems[:8])
		if b := c.byte(); b > 200 {
			j.DryingHours = float64(b-200) * 36 // up to 2,000
		}
		for _, part := range some(c, []string{"p", "q"}) {
			j.Parts = append(j.Parts, data.PartUse{Part: part, Qty: 1 + c.byte()%3})
		}
		if c.byte() == 255 {
			j.Parts = append(j.Parts, data.PartUse{Part: "no such part", Qty: 1})
		}
		book = append(book, j)
	}
	return book
}

func (c *chance) vans(books *data.Books, asOf data.Date) (work []VanJobs) {
	for i := range 1 + c.byte()%3 {
		v := data.Van{StockID: fmt.Sprintf("V%d", i), Status: data.Owned, Body: data.Overcab, Acquired: asOf.AddDays(-c.byte())}
		if b := c.byte(); b > 200 {
			v.PromisedOn = asOf.AddDays(b - 220)
		}
		a := appraise.Assessment{Van: v}
		for _, code := range some(c, bookCodes) {
			a.Requests = append(a.Requests, appraise.JobRequest{Job: code, Place: []string{"", "front", "nearside-rear"}[c.byte()%3], Units: float64(1 + c.byte()%3), AskedOn: asOf})
		}
		var progress []data.Progress
		for _, code := range some(c, bookCodes) {
			p := data.Progress{StockID: v.StockID, Job: code, State: data.JobStates[c.byte()%len(data.JobStates)], Technician: []string{"", "P0", "P1", "gone"}[c.byte()%4]}
			if b := c.byte(); b > 99 {
				p.HoursSpent, p.DoneOn = data.Some(float64(b-100)/4), asOf.AddDays(-b%8)
			}
			if _, ok := books.Job(code); ok { // as the reader has it
				progress = append(progress, p)
			}
		}
		work = append(work, VanJobs{Van: v, Jobs: Jobs(a, progress, books, data.DefaultPolicy(), Calibration{}), ValuePerDay: decimal.NewFromInt(int64(c.byte()))})
	}
	return work
}

func (c *chance) shop(asOf data.Date) Workshop {
	yard := &data.Yard{}
	for i := range 1 + c.byte()%3 {
		p := data.Technician{Name: fmt.Sprintf("P%d", i), Skills: data.Skills}
		if i > 0 || c.byte() > 200 {
			p.Skills = append(some(c, data.Skills), data.Skills[len(data.Skills)-1])
		}
		for d := range p.Hours {
			p.Hours[d] = 8
			if b := c.byte(); b > 128 {
				p.Hours[d] = float64(b%65) / 4 // to midnight at the latest
			}
		}
		yard.Team = append(yard.Team, p)
	}
	kinds := data.BayKinds
	if c.byte() > 200 {
		kinds = some(c, kinds)
	}
	for _, kind := range kinds {
		yard.Bays = append(yard.Bays, data.Bay{Name: kind, Kind: kind, Count: 1 + c.byte()%2})
	}
	for range c.byte() % 3 {
		from := asOf.AddDays(c.byte()%20 - 5)
		yard.Absences = append(yard.Absences, data.Absence{Technician: []string{"", "P0"}[c.byte()%2], From: from, To: from.AddDays(c.byte())})
	}
	return NewWorkshop(yard, []string{"none", "england-wales"}[c.byte()%2])
}

// told is what an earlier plan may have told people, of this yard or another.
func (c *chance) told(asOf data.Date) (blocks []Block) {
	for range c.byte() % 8 {
		at := asOf.AddDays(c.byte()%9 - 4).Time().Add(time.Duration(c.byte()) * 6 * time.Minute)
		blocks = append(blocks, Block{
			StockID: fmt.Sprintf("V%d", c.byte()%4), Job: bookCodes[c.byte()%len(bookCodes)], Technician: fmt.Sprintf("P%d", c.byte()%4),
			Bay: []string{"", "ramp", "ramp 1"}[c.byte()%3], Start: at, Finish: at.Add(time.Duration(1+c.byte()) * 5 * time.Minute),
		})
	}
	return blocks
}

// FuzzLabourBook makes a labour book of the bytes, and vans and a workshop to
// try it on. A book is refused if, and only if, jobs go round in a circle or
// something it names is missing; one that is taken gives a plan that keeps every
// rule of checkPlan.
func FuzzLabourBook(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte("\x07any text will do to make a labour book with eight jobs, vans and people"))
	for _, step := range []int{3, 19, 31, 77, 131, 197} {
		b := make([]byte, 240)
		for i := range b {
			b[i] = byte(i*step + i*i/7)
		}
		f.Add(b)
	}
	// Two jobs that go round, by after and by absorbs; one after itself.
	const (
		begin = "\x10\x00\x00\x01"     // hours, not 500, skill, bay
		end   = "\x00\x00\x00\x00\x00" // per, gate, drying, parts
		none  = "\x00\x00"
		a, b  = "\xff\x01", "\xff\x02"
	)
	f.Add([]byte("\x01" + begin + b + none + end + begin + a + none + end))
	f.Add([]byte("\x01" + begin + none + b + end + begin + none + a + end))
	f.Add([]byte("\x00" + begin + a + none + end))
	f.Fuzz(func(t *testing.T, raw []byte) {
		c := &chance{raw}
		asOf := thursday
		labour := c.labourBook()
		parts := []data.Part{{Code: "p", LeadDays: 3}, {Code: "q", InStock: 2, LeadDays: 1000}}
		books, err := data.NewBooks(nil, labour, parts, nil)
		if sound := isSound(labour, parts); (err == nil) != sound {
			t.Fatalf("sound: %t, NewBooks: %v", sound, err)
		}
		if err != nil {
			return
		}
		work := c.vans(books, asOf)
		shop := c.shop(asOf)
		plan, err := PlanWorkshop(context.Background(), work, shop, books, quick(), asOf, c.told(asOf))
		if err != nil {
			t.Fatal(err)
		}
		if err := checkPlan(plan, work, shop, books, asOf); err != nil {
			t.Fatal(err)
		}
	})
}

// isSound peels off jobs whose predecessors are gone: a circle stays.
func isSound(labour []data.LabourJob, parts []data.Part) bool {
	codes := map[string]bool{}
	for _, j := range labour {
		codes[j.Code] = true
	}
	for _, next := range []func(data.LabourJob) []string{
		func(j data.LabourJob) []string { return j.After }, func(j data.LabourJob) []string { return j.Absorbs },
	} {
		left := slices.Clone(labour)
		for range labour {
			still := slices.Clone(left)
			left = slices.DeleteFunc(left, func(j data.LabourJob) bool {
				return !slices.ContainsFunc(still, func(o data.LabourJob) bool { return slices.Contains(next(j), o.Code) })
			})
		}
		if len(left) > 0 {
			return false
		}
	}
	return !slices.ContainsFunc(labour, func(j data.LabourJob) bool {
		return slices.ContainsFunc(slices.Concat(j.After, j.Absorbs), func(code string) bool { return !codes[code] }) ||
			slices.ContainsFunc(j.Parts, func(u data.PartUse) bool {
				return !slices.ContainsFunc(parts, func(p data.Part) bool { return p.Code == u.Part })
			})
	})
}
