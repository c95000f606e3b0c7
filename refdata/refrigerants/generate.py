"""Writes one file of Chebyshev expansions for each refrigerant. Run by hand; the build never needs it.

    python -m venv /tmp/fits && /tmp/fits/bin/pip install -r requirements.txt
    /tmp/fits/bin/python generate.py [NAME ...] [--jobs N]

README.md says what the files hold.
"""

import argparse
import multiprocessing
import pathlib

import CoolProp
import numpy as np
from numpy.polynomial import chebyshev

import equations
from equations import GAS, LIQUID

HERE = pathlib.Path(__file__).parent
COLDEST = 223.15  # K, -50 degC
REFERENCE = 273.15  # K, bubble liquid: 200 kJ/kg and 1 kJ/(kg K)
SUPERHEAT = 120.0  # K
TOP = 0.93  # of the critical pressure
PROPERTIES = ["density", "enthalpy", "entropy", "cp", "viscosity", "speed_of_sound"]
# The coefficients that matter: those above a third of this, in the units of the quantity fitted.
VAPOUR_CUT = {"density": 3e-7, "enthalpy": 0.03, "entropy": 1e-4, "cp": 3e-5, "viscosity": 6e-5, "speed_of_sound": 5e-3}
LIQUID_CUT = {"density": 2e-4, "enthalpy": 0.03, "entropy": 1e-4, "cp": 3e-5, "viscosity": 6e-5, "speed_of_sound": 1e-2}
TEMPERATURE_CUT, LOG_PRESSURE_CUT = 3e-7, 3e-7


def nodes(n):
    return np.cos(np.pi * (np.arange(n) + 0.5) / n)


def coefficients(values):
    """Chebyshev coefficients of values at the nodes, in one or two dimensions; c0 not halved."""
    for axis, n in enumerate(values.shape):
        transform = chebyshev.chebvander(nodes(n), n - 1) * 2 / n
        transform[:, 0] /= 2
        values = np.moveaxis(np.tensordot(transform.T, values, (1, axis)), 0, axis)
    return values


def kept(c, cut):
    """Rows (in x) of coefficients (in y), trailing ones below a third of the cut left off, rounded to a thirtieth."""
    digits = int(np.ceil(-np.log10(cut / 30)))
    rows = []
    for row in np.atleast_2d(c):
        big = np.nonzero(abs(row) > cut / 3)[0]
        rows.append([round(float(v), digits) for v in row[: big[-1] + 1]] if big.size else [])
    while rows and not rows[-1]:
        rows.pop()
    return rows, digits


def evaluate(rows, x, y):
    ty = chebyshev.chebvander(np.atleast_1d(y), max(map(len, rows)) - 1)[0]
    tx = chebyshev.chebvander(np.atleast_1d(x), len(rows) - 1)[0]
    return sum(a * np.dot(row, ty[: len(row)]) for a, row in zip(tx, rows))


class Line:
    """One saturation line of a fluid as the equation of state has it: quality 0 bubble, 1 dew."""

    START = 240.0

    def __init__(self, fluid, quality):
        self.fluid, self.quality = fluid, quality
        if isinstance(fluid, equations.Mixture):
            self._march()

    def _march(self):
        """Trace a mixture's line outwards from 240 K in steps of 1 K, halved where one fails."""
        self.known = {self.START: self.fluid.saturation(self.quality, self.START)}
        for way in (1, -1):
            t, step = self.START, 1.0
            p, guess = self.known[t]
            while step > 1e-3 and 15e3 < p < 0.945 * self.fluid.p_critical:
                try:
                    p_next, guess_next = self.fluid.saturation(self.quality, t + way * step, guess)
                    if abs(p_next / p - 1) > 0.06 * step:
                        raise equations.NoSolution("jump")
                except (ValueError, equations.NoSolution):
                    step /= 2
                    continue
                t, p, guess = t + way * step, p_next, guess_next
                self.known[t] = p, guess
                step = min(1.0, 1.5 * step)
        self.grid = np.array(sorted(self.known))

    def pressure(self, t):
        if isinstance(self.fluid, equations.Single):
            return self.fluid.saturation(self.quality, t).p
        nearest = self.grid[np.argmin(abs(self.grid - t))]
        return self.fluid.saturation(self.quality, t, self.known[nearest][1])[0]

    def temperature(self, p):
        low, high = (200.5, self.fluid.t_critical - 1e-3)
        if isinstance(self.fluid, equations.Mixture):
            low, high = self.grid[0], self.grid[-1]
        for _ in range(60):
            middle = (low + high) / 2
            if self.pressure(middle) > p:
                high = middle
            else:
                low = middle
        return (low + high) / 2


class Fit:
    """Everything fitted for one fluid, evaluated as the program evaluates it."""

    def __init__(self, name):
        self.name = name
        fluid = self.fluid = equations.fluid(name)
        self.pc, self.rm = fluid.p_critical, fluid.gas_constant / fluid.molar_mass
        dew = Line(fluid, 1)
        self.lines = {"dew": dew} if fluid.pure else {"bubble": Line(fluid, 0), "dew": dew}
        self.p_low = float(f"{0.95 * min(0.5e5, dew.pressure(COLDEST)):.6g}")
        self.p_high = TOP * self.pc
        self.u = self._u(self.p_low), self._u(self.p_high)
        self.series, self.digits = {}, {}
        self.saturation_error = {}
        for which, line in self.lines.items():
            self._fit_line(which, line)
        zero = fluid.single(LIQUID, self.lines.get("bubble", dew).pressure(REFERENCE), REFERENCE)
        self.h0, self.s0 = zero.h - 200e3, zero.s - 1e3
        self.grids = {}
        self._fit_vapour()
        self._fit_liquid()

    # Saturation lines. x is linear in -sqrt(1 - (p/pc)^0.3), which straightens both ends.
    def _u(self, p):
        return -np.sqrt(1 - (p / self.pc) ** 0.3)

    def x_of_p(self, p):
        return (2 * self._u(p) - self.u[0] - self.u[1]) / (self.u[1] - self.u[0])

    def p_of_x(self, x):
        u = (x * (self.u[1] - self.u[0]) + self.u[0] + self.u[1]) / 2
        return self.pc * (1 - u * u) ** (1 / 0.3)

    def _fit_line(self, which, line):
        t_low, t_high = line.temperature(self.p_low), line.temperature(self.p_high)
        t = (t_low + t_high) / 2 + (t_high - t_low) / 2 * nodes(120)
        p = np.array([line.pressure(v) for v in t])
        for terms in range(8, 40):
            c = chebyshev.chebfit(self.x_of_p(p), t, terms - 1)
            if abs(chebyshev.chebval(self.x_of_p(p), c) - t).max() < 2e-6:
                break
        rows, self.digits[f"{which}_temperature"] = kept(c, TEMPERATURE_CUT)
        self.series[f"{which}_temperature"] = rows[0]
        ends = self.temperature(which, self.p_low), self.temperature(which, self.p_high)
        x = (2 / t - 1 / ends[0] - 1 / ends[1]) / (1 / ends[1] - 1 / ends[0])
        for terms in range(4, 30):
            c = chebyshev.chebfit(x, np.log(p), terms - 1)
            if abs(chebyshev.chebval(x, c) - np.log(p)).max() < 3e-6:
                break
        rows, self.digits[f"{which}_log_pressure"] = kept(c, LOG_PRESSURE_CUT)
        self.series[f"{which}_log_pressure"] = rows[0]
        rng = np.random.default_rng(7)
        tests = [max(v, ends[0]) for v in rng.uniform(t_low, t_high, 60)]
        self.saturation_error[which] = max(abs(self.pressure(which, v) / line.pressure(v) - 1) for v in tests)

    def temperature(self, which, p):
        which = which if f"{which}_temperature" in self.series else "dew"
        return float(chebyshev.chebval(self.x_of_p(p), self.series[f"{which}_temperature"]))

    def pressure(self, which, t):
        """The inverse of the temperature series."""
        low, high = self.p_low * 0.999, self.p_high * 1.001
        for _ in range(80):
            middle = (low + high) / 2
            if self.temperature(which, middle) > t:
                high = middle
            else:
                low = middle
        return (low + high) / 2

    # Vapour: x as above; y logarithmic in superheat.
    def stretch(self, p):
        return 12 * (1.03 - p / self.pc)

    def vapour_t(self, p, y):
        d = self.stretch(p)
        return self.temperature("dew", p) + d * np.expm1((y + 1) / 2 * np.log1p(SUPERHEAT / d))

    def vapour_forms(self, p, q):
        return [p / (q.rho * self.rm * q.t), q.h - self.h0, q.s - self.s0 + self.rm * np.log(p / 1e5),
                np.log(q.cp), np.log(q.mu), q.w]

    def _fit_vapour(self):
        n, m = 40, 24
        values = np.empty((6, n, m))
        for i, x in enumerate(nodes(n)):
            p, near = self.p_of_x(x), None
            for j, y in enumerate(nodes(m)):
                q = self.fluid.single(GAS, p, self.vapour_t(p, y), near)
                near = q.rho
                values[:, i, j] = self.vapour_forms(p, q)
        self._keep("vapour", values, VAPOUR_CUT)

    # Liquid: x linear in -sqrt(ts - T); y linear in pressure from the bubble line (as its logarithm was fitted: the
    # mapping must be the program's, not exact) to the critical pressure.
    def floor(self, t):
        which = "bubble" if "bubble_log_pressure" in self.series else "dew"
        low, high = 1 / self.temperature(which, self.p_low), 1 / self.temperature(which, self.p_high)
        return float(np.exp(chebyshev.chebval((2 / t - low - high) / (high - low), self.series[f"{which}_log_pressure"])))

    def x_of_t(self, t):
        low, high = self.temperature("bubble", self.p_low), self.temperature("bubble", self.p_high)
        v, a, b = -np.sqrt(high + 3 - t), -np.sqrt(high + 3 - low), -np.sqrt(3.0)
        return (2 * v - a - b) / (b - a)

    def t_of_x(self, x):
        low, high = self.temperature("bubble", self.p_low), self.temperature("bubble", self.p_high)
        a, b = -np.sqrt(high + 3 - low), -np.sqrt(3.0)
        return high + 3 - ((x * (b - a) + a + b) / 2) ** 2

    def liquid_forms(self, q):
        return [q.rho, q.h - self.h0, q.s - self.s0, np.log(q.cp), np.log(q.mu), q.w]

    def _fit_liquid(self):
        n, m = 28, 16
        values = np.empty((6, n, m))
        for i, x in enumerate(nodes(n)):
            t, near = self.t_of_x(x), None
            bubble = self.floor(t)
            for j, y in enumerate(nodes(m)):
                q = self.fluid.single(LIQUID, bubble + (y + 1) / 2 * (self.pc - bubble), t, near)
                near = q.rho
                values[:, i, j] = self.liquid_forms(q)
        self._keep("liquid", values, LIQUID_CUT)

    def _keep(self, phase, values, cuts):
        for name, v in zip(PROPERTIES, values):
            key = f"{phase}_{name}"
            self.grids[key], self.digits[key] = kept(coefficients(v), cuts[name])

    # Errors at random states, measured as the accuracy is asked for.
    def latent(self, p):
        """Enthalpy and entropy of evaporation at a pressure, or at the top of the range above it."""
        p = min(p, self.p_high)
        x_b = self.x_of_t(self.temperature("bubble", p))
        gas = [evaluate(self.grids[f"vapour_{k}"], self.x_of_p(p), -1) for k in ("enthalpy", "entropy")]
        fluid = [evaluate(self.grids[f"liquid_{k}"], x_b, -1) for k in ("enthalpy", "entropy")]
        return gas[0] - fluid[0], gas[1] - self.rm * np.log(p / 1e5) - fluid[1]

    def errors(self):
        rng = np.random.default_rng(11)
        worst = {key: 0.0 for key in self.grids}
        for k in range(700):
            x, y = rng.uniform(-1, 1, 2)
            if k < 200:
                y = -1 if k % 2 else 1
            elif k < 260:
                x = -1 if k % 2 else 1
            if k % 3:
                p = self.p_of_x(x)
                t = self.vapour_t(p, y)
                phase, gas = "vapour", GAS
                have = [evaluate(self.grids[f"vapour_{n}"], self.x_of_p(p), y) for n in PROPERTIES]
                near = p / (have[0] * self.rm * t)
                q = self.fluid.single(gas, p, t, near)
                want = self.vapour_forms(p, q)
                scale = [want[0]]
            else:
                t = self.t_of_x(x)
                bubble = self.floor(t)
                p = bubble + (y + 1) / 2 * (self.pc - bubble)
                phase = "liquid"
                have = [evaluate(self.grids[f"liquid_{n}"], x, y) for n in PROPERTIES]
                q = self.fluid.single(LIQUID, p, t, have[0])
                want = self.liquid_forms(q)
                scale = [want[0]]
            scale += [*self.latent(p), 1, 1, want[5]]
            for n, a, b, s in zip(PROPERTIES, have, want, scale):
                worst[f"{phase}_{n}"] = max(worst[f"{phase}_{n}"], abs((a - b) / s))
        return worst

    def text(self):
        f, out = self.fluid, []
        out.append(f"# {self.name}: Chebyshev expansions of its properties. Written by generate.py; README.md explains it.")
        out.append(f"# Values: CoolProp {CoolProp.__version__}, Helmholtz equations of state, {f.made_of}.")
        if f.composition is not None:
            out.append("# Mole fractions: " + " ".join(f"{x:.7f}" for x in f.composition) + ".")
            out.append("# Viscosity by components at equal reduced density: a rule good to 10 %, not a measurement.")
        out.append("# SI by mass. h = 200 kJ/kg and s = 1 kJ/(kg K) for bubble liquid at 0 degC.")
        out.append(f"name {self.name}")
        out.append(f"pure {'yes' if f.pure else 'no'}")
        out.append(f"molar_mass {f.molar_mass:.9g}")
        out.append(f"gas_constant {self.rm!r}")
        out.append(f"critical_temperature {f.t_critical:.8g}")
        out.append(f"critical_pressure {self.pc!r}")
        out.append(f"pressure {self.p_low!r} {self.p_high!r}")
        out.append(f"coldest {COLDEST}")
        out.append(f"superheat {SUPERHEAT}")
        out.append("# Largest relative error at random states (h, s: of the latent heat and its entropy at that pressure).")
        for which, e in self.saturation_error.items():
            out.append(f"error {which}_pressure {e:.1e}")
        for key, e in self.errors().items():
            out.append(f"error {key} {e:.1e}")
        for key, c in self.series.items():
            out.append(f"series {key} {len(c)}")
            out.append(" ".join(_number(v, self.digits[key]) for v in c))
        for key, rows in self.grids.items():
            out.append(f"grid {key} {len(rows)} {max(map(len, rows))}")
            out.extend(" ".join(_number(v, self.digits[key]) for v in row) or "0" for row in rows)
        return "\n".join(out) + "\n"


def _number(value, digits):
    text = f"{value:.{max(digits, 0)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    text = "0" if text in ("-0", "") else text
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def write(name):
    text = Fit(name).text()
    (HERE / f"{name}.txt").write_text(text)
    errors = [line.split()[1:] for line in text.splitlines() if line.startswith("error")]
    return f"{name}: {len(text) / 1000:.1f} kB; " + ", ".join(f"{k} {e}" for k, e in errors)


def main():
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("names", nargs="*", default=equations.ALL)
    arguments.add_argument("--jobs", type=int, default=1)
    given = arguments.parse_args()
    with multiprocessing.Pool(given.jobs, maxtasksperchild=1) as pool:
        for line in pool.imap(write, given.names, chunksize=1):
            print(line, flush=True)


if __name__ == "__main__":
    main()
