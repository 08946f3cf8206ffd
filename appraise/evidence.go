package appraise

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// doneJob is work that was done on the van.
type doneJob struct {
	book   *data.LabourJob
	on     data.Date
	source data.Source
}

// doneJobs lists the finished work whose day is known, by day then job. progress
// holds one row for each job.
func (in *inspection) doneJobs(progress []data.Progress) []doneJob {
	var out []doneJob
	for i := range progress {
		p := &progress[i]
		book, ok := in.books.Job(p.Job)
		if ok && p.State == data.JobDone && !p.DoneOn.IsZero() && p.DoneOn <= in.asOf {
			out = append(out, doneJob{book, p.DoneOn, p.Source})
		}
	}
	slices.SortFunc(out, func(a, b doneJob) int {
		return cmp.Or(cmp.Compare(a.on, b.on), cmp.Compare(a.book.Code, b.book.Code))
	})
	return out
}

// Touches reports whether a job opens or changes a system. A job of which the
// labour book says neither what it touches nor what it proves touches what its
// skill is for: gas, or the 230 V side.
func Touches(job *data.LabourJob, system string) bool {
	if len(job.Touches) > 0 || len(job.Proves) > 0 {
		return slices.Contains(job.Touches, system)
	}
	return job.Skill == "gas" && system == systemGas || job.Skill == "electrical" && system == systemMains
}

// The systems whose tests are papers of their own.
const (
	systemGas   = "gas"
	systemMains = "electrics-230v"
	systemDamp  = "damp"
)

// coverSystem is the system that a paper with a cover word speaks of, where work
// on it makes the paper history. An engine's service is not undone by the next
// repair.
var coverSystem = map[string]string{"gas": systemGas, "electrics": systemMains, "damp": systemDamp}

// outdated says why a paper of a day no longer proves what it covers: work on
// that system, or a fault found in it, after that day. It is blank while the
// paper stands. A test on the day of the work counts as after it.
func (in *inspection) outdated(cover string, dated data.Date) string {
	system := coverSystem[cover]
	if system == "" {
		return ""
	}
	for _, j := range in.done {
		if j.on > dated && Touches(j.book, system) {
			return fmt.Sprintf("work after it, on %s: %s", j.on.Words(), j.book.Title)
		}
	}
	for i := range in.faults {
		if f := in.faults[i]; f.System == system && f.TakenOn > dated && f.TakenOn <= in.asOf {
			return fmt.Sprintf("a fault was found on %s (%s)", f.TakenOn.Words(), f.Point())
		}
	}
	return ""
}

// evidence returns the papers without those that no longer prove what they say
// of a cover, and with our own work that does: a belt changed by our own
// technician is a belt changed. Certificates need their paper.
// A duty is asked about up to eight times a van, so what was found is kept.
func (in *inspection) evidence(d *duty, docs []data.Document) []data.Document {
	for _, p := range in.proofs {
		if p.duty == d {
			return p.docs
		}
	}
	found := in.findEvidence(d, docs)
	in.proofs = append(in.proofs, proof{d, found})
	return found
}

// proof is a duty's evidence, among the papers of the van in hand.
type proof struct {
	duty *duty
	docs []data.Document
}

func (in *inspection) findEvidence(d *duty, docs []data.Document) []data.Document {
	out := docs
	for i := range docs {
		if p := &docs[i]; covers(p, d.cover) && in.outdated(d.cover, p.Dated) != "" {
			out = slices.DeleteFunc(slices.Clone(docs), func(p data.Document) bool {
				return covers(&p, d.cover) && in.outdated(d.cover, p.Dated) != ""
			})
			break
		}
	}
	if !d.ours {
		return out
	}
	for _, j := range in.done {
		if slices.ContainsFunc(d.jobs, func(code string) bool { return code == j.book.Code || slices.Contains(j.book.Absorbs, code) }) {
			out = append(slices.Clip(out), data.Document{
				StockID: in.van.StockID, Kind: "other", Dated: j.on, Evidence: "original", Covers: []string{d.cover},
				Held: "yes", Note: OurWork, Source: j.source,
			})
		}
	}
	return out
}

// faults are the findings that make papers of their systems history.
func faults(findings []Finding) []*Finding {
	var out []*Finding
	for i := range findings {
		f := &findings[i]
		if f.Verdict >= data.Defect && (f.System == systemGas || f.System == systemMains || f.System == systemDamp) {
			out = append(out, f)
		}
	}
	return out
}

// OurWork is the note of evidence that is the dealer's own work.
const OurWork = "our own work"

// stands is a duty's standing by the evidence that still proves something.
func (in *inspection) stands(d *duty, docs []data.Document) standing {
	return d.stands(&in.van, in.evidence(d, docs), in.asOf)
}

// ended lists the papers that have become history, by day.
func (in *inspection) ended(docs []data.Document) []EndedPaper {
	var out []EndedPaper
	for i := range docs {
		p := &docs[i]
		if !proves(p, in.asOf) || p.Dated.IsZero() {
			continue
		}
		for _, d := range duties {
			if !covers(p, d.cover) {
				continue
			}
			if why := in.outdated(d.cover, p.Dated); why != "" {
				out = append(out, EndedPaper{Kind: p.Kind, Cover: d.cover, Dated: p.Dated, Why: why, Source: p.Source})
			}
		}
	}
	return out
}

// certificates are the kinds of paper that lift a stop on a system. A point of
// any other system is lifted by a later reading alone.
var certificates = map[string]string{
	systemGas: "gas-certificate", systemMains: "electrical-certificate",
	"running-gear": kindMOT, "brakes": kindMOT, "tyres": kindMOT, "engine": kindMOT, "roadworthiness": kindMOT,
}

// certificate is the kind of paper that lifts a stop of a finding; blank where none
// does. The spare wheel is not part of an MOT's pass or fail (MOT inspection manual
// section 5.2.2, quoted at wildcamping.co.uk).
func (f *Finding) certificate() string {
	if f.OfTyre() && f.Position == spare {
		return ""
	}
	return certificates[f.System]
}

// certified reports whether a paper of the day of a reading or later has the
// point's system tested, with no work on it since.
func (in *inspection) certified(f *Finding, docs []data.Document) bool {
	kind := f.certificate()
	if kind == "" {
		return false
	}
	return slices.ContainsFunc(docs, func(p data.Document) bool {
		if p.Kind != kind || !proves(&p, in.asOf) || p.Dated < f.TakenOn {
			return false
		}
		return !in.workedOn(f.System, p.Dated)
	})
}

// workedOn reports whether work on a system was done after a day.
func (in *inspection) workedOn(system string, after data.Date) bool {
	return slices.ContainsFunc(in.done, func(j doneJob) bool { return j.on > after && Touches(j.book, system) })
}

// followUp says of each finding with a fault whether its work was done since, and
// whether an unsafe one still stops the van. A repair alone does not lift the
// stop, and no word does: a later reading or a certificate must.
func (in *inspection) followUp(findings []Finding, docs []data.Document) {
	for i := range findings {
		f := &findings[i]
		if f.Verdict < data.Worn {
			continue
		}
		f.Stops = f.Verdict == data.Unsafe && !in.certified(f, docs)
		f.MendedOn = in.mendedOn(f)
		if f.MendedOn.IsZero() {
			continue
		}
		f.Reread = f.Unit != "" || f.Stops || in.tested(f.System)
		f.Reason += "; mended on " + f.MendedOn.Words()
		if f.Reread {
			f.Reason += ", to be read again"
		}
	}
}

// mendedOn returns the day on which a finding's job, or one that takes it in, was
// done after the reading; unknown where it was not. Looking again mends nothing.
func (in *inspection) mendedOn(f *Finding) (on data.Date) {
	want := f.Job
	if f.OfTyre() && f.Position == spare {
		want = tyreSpareJob // four new tyres are those of the road wheels
	}
	for _, j := range in.done {
		if want != "" && j.on >= f.TakenOn && len(j.book.Touches) > 0 && (j.book.Code == want || slices.Contains(j.book.Absorbs, want)) {
			on = max(on, j.on)
		}
	}
	return on
}

// tested reports whether some test of the book proves a system. What only makes
// a van presentable, such as a valet, tests nothing.
func (in *inspection) tested(system string) bool {
	return slices.ContainsFunc(in.books.Labour, func(j data.LabourJob) bool {
		return j.Gate != "presentation" && slices.Contains(j.Proves, system)
	})
}

// Stops lists the findings that keep the van from being driven, shown or handed
// over: unsafe points that neither a later reading nor a certificate has lifted.
func (a *Assessment) Stops() []Finding {
	var out []Finding
	for i := range a.Findings {
		if a.Findings[i].Stops {
			out = append(out, a.Findings[i])
		}
	}
	return out
}

// Says writes a stop as one sentence.
func (f *Finding) Says() string {
	lifts := "a later reading"
	if kind := f.certificate(); kind != "" {
		lifts += " or a dated " + data.Title(kind)
	}
	return fmt.Sprintf("%s is unsafe: %s. Only %s lifts this.", f.Point(), f.Reason, lifts)
}
