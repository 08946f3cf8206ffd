package appraise

import (
	"maps"
	"slices"
)

// wheelsOf names the wheels of an axle, with single wheels or with twins.
func wheelsOf(axle string, twins bool) []string {
	if !twins {
		return []string{"nearside-" + axle, "offside-" + axle}
	}
	return []string{"nearside-" + axle + "-inner", "nearside-" + axle + "-outer", "offside-" + axle + "-inner", "offside-" + axle + "-outer"}
}

// twins names the axles at which any reading was taken at a twin wheel.
func twins(points []point) (front, rear bool) {
	for i := range points {
		if axle, _, twin, ok := wheel(points[i].Position); ok && twin {
			front = front || axle == "front"
			rear = rear || axle == "rear"
		}
	}
	return front, rear
}

// hasTwins reports whether an axle was read as one with twin wheels.
func (in *inspection) hasTwins(axle string) bool {
	if axle == "front" {
		return in.twinFront
	}
	return in.twinRear
}

// tyreRequests turns the wheels that need a tyre into jobs in which each tyre is
// bought once: a set for all four wheels, an axle for all wheels of it, else a
// tyre a wheel. Requests that are not for tyres are returned as they came.
func (in *inspection) tyreRequests(requests []JobRequest) []JobRequest {
	var out []JobRequest
	wheels := map[string][]JobRequest{}
	for _, w := range requests {
		axle := w.Place == "front" || w.Place == "rear"
		switch {
		case w.Job == tyreJob && w.Place == spare && in.have(tyreSpareJob) != "":
			w.Job, w.Place = tyreSpareJob, ""
			out = append(out, w)
		case w.Job == tyreJob && w.Place != "":
			wheels[w.Place] = append(wheels[w.Place], w)
		case w.Job == tyreAxleJob && axle:
			// Asked for by a fault of the pair: both wheels need one.
			for _, wh := range wheelsOf(w.Place, in.hasTwins(w.Place)) {
				wheels[wh] = append(wheels[wh], w)
			}
		default:
			out = append(out, w)
		}
	}
	take := func(job, place string, group []string) {
		for _, wh := range group {
			for _, w := range wheels[wh] {
				w.Job, w.Place, w.Units = job, place, 1
				out = append(out, w)
			}
			delete(wheels, wh)
		}
	}
	all := func(group []string) bool {
		return !slices.ContainsFunc(group, func(wh string) bool { return len(wheels[wh]) == 0 })
	}
	if four := slices.Concat(wheelsOf("front", false), wheelsOf("rear", false)); all(four) && in.have(tyreSetJob) != "" {
		take(tyreSetJob, "", four)
	}
	for _, axle := range []string{"front", "rear"} {
		for _, twins := range []bool{false, true} {
			group, job := wheelsOf(axle, twins), tyreAxleJob
			if twins {
				job = tyreTwinAxleJob
			}
			if all(group) && in.roomFor(job, len(wheels)-len(group)) {
				take(job, axle, group)
			}
		}
	}
	for _, wh := range slices.Sorted(maps.Keys(wheels)) {
		take(in.have(tyreJob, tyreAxleJob), wh, []string{wh})
	}
	return out
}

// roomFor reports whether an axle job may stand beside single wheels elsewhere.
// A labour book that counts the job by the van lets it swallow them, and with
// them a tyre; then every wheel is asked for by itself.
func (in *inspection) roomFor(job string, others int) bool {
	j, ok := in.books.Job(job)
	return ok && (others == 0 || j.Per == "position" || j.Per == "area")
}
