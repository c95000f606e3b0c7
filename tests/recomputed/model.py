"""The whole tool computed a second time: compressors, coil, head-pressure control, both lines, and the balance of them.

Written from the published formulas and the conventions that the README beside it names, in code of its own, on
the equations of state themselves. Writes values.csv, which main.rs holds the tool against. `python model.py [JOB ...]`
writes the values of all the jobs, or prints those of some.
"""

import csv
import math
import sys
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace

import job
import numpy as np
from fluid import BUBBLE, DEW, GAS, LIQUID, Fluid
from lines import Line, March

HERE = Path(__file__).resolve().parent

STANDARD_PRESSURE = 101_325.0
AIR_GAS_CONSTANT, AIR_HEAT_CAPACITY, RATED_AIR_DENSITY = 287.05287, 1006.0, 1.2
BUILT_IN_VOLUME_RATIO = 2.3
# Assumptions of the tool, told in its reports.
RANGE = "10 F"  # entering less leaving fluid at the rating
LEAST_LIFT = 1 / 1.8  # K, of condensing over evaporating, below which there is no balance
DRY_SHARE = 0.12  # of the evaporator's surface, at the rating
MOST_SUPERHEAT = 0.8  # of entering fluid less evaporating temperature
VALVE_RESERVE = {"electronic": 2.0, "thermostatic": 1.5}


def atmosphere(altitude):
    """Pressure of the standard atmosphere, p0 (1 - 0.0065 z/288.15)^5.255876 (ISO 2533), Pa."""
    return STANDARD_PRESSURE * (1 - 0.0065 * altitude / 288.15) ** 5.255876


class Compressors:
    """All compressors of a circuit together, from one rated point or from ten-coefficient polynomials (AHRI 540)."""

    def __init__(self, fluid, keys):
        self.fluid, self.map, self.count = fluid, keys.get("map"), keys["count"]
        rated = self.map or keys["rating"]
        self.evaporating, condensing = job.temperature(rated["suction"]), job.temperature(rated["condensing"])
        self.superheat = job.difference(rated["superheat"])
        low, self.rated_head = fluid.pressure(DEW, self.evaporating), fluid.pressure(DEW, condensing)
        self.rated_suction = fluid.point(GAS, low, self.evaporating + self.superheat)
        self.rated_subcooling = job.difference(rated["subcooling"])
        liquid = fluid.temperature(BUBBLE, self.rated_head) - self.rated_subcooling
        self.rated_liquid = fluid.point(LIQUID, self.rated_head, liquid).h
        effect = self.rated_suction.h - self.rated_liquid
        if self.map:
            self.rated_flow, self.rated_power = self.run(low, self.rated_suction, self.rated_head, 1.0)
            self.rated_capacity = self.rated_flow * effect
        else:
            self.rated_capacity, self.rated_power = job.quantity(rated["capacity"]), job.quantity(rated["power"])
            self.rated_flow = self.rated_capacity / effect
            filling = _volumetric_efficiency(self.rated_head / low) * self.rated_suction.rho
            self.swept = self.rated_flow / filling
            self.efficiency = self.rated_flow * self._work(low, self.rated_suction, self.rated_head) / self.rated_power

    def run(self, low, suction, head, share):
        """(flow, power) of a share of full displacement."""
        if self.map:
            return self._by_map(low, suction, head, share)
        flow = share * self.swept * suction.rho * _volumetric_efficiency(head / low)
        return flow, flow * self._work(low, suction, head) / self.efficiency

    def _work(self, low, suction, head):
        """At constant entropy to the built-in volume ratio, then at constant volume to the discharge pressure:

        w = h(s1, v1/2.3) - h1 + (v1/2.3) (p2 - p_in)   (as H. Jin, Oklahoma State University, 2002), J/kg
        """
        inner_pressure, inner = self.fluid.isentropic_to_density(suction, BUILT_IN_VOLUME_RATIO * suction.rho)
        return inner - suction.h + (head - inner_pressure) / (BUILT_IN_VOLUME_RATIO * suction.rho)

    def _by_map(self, low, suction, head, share):
        """Polynomials at the map's own superheat; at another one by Rice and Dabiri (ASHRAE Trans. 87(2), 1981):

        m = m_map (1 + 0.75 (v_map/v - 1)),  P = P_map (m/m_map) (dh_s/dh_s,map)
        """
        evaporating, condensing = self.fluid.temperature(DEW, low), self.fluid.temperature(DEW, head)
        at_map = self.fluid.point(GAS, low, evaporating + self.superheat)
        unit = (lambda t: (t - 273.15) * 1.8 + 32) if self.map["temperature"] == "F" else (lambda t: t - 273.15)
        s, d = unit(evaporating), unit(condensing)
        terms = [1, s, d, s * s, s * d, d * d, s**3, d * s * s, s * d * d, d**3]
        flow_unit = {"lb/h": job.POUND / 3600, "kg/h": 1 / 3600, "kg/s": 1.0}[self.map["flow_unit"]]
        power_unit = {"W": 1.0, "kW": 1e3}[self.map["power_unit"]]
        by_map = sum(c * t for c, t in zip(self.map["flow"], terms)) * flow_unit * self.count * share
        power = sum(c * t for c, t in zip(self.map["power"], terms)) * power_unit * self.count * share
        flow = by_map * (1 + 0.75 * (suction.rho / at_map.rho - 1))
        work = self.fluid.isentropic_work(suction, head) / self.fluid.isentropic_work(at_map, head)
        return flow, power * flow / by_map * work


def _volumetric_efficiency(ratio):
    """1.026 - 0.0202 r of a scroll, r the pressure ratio (Cuevas and others, 2010)."""
    return 1.026 - 0.0202 * ratio


class Coil:
    """What the condenser rejects."""

    def __init__(self, keys):
        self.rejection, self.difference = job.quantity(keys["rejection"]), job.difference(keys["td"])
        self.air_flow = job.quantity(keys["air_flow"]) if "air_flow" in keys else None
        self.rated_pressure = atmosphere(job.quantity(keys.get("rated_altitude", "0 m")))

    def rate_liquid_zone(self, subcooling, bubble, air_on, flow):
        """Transfer units of the liquid zone at the rating: e = subcooling / (bubble - air on), NTU = -ln(1 - e)."""
        self.liquid_units, self.rated_flow = -math.log(1 - subcooling / (bubble - air_on)), flow

    def subcooling(self, bubble, air_on, flow, air_share):
        """K, of the liquid that leaves: transfer units go with flow to the power -0.5 and with the air share as conductance does."""
        air = air_share ** (0.7 if self.air_flow is None else 0.55)
        units = self.liquid_units * (flow / self.rated_flow) ** -0.5 * air
        return max(0.0, (1 - math.exp(-units)) * (bubble - air_on))

    def rejects(self, condensing, air_on, pressure, air_share):
        """W, at a dew temperature at the inlet. Without the air's flow in proportion to the difference, times
        (p/p_rated)^0.58 and (air share)^0.7; with it by effectiveness and NTU at uniform condensing temperature,

        Q = (1 - exp(-UA/(m cp))) m cp (T_c - T_air),  UA in proportion to m^0.55, fixed by the rating with 1.2 kg/m3
        """
        if self.air_flow is None:
            factor = (pressure / self.rated_pressure) ** 0.58 * air_share**0.7
            return self.rejection * (condensing - air_on) / self.difference * factor
        rated_flow = self.air_flow * RATED_AIR_DENSITY * self.rated_pressure / STANDARD_PRESSURE
        rated_capacity = rated_flow * AIR_HEAT_CAPACITY
        rated_ua = -math.log(1 - self.rejection / (rated_capacity * self.difference)) * rated_capacity
        flow = self.air_flow * pressure / (AIR_GAS_CONSTANT * air_on) * air_share
        capacity, ua = flow * AIR_HEAT_CAPACITY, rated_ua * (flow / rated_flow) ** 0.55
        return (1 - math.exp(-ua / capacity)) * capacity * (condensing - air_on)


@dataclass(frozen=True)
class Condition:
    """What an operating point asks for. `suction` holds the evaporating temperature instead of the evaporator."""

    outdoor: float
    share: float
    bypass: float
    recirculation: float
    pressure: float
    lines: bool = True
    suction: float | None = None


@dataclass
class State:
    """A circuit at an evaporating temperature and a discharge pressure, in balance or not yet."""

    evaporating: float
    condensing: float
    head: float
    flow: float
    power: float
    rejection: float
    capacity: float
    discharge_temperature: float
    discharge: Line
    liquid: Line
    entering: float | None = None
    leaving: float | None = None
    superheat: float = 0.0
    valve_passes: float = 0.0
    over_air: float = 0.0
    air_share: float = 1.0
    flooded: float = 0.0
    starved: bool = False
    outdoor: float = 0.0


class Valve:
    """The expansion valve: what it passes wide open."""

    def __init__(self, fluid, keys, rated):
        """Rated flow at the least difference, with liquid of the compressors' rating; where that is not given twice or one
        and a half times the flow at the difference of the rating."""
        liquid = fluid.point(LIQUID, rated.rated_head, fluid.temperature(BUBBLE, rated.rated_head) - rated.rated_subcooling)
        if "minimum_drop" in keys:
            flow, drop = rated.rated_flow, job.quantity(keys["minimum_drop"])
        else:
            flow = rated.rated_flow * VALVE_RESERVE[keys["kind"]]
            drop = rated.rated_head - fluid.pressure(DEW, rated.evaporating)
        self.opening = flow / math.sqrt(liquid.rho * drop)

    def passes(self, density, inlet, low):
        """kg/s, as sqrt(density x pressure difference); gas that enters counts as homogeneous mixture."""
        return self.opening * math.sqrt(max(0.0, density * (inlet - low)))


class Evaporator:
    """The fluid's side: effectiveness of the wetted surface, and what is left dry to heat the gas."""

    def __init__(self, keys, rated):
        self.leaving = job.temperature(keys["leaving"])
        self.approach, self.range = job.difference(keys["approach"]), job.difference(keys.get("range", RANGE))
        self.capacity_rate = rated.rated_capacity / self.range
        whole = self.range + self.approach
        self.wet_units = -math.log(1 - self.range / whole)
        superheat = min(job.difference(keys["superheat"]), MOST_SUPERHEAT * whole)
        self.dry_units = -math.log(1 - superheat / whole)

    def takes(self, entering, evaporating, dry):
        """W, of the wetted surface."""
        units = self.wet_units * (1 - dry) / (1 - DRY_SHARE)
        return self.capacity_rate * (entering - evaporating) * (1 - math.exp(-units))

    def superheat(self, entering, evaporating, dry):
        """K, of the gas over the dry surface."""
        return (entering - evaporating) * (1 - math.exp(-self.dry_units * dry / DRY_SHARE))


class Circuit:
    """One circuit of a job: its rating at once, any operating point on demand."""

    def __init__(self, site, circuit):
        self.site, self.keys = site, circuit
        self.fluid = Fluid(circuit["refrigerant"])
        self.compressors = Compressors(self.fluid, circuit["compressors"])
        self.coil = Coil(circuit["condenser"])
        self.superheat = job.difference(circuit["evaporator"]["superheat"])
        self.drains = any(run.get("style") == "through" for run in circuit["liquid"]["route"])
        rated = self.compressors
        condenser, head = circuit["condenser"], rated.rated_head
        bubble = self.fluid.temperature(BUBBLE, head - job.quantity(condenser["pressure_drop"]))
        air_on = self.fluid.temperature(DEW, head) - self.coil.difference
        self.coil.rate_liquid_zone(job.difference(condenser["subcooling"]), bubble, air_on, rated.rated_flow)
        self.valve = Valve(self.fluid, circuit["valve"], rated)
        self.evaporator = Evaporator(circuit["evaporator"], rated) if "leaving" in circuit["evaporator"] else None
        hot = rated.rated_suction.h + rated.rated_power / rated.rated_flow
        discharge = March(self.fluid, circuit["discharge"], False, rated.rated_flow)
        self.rated_discharge = discharge.along(rated.rated_head, hot, rated.rated_flow, None)
        outlet = self.rated_discharge.pressure - job.quantity(circuit["condenser"]["pressure_drop"])
        liquid = March(self.fluid, circuit["liquid"], True, rated.rated_flow)
        self.rated_line = liquid.along(outlet, rated.rated_liquid, rated.rated_flow, None)
        self.discharge = replace(discharge, rated=self.rated_discharge)
        self.liquid = replace(liquid, rated=self.rated_line)

    def state(self, evaporating, head, at, air_share=1.0, superheat=None):
        """Round the circuit in the direction of flow. The compressors' shells lose no heat; the bypass takes its share of
        the hot gas to the evaporator; the coil loses its rated loss times (flow/rated flow)^1.8."""
        low = self.fluid.pressure(DEW, evaporating)
        superheat = self.superheat if superheat is None else superheat
        suction = self.fluid.point(GAS, low, evaporating + superheat)
        flow, power = self.compressors.run(low, suction, head, at.share)
        hot = suction.h + power / flow
        carried = (1 - at.bypass) * flow
        discharge = self.discharge.along(head, hot, carried, at.outdoor, at.lines)
        condenser = self.keys["condenser"]
        outlet = discharge.pressure - job.quantity(condenser["pressure_drop"]) * (carried / self.compressors.rated_flow) ** 1.8
        bubble, air_on = self.fluid.temperature(BUBBLE, outlet), at.outdoor + at.recirculation
        subcooling = 0.0 if self.drains else self.coil.subcooling(bubble, air_on, carried, air_share)
        cold = self.fluid.point(LIQUID, outlet, bubble - subcooling)
        liquid = self.liquid.along(outlet, cold.h, carried, at.outdoor, at.lines)
        return State(
            evaporating,
            self.fluid.temperature(DEW, discharge.pressure),
            head,
            flow,
            power,
            carried * (discharge.enthalpy - cold.h),
            flow * suction.h - carried * liquid.enthalpy - at.bypass * flow * hot,
            self.fluid.at_enthalpy(GAS, head, hot, self.fluid.temperature(DEW, head) + 25).t,
            discharge,
            liquid,
            superheat=superheat,
            valve_passes=self.valve.passes(liquid.end.density, liquid.pressure, low) - carried,
            air_share=air_share,
            over_air=bubble - air_on,
        )

    def fluid_held(self, at):
        """Whether the evaporating temperature follows from the fluid."""
        return self.evaporator is not None and at.suction is None

    def held_suction(self, at):
        """Evaporating temperature that is held."""
        return at.suction if at.suction is not None else job.temperature(self.keys["evaporator"]["suction"])

    def rejects(self, condensing, at, air_share=1.0):
        """W, of the coil at a condition."""
        return self.coil.rejects(condensing, at.outdoor + at.recirculation, at.pressure, air_share)

    def balance(self, at, head, starved_from=None):
        """The unknowns are evaporating temperature, discharge pressure, superheat (or share that is dry), and air share or
        outdoor temperature; `head` says what closes the condenser's side:

        ("air", share)         the coil rejects what it gets at that share
        ("hold", condensing)   the condensing temperature is held by the air's share
        ("flood", condensing)  the same by flooding, at full air
        ("at", pressure)       the outdoor temperature belongs to that discharge pressure

        `starved_from` is the balance with a valve large enough: now it is wide open, and the fluid enters as it did there.
        """
        kind, given = head
        scale = self.coil.difference / self.coil.rejection

        def evaporator_side(state, x, there):
            evaporating, third = x[0], x[2]
            passes = state.valve_passes / self.compressors.rated_flow * 50
            if not self.fluid_held(there):
                return [third - self.superheat, self.held_suction(there) - evaporating if not starved_from else passes]
            cooler, q = self.evaporator, state.capacity
            if starved_from:
                entering = starved_from.entering
                state.entering, state.leaving = entering, entering - q / cooler.capacity_rate
                surplus = cooler.takes(entering, evaporating, third) - q
                return [surplus / self.compressors.rated_capacity * cooler.approach, passes]
            state.entering, state.leaving = cooler.leaving + q / cooler.capacity_rate, cooler.leaving
            most = MOST_SUPERHEAT * (state.entering - evaporating)
            approach = cooler.approach * q / self.compressors.rated_capacity
            return [min(self.superheat, most) - third, cooler.leaving - approach - evaporating]

        def residuals(x):
            there = replace(at, outdoor=x[3] * 10) if kind == "at" else at
            share = {"air": given, "hold": x[3]}.get(kind, 1.0)
            superheat = x[2]
            if starved_from and self.fluid_held(there):
                superheat = self.evaporator.superheat(starved_from.entering, x[0], x[2])
            pressure = given if kind == "at" else x[1] * 1e5
            state = self.state(x[0], pressure, there, share, superheat)
            state.starved = starved_from is not None
            surplus = (self.rejects(state.condensing, there, share) - state.rejection) * scale
            side = evaporator_side(state, x, there)
            if kind in ("air", "at"):
                # No coil cools below the air on it, however little heat is left: a blend's head stays up by its glide.
                surplus = min(surplus, state.over_air)
                closes = [surplus, x[1] - 1 if kind == "at" else x[3]]
            else:
                closes = [state.condensing - given, surplus if kind == "hold" else x[3]]
            state.outdoor = there.outdoor
            return [*side, *closes], state

        start = self._start(at, head, starved_from)
        third = 0.2 if starved_from and self.fluid_held(at) else 4.0
        return _solve(residuals, start, [8.0, 4.0, third, 0.2 if kind == "hold" else 2.0], f"{kind} {given}")

    def _start(self, at, head, starved_from):
        kind, given = head
        third = 0.6 if starved_from and self.fluid_held(at) else self.superheat / 2
        if not self.fluid_held(at):
            third = self.superheat
        evaporating = starved_from.evaporating - 2 if starved_from else self._first(at)
        if starved_from:
            pressure = starved_from.head / 1e5
        elif kind in ("hold", "flood"):
            pressure = self.fluid.pressure(DEW, given) / 1e5 + 0.3
        else:
            pressure = self.fluid.pressure(DEW, max(at.outdoor + 12, 284)) / 1e5
        if kind == "at":
            return [evaporating, 1.0, third, (self.fluid.temperature(DEW, given) - 15) / 10]
        return [evaporating, pressure, third, 0.7 if kind == "hold" else 0.0]

    def _first(self, at):
        if not self.fluid_held(at):
            return self.held_suction(at)
        return self.evaporator.leaving - self.evaporator.approach * at.share

    def point(self, at):
        """As the tool gives it: with a valve large enough, and where that does not feed with the valve wide open."""
        try:
            fed = self.controlled(at)
            if fed.condensing < fed.evaporating + LEAST_LIFT:
                raise ArithmeticError("no refrigeration")
            if fed.valve_passes >= 0:
                return fed
        except ArithmeticError:
            # No balance with a valve large enough; the search begins where the evaporator would be pumped down.
            evaporating = min(self._first(at), at.outdoor) - 8
            fed = SimpleNamespace(evaporating=evaporating, head=self.fluid.pressure(DEW, at.outdoor + 4))
            fed.entering = self.evaporator.leaving + self.evaporator.range * at.share if self.evaporator else None
        return self.controlled(at, fed)

    def highest_outdoor(self, at):
        """Outdoor temperature at which the head pressure is the cut-out's."""
        head = job.quantity(self.keys["condenser"]["cutout"]) + self.pressure_here()
        fed = self.balance(at, ("at", head))
        return (fed if fed.valve_passes >= 0 else self.balance(at, ("at", head), fed)).outdoor

    def pressure_here(self):
        """Of the atmosphere at the site, Pa."""
        return atmosphere(job.quantity(self.site["altitude"]))

    def controlled(self, at, starved_from=None):
        """With head-pressure control, which acts where the coil alone would fall under `setpoint`: fans slow down to the least
        air and then let it fall; flooding covers 1 - Q/Q_coil of the coil."""
        alone = lambda share=1.0: self.balance(at, ("air", share), starved_from)
        control = self.keys["condenser"]["head_control"]
        if control["by"] == "none" or at.outdoor + at.recirculation >= job.temperature(control["setpoint"]):
            return alone()
        condensing = job.temperature(control["setpoint"])
        flooded = self.balance(at, ("flood", condensing), starved_from)
        spare = self.rejects(condensing, at)
        if spare <= flooded.rejection:
            return alone()
        if control["by"] == "flooding":
            return replace(flooded, flooded=1 - flooded.rejection / spare)
        held = self.balance(at, ("hold", condensing), starved_from)
        return alone(control["minimum_air"]) if held.air_share < control["minimum_air"] else held


def _solve(residuals, x, longest, what):
    """Newton's method with a difference Jacobian; `residuals` gives the residuals and what was computed beside them."""
    x = np.array(x, dtype=float)
    for _ in range(80):
        r, answer = residuals(x)
        r = np.array(r)
        if np.max(np.abs(r)) < 1e-8:
            return answer
        jacobian = np.empty((len(x), len(x)))
        for i in range(len(x)):
            moved = x.copy()
            moved[i] += 1e-4
            jacobian[:, i] = (np.array(residuals(moved)[0]) - r) / 1e-4
        step = np.linalg.solve(jacobian, -r)
        x += step * min(1.0, *(most / max(abs(taken), 1e-12) for most, taken in zip(longest, step)))
    raise ArithmeticError(f"no balance: {what}")


def conditions(circuit, points):
    """The operating points by name."""
    keys, site = circuit.keys["compressors"], circuit.site
    least = keys["minimum_share"] if "minimum_share" in keys else keys["minimum"] / keys["count"]
    bypass = keys.get("hot_gas_bypass", {"share": 0.0, "when": "never"})
    at_full = bypass["share"] if bypass["when"] == "always" else 0.0
    at_least = 0.0 if bypass["when"] == "never" else bypass["share"]
    here = Condition(0.0, 1.0, at_full, job.difference(site.get("recirculation", "0 K")), circuit.pressure_here())
    for season in ("summer", "winter"):
        outdoor = job.temperature(site[season])
        yield f"{season} full", replace(here, outdoor=outdoor)
        yield f"{season} minimum", replace(here, outdoor=outdoor, share=least, bypass=at_least)
    for point in points:
        share = bypass["share"] if point["bypass"] else 0.0
        yield (
            point["name"],
            replace(here, outdoor=job.temperature(point["outdoor"]), share=point["share"], bypass=share),
        )


def derating(circuit, summer):
    """Changes of capacity, one cause switched on after the other from the rating on; they add up to the whole."""
    bare = replace(
        summer,
        bypass=0.0,
        recirculation=0.0,
        pressure=circuit.coil.rated_pressure,
        lines=False,
        suction=circuit.compressors.evaporating,
    )
    stages = [bare]
    stages.append(replace(stages[-1], pressure=summer.pressure))
    stages.append(replace(stages[-1], recirculation=summer.recirculation))
    stages.append(replace(stages[-1], lines=True))
    if summer.bypass > 0:
        stages.append(replace(stages[-1], suction=None))
    fed = [circuit.balance(stage, ("air", 1.0)) for stage in [*stages, summer]]
    capacities = [state.capacity for state in fed]
    if fed[-1].valve_passes < 0:
        capacities.append(circuit.balance(summer, ("air", 1.0), fed[-1]).capacity)
    before = circuit.compressors.rated_capacity
    for number, capacity in enumerate(capacities, start=1):
        yield f"step_W.{number}", capacity - before
        before = capacity


def of_line(name, line):
    """The quantities of a line."""
    yield f"{name}.friction_Pa", line.friction
    yield f"{name}.parts_Pa", line.parts
    yield f"{name}.static_Pa", line.static
    yield f"{name}.heat_W", line.heat
    for riser in line.risers:
        yield f"{name}.flow_kg_s.{riser.run}.{riser.tube}", riser.flow
        yield f"{name}.oil_minimum_flow_kg_s.{riser.run}.{riser.tube}", riser.least_flow


def of_valve(line):
    """The state at the expansion valve, and the least subcooling on the way there."""
    yield "valve_inlet_Pa", line.pressure
    yield "valve_inlet_K", line.end.temperature
    if line.end.quality is not None:
        yield "valve_inlet_quality", line.end.quality
    else:
        yield "minimum_subcooling_K", line.least_subcooling


def of_state(state):
    """The quantities of an operating point."""
    yield "capacity_W", state.capacity
    yield "power_W", state.power
    yield "rejection_W", state.rejection
    yield "mass_flow_kg_s", state.flow
    yield "evaporating_K", state.evaporating
    yield "condensing_K", state.condensing
    yield "air_share", state.air_share
    yield "flooded_share", state.flooded
    yield "superheat_K", state.superheat
    if state.starved:
        yield "starved", 1.0
        if state.leaving is not None:
            yield "leaving_K", state.leaving
    yield "discharge_Pa", state.head
    yield "discharge_K", state.discharge_temperature
    yield "condenser_inlet_K", state.discharge.end.temperature
    yield from of_valve(state.liquid)
    yield from of_line("discharge_line", state.discharge)
    yield from of_line("liquid_line", state.liquid)


def values(path):
    """Everything of one job: (job, point, quantity, value)."""
    text = tomllib.loads(path.read_text(encoding="utf-8"))
    circuit = Circuit(text["site"], text["circuit"][0])
    rated = circuit.compressors
    rating = [
        ("capacity_W", rated.rated_capacity),
        ("power_W", rated.rated_power),
        ("mass_flow_kg_s", rated.rated_flow),
        *of_valve(circuit.rated_line),
        *of_line("discharge_line", circuit.rated_discharge),
        *of_line("liquid_line", circuit.rated_line),
    ]
    yield from ((path.stem, "rating", *row) for row in rating)
    for name, condition in conditions(circuit, text.get("point", [])):
        state = circuit.point(condition)
        if state.condensing < state.evaporating + LEAST_LIFT:
            yield path.stem, name, "falls_to_suction", 1.0
            continue
        yield from ((path.stem, name, *row) for row in of_state(state))
        if name == "summer full":
            rows = [*derating(circuit, condition)]
            if "cutout" in circuit.keys["condenser"]:
                rows.append(("highest_outdoor_K", circuit.highest_outdoor(condition)))
            yield from ((path.stem, "derating", *row) for row in rows)


def main(names):
    """Prints the jobs named, or writes the file of all of them."""
    if names:
        for name in names:
            for row in values(HERE / "jobs" / f"{name}.toml"):
                print(*row[1:3], f"{row[3]:.9g}")
        return
    with open(HERE / "values.csv", "w", encoding="utf-8", newline="") as file:
        file.write("# Written by model.py from jobs/: the tool's answers computed by other code on another property library.\n")
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["job", "point", "quantity", "value"])
        for path in sorted((HERE / "jobs").glob("*.toml")):
            print(path.stem, file=sys.stderr)
            table.writerows((*row[:3], f"{row[3]:.9g}") for row in values(path))


if __name__ == "__main__":
    main(sys.argv[1:])
