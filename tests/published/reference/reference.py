"""Independent reference computation of the quantities of a design.

Written from the definitions of the quantities and the table of presets alone,
without sight of the Rust.  All values are SI (degrees Celsius for absolute
temperatures; steps.per_unit in 1/mm or 1/deg).  Where a definition left more
than one reading open, the line says "Settled" and README.md says why.
report(inputs, version) -> {"values", "absent", "checks", "exact"}, version 3 with "tolerances".
"v3" marks what version 3 of the definitions changed; README.md lists it.
"""
import math
import re
from fractions import Fraction as Fr

import mpmath
import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, minimize_scalar

mpmath.mp.dps = 60
PI_FR = Fr(int(mpmath.floor(mpmath.pi * mpmath.mpf(10) ** 50)), 10 ** 50)
G = Fr("9.80665")
GF = float(G)
A20 = 0.00393
PI = math.pi

# ---------------------------------------------------------------- units
LB = Fr("0.45359237")
IN = Fr("0.0254")
UNITS = {  # name: (exact factor, power of pi)
    "": (Fr(1), 0), "V": (Fr(1), 0), "A": (Fr(1), 0), "Ohm": (Fr(1), 0), "H": (Fr(1), 0), "F": (Fr(1), 0),
    "T": (Fr(1), 0), "Hz": (Fr(1), 0), "s": (Fr(1), 0), "min": (Fr(60), 0), "h": (Fr(3600), 0), "m": (Fr(1), 0),
    "in": (IN, 0), "ft": (12 * IN, 0), "mil": (IN / 1000, 0), "g": (Fr(1, 1000), 0), "kg": (Fr(1), 0),
    "lb": (LB, 0), "oz": (LB / 16, 0), "N": (Fr(1), 0), "kgf": (G, 0), "gf": (G / 1000, 0), "lbf": (LB * G, 0),
    "ozf": (LB * G / 16, 0), "N.m": (Fr(1), 0), "N.cm": (Fr(1, 100), 0), "kgf.cm": (G / 100, 0), "gf.cm": (G / 100000, 0),
    "ozf.in": (LB * G * IN / 16, 0), "lbf.in": (LB * G * IN, 0), "kg.m2": (Fr(1), 0), "g.cm2": (Fr(1, 10 ** 7), 0),
    "rad": (Fr(1), 0), "deg": (Fr(1, 180), 1), "turn": (Fr(2), 1), "r/min": (Fr(1, 30), 1), "rpm": (Fr(1, 30), 1),
    "rad/s": (Fr(1), 0), "deg/s": (Fr(1, 180), 1), "K/W": (Fr(1), 0), "degC": (Fr(1), 0), "K": (Fr(1), 0),
    "%": (Fr(1, 100), 0), "1/K": (Fr(1), 0), "%/K": (Fr(1, 100), 0), "A.h": (Fr(3600), 0), "mm2": (Fr(1, 10 ** 6), 0),
    "AWG": (Fr(1), 0), "N.m/rad": (Fr(1), 0), "N.m/deg": (Fr(180), -1), "W": (Fr(1), 0),
}
PREFIX = {"k": Fr(1000), "M": Fr(10 ** 6), "c": Fr(1, 100), "m": Fr(1, 1000), "u": Fr(1, 10 ** 6), "n": Fr(1, 10 ** 9)}
PREFIXABLE = {"V", "A", "Ohm", "H", "F", "T", "Hz", "s", "m", "N", "N.m", "A.h"}


def parse(text):
    """Exact factor and the power of pi: value = factor * pi**power."""
    t = re.split(r"\s*(?:±|\+-|\+/-|~)", text)[0].strip()
    for a, b in (("·", "."), ("²", "2"), ("°C", "degC"), ("°F", "degF"), ("°", "deg"), ("Ω", "Ohm"), ("µ", "u")):
        t = t.replace(a, b)
    m = re.match(r"^([+\-−]?[0-9.]+(?:[eE][+\-]?\d+)?(?:/\d+)?)\s*(.*)$", t)
    if not m:
        raise ValueError(text)
    num, unit = m.group(1).replace("−", "-"), m.group(2)
    if "/" in num:
        a, b = num.split("/")
        x = Fr(a) / Fr(b)
    else:
        x = Fr(num)
    if unit == "degF":
        return (x - 32) * Fr(5, 9), 0
    if unit in UNITS:
        f, p = UNITS[unit]
        return x * f, p
    if unit[:1] in PREFIX and unit[1:] in PREFIXABLE:
        return x * PREFIX[unit[0]] * UNITS[unit[1:]][0], UNITS[unit[1:]][1]
    raise ValueError(text)


def dimension(text):
    u = re.split(r"\s*(?:±|\+-|\+/-|~)", text)[0].strip().replace("°", "deg")
    u = re.match(r"^[+\-−]?[0-9./]+(?:[eE][+\-]?\d+)?\s*(.*)$", u).group(1)
    if u in ("deg", "rad", "turn"):
        return "angle"
    if u in ("m", "mm", "um", "cm", "in", "ft", "mil"):
        return "length"
    return "other"


def fl(pair):
    return float(pair[0]) * PI ** pair[1] if pair[1] else float(pair[0])


CHOICES = {"axis.kind", "axis.home", "motor.figures_at", "move.profile", "move.holding_current", "move.approach", "move.direction",
           "move.reverses_at_speed", "bridge.limit_kind", "bridge.decay", "supply.sinks_current", "regulator.kind", "regulator.rectifier",
           "wiring.shared", "wiring.trace_layer", "loop.on_target", "axis.load_is", "wiring.ground_at", "wiring.pulse_interface"}
LISTS = {"gears.stages", "axis.reduction", "gears.stage_efficiencies"}

NEUTRAL = {
    "axis.kind": "arm", "axis.external_force": "0 N", "axis.drag_force": "0 N", "axis.ambient_temperature": "25 degC",
    "axis.bearing_radius": "10 mm", "axis.belt_pitch": "2 mm", "axis.pulley_teeth": "16", "axis.pinion_teeth": "20",
    "axis.pinion_module": "0.8 mm", "axis.load_torque_given": "0.03 N.m", "axis.load_inertia_given": "1500 g.cm2",
    "axis.screw_lead": "2 mm", "axis.screw_mean_diameter": "7 mm", "axis.screw_thread_friction": "0.15", "axis.screw_flank_angle": "15 deg",
    "axis.collar_friction": "0.10", "axis.collar_diameter": "10 mm", "axis.reduction_efficiency": "1", "axis.reduction_backlash": "0 rad",
    "axis.start_angle": "0 rad", "axis.home": "none", "axis.slope": "0 deg",
    "motor.figures_at": "output", "motor.rated_voltage": "6 V", "motor.no_load_speed": "160 r/min", "motor.no_load_current": "60 mA",
    "motor.stall_torque": "2.1 kgf.cm", "motor.stall_current": "1.1 A", "motor.added_mass": "8 g",
    "motor.reference_temperature": "25 degC", "motor.max_winding_temperature": "90 degC", "motor.flux_coefficient": "-0.002 1/K",
    "motor.mass": "10 g", "motor.rotor_inertia": "0.15 g.cm2", "motor.winding_to_housing": "15 K/W", "motor.housing_to_ambient": "45 K/W",
    "motor.winding_time_constant": "12 s", "motor.housing_time_constant": "210 s",
    "gears.ratio": "100", "gears.efficiency_per_stage": "0.90", "gears.backlash": "3 deg", "gears.continuous_torque": "0.12 N.m",
    "gears.peak_torque": "0.3 N.m", "gears.radial_limit": "15 N", "gears.transmission_error": "0.3 deg",
    "encoder.pole_pairs": "3", "encoder.sensors": "2", "encoder.sensor_spacing": "90 deg", "encoder.placement_error": "0.2 mm",
    "encoder.placement_radius": "3 mm", "encoder.duty_error": "12 deg", "encoder.edge_service_time": "3 us", "encoder.peak_field": "30 mT",
    "encoder.operate_point": "9 mT",
    "steps.gearing_limit": "65535", "steps.controller_rate_limit": "25 kHz", "steps.pulse_high": "3 us", "steps.pulse_low": "3 us",
    "steps.direction_setup": "5 us", "steps.service_time": "2 us", "steps.decimals": "3",
    "move.profile": "trapezoid", "move.ramp_fraction": "1/3", "move.dwell": "2 s", "move.holding_current": "no_friction", "move.direction": "lifting",
    "move.duty": "1", "move.reverses_at_speed": "no", "move.approach": "either",
    "bridge.high_side": "220 mOhm", "bridge.low_side": "180 mOhm", "bridge.temperature_coefficient": "0.005 1/K", "bridge.current_limit": "1.5 A",
    "bridge.limit_kind": "none", "bridge.junction_to_ambient": "80 K/W", "bridge.max_junction": "150 degC", "bridge.pwm_frequency": "20 kHz",
    "bridge.rise_time": "200 ns", "bridge.fall_time": "200 ns", "bridge.quiescent_current": "1.5 mA", "bridge.decay": "slow",
    "supply.voltage": "6 V", "supply.source_resistance": "0.1 Ohm", "supply.current_limit": "2 A", "supply.rated_hours": "5 h",
    "supply.peukert_exponent": "1.05", "supply.actuators": "1", "supply.moving_together": "1", "supply.bulk_capacitance": "470 uF",
    "supply.max_voltage": "12 V", "supply.sinks_current": "no",
    "regulator.kind": "linear", "regulator.rectifier": "diode", "regulator.output_voltage": "3.3 V", "regulator.dropout": "0.3 V",
    "regulator.quiescent_current": "0.1 mA", "regulator.junction_to_ambient": "180 K/W", "regulator.max_junction": "125 degC",
    "regulator.mcu_current": "15 mA", "regulator.sensor_current": "4 mA", "regulator.led_current": "3 mA", "regulator.other_current": "1 mA",
    "regulator.efficiency": "0.85", "regulator.switching_frequency": "1 MHz", "regulator.inductance": "10 uH",
    "regulator.output_capacitance": "22 uF",
    "wiring.gauge": "26", "wiring.length": "0.5 m", "wiring.temperature": "30 degC", "wiring.shared": "common", "wiring.trace_width": "1 mm",
    "wiring.trace_thickness": "35 um", "wiring.trace_length": "20 mm", "wiring.trace_rise": "10 K", "wiring.trace_layer": "outer",
    "wiring.pin_current": "1.5 A", "wiring.logic_high": "3.3 V", "wiring.input_high": "2.31 V", "wiring.input_max": "3.6 V",
    "loop.sample_time": "1 ms", "loop.delay": "1", "loop.bandwidth": "4 Hz", "loop.damping": "1", "loop.integral_time": "0.2 s",
    "loop.feed_forward": "0", "loop.voltage_limit": "1", "loop.pwm_resolution": "1000", "loop.deadband": "1", "loop.on_target": "drive",
}
BY_KIND = {
    "arm": {"axis.load_mass": "60 g", "axis.radius": "50 mm", "axis.friction_coefficient": "0", "axis.position_tolerance": "2 deg",
            "move.distance": "90 deg", "move.time": "0.5 s", "loop.step_test": "10 deg"},
    "turntable": {"axis.load_mass": "150 g", "axis.radius": "60 mm", "axis.friction_coefficient": "0.10", "axis.position_tolerance": "6 deg",
                  "move.distance": "180 deg", "move.time": "2 s", "loop.step_test": "10 deg"},
    "belt": {"axis.load_mass": "300 g", "axis.friction_coefficient": "0.05", "axis.transmission_efficiency": "0.95",
             "axis.position_tolerance": "0.6 mm", "move.distance": "100 mm", "move.time": "3 s"},
    "rack": {"axis.load_mass": "300 g", "axis.friction_coefficient": "0.10", "axis.transmission_efficiency": "0.90",
             "axis.position_tolerance": "1 mm", "move.distance": "100 mm", "move.time": "2 s"},
    "drum": {"axis.load_mass": "200 g", "axis.radius": "10 mm", "axis.friction_coefficient": "0", "axis.transmission_efficiency": "0.95",
             "axis.position_tolerance": "1 mm", "move.distance": "200 mm", "move.time": "4 s", "axis.slope": "90 deg"},
    "screw": {"axis.load_mass": "300 g", "axis.friction_coefficient": "0.10", "axis.position_tolerance": "0.1 mm", "move.distance": "10 mm",
              "move.time": "5 s", "axis.slope": "90 deg"},
    "torque": {"axis.position_tolerance": "2 deg", "move.distance": "90 deg", "move.time": "0.5 s", "loop.step_test": "10 deg"},
}
STEPPER = {"stepper.step_angle": "1.8 deg", "stepper.holding_torque": "0.40 N.m", "stepper.phase_current": "1.2 A",
           "stepper.phase_resistance": "2.5 Ohm", "stepper.phase_inductance": "3.5 mH", "stepper.drive_voltage": "12 V", "stepper.microsteps": "16",
           "stepper.rotor_inertia": "54 g.cm2", "stepper.mass": "260 g", "stepper.step_accuracy": "0.05"}
# class defaults by motor.case_diameter (mm upper bound of the class): id -> text
CLASSES = [
    (13, {}),
    (18, {"motor.mass": "32 g", "motor.winding_to_housing": "9 K/W", "motor.housing_to_ambient": "24 K/W", "motor.winding_time_constant": "16 s",
          "motor.housing_time_constant": "320 s", "motor.rotor_inertia": "1.1 g.cm2", "gears.backlash": "2.5 deg",
          "gears.continuous_torque": "0.2 N.m", "gears.peak_torque": "0.4 N.m", "gears.radial_limit": "30 N", "encoder.placement_radius": "4 mm"}),
    (30, {"motor.mass": "95 g", "motor.winding_to_housing": "7 K/W", "motor.housing_to_ambient": "18 K/W", "motor.winding_time_constant": "20 s",
          "motor.housing_time_constant": "560 s", "motor.rotor_inertia": "4 g.cm2", "gears.backlash": "2.5 deg",
          "gears.continuous_torque": "0.5 N.m", "gears.peak_torque": "1.2 N.m", "gears.radial_limit": "40 N", "encoder.placement_radius": "5 mm"}),
    (1e9, {"motor.mass": "205 g", "motor.winding_to_housing": "6 K/W", "motor.housing_to_ambient": "14 K/W", "motor.winding_time_constant": "25 s",
           "motor.housing_time_constant": "900 s", "motor.rotor_inertia": "14 g.cm2", "gears.backlash": "2.5 deg",
           "gears.continuous_torque": "1.5 N.m", "gears.peak_torque": "4 N.m", "gears.radial_limit": "60 N", "encoder.placement_radius": "6 mm"}),
]


# v3: what is assumed where nothing is given
NEUTRAL_3 = {"loop.feed_forward": "1", "wiring.logic_low": "0.2 V", "wiring.input_low": "0.99 V", "wiring.input_min": "-0.3 V", "wiring.ground_at": "supply",
             "axis.load_is": "lifting"}
# v3: usual sizes, from the least that is assumed; common practice, no source
SIZES = {"bridge.current_limit": [1.5, 2, 3, 5, 10, 15, 20, 30, 50, 100], "wiring.pin_current": [1.5, 2, 3, 5, 10, 15, 20, 30, 50, 100],
         "supply.current_limit": [2, 3, 5, 10, 15, 20, 30, 50, 100, 200], "wiring.trace_width": [1, 1.5, 2, 3, 5, 10, 15, 20, 30, 50],
         "wiring.gauge": list(range(26, -1, -2))}
wire_rating = lambda m2: 10 * (m2 * 1e6) ** 0.75   # A; Settled: see README
FUSES = [x * 10 ** e for e in range(-2, 3) for x in (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8)]       # A, the R10 steps of IEC 60127-2
# v3: absolute tolerances of a preset that cannot be more than a quarter of a value that is given
ABSOLUTE = {"gears.backlash": math.radians(1), "gears.efficiency_per_stage": 0.04, "motor.flux_coefficient": 0.0005, "supply.peukert_exponent": 0.05,
            "regulator.efficiency": 0.05}

WINDING_TIMES = [0.165e-3, 0.30e-3, 0.40e-3, 0.52e-3]        # L/R by class: an inductance that is not given follows from it


def pairs(text):
    out = Fr(1)
    n = 0
    for part in re.split(r"[,;×*\s]+", text.strip()):
        a, b = re.split(r"[:/]", part)
        out *= Fr(int(a), int(b))
        n += 1
    return out, n


def best_fraction(x, limit):
    """Closest p/q to x with 1 <= p, q <= limit; ties to the smaller q. None where x is outside."""
    if x > limit or x < Fr(1, limit):
        return None
    lp, lq, hp, hq = 0, 1, 1, 0          # Stern-Brocot: lower l <= x, upper h >= x
    exact = None
    while exact is None:
        # step the lower bound towards the upper as often as it stays <= x and within the limits
        a, b = x.numerator, x.denominator
        # (lp + k hp)/(lq + k hq) <= x
        den = hp * b - a * hq             # > 0 as h > x
        k = (a * lq - lp * b) // den
        kmax = min((limit - lp) // hp if hp else 10 ** 30, (limit - lq) // hq if hq else 10 ** 30)
        k1 = min(k, kmax)
        lp, lq = lp + k1 * hp, lq + k1 * hq
        if Fr(lp, lq) == x:
            exact = Fr(lp, lq)
            break
        # (hp + k lp)/(hq + k lq) >= x
        den = a * lq - lp * b
        kk = (hp * b - a * hq) // den
        kkmax = min((limit - hp) // lp if lp else 10 ** 30, (limit - hq) // lq if lq else 10 ** 30)
        k2 = min(kk, kkmax)
        hp, hq = hp + k2 * lp, hq + k2 * lq
        if hq and Fr(hp, hq) == x:
            exact = Fr(hp, hq)
            break
        if k1 == 0 and k2 == 0:
            break
    if exact is not None:
        return exact.numerator, exact.denominator
    cands = [(p, q) for p, q in ((lp, lq), (hp, hq)) if 1 <= p <= limit and 1 <= q <= limit]
    return min(cands, key=lambda c: (abs(Fr(c[0], c[1]) - x), c[1]))


class Absent(Exception):
    def __init__(self, code):
        self.code = code


# ---------------------------------------------------------------- the motion of one half
class Half:
    """One half of the cycle: the load torque (at the axis) in the direction of motion, and its profile.

    law gives the torque after a travel of the output from the start of the half; without it the torque is constant.
    """

    def __init__(self, c, T, time, law=None):
        self.c, self.t = c, time
        d = c["d_out"]
        if c["profile"] == "trapezoid":
            f = c["f"]
            v = d / (time * (1 - f))
            a = v / (f * time)
            self.v, self.a = v, a
            t1, t2 = f * time, time - f * time
            segs = [(0.0, t1, lambda t: a, lambda t: a * t, lambda t: a * t * t / 2)]
            if t2 > t1:
                segs.append((t1, t2, lambda t: 0.0, lambda t: v, lambda t: a * t1 * t1 / 2 + v * (t - t1)))
            segs.append((t2, time, lambda t: -a, lambda t: v - a * (t - t2), lambda t: d - a * (time - t) ** 2 / 2))
            cuts = None
        else:
            self.v, self.a = 1.875 * d / time, 10 / math.sqrt(3) * d / time ** 2
            alpha = lambda t: d / time ** 2 * (60 * (t / time) - 180 * (t / time) ** 2 + 120 * (t / time) ** 3)
            omega = lambda t: d / time * (30 * (t / time) ** 2 - 60 * (t / time) ** 3 + 30 * (t / time) ** 4)
            way = lambda t: d * (10 * (t / time) ** 3 - 15 * (t / time) ** 4 + 6 * (t / time) ** 5)
            cuts = [0.0, (3 - math.sqrt(3)) / 6 * time, time / 2, (3 + math.sqrt(3)) / 6 * time, time]
            segs = [(x, y, alpha, omega, way) for x, y in zip(cuts, cuts[1:])]
        self.smooth = cuts is not None or law is not None
        load = (lambda way: lambda t: T) if law is None else (lambda way: lambda t: law(way(t)))
        self.segs = []
        for x, y, al, om, way in segs:
            tq = load(way)
            inner = []
            if self.smooth:
                # kinks where the torque at the axis, or at the gearbox output, changes sign
                h = lambda t: self.axis_torque(al(t), tq(t)) if law is not None else self.out_torque(al(t), tq(t))
                ts = np.linspace(x, y, 201) if law is not None else [x, y]
                for p, q_ in zip(ts, ts[1:]):
                    if h(p) * h(q_) < 0:
                        inner.append(brentq(h, p, q_, xtol=1e-15 * time, rtol=1e-14))
            ends = [x, *inner, y]
            self.segs += [(p, q_, al, om, tq) for p, q_ in zip(ends, ends[1:])]

    def axis_torque(self, alpha_out, T):
        return T + self.c["J_axis"] * alpha_out / self.c["n"]

    def out_torque(self, alpha, T):
        return self.c["carry"](self.axis_torque(alpha, T))

    def current(self, alpha, T):
        c = self.c
        tq = self.out_torque(alpha, T)
        g = tq / (c["N"] * c["eta"]) if tq >= 0 else tq * c["eta_back"] / c["N"]
        return (g + c["Jr"] * c["N"] * alpha) / c["Kt"] + c["I0"]

    def power(self, alpha, omega, T):
        c = self.c
        i = self.current(alpha, T)
        return i * i * c["Rm"] + c["Ke"] * c["N"] * omega * i

    def maximum(self, fn):
        """Largest fn(alpha, omega, T) over the half, segment ends included one-sided."""
        best = -math.inf
        for x, y, al, om, tq in self.segs:
            f = lambda t: fn(al(t), om(t), tq(t))
            best = max(best, f(x), f(y))
            if self.smooth:
                ts = np.linspace(x, y, 400)
                vals = [f(t) for t in ts]
                k = int(np.argmax(vals))
                lo, hi = ts[max(0, k - 1)], ts[min(len(ts) - 1, k + 1)]
                r = minimize_scalar(lambda t: -f(t), bounds=(lo, hi), method="bounded", options={"xatol": 1e-12 * self.t})
                best = max(best, -r.fun, max(vals))
        return best

    def integral(self, fn, kink=None):
        """Integral of fn(alpha, omega, T); kink(alpha, omega, T) = a function whose roots are kinks of fn."""
        total = 0.0
        for x, y, al, om, tq in self.segs:
            cuts = [x, y]
            if kink is not None:
                h = lambda t: kink(al(t), om(t), tq(t))
                ts = np.linspace(x, y, 201)
                hv = [h(t) for t in ts]
                for p, q, hp, hq in zip(ts, ts[1:], hv, hv[1:]):
                    if hp * hq < 0:
                        cuts.append(brentq(h, p, q, xtol=1e-15 * self.t, rtol=1e-14))
            cuts = sorted(set(cuts))
            for p, q in zip(cuts, cuts[1:]):
                if q > p:
                    total += quad(lambda t: fn(al(t), om(t), tq(t)), p, q, epsabs=0, epsrel=1e-12, limit=200)[0] if self.smooth or kink \
                        else quad(lambda t: fn(al(t), om(t), tq(t)), p, q, epsabs=1e-300, epsrel=1e-12)[0]
        return total


# ---------------------------------------------------------------- report
def report(inputs, version=2):
    v3 = version == 3
    given = dict(inputs)
    kind = given.get("axis.kind", "arm")
    dflt = dict(NEUTRAL)
    winding_time = WINDING_TIMES[0]
    if "motor.case_diameter" in given:
        dia = fl(parse(given["motor.case_diameter"])) * 1000
        for (bound, table), winding_time in zip(CLASSES, WINDING_TIMES):
            if dia <= bound:
                dflt.update(table)
                break
    dflt.update(BY_KIND[kind])
    if v3:
        dflt.update(NEUTRAL_3)
        del dflt["axis.start_angle"]                    # left out: nothing is said of the angle
        if "wiring.divider_upper" in given and "wiring.divider_lower" in given:
            dflt["wiring.pulse_interface"] = "divider"
        else:
            dflt["wiring.pulse_interface"] = "direct"
        poles = int(parse(given.get("encoder.pole_pairs", NEUTRAL["encoder.pole_pairs"]))[0])
        good = min((Fr(90 * (2 * k + 1), poles) for k in range(2 * poles)), key=lambda x: (abs(x - 90), x))
        dflt["encoder.sensor_spacing"] = f"{good} deg"
    has_stepper = any(k.startswith("stepper.") for k in given)
    if has_stepper:
        dflt.update(STEPPER)

    def txt(k):
        return given.get(k, dflt.get(k))

    def has(k):
        return txt(k) is not None

    def q(k):
        t = txt(k)
        if t is None:
            raise Absent("missing")
        return fl(parse(t))

    def fr(k):
        return parse(txt(k))

    V, A, C = {}, {}, {}

    def put(k, fn):
        try:
            x = fn()
            if x is None:
                raise Absent("missing")
            x = float(x)
            if not math.isfinite(x):
                raise Absent("unlimited")
            V[k] = x
        except Absent as e:
            A[k] = e.code
        except (ZeroDivisionError, OverflowError):
            A[k] = "impossible"

    def get(k):
        if k in V:
            return V[k]
        raise Absent(A.get(k, "missing"))

    # ------------------------------------------------ ratio, stages
    if "gears.stages" in given:
        Nx, nst = pairs(given["gears.stages"])
    else:
        Nx, nst = fr("gears.ratio")[0], None
    N = float(Nx)
    if "axis.reduction" in given:
        nx, _ = pairs(given["axis.reduction"])
    else:
        nx = Fr(1)
    n = float(nx)
    eta_red = q("axis.reduction_efficiency")
    red_back = 2 - 1 / eta_red
    red_backlash = q("axis.reduction_backlash")

    def carry(T):
        return T / (n * eta_red) if T >= 0 else T * red_back / n

    # ------------------------------------------------ axis
    rotary = kind in ("arm", "turntable", "torque")
    linear = not rotary
    travel = None                         # exact (Fraction, power of pi), metres a turn of the axis
    if kind in ("belt", "rack"):
        tk = ("axis.pulley_teeth", "axis.belt_pitch") if kind == "belt" else ("axis.pinion_teeth", "axis.pinion_module")
        if any(k in given for k in tk) or "axis.radius" not in given:
            t = fr(tk[0])[0] * fr(tk[1])[0]
            travel = (t, 0) if kind == "belt" else (t, 1)
        else:
            travel = (2 * fr("axis.radius")[0], 1)
    elif kind == "drum":
        travel = (2 * fr("axis.radius")[0], 1)
    elif kind == "screw":
        travel = (fr("axis.screw_lead")[0], 0)
    travel_f = fl(travel) if travel else None
    if kind in ("belt", "rack", "drum"):
        radius = travel_f / (2 * PI)
    elif kind in ("arm", "turntable"):
        radius = q("axis.radius")
    else:
        radius = None
    lever = travel_f / (2 * PI) if linear else 1.0      # rad at the axis -> unit of the tolerance
    arc = lever if linear else radius                   # rad at the axis -> metres (None for torque)
    m = q("axis.load_mass") if kind != "torque" else 0.0
    F, Fd = q("axis.external_force"), q("axis.drag_force")
    beta = q("axis.slope")
    mu = q("axis.friction_coefficient") if kind != "torque" else 0.0
    Ta = q("axis.ambient_temperature")
    ret_screw = None
    bind = False
    law = None                            # v3: the torque of an arm by its angle
    if kind == "arm":
        hold_T = m * GF * radius + F * radius
        load_T = hold_T + Fd * radius
        level_T = load_T
    elif kind == "turntable":
        hold_T = F * radius
        load_T = mu * m * GF * q("axis.bearing_radius") + F * radius + Fd * radius
    elif kind == "torque":
        load_T = hold_T = q("axis.load_torque_given")
        if v3:
            is_ = "part" if "axis.held_torque" in given and "axis.load_is" not in given else txt("axis.load_is")
            hold_T = {"lifting": load_T, "friction": 0.0, "part": q("axis.held_torque") if has("axis.held_torque") else load_T}[is_]
    else:
        Z = m * GF * (math.sin(beta) + mu * math.cos(beta)) + F + Fd
        Hz_ = m * GF * math.sin(beta) + F
        if kind == "screw":
            l = travel_f
            hold_T = Hz_ * l / (2 * PI)
            if has("axis.transmission_efficiency"):
                load_T = Z * l / (2 * PI * q("axis.transmission_efficiency"))
            else:
                d, f_ = q("axis.screw_mean_diameter"), q("axis.screw_thread_friction")
                sec = 1 / math.cos(q("axis.screw_flank_angle"))
                col = q("axis.collar_friction") * q("axis.collar_diameter") / 2
                if PI * d <= f_ * l * sec:
                    bind = True
                    load_T = math.nan
                else:
                    load_T = Z * d / 2 * (l + PI * f_ * d * sec) / (PI * d - f_ * l * sec) + Z * col
                    Ft = m * GF * (math.sin(beta) - mu * math.cos(beta)) + F - Fd
                    ret_screw = Ft * d / 2 * (PI * f_ * d * sec - l) / (PI * d + f_ * l * sec) + Ft * col
        else:
            eta_t = q("axis.transmission_efficiency")
            load_T = Z * radius / eta_t if Z >= 0 else Z * radius * (2 - 1 / eta_t)
            hold_T = Hz_ * radius
    if bind:
        raise ValueError("a binding screw is not in these designs")
    fric_T = load_T - hold_T
    ret_T = ret_screw if ret_screw is not None else 2 * fric_T - load_T
    if "axis.payload_inertia" in given:
        Jp = q("axis.payload_inertia")
    elif kind == "turntable":
        Jp = 0.5 * m * radius ** 2
    else:
        Jp = 0.0
    if kind == "torque":
        J_axis = q("axis.load_inertia_given")
    elif kind == "turntable":
        J_axis = Jp
    elif kind == "screw":
        J_axis = Jp + m * (travel_f / (2 * PI)) ** 2
    else:
        J_axis = Jp + m * radius ** 2
    J_out = J_axis / n ** 2                # kinetic energy
    J_dyn = J_axis / (n ** 2 * eta_red)    # as a torque through the last stage

    def position(k):
        t = txt(k)
        x = fl(parse(t))
        if kind in ("arm", "turntable") and dimension(t) == "length":
            return x / radius
        return x
    tol = position("axis.position_tolerance")
    dist = position("move.distance")       # rad at the axis, or m
    d_axis = dist if rotary else dist / travel_f * 2 * PI
    d_out = d_axis * n

    put("axis.load_torque", lambda: load_T)
    put("axis.load_inertia", lambda: J_axis)
    put("axis.travel_per_turn", lambda: travel_f)
    put("axis.holding_torque", lambda: hold_T)
    put("axis.friction_torque", lambda: fric_T)
    put("axis.load_torque_return", lambda: ret_T)

    pulls = hold_T                         # v3: an arm past the top pulls the other way: its size counts
    least_held = hold_T                    # v3: what keeps the flank loaded, at the angle where it is least
    stop_T = load_T                        # v3: the torque on a loop that stopped while lifting, where it holds
    tilted = v3 and kind == "arm" and "axis.start_angle" in given
    if tilted:
        way = -1 if txt("move.direction") == "lowering" else 1
        first, last = q("axis.start_angle"), q("axis.start_angle") + way * d_axis
        low, high = min(first, last), max(first, last)
        turns = [k * PI for k in range(math.ceil(low / PI), math.floor(high / PI) + 1)]
        cosines = [math.cos(x) for x in (low, high, *turns)]
        held_at = lambda x: m * GF * radius * math.cos(x) + F * radius
        ends = [first, last] if txt("move.direction") == "both" else [last]
        fric_T = Fd * radius
        hold_T = max((held_at(x) for x in ends), key=abs)
        least_held, most_held = (m * GF * radius * pick(cosines) + F * radius for pick in (min, max))
        load_T = most_held + fric_T
        ret_T = fric_T - least_held
        least_held = max(least_held, -most_held)
        pulls = abs(hold_T)
        stop_T = pulls + fric_T
        for k in ("load_torque", "holding_torque", "friction_torque", "load_torque_return"):
            del V["axis." + k]
        put("axis.load_torque", lambda: load_T)
        put("axis.holding_torque", lambda: hold_T)
        put("axis.friction_torque", lambda: fric_T)
        put("axis.load_torque_return", lambda: ret_T)
        torque_up = lambda p: held_at(first + p / n) + fric_T
        top = first if way < 0 else last
        torque_down = lambda p: fric_T - held_at(top - p / n)

    T_out = carry(load_T)
    H_out = hold_T / n

    # ------------------------------------------------ motor, gears
    Vr, I0, Jr = q("motor.rated_voltage"), q("motor.no_load_current"), q("motor.rotor_inertia")
    R = q("motor.terminal_resistance") if has("motor.terminal_resistance") else Vr / q("motor.stall_current")
    at_output = txt("motor.figures_at") == "output"
    w0 = q("motor.no_load_speed") * (N if at_output else 1)
    Ke = Kt = (Vr - I0 * R) / w0
    L = q("motor.inductance") if "motor.inductance" in given else winding_time * R
    Is = Vr / R
    Ts_ = q("motor.stall_torque")
    put("motor.resistance", lambda: R)
    put("motor.back_emf_constant", lambda: Ke)
    put("motor.torque_constant", lambda: Kt)
    put("motor.friction_torque", lambda: Kt * I0)
    put("motor.motor_constant", lambda: Kt / math.sqrt(R))
    put("motor.mechanical_time_constant", lambda: R * Jr / (Kt * Ke))
    put("motor.electrical_time_constant", lambda: L / R)
    put("motor.best_efficiency", lambda: (1 - math.sqrt(I0 / Is)) ** 2)
    put("motor.best_efficiency_current", lambda: math.sqrt(I0 * Is))

    put("gears.exact_ratio", lambda: N)

    def f_nominal():
        if "gears.nominal_ratio" not in given:
            raise Absent("missing")
        return 2 * PI * float(fr("gears.nominal_ratio")[0] / Nx - 1)
    put("gears.nominal_error_per_turn", f_nominal)
    if "gears.stage_count" in given:
        sc = int(fr("gears.stage_count")[0])
    elif nst is not None:
        sc = nst
    elif "gears.stage_efficiencies" in given:          # Settled: one efficiency a stage counts the stages
        sc = len(re.split(r"[,;\s]+", given["gears.stage_efficiencies"].strip()))
    else:
        sc = 1
        while Fr(4) ** sc < Nx:
            sc += 1
    put("gears.stage_count", lambda: sc)
    implied = Ts_ / (N * Kt * (Is - I0)) if at_output else None
    put("gears.implied_efficiency", lambda: implied)
    put("motor.stall_ratio", lambda: None if at_output else Ts_ / (Kt * (Is - I0)))
    stage_eff = None
    if "gears.efficiency" in given:
        eta = q("gears.efficiency")
    elif "gears.stage_efficiencies" in given:
        stage_eff = [float(Fr(x)) for x in re.split(r"[,;\s]+", given["gears.stage_efficiencies"].strip())]
        eta = math.prod(stage_eff)
    elif implied is not None and 0 < implied <= 1:
        eta = implied
    else:
        eta = q("gears.efficiency_per_stage") ** sc
    if stage_eff is not None and v3:
        eta_back = 1.0                     # from the load to the motor; behind a stage that locks the rest is driven
        for e in reversed(stage_eff):
            eta_back = eta_back * (2 - 1 / e) if eta_back > 0 else eta_back / e
    elif stage_eff is not None:
        eta_back = math.prod(2 - 1 / e for e in stage_eff)
        if any(2 - 1 / e <= 0 for e in stage_eff):
            eta_back = -abs(eta_back)
    else:
        s = eta ** (1.0 / sc)
        eta_back = (2 - 1 / s) ** sc if s > 0.5 else (2 - 1 / s) / s ** (sc - 1)
    locks = eta_back <= 0
    put("gears.efficiency", lambda: eta)
    put("gears.back_driving_efficiency", lambda: eta_back)
    put("motor.torque_per_mass", lambda: Ts_ * (1 if at_output else N * eta) / (q("motor.mass") + q("motor.added_mass")))

    def f_bdt():
        if locks:
            raise Absent("unlimited")
        return N * Kt * I0 / eta_back
    put("gears.back_drive_torque", f_bdt)
    peak_gear, cont_gear = q("gears.peak_torque"), q("gears.continuous_torque")
    if "gears.peak_torque" in given and "gears.continuous_torque" not in given:
        cont_gear = min(cont_gear, 0.4 * peak_gear)
    put("gears.safe_current", lambda: peak_gear / (N * eta * Kt) + I0)
    backlash_axis = q("gears.backlash") / n + red_backlash
    put("gears.backlash_at_load", lambda: backlash_axis * (arc if arc is not None else 1.0))
    put("gears.radial_load", lambda: None if radius is None else (level_T if tilted else load_T) / radius)

    def f_bd():
        if kind == "screw" and not ret_T < 0:
            return 0.0
        if locks:
            return 0.0
        x = pulls - fric_T
        x = x * red_back / n if x > 0 else x / (n * eta_red)
        return 1.0 if x > N * Kt * I0 / eta_back else 0.0
    put("axis.back_drives", f_bd)
    put("axis.inertia_ratio", lambda: J_out / (N ** 2 * Jr))

    # ------------------------------------------------ wiring resistances, supply voltages
    if v3:
        # assumed parts fit the stall current of the motor alone at the highest voltage
        stall_alone = fl(parse(txt("supply.highest_voltage") or txt("supply.voltage"))) / R
        thick = q("wiring.trace_thickness")
        trace_of = lambda mm: (0.048 if txt("wiring.trace_layer") == "outer" else 0.024) * q("wiring.trace_rise") ** 0.44 \
            * (mm * 1e-3 * thick / float(IN / 1000) ** 2) ** 0.725
        wire_of = lambda awg: wire_rating(PI / 4 * (0.127e-3 * 92 ** ((36 - awg) / 39)) ** 2)
        asks = stall_alone * max(1, int(fr("supply.moving_together")[0]))
        for k, carries, ask, unit in (("bridge.current_limit", float, stall_alone, " A"), ("wiring.pin_current", float, stall_alone, " A"),
                                      ("supply.current_limit", float, asks, " A"), ("wiring.trace_width", trace_of, stall_alone, " mm"),
                                      ("wiring.gauge", wire_of, stall_alone, "")):
            if k not in given:
                dflt[k] = str(next((x for x in SIZES[k] if carries(x) >= ask), SIZES[k][-1])) + unit
    if "wiring.area" in given:
        area = q("wiring.area")
        diam = math.sqrt(4 * area / PI)
    else:
        diam = 0.127e-3 * 92 ** ((36 - q("wiring.gauge")) / 39)
        area = PI * diam ** 2 / 4
    rho = lambda T: (1 / 58e6) * (1 + A20 * (T - 20))
    R_wire = 2 * q("wiring.length") * rho(q("wiring.temperature")) / area
    put("wiring.diameter", lambda: diam)
    put("wiring.supply_resistance", lambda: R_wire)
    Vs = q("supply.voltage")
    V_low = q("supply.lowest_voltage") if has("supply.lowest_voltage") else Vs
    V_high = q("supply.highest_voltage") if has("supply.highest_voltage") else Vs
    V_stall = V_high
    V_hot = V_low
    R_src = q("supply.source_resistance")
    Rs = R_src + R_wire
    Rb = q("bridge.high_side") + q("bridge.low_side")
    Rm = R + Rb
    Rt = Rm + Rs
    put("bridge.resistance", lambda: Rb)
    I_lim_bridge = q("bridge.current_limit")
    I_lim_loop = q("loop.current_limit") if has("loop.current_limit") else math.inf
    trips = txt("bridge.limit_kind") == "shuts_down"
    full = 1.0
    if v3:
        full = q("loop.voltage_limit")
        I_lim = min(I_lim_loop, math.inf if txt("bridge.limit_kind") == "none" else I_lim_bridge)
    else:
        I_lim = min(I_lim_bridge, I_lim_loop)
    blocked_low, blocked_high = min(I_lim, full * V_low / Rt), min(I_lim, full * V_high / Rt)
    if v3:
        put("drive.blocked_current", lambda: blocked_high)

    # ------------------------------------------------ thermal constants
    Tref, Tmax = q("motor.reference_temperature"), q("motor.max_winding_temperature")
    R20 = R / (1 + A20 * (Tref - 20))
    RT = lambda T: R20 * (1 + A20 * (T - 20))
    Ra = RT(Ta)
    ba = A20 / (1 + A20 * (Ta - 20))
    Rwh, Rha = q("motor.winding_to_housing"), q("motor.housing_to_ambient")
    Rth = Rwh + Rha
    tw, th = q("motor.winding_time_constant"), q("motor.housing_time_constant")
    Cw, Ch = tw / Rwh, th / Rha

    # ------------------------------------------------ hold
    # Settled: a load that helps is carried back, as within a move
    per_torque = 1 / (N * eta) if T_out >= 0 else eta_back / N
    I_load = T_out * per_torque / Kt + I0
    put("drive.current_at_load", lambda: I_load)
    put("hold.current", lambda: abs(H_out) / (N * Kt))
    I_most = I_load
    if tilted:
        S_out = carry(stop_T)
        I_most = S_out * (1 / (N * eta) if S_out >= 0 else eta_back / N) / Kt + I0
    put("hold.current_worst_case", lambda: I_most)

    def f_least():
        if locks:
            return 0.0
        x = pulls - fric_T
        if x <= 0 or red_back <= 0 or (kind == "screw" and ret_T >= 0):
            return 0.0
        return max(0.0, x * red_back / n * eta_back / (N * Kt) - I0)
    put("hold.current_best_case", f_least)
    if v3:
        # braked, both low sides conduct
        put("hold.creep_braked", lambda: V["hold.current_best_case"] * (R + 2 * q("bridge.low_side")) / (Ke * N))
    dwell_choice = txt("move.holding_current")
    I_hold = {"no_friction": V["hold.current"], "friction_against": V["hold.current_worst_case"], "friction_helps": V["hold.current_best_case"], "off": 0.0}[dwell_choice]

    # ------------------------------------------------ what the boards and the actuators that hold draw
    nsens = int(fr("encoder.sensors")[0])
    load = q("regulator.mcu_current") + nsens * q("regulator.sensor_current") + q("regulator.led_current") + q("regulator.other_current")
    Vout, eta_r, iq = q("regulator.output_voltage"), q("regulator.efficiency"), q("regulator.quiescent_current")
    buck = txt("regulator.kind") == "buck"

    def reg_in(Vx):
        return Vout * load / (eta_r * Vx) if buck else load + iq
    qb = q("bridge.quiescent_current")
    na, nm = int(fr("supply.actuators")[0]), int(fr("supply.moving_together")[0])
    own = txt("wiring.shared") == "own"

    def motor_current(p, Vx):
        if p <= 0:
            return 0.0
        if Rs == 0:
            return p / Vx
        disc = Vx * Vx - 4 * Rs * p
        if disc < 0:
            raise Absent("impossible")
        return 2 * p / (Vx + math.sqrt(disc))          # the same root, without cancellation

    # v3: the regulator's input at the voltage in question
    board = reg_in(V_low if v3 else Vs) + qb
    holding = motor_current(min(abs(I_most), blocked_low) ** 2 * Rm, V_low)
    if v3 and dwell_choice == "off":
        holding = 0.0
    R_common = R_src if own else Rs

    # ------------------------------------------------ motion
    c = {"d_out": d_out, "profile": txt("move.profile"), "f": q("move.ramp_fraction"), "J_axis": J_axis, "n": n, "carry": carry, "N": N,
         "eta": eta, "eta_back": eta_back, "Jr": Jr, "Kt": Kt, "Ke": Ke, "I0": I0, "Rm": Rm}
    dwell = q("move.dwell")
    direction = txt("move.direction")
    ripple = Vs / ((4 if txt("bridge.decay") == "slow" else 2) * L * q("bridge.pwm_frequency"))
    put("bridge.ripple_current", lambda: ripple)

    def motion(time):
        """Everything of the move and its heat that depends on the time."""
        o = {}
        Ts = {"lifting": [load_T], "lowering": [ret_T], "both": [load_T, ret_T]}[direction]
        laws = {"lifting": [torque_up], "lowering": [torque_down], "both": [torque_up, torque_down]}[direction] if tilted else [None] * len(Ts)
        hs = [Half(c, T, time, law) for T, law in zip(Ts, laws)]
        o["halves"] = hs
        o["v"], o["a"] = hs[0].v, hs[0].a
        k = len(hs)
        o["i_max"] = max(h.maximum(lambda al, om, tq: abs(h.current(al, tq))) for h in hs)
        o["peak_current"] = max(o["i_max"], abs(I_hold))
        squares = [h.integral(lambda al, om, tq: h.current(al, tq) ** 2) for h in hs]
        ms = sum(squares) / k
        o["mean_square_most"] = max(squares) / time
        o["rms_current"] = math.sqrt((ms + I_hold ** 2 * dwell) / (time + dwell))
        o["peak_torque"] = max(h.maximum(lambda al, om, tq: abs(h.out_torque(al, tq))) for h in hs)
        mt = sum(h.integral(lambda al, om, tq: h.out_torque(al, tq) ** 2) for h in hs) / k
        o["rms_torque"] = math.sqrt((mt + H_out ** 2 * dwell) / (time + dwell))
        o["heating"] = math.sqrt(o["rms_current"] ** 2 + ripple ** 2 / 12)
        Pf = Kt * I0 * N * d_out / (time + dwell)
        o["friction_loss"] = Pf
        I2 = o["heating"] ** 2
        den = 1 - ba * I2 * Ra * Rth
        if den > 0:
            o["Tw"] = Ta + (I2 * Ra * Rth + Pf * Rha) / den
            o["Th"] = Ta + Rha * (I2 * RT(o["Tw"]) + Pf)
        else:
            o["Tw"] = o["Th"] = None
        o["Tw_cap"] = Tmax if o["Tw"] is None else min(o["Tw"], Tmax)
        Rh = RT(o["Tw_cap"])
        o["R_hot"] = Rh
        need = max(h.maximum(lambda al, om, tq: (Rh + Rb + Rs) * max(h.current(al, tq), 0.0) + Ke * N * om) for h in hs)
        o["need"], o["others"], o["beside"] = need, 0.0, V_low
        if v3 and na > 1:
            # what the other actuators draw sags this one; each moves as this one does
            moving = max(0, nm - 1)
            try:
                each = max(motor_current(max(h.maximum(h.power) for h in hs), V_low), holding) if moving else 0.0
                o["others"] = moving * each + (na - 1 - moving) * holding + (na - 1) * board
                o["beside"] = max(0.0, V_low - R_common * o["others"])
            except Absent:
                o["others"] = o["beside"] = None
        o["voltage_margin"] = None if o["beside"] is None else o["beside"] - need
        return o

    time = q("move.time")
    mv = motion(time)
    w, acc = mv["v"], mv["a"]
    for k in ("peak_current", "rms_current", "peak_torque", "rms_torque"):
        put("move." + k, lambda: mv[k])

    def eq(x):
        if x is None:
            raise Absent("impossible")
        return x
    put("move.voltage_margin", lambda: eq(mv["voltage_margin"]))
    if v3:
        put("supply.others_current", lambda: eq(mv["others"]))
        put("supply.voltage_beside_others", lambda: eq(mv["beside"]))
    put("move.peak_speed", lambda: w)
    put("move.peak_acceleration", lambda: acc)
    put("move.peak_travel_speed", lambda: w / n * travel_f / (2 * PI) if linear else None)
    put("move.peak_travel_acceleration", lambda: acc / n * travel_f / (2 * PI) if linear else None)
    put("axis.kinetic_energy", lambda: 0.5 * (J_out + N ** 2 * Jr) * w ** 2)

    def f_fall():
        if v3 and kind == "torque":
            raise Absent("missing")        # v3: a torque says nothing of a height
        if kind in ("turntable", "torque"):
            return 0.0
        if kind == "arm":
            a0 = low if tilted else q("axis.start_angle") if has("axis.start_angle") else 0.0
            a1 = a0 + d_axis
            hs_ = [math.sin(a0), math.sin(a1)]
            kk = math.ceil((a0 - PI / 2) / PI)
            while PI / 2 + kk * PI <= a1:
                hs_.append(math.sin(PI / 2 + kk * PI))
                kk += 1
            return m * GF * radius * (max(hs_) - min(hs_))
        return m * GF * abs(dist * math.sin(beta))
    put("axis.drop_energy", f_fall)

    # ------------------------------------------------ drive
    def no_load(Vx):
        return max(0.0, (Vx - I0 * Rt) / (Ke * N))
    put("drive.no_load_speed", lambda: no_load(Vs))
    stall_I = Vs / Rt
    put("drive.stall_current", lambda: stall_I)
    put("drive.stall_torque", lambda: N * eta * Kt * (stall_I - I0))
    put("drive.speed_at_load", lambda: max(0.0, (Vs - I_load * Rt) / (Ke * N)))
    put("drive.force_at_radius", lambda: None if radius is None else V["drive.stall_torque"] * n * eta_red / radius)
    put("drive.reversal_current", lambda: (V_stall + Ke * N * no_load(V_stall)) / Rm)
    Th_cap = Tmax if mv["Th"] is None else min(mv["Th"], Tmax)
    fx = 1 + q("motor.flux_coefficient") * (Th_cap - Tref)
    Kth, Keh = Kt * fx, Ke * fx
    Rt_hot = mv["R_hot"] + Rb + Rs
    put("drive.stall_torque_hot", lambda: N * eta * Kth * (V_hot / Rt_hot - I0))
    I_load_hot = T_out * per_torque / Kth + I0
    put("drive.speed_at_load_hot", lambda: max(0.0, (eq(mv["beside"]) - I_load_hot * Rt_hot) / (Keh * N)))
    put("drive.peak_acceleration", lambda: (V["drive.stall_torque"] - T_out) / (J_dyn + eta * N ** 2 * Jr))
    stall_high = V_stall / Rt

    # ------------------------------------------------ heat
    I_cont = math.sqrt((Tmax - Ta) / (RT(Tmax) * Rth)) if Tmax > Ta else None
    put("heat.continuous_current", lambda: I_cont)
    put("heat.continuous_torque", lambda: max(0.0, min(cont_gear, N * eta * Kt * (I_cont - I0))))
    put("heat.friction_loss", lambda: mv["friction_loss"])
    put("heat.rms_current", lambda: mv["heating"])

    put("heat.winding_temperature", lambda: eq(mv["Tw"]))
    put("heat.housing_temperature", lambda: eq(mv["Th"]))
    put("heat.touch_temperature", lambda: eq(mv["Th"]))

    def f_cycle():
        # Settled: of the two moves the warmer, no ripple where the dwell has no current, and the end of the
        # warmer of move and dwell
        extra = ripple ** 2 / 12
        Rw = RT(eq(mv["Tw"]))
        Pm = (mv["mean_square_most"] + extra) * Rw
        Pd = (I_hold ** 2 + extra) * Rw if dwell_choice != "off" else 0.0
        low, high, warm = (Pd, Pm, time) if Pm >= Pd else (Pm, Pd, dwell)
        return mv["Th"] + Rwh * (low + (high - low) * -math.expm1(-warm / tw) / -math.expm1(-(time + dwell) / tw))
    put("heat.cycle_peak_temperature", f_cycle)

    def f_power():
        I2 = I_hold ** 2
        den = 1 - ba * I2 * Ra * Rth
        if den <= 0:
            raise Absent("impossible")
        return I2 * RT(Ta + I2 * Ra * Rth / den)
    put("hold.power", f_power)

    def hold_time(I):
        I = abs(I)
        if I <= I_cont:
            raise Absent("unlimited")
        # x = T - T_a; C_w x_w' = I^2 R_a (1 + b x_w) - (x_w - x_h)/R_wh; C_h x_h' = (x_w - x_h)/R_wh - x_h/R_ha
        p0 = I * I * Ra
        M = np.array([[(p0 * ba - 1 / Rwh) / Cw, 1 / (Rwh * Cw)], [1 / (Rwh * Ch), -(1 / Rwh + 1 / Rha) / Ch]])
        g = np.array([p0 / Cw, 0.0])
        lam, U = np.linalg.eig(M)
        lam, U = lam.real, U.real
        z = np.linalg.solve(U, g)
        phi = lambda l_, t: t if abs(l_ * t) < 1e-14 else math.expm1(l_ * t) / l_
        xw = lambda t: sum(U[0, k] * z[k] * phi(lam[k], t) for k in range(2)) - (Tmax - Ta)
        hi = 1e-3
        while xw(hi) < 0:
            hi *= 1.5
            if hi > 1e12:
                raise Absent("unlimited")
        return brentq(xw, 0.0, hi, xtol=1e-13, rtol=1e-13)

    def f_ht():
        if dwell_choice == "off":
            raise Absent("missing")
        return hold_time(I_hold)
    put("heat.hold_time", f_ht)
    put("heat.hold_time_worst_case", lambda: hold_time(I_most))
    def stall_time(Vx):
        cur = lambda T: min(I_lim, Vx / (RT(T) + Rb + Rs))        # Settled: the limit of the loop, too
        grid = np.linspace(Ta, Tmax, 20001)
        gmin = min(Rth * cur(T) ** 2 * RT(T) - (T - Ta) for T in grid)
        if gmin <= 0:
            raise Absent("unlimited")
        rhs = lambda t, y: [(cur(y[0]) ** 2 * RT(y[0]) - (y[0] - y[1]) / Rwh) / Cw, ((y[0] - y[1]) / Rwh - (y[1] - Ta) / Rha) / Ch]
        # split at the temperature where the current limit gives way, so that each piece is smooth
        Tsw = ((Vx / I_lim - Rb - Rs) / R20 - 1) / A20 + 20
        t0, y = 0.0, [Ta, Ta]
        for target in ([Tsw] if Ta < Tsw < Tmax else []) + [Tmax]:
            ev = lambda t, y, target=target: y[0] - target
            ev.terminal, ev.direction = True, 1
            sol = solve_ivp(rhs, (t0, t0 + 1e9), y, method="DOP853", rtol=1e-12, atol=1e-10, events=ev, first_step=1e-6, max_step=(tw + th) * 20,
                            dense_output=False)
            if not len(sol.t_events[0]):
                raise Absent("unlimited")
            t0, y = sol.t_events[0][0], list(sol.y_events[0][0])
        return t0
    put("heat.stall_time", lambda: stall_time(full * V_stall))

    # ------------------------------------------------ regulator
    put("regulator.load_current", lambda: load)
    put("regulator.input_current", lambda: reg_in(Vs))
    lin_loss = V_stall * (load + iq) - Vout * load
    buck_loss = Vout * load / eta_r - Vout * load
    loss = buck_loss if buck else lin_loss
    put("regulator.loss", lambda: loss)
    put("regulator.efficiency_now", lambda: Vout * load / (Vout * load + loss))        # Settled: at the voltage of the loss
    put("regulator.alternative_loss", lambda: lin_loss if buck else buck_loss)
    T_local = q("board.local_ambient") if has("board.local_ambient") else mv["Th"]
    put("regulator.junction_temperature", lambda: eq(T_local) + q("regulator.junction_to_ambient") * loss)
    if buck:
        f_s, Lr, Co = q("regulator.switching_frequency"), q("regulator.inductance"), q("regulator.output_capacitance")
        D = Vout / Vs
        dI = (Vs - Vout) * D / (f_s * Lr)
        if txt("regulator.rectifier") == "diode" and load < dI / 2:
            ipk = math.sqrt(2 * load * Vout * (Vs - Vout) / (Lr * f_s * Vs))
            put("regulator.duty", lambda: ipk * Lr * f_s / (Vs - Vout))
            put("regulator.ripple_current", lambda: ipk)
            put("regulator.peak_inductor_current", lambda: ipk)
            put("regulator.output_ripple", lambda: load * (1 - load / ipk) ** 2 / (f_s * Co))
        else:
            put("regulator.duty", lambda: D)
            put("regulator.ripple_current", lambda: dI)
            put("regulator.peak_inductor_current", lambda: load + dI / 2)
            put("regulator.output_ripple", lambda: dI / (8 * f_s * Co))
    else:
        for k in ("duty", "ripple_current", "peak_inductor_current", "output_ripple"):
            A["regulator." + k] = "missing"

    # ------------------------------------------------ bridge
    R25, tc, thj = Rb, q("bridge.temperature_coefficient"), q("bridge.junction_to_ambient")

    def switching(I):
        return 0.5 * Vs * abs(I) * (q("bridge.rise_time") + q("bridge.fall_time")) * q("bridge.pwm_frequency") * (1 if txt("bridge.decay") == "slow" else 2)

    def junction(I):
        Tl = eq(T_local)
        den = 1 - thj * I * I * R25 * tc
        if den <= 0:
            raise Absent("impossible")
        # Tj - T_local = x; x = th*(I^2 R25 (1 + c (T_local - 25 + x)) + rest)
        x = thj * (I * I * R25 * (1 + tc * (Tl - 25)) + switching(I) + Vs * qb) / den
        return Tl + x
    put("bridge.junction_temperature", lambda: junction(mv["rms_current"]))
    put("bridge.conduction_loss", lambda: mv["rms_current"] ** 2 * R25 * (1 + tc * (get("bridge.junction_temperature") - 25)))
    put("bridge.switching_loss", lambda: switching(mv["rms_current"]))
    rev = txt("move.reverses_at_speed") == "yes"
    bridge_need = max(mv["peak_current"], abs(I_most), V["drive.reversal_current"] if rev else 0.0)
    if v3 and txt("bridge.limit_kind") != "limits":
        # a limit that the bridge sets itself asks nothing more of it; one that survives or trips meets what flows without it
        bridge_need = max(bridge_need, min(I_lim_loop, full * V_high / Rt))
    put("bridge.current_margin", lambda: I_lim_bridge / bridge_need)

    # ------------------------------------------------ supply
    p_max = max(h.maximum(h.power) for h in mv["halves"])

    # Settled: the boards take regulator.input_current; a motor that holds takes no more than a blocked one; every actuator that
    # moves may stand instead; powers are drawn at the lowest voltage, a jam is drawn at the highest; the loop's own
    # current limit holds in a jam, too
    def moving_current():
        return motor_current(p_max, V_low) if nm else 0.0

    def fleet(each):
        return nm * each + (na - nm) * holding + na * board
    def flows(total, Vx):
        """v3: a current that cannot flow does not."""
        return min(total, Vx / R_common) if v3 and R_common > 0 else total

    def jam_at(Vx, each):
        return flows(nm * each + (na - nm) * holding + na * (reg_in(Vx if v3 else Vs) + qb), Vx)
    put("supply.worst_current", lambda: flows(fleet(max(moving_current(), holding)), V_low))
    put("supply.stall_current", lambda: jam_at(V_high, blocked_high))
    above_zero = (lambda x: max(0.0, x)) if v3 else (lambda x: x)

    def in_cable(all_, each):
        return (max(each, holding) if nm else holding) + board if own else all_

    def f_v_worst():
        return above_zero(V_low - get("supply.worst_current") * R_src - in_cable(get("supply.worst_current"), moving_current()) * R_wire)

    def f_v_jam():
        jam = jam_at(V_low, blocked_low)
        return above_zero(V_low - jam * R_src - in_cable(jam, blocked_low) * R_wire)
    put("supply.voltage_at_worst", f_v_worst)
    put("supply.voltage_at_stall", f_v_jam)
    V_reset = q("regulator.reset_voltage") if has("regulator.reset_voltage") else Vout
    V_need = V_reset + q("regulator.dropout")
    put("supply.brown_out_margin", lambda: min(get("supply.voltage_at_worst"), get("supply.voltage_at_stall")) - V_need)
    pos_energy = sum(h.integral(lambda al, om, tq: max(0.0, h.power(al, om, tq)), kink=h.power) for h in mv["halves"]) / len(mv["halves"])
    mean_p = (pos_energy + I_hold ** 2 * Rm * dwell) / (time + dwell)
    put("supply.average_current", lambda: na * (mean_p * q("move.duty") / Vs + reg_in(Vs) + qb))
    Eone = 0.5 * (Jr * N ** 2 + J_out) * w ** 2
    put("supply.stop_energy", lambda: nm * Eone)
    Cb = q("supply.bulk_capacitance")
    # Settled: a supply that takes current back is not pumped at all
    back = 0.0 if txt("supply.sinks_current") == "yes" else 1.0
    put("supply.regenerated_voltage_bound", lambda: math.sqrt(V_high ** 2 + back * 2 * (nm * Eone + nm * get("axis.drop_energy")) / Cb))
    if txt("supply.sinks_current") == "yes" or nm == 0:
        ret = 0.0
    else:
        Pb = na * Vs * (reg_in(Vs) + qb) / nm
        ret = nm * sum(h.integral(lambda al, om, tq: max(0.0, -h.power(al, om, tq) - Pb), kink=lambda al, om, tq: h.power(al, om, tq) + Pb) for h in mv["halves"])
    put("supply.regenerated_energy", lambda: ret)
    put("supply.regenerated_voltage", lambda: math.sqrt(V_high ** 2 + 2 * ret / Cb))
    Vmax = q("supply.max_voltage")
    # Settled: from the highest voltage, as the pumped voltage; the part for the hold-up is not defined
    put("supply.regeneration_capacitance", lambda: 2 * ret / (Vmax ** 2 - V_high ** 2))

    def f_run():
        rh = q("supply.rated_hours")
        if v3 and V["supply.average_current"] * rh <= q("supply.capacity"):
            return q("supply.capacity") / V["supply.average_current"]
        return rh * (q("supply.capacity") / (V["supply.average_current"] * rh)) ** q("supply.peukert_exponent")
    put("supply.run_time", f_run)

    # ------------------------------------------------ wiring
    put("wiring.short_current", lambda: V_high / Rs if Rs > 0 else math.inf)        # Settled: at the highest voltage
    # Settled: the current of the cable, which is the actuator's own where each has its own
    put("wiring.voltage_drop", lambda: in_cable(get("supply.worst_current"), moving_current()) * R_wire)
    shifted = not v3 or txt("wiring.ground_at") == "supply"
    put("wiring.ground_shift", lambda: get("wiring.voltage_drop") / 2 if shifted else 0.0)
    tw_, tt_ = q("wiring.trace_width"), q("wiring.trace_thickness")
    mil2 = tw_ * tt_ / float(IN / 1000) ** 2
    rise = q("wiring.trace_rise")
    put("wiring.trace_current", lambda: (0.048 if txt("wiring.trace_layer") == "outer" else 0.024) * rise ** 0.44 * mil2 ** 0.725)
    put("wiring.trace_resistance", lambda: rho(Ta + rise) * q("wiring.trace_length") / (tw_ * tt_))
    moving = max(mv["rms_current"], abs(I_most))
    put("wiring.trace_margin", lambda: V["wiring.trace_current"] / moving)
    put("wiring.pin_margin", lambda: q("wiring.pin_current") / moving)
    if not v3:
        put("wiring.level_margin_high", lambda: q("wiring.logic_high") - q("wiring.input_high") - get("wiring.ground_shift"))
        put("wiring.level_margin_max", lambda: q("wiring.input_max") - q("wiring.logic_high") - get("wiring.ground_shift"))
    else:
        def f_back():
            """What flows back to a supply that takes it, at the lowest voltage, lowers the board's ground."""
            if not shifted or txt("supply.sinks_current") == "no" or nm == 0:
                return 0.0
            p = max(0.0, max(h.maximum(lambda al, om, tq: -h.power(al, om, tq)) for h in mv["halves"]))
            one = 2 * p / (V_low + math.sqrt(V_low ** 2 + 4 * Rs * p))
            return max(0.0, one - board if own else nm * one - (na - nm) * holding - na * board) * R_wire / 2
        put("wiring.ground_shift_back", f_back)

        def level(k, back, high):
            """The four voltages at the board's input, against its ground."""
            face = txt("wiring.pulse_interface")
            line = q("wiring.logic_high") if high else q("wiring.logic_low")
            if face == "isolator" or face == "shifter" and high:
                return Vout if high else line
            part = 1.0
            if face == "divider":
                part = q("wiring.divider_lower") / (q("wiring.divider_upper") + q("wiring.divider_lower"))
            return part * (line + k * (get("wiring.ground_shift_back") if back else get("wiring.ground_shift")))
        put("wiring.level_margin_high", lambda: level(-1, False, True) - q("wiring.input_high"))
        put("wiring.level_margin_low", lambda: q("wiring.input_low") - level(1, True, False))
        put("wiring.level_margin_max", lambda: q("wiring.input_max") - level(1, True, True))
        put("wiring.level_margin_min", lambda: level(-1, False, False) - q("wiring.input_min"))
        put("wiring.wire_current", lambda: wire_rating(area))
        put("settings.stall_timeout", lambda: min(2.0, get("heat.stall_time") / 2) if "heat.stall_time" in V or A["heat.stall_time"] != "unlimited" else 2.0)

        def f_fuse():
            worst = in_cable(get("supply.worst_current"), moving_current())
            jam = blocked_high + reg_in(V_high) + qb if own else get("supply.stall_current")
            least = max(1.25 * worst, jam / 2.75)
            most = 0.75 * min(V["wiring.wire_current"], V["wiring.trace_current"], q("wiring.pin_current"))
            fuse = next((x for x in FUSES if x >= least * (1 - 1e-12)), math.inf)
            if fuse > most * (1 + 1e-12):
                raise Absent("impossible")
            return fuse
        put("supply.fuse", f_fuse)

    # ------------------------------------------------ encoder
    pp = int(fr("encoder.pole_pairs")[0])
    edges = int(fr("encoder.counts_per_pole_pair")[0]) if has("encoder.counts_per_pole_pair") else (4 if nsens == 2 else 2)
    cm = edges * pp
    cout = cm * Nx
    put("encoder.counts_per_motor_turn", lambda: cm)
    put("encoder.counts_per_output_turn", lambda: cout)
    apc = 2 * PI / float(cout)
    put("encoder.angle_per_count", lambda: apc)
    put("encoder.arc_per_count", lambda: None if arc is None else apc / n * arc)
    sp = fr("encoder.sensor_spacing")
    deg = sp[0] * 180 if sp[1] == 1 else sp[0] * 180 / PI_FR
    el = pp * deg % 360
    spaced = (lambda x: None if nsens == 1 else x) if v3 else (lambda x: x)       # v3: one sensor has no spacing
    put("encoder.electrical_spacing", lambda: spaced(float(el) * PI / 180))
    pe = float(min(abs(el - 90), abs(el - 270))) * PI / 180
    put("encoder.phase_error", lambda: spaced(pe))
    ppe = pp * q("encoder.placement_error") / q("encoder.placement_radius")
    put("encoder.placement_phase_error", lambda: spaced(ppe))
    rps_top = no_load(V_stall) * N / (2 * PI)
    put("encoder.edge_rate", lambda: cm * rps_top)
    gap_angle = (PI / 2 - pe - ppe - q("encoder.duty_error")) if nsens == 2 else (PI - q("encoder.duty_error"))
    gap_at = lambda rps: gap_angle / (2 * PI) / (pp * rps) if rps > 0 else math.inf
    put("encoder.shortest_edge_gap", lambda: gap_at(rps_top))
    put("encoder.processor_load", lambda: V["encoder.edge_rate"] * q("encoder.edge_service_time"))
    put("encoder.field_margin", lambda: q("encoder.peak_field") / q("encoder.operate_point"))

    def f_hys():
        x = q("encoder.operate_point") / q("encoder.peak_field")
        if x > 1:
            raise Absent("impossible")
        return math.asin(x)
    put("encoder.hysteresis_shift", f_hys)

    # ------------------------------------------------ steps
    wanted = fr("steps.wanted_per_turn")[0] if has("steps.wanted_per_turn") else cout
    x = cout / wanted
    put("steps.counts_per_step", lambda: x)
    bf = best_fraction(x, int(fr("steps.gearing_limit")[0]))
    if bf is None:
        for k in ("gearing_numerator", "gearing_denominator", "gearing_drift_per_turn"):
            A["steps." + k] = "impossible"
        drift = None
    else:
        drift = 2 * PI * float(Fr(bf[0], bf[1]) / x - 1)
        put("steps.gearing_numerator", lambda: bf[0])
        put("steps.gearing_denominator", lambda: bf[1])
        put("steps.gearing_drift_per_turn", lambda: drift)
    aps = 2 * PI / float(wanted)
    put("steps.angle_per_step", lambda: aps)
    put("steps.travel_per_step", lambda: None if arc is None else aps / n * arc)
    if rotary:
        pu = wanted * nx / 360
    else:
        pu = wanted * nx / (travel[0] * 1000) / (PI_FR if travel[1] else 1)
    dec = int(fr("steps.decimals")[0])
    sc10 = 10 ** dec
    y = pu * sc10
    rounded = Fr((2 * y.numerator + y.denominator) // (2 * y.denominator), sc10)
    put("steps.per_unit", lambda: pu)
    put("steps.per_unit_rounded", lambda: rounded)
    rerr = dist * float(rounded / pu - 1)
    put("steps.rounding_error_over_travel", lambda: rerr)
    rate = min(q("steps.controller_rate_limit"), 1 / (q("steps.pulse_high") + q("steps.pulse_low")))
    put("steps.rate_limit", lambda: rate)
    put("steps.speed_limit", lambda: rate * aps)
    if v3:
        def f_top():
            can = get("drive.speed_at_load_hot")
            if can <= 0:
                raise Absent("impossible")
            return min(rate * aps, 0.8 * can) / n * lever
        put("settings.max_speed", f_top)

    # ------------------------------------------------ loop
    Tsam, delay, zeta = q("loop.sample_time"), q("loop.delay"), q("loop.damping")
    J_mesh = Jr + J_dyn / (N ** 2 * eta)
    Kpl = 1 / Ke
    te = L / Rm
    tau_of = lambda J: Rm * J / (Kt * Ke)
    tau = tau_of(J_mesh)

    def gains(bw):
        wn = 2 * PI * bw
        Kd = max(0.0, (2 * zeta * wn * tau - 1) / Kpl)
        Kp = wn ** 2 * tau / Kpl if wn * tau > 0.5 else wn * (1 - wn * tau) / Kpl
        return Kp, Kd

    def cross_margin(Kp, Kd, tau_):
        lg = lambda lw: 0.5 * math.log(Kp ** 2 + (Kd * math.exp(lw)) ** 2) + math.log(Kpl) - lw - 0.5 * math.log1p((tau_ * math.exp(lw)) ** 2) \
            - 0.5 * math.log1p((te * math.exp(lw)) ** 2)
        lw = brentq(lg, -30, 40, xtol=1e-14, rtol=1e-14)
        wc = math.exp(lw)
        pm = PI + math.atan2(Kd * wc, Kp) - PI / 2 - math.atan(tau_ * wc) - math.atan(te * wc) - (0.5 + delay) * Tsam * wc
        return wc, pm

    Ti = math.inf if txt("loop.integral_time") == "none" else q("loop.integral_time")
    LW = np.linspace(-30, 40, 1401)
    SW = np.exp(LW)

    def crossings(Kp, Kd, tau_):
        """v3: with the integral; (crossover, margin) of the crossing that leaves the least."""
        Ki = Kp / Ti
        lg = lambda lw, w, ln=math.log, l1=math.log1p: 0.5 * ln(Kp ** 2 + (Kd * w - Ki / w) ** 2) + math.log(Kpl) - lw \
            - 0.5 * l1((tau_ * w) ** 2) - 0.5 * l1((te * w) ** 2)
        vals = lg(LW, SW, np.log, np.log1p)
        out = []
        for k in np.nonzero(vals[:-1] * vals[1:] < 0)[0]:
            wc = math.exp(brentq(lambda lw: lg(lw, math.exp(lw)), LW[k], LW[k + 1], xtol=1e-14, rtol=1e-14))
            pm = PI + math.atan2(Kd * wc - Ki / wc, Kp) - PI / 2 - math.atan(tau_ * wc) - math.atan(te * wc) - (0.5 + delay) * Tsam * wc
            out.append((wc, 0.0 if wc >= PI / Tsam else pm))
        return min(out, key=lambda x: x[1])

    def lesser(bw):
        Kp, Kd = gains(bw)
        return min((crossings(Kp, Kd, tau_of(J)) for J in [J_mesh] + ([Jr] if backlash_axis > 0 else [])), key=lambda x: x[1])

    def margin(bw):
        if v3:
            return lesser(bw)[1]
        Kp, Kd = gains(bw)
        out = []
        for J in [J_mesh] + ([Jr] if backlash_axis > 0 else []):
            wc, pm = cross_margin(Kp, Kd, tau_of(J))
            out.append(0.0 if wc >= PI / Tsam else pm)
        return min(out)

    def crossover(bw):
        # Settled: of the plant that leaves the lesser margin
        if v3:
            return lesser(bw)[0] / (2 * PI)
        Kp, Kd = gains(bw)
        plants = [J_mesh] + ([Jr] if backlash_axis > 0 else [])
        return min((cross_margin(Kp, Kd, tau_of(J)) for J in plants), key=lambda wp: 0.0 if wp[0] >= PI / Tsam else wp[1])[0] / (2 * PI)
    pwm = q("loop.pwm_resolution")
    quantum = 2 * PI / (cm * Tsam)

    def bw_ok(lb):
        b_ = math.exp(lb)
        return min(0.2 - gains(b_)[1] * quantum / Vs, margin(b_) - 40 * PI / 180)

    def f_bwl():
        grid = np.linspace(math.log(1e-4), math.log(10 / Tsam), 3000)
        for k in range(len(grid) - 1, 0, -1):
            if bw_ok(grid[k - 1]) >= 0:
                if bw_ok(grid[k]) >= 0:
                    raise Absent("unlimited")
                lo, hi = grid[k - 1], grid[k]
                for _ in range(200):
                    mid = 0.5 * (lo + hi)
                    if bw_ok(mid) >= 0:
                        lo = mid
                    else:
                        hi = mid
                return math.exp(lo)
        raise Absent("impossible")
    if v3 and "loop.bandwidth" not in given:
        put("loop.bandwidth_limit", f_bwl)
    bw = q("loop.bandwidth")
    if v3 and "loop.bandwidth" not in given and "loop.bandwidth_limit" in V:
        bw = min(bw, 0.8 * V["loop.bandwidth_limit"])
    Kp, Kd = gains(bw)
    put("loop.proportional_gain", lambda: Kp)
    put("loop.derivative_gain", lambda: Kd)
    put("loop.proportional_per_count", lambda: Kp * 2 * PI / cm)
    put("loop.proportional_steps", lambda: Kp * 2 * PI / cm * pwm / Vs)
    put("loop.derivative_steps", lambda: Kd * 2 * PI / (cm * Tsam) * pwm / Vs)
    put("loop.speed_quantum", lambda: quantum)
    put("loop.derivative_kick", lambda: Kd * quantum / Vs)
    put("loop.crossover", lambda: crossover(bw))
    pm = margin(bw)
    put("loop.phase_margin", lambda: pm)
    if "loop.bandwidth_limit" not in V:
        put("loop.bandwidth_limit", f_bwl)

    put("loop.static_stiffness", lambda: N ** 2 * Kp * Kt / Rm)
    dead = q("loop.deadband") * apc
    droop = dead if txt("loop.integral_time") != "none" else max(Rm * I_most / (Kp * N), dead)
    put("loop.steady_state_error", lambda: droop)
    put("loop.following_error", lambda: ((Ke + Kd) * N * w + Rm * I_load) / (Kp * N))
    stiff = q("gears.stiffness") if "gears.stiffness" in given else V["drive.stall_torque"] / 0.02
    put("loop.resonance", lambda: math.sqrt(stiff * (1 / J_out + 1 / (N ** 2 * Jr))) / (2 * PI) if J_out > 0 else math.inf)

    # ------------------------------------------------ error
    approach = txt("move.approach")
    # Settled: behind a last stage that locks the load keeps no flank of the gears loaded
    if approach == "one_side" or (red_back > 0 and least_held > fric_T + J_axis * acc / n):
        share = 0.0
    else:
        share = backlash_axis * (0.5 if approach == "centred" else 1.0)
    share *= lever
    at_load = lever / n
    terms = [share, abs(H_out) / stiff * at_load, 0.5 * apc * at_load, 0.5 * aps * at_load, droop * at_load, abs(rerr),
             q("gears.transmission_error") * at_load]
    put("error.worst", lambda: math.fsum(abs(e) for e in terms))
    put("error.standard_uncertainty", lambda: math.sqrt(math.fsum(e * e for e in terms) / 3))

    # ------------------------------------------------ stepper
    if has_stepper:
        sa, sh = q("stepper.step_angle"), q("stepper.holding_torque")
        put("stepper.steps_per_turn", lambda: 2 * PI / sa)
        put("stepper.rotor_teeth", lambda: PI / (2 * sa))

        def f_lag():
            if T_out >= sh:
                raise Absent("impossible")
            return math.asin(T_out / sh) / (PI / (2 * sa))
        put("stepper.load_angle", f_lag)
        put("stepper.hold_power", lambda: 2 * q("stepper.phase_current") ** 2 * q("stepper.phase_resistance"))
        put("stepper.torque_per_mass", lambda: sh / q("stepper.mass"))
        put("stepper.corner_speed", lambda: 2 * PI * q("stepper.drive_voltage") / (2 * q("stepper.phase_inductance") * q("stepper.phase_current") * V["stepper.steps_per_turn"]))
        if v3:
            Js = q("stepper.rotor_inertia")
            put("stepper.torque_for_move", lambda: max(h.maximum(lambda al, om, tq: abs(h.out_torque(al, tq) + Js * al)) for h in mv["halves"]))
            put("stepper.torque_at_speed", lambda: 0.75 * sh * min(1.0, V["stepper.corner_speed"] / w))

            def f_speed():
                pulses = q("steps.controller_rate_limit") * sa / q("stepper.microsteps")
                if T_out >= 0.75 * sh:
                    return 0.0
                return min(pulses, V["stepper.corner_speed"] * 0.75 * sh / T_out) if T_out > 0 else pulses
            put("stepper.speed_with_load", f_speed)
        else:
            put("stepper.torque_for_move", lambda: carry(load_T + J_axis * acc / n) + q("stepper.rotor_inertia") * acc)

    # ------------------------------------------------ shortest time
    edge_min = max(q("encoder.edge_service_time"), 1e-6)

    def feasible(t):
        o = motion(t)
        if o["voltage_margin"] is None:
            return False
        return min(o["voltage_margin"], min(I_lim_bridge, I_lim_loop) - o["peak_current"], peak_gear - o["peak_torque"],
                   (rate * aps - o["v"]) , gap_at(o["v"] * N / (2 * PI)) - edge_min) >= 0

    def f_short():
        hi = time
        k = 0
        while not feasible(hi):
            hi *= 2
            k += 1
            if k > 30:
                raise Absent("impossible")
        lo = hi / 2
        k = 0
        while feasible(lo):
            hi, lo = lo, lo / 2
            k += 1
            if k > 60:
                return 0.0
        for _ in range(50):
            mid = math.sqrt(lo * hi)
            if mid in (lo, hi):
                break
            if feasible(mid):
                hi = mid
            else:
                lo = mid
        return hi
    put("move.shortest_time", f_short)

    # ------------------------------------------------ checks
    def check(k, cap, need, worse_status=None):
        cid = "check." + k
        try:
            cv = cap()
        except Absent as e:
            C[cid] = {"capability": None, "need": None, "margin": None, "status": "clear" if e.code == "unlimited" else "unknown"}
            if v3 and e.code == "impossible":
                C[cid].update(margin=0.0, status="under")
            return
        try:
            nv = need()
        except Absent as e:
            if e.code == "impossible":
                C[cid] = {"capability": cv, "need": None, "margin": 0.0, "status": "under"}
            elif e.code == "unlimited":
                C[cid] = {"capability": cv, "need": None, "margin": 0.0, "status": "under"}
            else:
                C[cid] = {"capability": cv, "need": None, "margin": None, "status": "unknown"}
            return
        if nv <= 0:
            C[cid] = {"capability": cv, "need": nv, "margin": None, "status": "clear"}
        elif cv <= 0:
            C[cid] = {"capability": cv, "need": nv, "margin": 0.0, "status": "under"}
        else:
            mg = cv / nv
            st = "clear" if mg >= 1.25 else "tight" if mg >= 1 else "under"
            C[cid] = {"capability": cv, "need": nv, "margin": mg, "status": st}
        if worse_status and C[cid]["status"] == "clear":
            C[cid]["status"] = worse_status

    blocked = blocked_high
    check("torque", lambda: min(V["drive.stall_torque_hot"], N * eta * Kth * (I_lim - I0)), lambda: mv["peak_torque"])
    check("speed", lambda: get("drive.speed_at_load_hot"), lambda: w)
    check("follow", lambda: eq(mv["beside"]), (lambda: mv["need"]) if v3 else (lambda: V_low - mv["voltage_margin"]))
    check("step_rate", lambda: rate, lambda: w / aps)
    check("resolution", lambda: tol, lambda: max(apc, aps) * at_load)
    check("backlash", lambda: tol, lambda: share)
    check("position", lambda: tol, lambda: V["error.worst"])
    if drift is not None:
        check("rounding", lambda: tol, lambda: abs(rerr) + abs(drift) * d_out / (2 * PI) * at_load)
    else:
        C["check.rounding"] = {"capability": tol, "need": None, "margin": None, "status": "unknown"}
    check("hold_heat", lambda: I_cont, lambda: abs(I_hold))
    if v3 and "move.holding_current" not in given and C["check.holding_current"]["status"] != "under" and I_most != 0:
        # v3: nothing is said of the current: from balanced to where a loop that stopped while lifting rests
        most = I_cont / abs(I_most)
        balanced = C["check.holding_current"]["status"] == "clear"
        C["check.holding_current"].update(need=abs(I_most), margin=most if balanced and most >= 1.25 else max(1.0, most),
                                    status="clear" if balanced and most >= 1.25 else "tight")
    check("cycle_heat", lambda: Tmax - Ta, lambda: get("heat.cycle_peak_temperature") - Ta)
    check("gear_hold", lambda: cont_gear, lambda: max(mv["rms_torque"], abs(H_out)))
    check("gear_peak", lambda: peak_gear, lambda: max(mv["peak_torque"], N * eta * Kt * (blocked - I0)))
    if radius is not None:
        check("radial", lambda: q("gears.radial_limit"), lambda: abs(V["gears.radial_load"]))
    check("field", lambda: q("encoder.peak_field"), lambda: 2 * q("encoder.operate_point"))
    # Settled: a limit of the loop keeps a start from tripping
    check("bridge_current", lambda: I_lim_bridge, lambda: max(bridge_need, min(stall_high, I_lim_loop) if trips and not v3 else 0.0))
    check("bridge_heat", lambda: q("bridge.max_junction") - eq(T_local) if T_local is not None else (_ for _ in ()).throw(Absent("missing")),
          lambda: max(junction(mv["rms_current"]), junction(I_most)) - T_local)
    check("regulator_heat", lambda: q("regulator.max_junction") - T_local if T_local is not None else (_ for _ in ()).throw(Absent("missing")),
          lambda: V["regulator.junction_temperature"] - T_local)
    check("supply_current", lambda: q("supply.current_limit"), lambda: max(get("supply.worst_current"), get("supply.stall_current")))
    check("trace", lambda: V["wiring.trace_current"], lambda: max(moving, blocked))
    check("pin", lambda: q("wiring.pin_current"), lambda: max(moving, blocked))
    jam_low = None
    try:
        jam_low = get("supply.voltage_at_stall") < V_need
    except Absent:
        jam_low = True
    check("brown_out", lambda: V_low - V_need, lambda: V_low - get("supply.voltage_at_worst"), "tight" if jam_low else None)
    check("pumped_voltage", lambda: Vmax - V_high, lambda: V["supply.regenerated_voltage"] - V_high)
    if not v3:
        check("logic_level", lambda: min(get("wiring.level_margin_high"), get("wiring.level_margin_max")), lambda: 0.2)
    else:
        names = ["wiring.level_margin_" + k for k in ("high", "low", "max", "min")]
        codes = {A[k] for k in names if k in A}
        least = None if "missing" in codes else min((V[k] for k in names if k in V), default=None)       # in volts
        if codes and (least is None or least >= 0):               # no shift can help what already fails without it
            least = None
        C["check.logic_level"] = {"capability": least, "need": 0.2, "margin": least, "status": "unknown" if least is None else
                                  "clear" if least >= 0.2 - 1e-12 else "tight" if least >= -1e-12 else "under"}
    check("edge_gap", lambda: get("encoder.shortest_edge_gap"), lambda: edge_min)
    check("processor_load", lambda: 0.7, lambda: V["encoder.processor_load"] + w / aps * q("steps.service_time"))
    check("loop_margin", lambda: pm, lambda: 40 * PI / 180)

    out = {"values": V, "absent": A, "checks": C}
    if v3:
        for held in C.values():
            held["status"] = {"clear": "passes", "under": "fails"}.get(held["status"], held["status"])
        out["tolerances"] = {k: min(t, abs(q(k)) / 4) for k, t in ABSOLUTE.items() if k in given and not re.search(r"±|\+-|\+/-|~", given[k])}
    return out | {
            "exact": {"gears.exact_ratio": str(Nx), "encoder.counts_per_output_turn": str(cout), "steps.counts_per_step": str(x)}}
