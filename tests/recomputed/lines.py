"""The march along a line: pressure and enthalpy from run to run.

Within a run dp/dz and dh/dz are stepped by Runge and Kutta's rule of the fourth order. Where liquid reaches its bubble point (or the last bubble goes)
the step is cut there, for density breaks at that place.
"""

import math
from dataclasses import dataclass, field

import job
from fluid import BUBBLE, DEW, Fluid

GRAVITY = 9.80665
OUTSIDE_FILM = 10.0  # W/(m2 K), with radiation: a convention of the tool
INSULATION = 0.04  # W/(m K): a convention of the tool
OIL_FILM_DENSITY = 980.0  # kg/m3: a limit of the tool
CV_PER_KV = 1.156
STEPS, STEPS_TWO_PHASE = 2, 24
AT_BUBBLE = 0.1  # J/kg within which liquid counts as at its bubble point


def friction_factor(reynolds, relative_roughness):
    """Darcy's, by Colebrook and White, 1/sqrt(f) = -2 log10(k/3.7 + 2.51/(Re sqrt(f))); laminar 64/Re below 2300."""
    if reynolds < 2300:
        return 64 / reynolds
    root = 8.0  # 1/sqrt(f)
    for _ in range(100):
        before, root = root, -2 * math.log10(relative_roughness / 3.7 + 2.51 * root / reynolds)
        if abs(root - before) < 1e-14:
            break
    return 1 / root**2


def friction(tube, length, flow, state):
    """f L/D rho v^2/2, Pa."""
    mass_velocity = flow / tube.area
    f = friction_factor(mass_velocity * tube.bore / state.viscosity, tube.roughness / tube.bore)
    return f * length / tube.bore * mass_velocity**2 / (2 * state.density)


def oil_least_flow(tube, density):
    """Least flow of gas that drags oil up: A 0.723 sqrt(rho_g g D (rho_film - rho_g)) (Jacobs and others, 1976), kg/s."""
    return tube.area * 0.723 * math.sqrt(density * GRAVITY * tube.bore * (OIL_FILM_DENSITY - density))


def split(tubes, lengths, flow, state):
    """Flows in parallel tubes that lose the same pressure: m_i in proportion to A_i sqrt(D_i / (f_i L_i))."""
    if len(tubes) == 1:
        return [flow]
    flows = [flow / len(tubes)] * len(tubes)
    for _ in range(200):
        weights = [
            t.area * math.sqrt(t.bore / (friction_factor(m / t.area * t.bore / state.viscosity, t.roughness / t.bore) * l))
            for t, l, m in zip(tubes, lengths, flows)
        ]
        before, flows = flows, [flow * w / sum(weights) for w in weights]
        if max(abs(a - b) for a, b in zip(flows, before)) < 1e-14:
            break
    return flows


def heat_per_kelvin(run, tube):
    """To the air round one metre of tube, W/(m K): outside film and insulation in series, film inside neglected."""
    outside = tube.outside + 2 * (job.quantity(run["insulation"]) if "insulation" in run else 0.0)
    resistance = 1 / (OUTSIDE_FILM * math.pi * outside) + math.log(outside / tube.outside) / (2 * math.pi * INSULATION)
    return 1 / resistance


@dataclass
class Riser:
    """One tube of a rise of gas."""

    run: int
    tube: str
    flow: float
    least_flow: float


@dataclass
class Line:
    """A line marched to its end."""

    pressure: float = 0.0
    enthalpy: float = 0.0
    end: object = None
    friction: float = 0.0
    parts: float = 0.0
    static: float = 0.0
    heat: float = 0.0
    least_subcooling: float = math.inf
    risers: list = field(default_factory=list)
    part_density: dict = field(default_factory=dict)


@dataclass
class March:
    """One line of a circuit. `rated` is the Line at the rating; None while that one is being marched."""

    fluid: Fluid
    drawn: dict
    is_liquid: bool
    rated_flow: float
    rated: Line | None = None

    def along(self, p, h, flow, outdoor, losses=True):
        """From the state at the inlet to the end. The rating has losses but neither heat nor a draining receiver."""
        line = Line(p, h)
        self.near = self.fluid.temperature(DEW, p) + (-5 if self.is_liquid else 25)
        self._note(line)
        for number, run in enumerate(self.drawn["route"], start=1):
            if "part" in run:
                self._part(line, number, run, flow, losses)
            elif losses:
                self._tube(line, number, run, flow, outdoor)
        line.end = self._state(line.pressure, line.enthalpy)
        return line

    def _state(self, p, h):
        of = self.fluid.liquid_flow if self.is_liquid else self.fluid.gas_flow
        state = of(p, h, self.near)
        self.near = state.temperature
        return state

    def _note(self, line):
        """Keeps the least subcooling met so far."""
        if self.is_liquid:
            here = self._state(line.pressure, line.enthalpy)
            subcooling = self.fluid.temperature(BUBBLE, line.pressure) - here.temperature
            line.least_subcooling = min(line.least_subcooling, subcooling)

    def _part(self, line, number, run, flow, losses):
        """What a part loses:

        loss given (or typical)  at the rating that; else times (m/m_r)^2 rho_r/rho, rho_r the density there at the rating,
                                 of bubble liquid where the rating's liquid has flashed
        flow coefficient         dp = (Q/Kv)^2 rho/1000 bar, Q in m3/h (IEC 60534; Cv = 1.156 Kv)
        length in bores          as tube, at the density of its middle
        """
        state = self._state(line.pressure, line.enthalpy)
        facts = job.PARTS[run["part"]]
        tube = job.tubes(run, self.drawn)[0]
        rated_loss = job.quantity(run["pressure_drop"]) if "pressure_drop" in run else None
        if "kv" in run or "cv" in run:
            kv = run["kv"] if "kv" in run else run["cv"] / CV_PER_KV
            loss = (flow / state.density * 3600 / kv) ** 2 * state.density / 1000 * 1e5
        elif rated_loss is None and facts["bores"]:
            equivalent = float(facts["bores"]) * tube.bore
            middle = self._state(line.pressure - friction(tube, equivalent, flow, state) / 2, line.enthalpy)
            loss = friction(tube, equivalent, flow, middle)
        else:
            loss = rated_loss if rated_loss is not None else float(facts["loss_psi"]) * job.PSI
            if self.rated is None:
                liquid = self.fluid.bubble(line.pressure).rho if state.quality is not None else state.density
                line.part_density[number] = liquid
            else:
                loss *= (flow / self.rated_flow) ** 2 * self.rated.part_density[number] / state.density
        if losses:
            line.pressure -= loss
            line.parts += loss
        if run.get("style") == "through" and self.rated is not None:
            self._receive(line)
        self._note(line)

    def _receive(self, line):
        """Vapour stands over the liquid of a through receiver: its pressure is that at which liquid of this enthalpy boils."""
        before = line.pressure
        low, high = 0.5 * before, 1.5 * before
        for _ in range(80):
            line.pressure = (low + high) / 2
            low, high = (line.pressure, high) if self.fluid.bubble(line.pressure).h < line.enthalpy else (low, line.pressure)
        line.parts += before - line.pressure
        self.near = self.fluid.temperature(BUBBLE, line.pressure)

    def _tube(self, line, number, run, flow, outdoor):
        tubes = job.tubes(run, self.drawn)
        rises = job.path(run) == "rise" and not self.is_liquid
        open_tubes = self._open(line, run, tubes, flow) if rises else tubes
        done, volume, flows = 0.0, 0.0, []
        while done < 1 - 1e-12:
            side = self._margin(line.pressure, line.enthalpy)
            share = 1 / STEPS if side > AT_BUBBLE else 1 / STEPS_TWO_PHASE
            share = min(share, 1 - done)
            step = lambda part: self._step(line, run, open_tubes, flow, outdoor, part)
            taken = step(share)
            if abs(side) > AT_BUBBLE and side * self._margin(taken[0], taken[1]) < 0:
                share = self._cut(step, share)
                taken = step(share)
            line.pressure, line.enthalpy, lost, head, heat, specific_volume, flows = taken
            line.friction += lost
            line.static += head
            line.heat += heat
            volume += share * specific_volume
            done += share
            self._note(line)
        if rises:
            carried = dict(zip((t.name for t in open_tubes), flows))
            for tube in tubes:
                line.risers.append(
                    Riser(number, tube.name, carried.get(tube.name, 0.0), oil_least_flow(tube, 1 / volume))
                )

    def _open(self, line, run, tubes, flow):
        """The tubes of a rise that stay open: where the largest does not lift oil with its share, oil seals it."""
        lengths = [job.equivalent_length(run, tube) for tube in tubes]
        state = self._state(line.pressure, line.enthalpy)
        flows = split(tubes, lengths, flow, state)
        largest = max(tubes, key=lambda tube: tube.bore)
        if len(tubes) > 1 and flows[tubes.index(largest)] < oil_least_flow(largest, state.density):
            return [tube for tube in tubes if tube is not largest]
        return tubes

    def _margin(self, p, h):
        """Enthalpy that liquid lacks to its bubble point; a gas line never gets there."""
        return self.fluid.bubble(p).h - h if self.is_liquid else math.inf

    def _cut(self, step, share):
        """The part of a step that ends at the bubble point."""
        margin = lambda part: self._margin(*step(part)[:2])
        low, high = 0.0, share
        sign = margin(1e-9)
        for _ in range(60):
            middle = (low + high) / 2
            here = margin(middle)
            if abs(here) < AT_BUBBLE / 2:
                return middle
            low, high = (middle, high) if here * sign > 0 else (low, middle)
        return high

    def _step(self, line, run, tubes, flow, outdoor, share):
        """A share of a run: (p, h, friction, static, heat, specific volume, flows in the tubes)."""
        slopes = lambda p, h: self._slopes(p, h, run, tubes, flow, outdoor)

        def ahead(slope, part):
            lost, head, heat, *_ = slope
            return line.pressure - (lost + head) * part, line.enthalpy - heat / flow * part

        first = slopes(line.pressure, line.enthalpy)
        second = slopes(*ahead(first, share / 2))
        third = slopes(*ahead(second, share / 2))
        fourth = slopes(*ahead(third, share))
        mean = [(a + 2 * b + 2 * c + d) / 6 for a, b, c, d in zip(first[:4], second[:4], third[:4], fourth[:4])]
        lost, head, heat, volume = mean
        return (*ahead(mean, share), lost * share, head * share, heat * share, volume, third[4])

    def _slopes(self, p, h, run, tubes, flow, outdoor):
        """Friction, static head and heat of the whole run if the state were this one all along it."""
        state = self._state(p, h)
        lengths = [job.equivalent_length(run, tube) for tube in tubes]
        flows = split(tubes, lengths, flow, state)
        straight = job.length(run)
        climb = straight * {"level": 0, "rise": 1, "drop": -1}[job.path(run)]
        air = job.air_round(run, outdoor) if self.rated is not None else None
        heat = 0.0
        if air is not None:
            heat = sum(heat_per_kelvin(run, tube) for tube in tubes) * straight * (state.temperature - air)
        lost = friction(tubes[0], lengths[0], flows[0], state)
        return lost, state.density * GRAVITY * climb, heat, 1 / state.density, flows
