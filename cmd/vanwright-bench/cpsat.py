"""Hold CP-SAT of OR-Tools against the plans that vanwright-bench exported.

    go run ./cmd/vanwright-bench workshop --seeds 20 --export yards
    python3 -m venv venv && venv/bin/pip install ortools
    venv/bin/python cmd/vanwright-bench/cpsat.py --seconds 60 --workers 2 yards/*.json

For each file the engine's plan is fixed in CP-SAT's model first: it must be feasible
there and cost the same, or the two do not speak of one problem. Then CP-SAT searches,
from nothing or, with --hint, from the engine's plan. Prints CSV; money is in pounds.
For measuring only: vanwright and its tests need Go alone.
"""

import argparse
import bisect
import csv
import json
import sys
import time

from ortools.sat.python import cp_model

QUARTER = 15  # minutes; every time in a file is whole quarters


def quarters(minutes):
    assert minutes % QUARTER == 0, minutes
    return minutes // QUARTER


class Clock:
    """Working quarters of one calendar."""

    def __init__(self, hours, apart):
        self.at = [q for a, b in hours for q in range(quarters(a), quarters(b))]
        self.apart = quarters(apart) if apart else 0

    def spans(self, until):
        """The working quarters below a time, as [first, last] pairs for a domain."""
        out = []
        for q in self.at:
            if q >= until:
                break
            if out and out[-1][1] == q - 1:
                out[-1][1] = q
            else:
                out.append([q, q])
        return out

    def finish(self, start, duration):
        """When work ends that begins in the first working quarter from start on."""
        k = bisect.bisect_left(self.at, start) + duration - 1
        return self.at[k] + 1 if k < len(self.at) else None

    def elsewhere(self, done, way):
        """The first time at which somebody who is done somewhere can begin elsewhere."""
        k, last = bisect.bisect_left(self.at, done), done
        while k < len(self.at):
            if self.at[k] - last > self.apart:  # another shift
                return self.at[k]
            if way == 0:
                return last
            way, last, k = way - 1, self.at[k] + 1, k + 1
        return last


class Yard:
    def __init__(self, data):
        self.data, self.tasks, self.plan = data, data["tasks"], data["plan"]
        by_hours, self.clock_of, self.clocks = {}, [], []
        for w in data["workers"]:
            key = tuple(map(tuple, w["hours"]))
            if key not in by_hours:
                by_hours[key] = len(self.clocks)
                self.clocks.append(Clock(w["hours"], data["shift_apart"]))
            self.clock_of.append(by_hours[key])
        self.able = [
            [w for w, x in enumerate(data["workers"]) if t["skill"] in x["skills"]] if t["duration"] and t["skill"] >= 0 else []
            for t in self.tasks
        ]
        self.soonest = self.forward()
        self.latest = self.backward()

    def order(self):
        """The tasks, each after those that it waits for."""
        done, out = set(), []
        while len(out) < len(self.tasks):
            for i, t in enumerate(self.tasks):
                if i not in done and all(p in done for p, _ in t["after"]):
                    done.add(i)
                    out.append(i)
        return out

    def forward(self):
        """The earliest start and finish of each task, as though nobody had other work."""
        got = {}
        for i in self.order():
            t = self.tasks[i]
            start = max([quarters(t["release"])] + [got[p][1] + quarters(lag) for p, lag in t["after"]])
            length = quarters(t["duration"])
            finish = min((self.clocks[c].finish(start, length) for c in {self.clock_of[w] for w in self.able[i]}), default=start + length)
            got[i] = (start, finish)
        return got

    def cost(self, i, finish):
        t = self.tasks[i]
        return t["weight"] * finish + t["late_weight"] * max(0, finish - quarters(t["due"]))

    def backward(self):
        """The latest finish of each task in a plan that costs no more than the engine's:
        what a van costs beyond its earliest can't exceed what the engine's plan costs
        beyond the earliest of all."""
        spare = self.plan["value"] // QUARTER - sum(self.cost(i, self.soonest[i][1]) for i in range(len(self.tasks)))
        end = max(q for c in self.clocks for q in c.at[-1:])
        late = {}
        for i in reversed(self.order()):
            late[i] = end
            t = self.tasks[i]
            if t["weight"] + t["late_weight"]:
                low, high = self.soonest[i][1], end
                while low < high:
                    middle = (low + high + 1) // 2
                    if self.cost(i, middle) - self.cost(i, self.soonest[i][1]) <= spare:
                        low = middle
                    else:
                        high = middle - 1
                late[i] = low
            for j, u in enumerate(self.tasks):
                for p, lag in u["after"]:
                    if p == i:
                        late[i] = min(late[i], late[j] - quarters(u["duration"]) - quarters(lag))
        return late

    def model(self):
        m = cp_model.CpModel()
        data, tasks = self.data, self.tasks
        start, finish, does = [], [], {}
        on_worker = [[] for _ in data["workers"]]
        groups, places = {}, [[] for _ in data["resources"]]
        for i, t in enumerate(tasks):
            low, high, length = self.soonest[i][0], self.latest[i], quarters(t["duration"])
            s, f = m.new_int_var(low, high - length, f"s{i}"), m.new_int_var(low + length, high, f"f{i}")
            start.append(s)
            finish.append(f)
            if not self.able[i]:
                m.add(f == s + length)
            for w in self.able[i]:
                does[i, w] = m.new_bool_var(f"w{i},{w}")
            if self.able[i]:
                m.add_exactly_one(does[i, w] for w in self.able[i])
            for c in sorted({self.clock_of[w] for w in self.able[i]}):
                clock = self.clocks[c]
                ends = [clock.finish(q, length) for q in range(low, high - length + 1)]
                ends = [min(e if e is not None else high + 1, high + 1) for e in ends]
                end = m.new_int_var(low, high + 1, f"e{i},{c}")
                m.add_element(s - low, ends, end)
                working = cp_model.Domain.from_intervals(clock.spans(high))
                for w in self.able[i]:
                    if self.clock_of[w] == c:
                        m.add(f == end).only_enforce_if(does[i, w])
                        m.add_linear_expression_in_domain(s, working).only_enforce_if(does[i, w])
            if length:
                size = m.new_int_var(length, high - low, f"l{i}")
                whole = m.new_interval_var(s, size, f, f"i{i}")
                if t["group"] >= 0:
                    groups.setdefault(t["group"], []).append(whole)
                for r in t["uses"]:
                    places[r].append(whole)
                for w in self.able[i]:
                    on_worker[w].append((i, m.new_optional_interval_var(s, size, f, does[i, w], f"o{i},{w}")))
            for p, lag in t["after"]:
                m.add(s >= finish[p] + quarters(lag)) if p < i else self.later.append((i, p, lag))
        for i, p, lag in self.later:
            m.add(start[i] >= finish[p] + quarters(lag))
        for w, list_ in enumerate(on_worker):
            m.add_no_overlap(v for _, v in list_)
            self.ways(m, w, [i for i, _ in list_], start, finish, does)
        for list_ in groups.values():
            m.add_no_overlap(list_)
        for r, list_ in enumerate(places):
            m.add_cumulative(list_, [1] * len(list_), data["resources"][r]["capacity"])
        terms = []
        for i, t in enumerate(tasks):
            terms.append(t["weight"] * finish[i])
            if t["late_weight"]:
                due = quarters(t["due"])
                late = m.new_int_var(0, max(self.latest[i] - due, 0), f"late{i}")
                m.add(late >= finish[i] - due)
                terms.append(t["late_weight"] * late)
        m.minimize(sum(terms))
        return m, start, finish, does

    later = []

    def ways(self, m, w, list_, start, finish, does):
        """Between two tasks of a worker at other sites there is the time for the way."""
        travel = self.data["travel"]
        if not travel:
            return
        clock, ready = self.clocks[self.clock_of[w]], {}

        def free(i, way):
            if (i, way) not in ready:
                low = self.soonest[i][0]
                times = [clock.elsewhere(q, way) for q in range(low, self.latest[i] + 1)]
                ready[i, way] = m.new_int_var(low, max(times), f"r{i},{w},{way}")
                m.add_element(finish[i] - low, times, ready[i, way])
            return ready[i, way]

        for n, i in enumerate(list_):
            for j in list_[n + 1 :]:
                there, back = quarters(travel[self.tasks[i]["leaves"]][self.tasks[j]["site"]]), quarters(travel[self.tasks[j]["leaves"]][self.tasks[i]["site"]])
                if not there and not back:
                    continue
                first = m.new_bool_var(f"b{i},{j},{w}")
                both = [does[i, w], does[j, w]]
                m.add(start[j] >= (free(i, there) if there else finish[i])).only_enforce_if(both + [first])
                m.add(start[i] >= (free(j, back) if back else finish[j])).only_enforce_if(both + [first.Not()])

    def fixed(self):
        """The engine's plan in the model: its value, or None where it is not feasible."""
        m, start, finish, does = self.model()
        for i, (w, s, f) in enumerate(self.plan["assignments"]):
            m.add(start[i] == quarters(s))
            m.add(finish[i] == quarters(f))
            if (i, w) in does:
                m.add(does[i, w] == 1)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        if solver.solve(m) != cp_model.OPTIMAL:
            return None
        self.known = list(solver.response_proto.solution)
        return round(solver.objective_value) * QUARTER

    def search(self, seconds, workers, hint):
        m = self.model()[0]
        if hint:  # the model is built alike each time, so its variables are those of fixed
            for k, value in enumerate(self.known):
                m.add_hint(m.get_int_var_from_proto_index(k), value)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = workers
        solver.parameters.max_time_in_seconds = seconds
        status = solver.solve(m)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None, solver.best_objective_bound * QUARTER, solver.status_name(status), solver.wall_time
        return round(solver.objective_value) * QUARTER, solver.best_objective_bound * QUARTER, solver.status_name(status), solver.wall_time


def main():
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("files", nargs="+")
    p.add_argument("--seconds", type=float, default=60)
    p.add_argument("--workers", type=int, default=2)
    p.add_argument("--hint", action="store_true", help="give CP-SAT the engine's plan to begin with")
    o = p.parse_args()
    out = csv.writer(sys.stdout)
    out.writerow(["yard", "jobs", "sites", "fixed", "ours", "our_bound", "our_seconds", "cpsat", "cpsat_bound", "cpsat_seconds", "cpsat_processor_seconds", "status", "ours_above_pct", "bound"])
    pounds = 100 * 24 * 60
    for name in o.files:
        with open(name) as f:
            yard = Yard(json.load(f))
        ours = yard.plan["value"]
        yard.later = []
        fixed = yard.fixed()
        if fixed != ours:
            sys.exit(f"{name}: the plan costs {ours}; fixed in the model it costs {fixed}")
        yard.later = []
        begin = time.process_time()
        found, bound, status, took = yard.search(o.seconds, o.workers, o.hint)
        # No plan of CP-SAT within the engine's cost leaves the engine's as the best known.
        best = min(found, ours) if found is not None else ours
        above = 100 * (ours / found - 1) if found is not None else None
        # The best known is no less than the optimum: our bound must not be above it.
        sound = "sound" if yard.plan["lower_bound"] <= best else "ABOVE A PLAN"
        out.writerow([
            yard.data["name"], yard.data["jobs"], 2 if yard.data["travel"] else 1, "same", f"{ours/pounds:.2f}", f"{yard.plan['lower_bound']/pounds:.2f}",
            f"{yard.plan['seconds']:.2f}", "" if found is None else f"{found/pounds:.2f}", f"{bound/pounds:.2f}", f"{took:.0f}", f"{time.process_time() - begin:.0f}", status,
            "" if above is None else f"{above:.3f}", sound,
        ])
        sys.stdout.flush()


main()
