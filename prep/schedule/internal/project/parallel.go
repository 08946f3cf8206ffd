package project

import "math"

// parallel builds a schedule by the parallel scheme: time moves on from finish
// to finish, and at each moment the waiting tasks that fit start, longest
// tail first. It leaves no resource idle that a waiting task could use,
// which makes good first schedules but can miss every best one; the search
// uses it once.
func (p *pass) parallel(tail, start []int32) int32 {
	n := len(p.duration)
	finish := make([]int32, n)
	for i := range finish {
		start[i], finish[i] = -1, math.MaxInt32
	}
	room := append([]uint64(nil), p.full...)
	left, makespan := n, int32(0)
	for t := int32(0); left > 0; {
		if i := p.nextToStart(t, tail, start, finish, room); i >= 0 {
			for w := range room {
				room[w] -= p.need[int(i)*p.words+w]
			}
			start[i], finish[i] = t, t+p.duration[i]
			makespan = max(makespan, finish[i])
			left--
			if p.duration[i] > 0 {
				continue
			}
			for w := range room {
				room[w] += p.need[int(i)*p.words+w]
			}
			continue
		}
		next := int32(math.MaxInt32)
		for i := range finish {
			if start[i] >= 0 && finish[i] > t {
				next = min(next, finish[i])
			}
		}
		for i := range finish {
			if start[i] >= 0 && finish[i] == next && p.duration[i] > 0 {
				for w := range room {
					room[w] += p.need[i*p.words+w]
				}
			}
		}
		t = next
	}
	return makespan
}

// nextToStart returns the waiting task with the longest tail that may
// start at t and fits into the room, or -1.
func (p *pass) nextToStart(t int32, tail, start, finish []int32, room []uint64) int32 {
	best := int32(-1)
	for i := range int32(len(start)) {
		if start[i] >= 0 || best >= 0 && tail[i] <= tail[best] {
			continue
		}
		fits := true
		for _, j := range p.before.of(i) {
			fits = fits && finish[j] <= t
		}
		for w := range room {
			fits = fits && (room[w]-p.need[int(i)*p.words+w])&p.guard[w] == p.guard[w]
		}
		if fits {
			best = i
		}
	}
	return best
}
