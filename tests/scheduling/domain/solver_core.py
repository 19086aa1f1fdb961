"""The solver's own reason why a job cannot start somewhere: its infeasible core.

Written apart from the explainer: no masks and no rule book. Every rule is worked out
start by start from the records, handed to the solver under a literal of its own, and
what the solver finds contradictory is cut down until nothing can be left out. For jobs
done by one crew, each visit after the one before, in the same time whoever comes. The
order of visits and the end of the calendar always hold.
"""

from ortools.sat.python import cp_model

from scheduling.domain.cpsat.domains import add_lag
from scheduling.domain.rules import RuleKind

ALWAYS = {RuleKind.BEFORE, RuleKind.CALENDAR}


class SolverCore:
    """Asks the solver about one plan, all jobs but the one asked about standing still."""

    def __init__(self, problem, bookings):
        self.problem = problem
        self.bookings = bookings
        self.slots = problem.calendar.slots
        self.crews = {crew.key: crew for crew in problem.crews}
        self.people = {person.key: person for person in problem.people}
        self.pins = {pin.visit: pin for pin in problem.pins}
        self._rules = {}

    def core(self, job, crew, start, count):
        """Rules about the first visits that contradict, none too many; None if none do."""
        every = [
            (visit.key, kind)
            for visit in job.visits[:count]
            for kind in self.rules(job, visit, crew)
        ]
        found = self._contradiction(job, crew, start, count, every)
        for rule in found or ():
            fewer = [other for other in found if other != rule]
            if self._contradiction(job, crew, start, count, fewer) is not None:
                found = fewer
        return None if found is None else set(found)

    def contradicts(self, job, crew, start, count, rules):
        """Whether these rules about the first visits alone rule the start out."""
        return self._contradiction(job, crew, start, count, rules) is not None

    def _contradiction(self, job, crew, start, count, rules):
        model, names = cp_model.CpModel(), {}
        starts, ends = {}, {}
        for visit in job.visits[:count]:
            halves, last = length(visit), len(self.slots) - length(visit)
            begin = model.new_int_var(0, last, "")
            starts[visit.key], ends[visit.key] = begin, begin + halves
            for after in visit.after:
                table = self.problem.calendar.lag_table(after.lag_hours, after.lag_kind)
                every = (1 << (last + halves + 1)) - 1
                add_lag(model, ends[after.visit], every, table, begin)
            for kind, allowed in self.rules(job, visit, crew).items():
                if (visit.key, kind) in rules:
                    literal = model.new_bool_var("")
                    names[literal.index] = (visit.key, kind)
                    fits = cp_model.Domain.from_values(sorted(allowed))
                    inside = model.add_linear_expression_in_domain(begin, fits)
                    inside.only_enforce_if(literal)
                    model.add_assumption(literal)
        model.add(starts[job.visits[0].key] == start)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.cp_model_presolve = False
        status = solver.solve(model)
        if status == cp_model.OPTIMAL:
            return None
        assert status == cp_model.INFEASIBLE
        return [names[i] for i in solver.sufficient_assumptions_for_infeasibility()]

    # -- every rule, start by start

    def rules(self, job, visit, crew):
        """Starts that each kind of rule allows, by its kind."""
        key = visit.key, crew
        if key not in self._rules:
            tests = {
                RuleKind.READY: self._ready(job, visit),
                RuleKind.WEATHER: self._weather(job, visit),
                RuleKind.PLANT: self._plant(job, visit),
                **self._pinned(visit, crew),
            }
            if visit.needs_crew:
                tests |= {
                    RuleKind.BOOKED: self._booked(job, visit, crew),
                    RuleKind.AWAY: self._away(visit, crew),
                    RuleKind.TICKET: self._ticket(visit, crew),
                }
            self._rules[key] = {
                kind: {at for at in range(len(self.slots)) if allows(at)}
                for kind, allows in tests.items()
            }
        return self._rules[key]

    def _span(self, visit, at):
        return self.slots[at : at + length(visit)]

    def _ready(self, job, visit):
        ready = (*job.ready, *visit.ready)
        return lambda at: all(self.slots[at] >= row.first for row in ready)

    def _pinned(self, visit, crew):
        pin = self.pins.get(visit.key)
        if pin is None or pin.start is None:
            return {RuleKind.TODAY: lambda at: self.slots[at] >= self.problem.now}
        right = pin.crew in (None, crew) or not visit.needs_crew
        return {RuleKind.PIN: lambda at: right and self.slots[at] == pin.start}

    def _weather(self, job, visit):
        stops = [
            stop
            for stop in self.problem.stops
            if visit.stops_in_rain and (stop.jobs is None or job.key in stop.jobs)
        ]
        wet = spans((*visit.not_begun, *stops))
        return lambda at: not met(self.slots[at : at + 1], wet)

    def _away(self, visit, crew):
        gone = spans(self.crews[crew].away)
        return lambda at: not met(self._span(visit, at), gone)

    def _ticket(self, visit, crew):
        def held(kind, day):
            return any(
                ticket.kind == kind and ticket.holds_on(day)
                for member in self.crews[crew].members
                for ticket in self.people[member.person].tickets
            )

        return lambda at: all(
            held(kind, slot.day)
            for slot in self._span(visit, at)
            for kind in visit.tickets
        )

    def _booked(self, job, visit, crew):
        others = (b for b in self.bookings if b.job != job.key)
        busy = booked(b for b in others if b.crew == crew)
        return lambda at: not met(self._span(visit, at), busy)

    def _plant(self, job, visit):
        needs = {need.plant: need.count for need in visit.plant}
        plants = [plant for plant in self.problem.plant if plant.key in needs]
        used = {plant.key: self._used(job, plant) for plant in plants}
        return lambda at: all(
            used[plant.key](slot) + needs[plant.key] <= plant.count
            for plant in plants
            for slot in self._span(visit, at)
        )

    def _used(self, job, plant):
        """Pieces that are out, or that other jobs use, by slot."""
        needs = {
            visit.key: need.count
            for row in self.problem.jobs
            for visit in row.visits
            for need in visit.plant
            if need.plant == plant.key
        }
        rows = [
            (row.start, row.last, needs[row.visit])
            for row in self.bookings
            if row.job != job.key and row.visit in needs
        ]
        rows += [(row.first, row.last, row.count) for row in plant.out]
        return lambda at: sum(n for first, last, n in rows if first <= at <= last)


def length(visit):
    """Half-days a visit takes, whoever comes."""
    (halves,) = visit.halves.values()
    return halves


def met(slots, spans):
    """Whether any of the slots lies in one of the spans."""
    return any(first <= slot <= last for slot in slots for first, last in spans)


def spans(rows):
    """From one half-day to another, both included."""
    return [(row.first, row.last) for row in rows]


def booked(rows):
    """The same of bookings."""
    return [(row.start, row.last) for row in rows]
