"""Seeded random designs, every numeric input given, in varied units.

python3 designs.py
"""
import functools
import json
import math
import random
from fractions import Fraction as Fr

from reference import UNITS, PREFIX, PREFIXABLE, parse, fl, report

RNG = random.Random(20240611)
COUNT = 60
KINDS = ["arm", "turntable", "belt", "screw_threads", "screw_efficiency", "rack", "drum", "torque"]


def num(x, sig=4):
    """A decimal text of about sig digits, never one point followed by exactly three digits unless it starts with 0."""
    if x == 0:
        return "0"
    e = math.floor(math.log10(abs(x)))
    dec = max(0, sig - 1 - e)
    t = f"{x:.{dec}f}"
    if "." in t:
        t = t.rstrip("0").rstrip(".")
    if "." in t:
        a, b = t.lstrip("-").split(".")
        if len(b) == 3 and a != "0" and len(a) <= 3:
            t += "0"
    return t


def factor(u):
    if u in UNITS:
        f, p = UNITS[u]
    else:
        f, p = PREFIX[u[0]] * UNITS[u[1:]][0], UNITS[u[1:]][1]
    return float(f) * math.pi ** p


FANCY = {"Ohm": "Ω", "deg": "°", "uF": "µF", "us": "µs", "N.m": "N·m", "g.cm2": "g·cm²", "degC": "°C", "kgf.cm": "kgf·cm"}
ALTS = {
    "length": ["mm", "mm", "cm", "in"], "mass": ["g", "kg", "oz", "lb"], "torque": ["N.m", "mN.m", "kgf.cm", "ozf.in", "N.cm", "lbf.in"],
    "smalltorque": ["mN.m", "gf.cm", "ozf.in", "N.m"], "force": ["N", "N", "gf", "ozf", "kgf"], "speed": ["r/min", "rpm", "rad/s", "deg/s"],
    "angle": ["deg", "deg", "rad"], "current": ["A", "mA"], "resistance": ["Ohm", "mOhm"], "volt": ["V", "V", "mV"], "time": ["s", "ms"],
    "shorttime": ["us", "ns"], "inertia": ["g.cm2", "kg.m2"], "capacity": ["A.h", "mA.h"],
}


def u(x, family, sig=4, tol=True):
    unit = RNG.choice(ALTS[family]) if family in ALTS else family
    t = num(x / factor(unit), sig)
    if Fr(t) == 0 and x != 0:
        t = num(x / factor(unit), sig + 3)
    shown = FANCY[unit] if unit in FANCY and RNG.random() < 0.3 else unit
    out = t + (shown if shown == "°" else " " + shown)
    if tol and RNG.random() < 0.12:
        out += RNG.choice([" ± 5 %", " +- 10 %", " +/- 2 %"])
    return out


def degc(x):
    r = RNG.random()
    if r < 0.15:
        f = x * 9 / 5 + 32
        return num(round(f, 1), 4) + " °F"
    return num(round(x, 1), 4) + (" °C" if r < 0.4 else " degC")


def U(a, b):
    return RNG.uniform(a, b)


def LU(a, b):
    return math.exp(RNG.uniform(math.log(a), math.log(b)))


CLASS = [  # dia mm, Is range, mass g, Rwh, Rha, tw, th, Jr g.cm2, L/R ms, cont, peak N.m, radial
    (12, (0.5, 1.4), 10, 15, 45, 12, 210, 0.15, 0.17, 0.12, 0.30, 15),
    (16, (1.0, 2.4), 32, 9, 24, 16, 320, 1.1, 0.30, 0.2, 0.4, 30),
    (25, (1.8, 5.0), 95, 7, 18, 20, 560, 4, 0.40, 0.5, 1.2, 40),
    (37, (2.5, 8.0), 205, 6, 14, 25, 900, 14, 0.52, 1.5, 4, 60),
]


def design(i):
    d = {}
    kind8 = KINDS[i % 8]
    kind = kind8.split("_")[0]
    d["axis.kind"] = kind
    runaway = i in (10, 21, 24, 38, 47)
    hot = i % 6 == 1 and not runaway
    fly = i in (1, 7, 17, 31, 39, 41, 55)
    vlow = (i + i // 8) % 4 == 2
    dia, isr, mass, rwh, rha, tw, th, jr, lr, cont, peak, radial = CLASS[(i * 7 // 3) % 4]
    d["motor.case_diameter"] = u(dia / 1000, "mm", tol=False)
    at = "output" if (i // 2 + i // 8) % 2 == 0 else "motor"
    V = RNG.choice([5, 6, 7.4, 9, 12, 12, 24]) if dia > 12 else RNG.choice([5, 6, 6, 7.4, 9])
    Vr = RNG.choice([v for v in (3, 5, 6, 9, 12, 24) if 0.45 * V <= v <= 1.3 * V])
    Is = U(*isr) * (12 / Vr) ** 0.5
    I0 = Is * U(0.03, 0.09)
    R = Vr / Is
    w0 = U(5000, 13000) * math.pi / 30
    Kt = (Vr - I0 * R) / w0
    # gears
    stages_n = RNG.randint(2, 5)
    if i % 3 != 1:
        prs = []
        for _ in range(stages_n):
            if RNG.random() < 0.25:
                sun = RNG.randint(9, 14)
                ring = RNG.randint(36, 52)
                prs.append((ring + sun, sun))
            else:
                b = RNG.randint(10, 15)
                prs.append((RNG.randint(28, 42), b))
        if i % 10 == 3:
            prs = prs[:2] + [(RNG.randint(20, 40), 1)]
        Nx = Fr(1)
        for a, b in prs:
            Nx *= Fr(a, b)
        sep = RNG.choice([",", ", ", " ", ";"])
        col = RNG.choice([":", ":", "/"])
        d["gears.stages"] = sep.join(f"{a}{col}{b}" for a, b in prs)
        if RNG.random() < 0.6:
            d["gears.nominal_ratio"] = str(max(1, round(float(Nx))))
        sc = len(prs)
    else:
        t = num(LU(15, 300), RNG.choice([4, 5]))
        d["gears.ratio"] = t
        Nx = Fr(t)
        sc = max(1, math.ceil(math.log(float(Nx)) / math.log(4)))
        if RNG.random() < 0.4:
            sc = RNG.randint(2, 5)
            d["gears.stage_count"] = str(sc)
        if i % 6 == 1:
            d["gears.nominal_ratio"] = str(round(float(Nx)))
    N = float(Nx)
    eta = U(0.82, 0.95) ** sc
    lock = i % 10 == 3
    if lock:
        eta = U(0.25, 0.38)
        d["gears.efficiency"] = num(eta, 3)
        if "gears.stages" not in d or i % 20 == 3:
            d["gears.stage_count"] = "1"
    elif i % 12 == 7:
        k = RNG.randint(2, 4)
        effs = [RNG.choice(["0.92", "0.9", "0.95", "0.88"]) for _ in range(k - 1)] + [RNG.choice(["0.45", "0.85", "0.8", "0.4"])]
        d["gears.stage_efficiencies"] = ", ".join(effs)
        eta = math.prod(float(e) for e in effs)
    elif i % 4 == 3:
        d["gears.efficiency"] = num(eta, 3)
    d["gears.efficiency_per_stage"] = num(U(0.86, 0.95), 2)
    eff_now = eta if ("gears.efficiency" in d or "gears.stage_efficiencies" in d or at == "output") else float(d["gears.efficiency_per_stage"]) ** (
        int(d.get("gears.stage_count", sc)))
    # last stage
    red, eta_red = Fr(1), 1.0
    if i % 5 == 2 or i in (0, 13):
        a, b = RNG.choice([(60, 20), (45, 18), (40, 1), (100, 30), (48, 16)])
        d["axis.reduction"] = f"{a}:{b}"
        red = Fr(a, b)
        eta_red = U(0.4, 0.47) if b == 1 else RNG.choice([1.0, U(0.85, 0.97)])
        if i in (7, 12):
            eta_red = 1.0
        d["axis.reduction_efficiency"] = num(eta_red, 3)
        d["axis.reduction_backlash"] = u(math.radians(U(0.02, 0.3)), "angle")
    n = float(red)
    # motor figures
    d["motor.figures_at"] = at
    d["motor.rated_voltage"] = u(Vr, "V", tol=False)
    d["motor.no_load_speed"] = u(w0 / (N if at == "output" else 1), "speed")
    d["motor.no_load_current"] = u(I0, "current")
    d["motor.stall_torque"] = u(Kt * (Is - I0) * (N * eta if at == "output" else U(0.9, 1.05)), "torque" if at == "output" else "smalltorque")
    d["motor.stall_current"] = u(Is, "current")
    if i % 6 == 5:
        d["motor.terminal_resistance"] = u(R * U(0.95, 1.05), "Ohm")
        R = fl(parse(d["motor.terminal_resistance"]))
    d["motor.inductance"] = u(lr * 1e-3 * R * U(0.7, 1.3), RNG.choice(["mH", "uH"]))
    d["motor.rotor_inertia"] = u(jr * 1e-7 * U(0.6, 1.5), "g.cm2")
    d["motor.mass"] = u(mass / 1000 * U(0.9, 1.1), "mass")
    d["motor.added_mass"] = u(U(0.006, 0.03), "mass")
    d["motor.reference_temperature"] = degc(RNG.choice([20, 25, 25, 23]))
    Tmax = RNG.choice([85, 90, 100, 105, 130])
    d["motor.max_winding_temperature"] = degc(Tmax)
    d["motor.flux_coefficient"] = RNG.choice(["-0.002 1/K", "-0.0011 1/K", "-0.2 %/K"])
    cool = 2.5 if runaway else 1.5 if hot else 1.0
    d["motor.winding_to_housing"] = u(rwh * U(0.8, 1.3) * cool, "K/W")
    d["motor.housing_to_ambient"] = u(rha * U(0.6, 1.2) * cool, "K/W")
    d["motor.winding_time_constant"] = u(tw * U(0.8, 1.2), "s")
    d["motor.housing_time_constant"] = u(th * U(0.8, 1.2), RNG.choice(["s", "min"]))
    # supply
    d["supply.voltage"] = u(V, "volt")
    Vm = fl(parse(d["supply.voltage"]))
    if vlow:
        d["supply.lowest_voltage"] = u(Vm * U(0.8, 0.93), "V")
    if vlow and i % 3 != 0 or i % 16 == 7:
        d["supply.highest_voltage"] = u(Vm * U(1.05, 1.2), "V")
    d["supply.source_resistance"] = u(U(0.02, 0.25), "resistance") if i % 17 != 11 else "0 Ohm"
    nact = RNG.choice([2, 3, 4]) if i % 4 in (1, 3) and i % 3 != 0 else 1
    together = RNG.randint(1, nact)
    if i == 31:
        nact, together = 3, 0
    d["supply.actuators"], d["supply.moving_together"] = str(nact), str(together)
    if i == 46:                                                 # the source cannot deliver the power of the move
        d["supply.source_resistance"] = "9 Ohm"
    d["supply.current_limit"] = u(max(1.0, Is * V / Vr * U(0.9, 2.0)) * max(1, together), "current")
    d["supply.bulk_capacitance"] = u(RNG.choice([220e-6, 470e-6, 1e-3, 2.2e-3, 4.7e-3]), "uF")
    d["supply.max_voltage"] = u(Vm * U(1.6, 2.6), "V", 3)
    d["supply.sinks_current"] = "yes" if i % 7 == 3 else "no"
    if i % 2 == 0:
        d["supply.capacity"] = u(LU(0.6, 10) * 3600, "capacity")
        d["supply.rated_hours"] = RNG.choice(["5 h", "20 h", "10 h"])
        d["supply.peukert_exponent"] = num(U(1.02, 1.35), 3)
        if len(d["supply.peukert_exponent"].split(".")[-1]) == 3:
            d["supply.peukert_exponent"] += "0"
    # regulator
    Vo = 5 if Vm * 0.8 > 6.5 and RNG.random() < 0.4 else 3.3
    d["regulator.kind"] = "buck" if i % 3 != 0 else "linear"
    d["regulator.rectifier"] = "synchronous" if i % 4 in (0, 1) else "diode"
    d["regulator.output_voltage"] = u(Vo, "V", tol=False)
    if RNG.random() < 0.5:
        d["regulator.reset_voltage"] = u(Vo * U(0.82, 0.95), "V", 3)
    d["regulator.dropout"] = u(U(0.1, 0.5) if d["regulator.kind"] == "linear" else U(0.3, 1.0), "volt", 3)
    d["regulator.quiescent_current"] = u(U(0.05e-3, 3e-3), "mA", 3)
    d["regulator.junction_to_ambient"] = u(U(60, 200), "K/W", 3)
    d["regulator.max_junction"] = degc(RNG.choice([125, 150]))
    heavy = RNG.random() < 0.4
    d["regulator.mcu_current"] = u(U(0.01, 0.03), "current", 3)
    d["regulator.sensor_current"] = u(U(0.002, 0.008), "current", 3)
    d["regulator.led_current"] = u(U(0.001, 0.005), "mA", 3)
    d["regulator.other_current"] = u(U(0.15, 0.3) if heavy and d["regulator.kind"] == "buck" else U(0, 0.01), "current", 3)
    d["regulator.efficiency"] = num(U(0.78, 0.92), 2)
    d["regulator.switching_frequency"] = u(RNG.choice([500e3, 1e6, 600e3, 2e6]), RNG.choice(["kHz", "MHz"]))
    d["regulator.inductance"] = u(RNG.choice([4.7e-6, 10e-6, 22e-6, 33e-6]), "uH")
    d["regulator.output_capacitance"] = u(RNG.choice([10e-6, 22e-6, 47e-6]), "uF")
    # bridge
    d["bridge.high_side"] = u(U(0.05, 0.3), "resistance", 3)
    d["bridge.low_side"] = u(U(0.05, 0.25), "resistance", 3)
    d["bridge.temperature_coefficient"] = num(U(0.003, 0.006), 2) + " 1/K"
    lim = Is * V / Vr * RNG.choice([U(0.55, 0.9), U(1.1, 2)])
    d["bridge.current_limit"] = u(max(0.3, lim), "current", 3)
    d["bridge.limit_kind"] = ["none", "limits", "shuts_down"][i % 3]
    d["bridge.junction_to_ambient"] = u(U(35, 110), "K/W", 3)
    d["bridge.max_junction"] = degc(RNG.choice([150, 150, 125]))
    d["bridge.pwm_frequency"] = u(RNG.choice([16e3, 20e3, 25e3, 40e3]), RNG.choice(["Hz", "kHz"]))
    d["bridge.rise_time"] = u(U(50e-9, 300e-9), "ns", 3)
    d["bridge.fall_time"] = u(U(50e-9, 300e-9), "ns", 3)
    d["bridge.quiescent_current"] = u(U(0.3e-3, 4e-3), "mA", 3)
    d["bridge.decay"] = "fast" if i % 5 == 4 else "slow"
    if i % 2 == 1:
        d["board.local_ambient"] = degc(U(28, 60))
    # load
    Ta = round(U(15, 35), 0) if not runaway else 40
    d["axis.ambient_temperature"] = degc(Ta)
    stall = N * eff_now * Kt * (Vm / (R + 0.8) - I0)
    x = 0.03 if fly else U(0.35, 0.6) if hot else U(0.05, 0.3) if not runaway else 0.85
    T = max(x * stall, 0.002) * n * eta_red
    F = U(0.1, 1.0) * RNG.choice([0, 1, 1])
    d["axis.external_force"] = u(F, "force") if F else "0 N"
    Fd = U(0.05, 0.6) * RNG.choice([0, 1])
    d["axis.drag_force"] = u(Fd, "force") if Fd else "0 N"
    wmax = (Vm - I0 * (R + 0.8)) / (Kt * N) / n           # at the axis
    spd = wmax * (U(0.55, 0.75) if fly else U(0.15, 0.5)) * (1 - x)
    if kind == "arm":
        r = U(0.03, 0.14)
        d["axis.radius"] = u(r, "length")
        d["axis.load_mass"] = u(max(0.005, min(5, (T - F * r - Fd * r) / (9.80665 * r))), "mass")
        d["axis.payload_inertia"] = u(LU(20, 3000) * 1e-7, "g.cm2")
        if i % 16 == 8:
            d["axis.start_angle"] = u(math.radians(U(-40, 10)), "angle")
        dist = math.radians(U(20, 110))
        as_length = i % 24 == 16
        d["move.distance"] = u(dist * r, "length") if as_length else u(dist, "angle", tol=False)
        d["axis.position_tolerance"] = u(math.radians(U(1, 4)), "angle", 3, tol=False)
    elif kind == "turntable":
        r = U(0.05, 0.2)
        d["axis.radius"] = u(r, "length")
        m = U(0.1, 2)
        rb = U(0.008, 0.02)
        d["axis.load_mass"] = u(m, "mass")
        d["axis.bearing_radius"] = u(rb, "length")
        mu_ = min(0.3, max(0.02, T / (m * 9.81 * rb)))
        d["axis.friction_coefficient"] = num(mu_, 2)
        d["axis.payload_inertia"] = u(0.5 * m * r * r * U(0.8, 1.6), "inertia")
        if F:
            d["axis.external_force"] = u(min(F, 0.5 * T / r), "force")
        dist = math.radians(U(40, 350))
        d["move.distance"] = u(dist, RNG.choice(["deg", "rad", "turn"]), tol=False)
        d["axis.position_tolerance"] = u(math.radians(U(0.3, 4)) * (r if i % 16 == 9 else 1), "length" if i % 16 == 9 else "angle", 3, tol=False)
    elif kind == "torque":
        d["axis.load_torque_given"] = u(T, "torque")
        d["axis.load_inertia_given"] = u(LU(100, 20000) * 1e-7, "inertia")
        dist = math.radians(U(30, 400))
        d["move.distance"] = u(dist, RNG.choice(["deg", "rad", "turn"]), tol=False)
        d["axis.position_tolerance"] = u(math.radians(U(1, 4)), "angle", 3, tol=False)
    else:
        mu_ = U(0.02, 0.2)
        d["axis.friction_coefficient"] = num(mu_, 2)
        mu_ = float(d["axis.friction_coefficient"])
        if kind == "screw":
            slope = RNG.choice([90, 90, 0, U(0, 60)])
            lead = RNG.choice([0.7, 1, 1.25, 2, 4, 8]) * 1e-3 if kind8 == "screw_threads" else RNG.choice([2, 4, 5, 10]) * 1e-3
            d["axis.screw_lead"] = u(lead, RNG.choice(["mm", "mm", "in"]), 5 if RNG.random() < 0.5 else 4, tol=False)
            rr = lead / (2 * math.pi)
            if kind8 == "screw_threads":
                dm = U(4, 11) * 1e-3
                d["axis.screw_mean_diameter"] = u(dm, "mm")
                d["axis.screw_thread_friction"] = num(U(0.06, 0.2), 2) if lead < 7e-3 else "0.07"
                d["axis.screw_flank_angle"] = RNG.choice(["15 deg", "30°", "0 deg", "14.5 deg"])
                d["axis.collar_friction"] = num(U(0.003, 0.14), 2)
                d["axis.collar_diameter"] = u(U(6, 14) * 1e-3, "mm", 3)
                e = 0.25
            else:
                e = U(0.5, 0.92)
                d["axis.transmission_efficiency"] = num(e, 2)
            dist = U(0.005, 0.08)
            tolm = U(0.02e-3, 0.3e-3)
        else:
            slope = {"belt": RNG.choice([0, U(0, 40), U(-8, -2)]), "rack": RNG.choice([0, 90, U(0, 60)]), "drum": RNG.choice([90, U(20, 80)])}[kind]
            e = U(0.85, 0.97)
            d["axis.transmission_efficiency"] = num(e, 2)
            if kind == "drum":
                rr = U(6, 20) * 1e-3
                d["axis.radius"] = u(rr, "length")
            elif kind == "belt":
                if i % 16 == 10:
                    rr = U(5, 10) * 1e-3
                    d["axis.radius"] = u(rr, "mm", tol=False)
                else:
                    z, p = RNG.choice([14, 16, 18, 20, 24, 30]), RNG.choice([2, 2, 3, 5.08])
                    d["axis.pulley_teeth"], d["axis.belt_pitch"] = str(z), num(p) + " mm" if p != 5.08 else "0.2 in"
                    rr = z * p * 1e-3 / (2 * math.pi)
            else:
                z, mod = RNG.randint(12, 30), RNG.choice([0.5, 0.8, 1, 1.5])
                d["axis.pinion_teeth"], d["axis.pinion_module"] = str(z), num(mod) + " mm"
                rr = z * mod * 1e-3 / 2
            dist = U(0.05, 0.8)
            tolm = U(0.2e-3, 1.5e-3)
        d["axis.slope"] = u(math.radians(slope), "deg" if slope in (0, 90) else "angle", tol=False)
        sl = math.radians(slope)
        wgt = 9.80665 * (math.sin(sl) + mu_ * math.cos(sl))
        m = (T * e / rr - F - Fd) / wgt if wgt > 0.5 else U(0.2, 1.0)
        d["axis.load_mass"] = u(max(0.03, min(6 if kind != "drum" else 3, m)), "mass")
        if i == 18:                                             # a belt whose own weight overcomes friction: Z < 0
            d["axis.slope"], d["axis.external_force"], d["axis.drag_force"], d["axis.friction_coefficient"] = "-12 deg", "0 N", "0 N", "0.05"
        d["axis.payload_inertia"] = u(LU(0.2, 30) * 1e-7, "g.cm2")
        d["move.distance"] = u(dist, "length", tol=False)
        d["axis.position_tolerance"] = u(tolm, RNG.choice(["mm", "um", "mil"]), 3, tol=False)
        dist = dist / rr
    prof = "smooth" if i % 2 == (i // 8) % 2 else "trapezoid"
    d["move.profile"] = prof
    f = RNG.choice([1 / 3, 0.2, 0.25, 0.1, 0.5, 0.4])
    d["move.ramp_fraction"] = "0.3333" if f == 1 / 3 else num(f)
    fac = 1.875 if prof == "smooth" else 1 / (1 - f)
    tm = fac * dist / spd
    d["move.time"] = u(min(max(tm, 0.15), 600), RNG.choice(["s", "ms"]) if tm < 10 else "s", tol=False)
    d["move.dwell"] = "0 s" if i % 11 == 5 else u(LU(0.3, 200), RNG.choice(["s", "min"]), 3, tol=False)
    d["move.holding_current"] = ["no_friction", "friction_against", "friction_helps", "off"][(i // 3) % 4] if not runaway else "friction_against"
    d["move.direction"] = "both" if fly else ["lifting", "lowering", "both"][(i // 2) % 3] if not runaway else "lifting"
    if fly:                                                     # ramps that ask about half the stall torque of the inertia
        tt = fl(parse(d["move.time"]))
        al = spd / (f * tt) if prof == "trapezoid" else 10 / math.sqrt(3) * dist / tt ** 2
        key = "axis.load_inertia_given" if kind == "torque" else "axis.payload_inertia"
        jr_ = fl(parse(d["motor.rotor_inertia"]))
        d[key] = u(min(0.3 * stall * n / al, 20 * jr_ * N * N * n * n, 50), "inertia")
        d["regulator.other_current"] = "0 A"
    if runaway:
        d["move.dwell"] = "20 s"
    d["move.approach"] = RNG.choice(["either", "either", "centred", "one_side"])
    d["move.duty"] = "1" if RNG.random() < 0.5 else num(U(0.1, 0.9), 2)
    d["move.reverses_at_speed"] = "yes" if i % 6 == 4 else "no"
    # gear limits
    Tg = T / (n * eta_red)
    d["gears.backlash"] = u(math.radians(U(0.3, 3)), "angle", 3)
    pk = max(peak, Tg * U(1.2, 3), stall * RNG.choice([0, 1.3])) * U(0.8, 1.4)
    d["gears.continuous_torque"] = u(pk * U(0.35, 0.6), "torque")
    d["gears.peak_torque"] = u(pk, "torque")
    d["gears.radial_limit"] = u(radial * U(0.7, 1.5), "force")
    d["gears.transmission_error"] = u(math.radians(U(0.05, 0.4)), "angle", 2)
    d["gears.stiffness"] = u(max(stall, 0.05) / U(0.01, 0.03), RNG.choice(["N.m/rad", "N.m/deg"]))
    # encoder
    one = i % 15 == 4
    pp = RNG.choice([1, 2, 3, 3, 4, 5, 6, 7])
    d["encoder.pole_pairs"] = str(pp)
    d["encoder.sensors"] = "1" if one else "2"
    d["encoder.counts_per_pole_pair"] = RNG.choice(["1", "2"]) if one else RNG.choice(["4", "4", "4", "2", "1"])
    good = 90 * (2 * RNG.randint(0, 1) + 1) / pp
    d["encoder.sensor_spacing"] = num(good if RNG.random() < 0.6 else good + U(-4, 4), 4) + " deg"
    if i == 29:
        d["encoder.pole_pairs"], d["encoder.sensor_spacing"] = "4", "90 deg"
    d["encoder.placement_error"] = u(U(0.05, 0.25) * 1e-3 / max(1, pp / 3), "mm", 3, tol=False)
    d["encoder.placement_radius"] = u(U(3, 7) * 1e-3, "mm", 3)
    d["encoder.duty_error"] = u(math.radians(U(4, 20)), "deg", 3, tol=False)
    d["encoder.edge_service_time"] = "0 s" if RNG.random() < 0.2 else u(U(1e-6, 6e-6), "us", 2)
    d["encoder.peak_field"] = u(U(0.015, 0.06), "mT", 3)
    d["encoder.operate_point"] = u(U(0.004, 0.012), "mT", 2, tol=False)
    # steps
    if i % 6 != 5:
        edges = int(d["encoder.counts_per_pole_pair"])
        cpt = edges * int(d["encoder.pole_pairs"]) * N
        d["steps.wanted_per_turn"] = RNG.choice([str(max(1, round(cpt * U(0.3, 1.5) / 10) * 10 or 10)), RNG.choice(["200", "400", "360", "3200"]), "2560/3"])
    d["steps.gearing_limit"] = RNG.choice(["65535", "255", "32767", "4294967295", "1000"])
    d["steps.controller_rate_limit"] = u(RNG.choice([25e3, 40e3, 100e3, 250e3]), RNG.choice(["Hz", "kHz"]), tol=False)
    d["steps.pulse_high"] = u(U(1e-6, 8e-6), "shorttime", 3)
    d["steps.pulse_low"] = u(U(1e-6, 8e-6), "shorttime", 3)
    d["steps.direction_setup"] = u(U(1e-6, 8e-6), "us", 3)
    d["steps.sent_pulse_width"] = u(U(2e-6, 9e-6), "us", 3)
    d["steps.sent_direction_setup"] = u(U(5e-6, 20e-6), "us", 3)
    d["steps.service_time"] = u(U(0.5e-6, 4e-6), "us", 2)
    d["steps.decimals"] = RNG.choice(["2", "3", "4", "1", "0"])
    # wiring
    if i % 3 == 2:
        d["wiring.area"] = u(RNG.choice([0.14, 0.25, 0.34, 0.5, 0.75]) * 1e-6, "mm2", tol=False)
    else:
        g = RNG.choice([18, 20, 22, 24, 26, 28])
        d["wiring.gauge"] = RNG.choice([str(g), f"{g} AWG"])
    d["wiring.length"] = u(LU(0.2, 4), RNG.choice(["m", "mm", "ft", "in"]), 3)
    d["wiring.temperature"] = degc(U(20, 45))
    d["wiring.shared"] = "own" if nact > 1 and together > 0 and i % 2 == 1 and i % 3 == 1 else "common"
    d["wiring.trace_width"] = u(U(0.6, 3) * 1e-3, RNG.choice(["mm", "mil"]), 3)
    d["wiring.trace_thickness"] = RNG.choice(["35 um", "70 um", "17.5 µm"])
    d["wiring.trace_length"] = u(U(10, 40) * 1e-3, "mm", 3)
    d["wiring.trace_rise"] = RNG.choice(["10 K", "20 K", "15 K"])
    d["wiring.trace_layer"] = RNG.choice(["outer", "outer", "inner"])
    d["wiring.pin_current"] = u(RNG.choice([x for x in (0.5, 1, 1.5, 2, 3, 6, 9) if x > 0.5 * Is * V / Vr][:3] or [12]), "current")
    hi = RNG.choice([3.3, 5, 3.3])
    d["wiring.logic_high"] = u(hi, "V", tol=False)
    d["wiring.input_high"] = u(RNG.choice([2.31, 2.0, 3.5]), "V", tol=False)
    d["wiring.input_max"] = u(RNG.choice([3.6, 5.5, 6]), "V", tol=False)
    # loop
    d["loop.sample_time"] = RNG.choice(["1 ms", "0.5 ms", "2 ms", "1000 us"])
    d["loop.delay"] = RNG.choice(["1", "1", "0", "2"])
    d["loop.bandwidth"] = num(LU(1, 14), 2) + " Hz"
    d["loop.damping"] = RNG.choice(["0.7", "1", "0.8", "0.5"])
    d["loop.integral_time"] = "none" if i % 3 == 1 else RNG.choice(["0.2 s", "500 ms", "0.1 s"])
    d["loop.feed_forward"] = RNG.choice(["0", "1", "0.5"])
    d["loop.voltage_limit"] = "1"
    if i % 8 == 6:
        d["loop.current_limit"] = u(Is * V / Vr * U(0.4, 0.8), "current", 3)
    d["loop.pwm_resolution"] = RNG.choice(["1000", "256", "1024", "4096"])
    d["loop.deadband"] = RNG.choice(["0", "1", "1", "2"])
    d["loop.step_test"] = u(math.radians(U(2, 10)), "angle", 3, tol=False) if kind in ("arm", "turntable", "torque") else u(U(0.001, 0.01), "mm", 3, tol=False)
    # stepper
    if i % 3 != 2:
        d["stepper.step_angle"] = RNG.choice(["1.8 deg", "0.9 deg", "7.5 deg", "1.8 deg"])
        d["stepper.holding_torque"] = u(max(0.05, Tg * U(0.8, 5)), "torque")
        d["stepper.phase_current"] = u(U(0.4, 2.5), "current", 3)
        d["stepper.phase_resistance"] = u(U(1, 10), "Ohm", 3)
        d["stepper.phase_inductance"] = u(U(1.5e-3, 9e-3), "mH", 3)
        d["stepper.drive_voltage"] = RNG.choice(["12 V", "24 V"])
        d["stepper.microsteps"] = RNG.choice(["16", "8", "32"])
        d["stepper.rotor_inertia"] = u(U(10, 200) * 1e-7, "g.cm2", 3)
        d["stepper.mass"] = u(U(0.12, 0.7), "mass", 3)
        d["stepper.step_accuracy"] = "0.05"
    d["axis.home"] = RNG.choice(["none", "switch", "stop", "index"])
    name = f"{i + 1:02d} {kind8.replace('_', ' by ')}, figures at {at}" + (", last stage" if red != 1 else "") + (", runaway" if runaway else "") \
        + (", one sensor" if one else "") + (", low/high voltage" if vlow or i % 16 == 7 else "") + (", flywheel" if fly else "") + (", hot" if hot else "")
    return name, d


def trimmed(x):
    """15 significant digits."""
    y = float(f"{x:.15g}")
    return int(y) if y == int(y) and abs(y) < 1e15 else y


def write(path, cases):
    """One line a case, in the order of three lists of ids: small, and a change shows in its line."""
    ids = {"inputs": [], "values": [], "checks": []}
    for _, d, r in cases:
        for part, names in (("inputs", d), ("values", [*r["values"], *r["absent"]]), ("checks", r["checks"])):
            ids[part] += [k for k in names if k not in ids[part]]
    lines = []
    for name, d, r in cases:
        values = [trimmed(r["values"][k]) if k in r["values"] else r["absent"].get(k) for k in ids["values"]]
        held = [r["checks"].get(k) for k in ids["checks"]]
        checks = [h and [h["status"], h["margin"] if h["margin"] is None else trimmed(h["margin"])] for h in held]
        row = {"name": name, "inputs": [d.get(k) for k in ids["inputs"]], "values": values, "checks": checks, "exact": r["exact"]}
        if "tolerances" in r:
            row["tolerances"] = {k: trimmed(x) for k, x in r["tolerances"].items()}
        lines.append(json.dumps(row, ensure_ascii=False, allow_nan=False, separators=(",", ":")))
    head = json.dumps(ids, separators=(",", ":"))
    path.write_text(head[:-1] + ',"cases":[\n' + ",\n".join(lines) + "\n]}\n", encoding="utf-8")


# Version 3: (name, the design it starts from, what is entered instead; None leaves out). Each exercises amended rules.
EXERCISES = [
    # the arm by its angle
    ("arm from below level", 8, {"axis.start_angle": "-30 deg", "move.direction": "lifting"}),
    ("arm past the top, F up", 16, {"axis.start_angle": "60 deg", "move.distance": "100 deg", "move.direction": "both", "axis.external_force": "0.2 N"}),
    ("arm lowered from 70 degrees", 40, {"axis.start_angle": "70 deg", "move.distance": "70 deg", "move.direction": "lowering"}),
    ("arm lowered beyond level, both ends held", 32, {"axis.start_angle": "-20°", "move.direction": "lowering", "move.profile": "trapezoid"}),
    ("arm with last stage, there and back", 0, {"axis.start_angle": "-0.6 rad", "move.direction": "both", "axis.reduction_efficiency": "0.9"}),
    ("arm with locking last stage, lowered", 0, {"axis.start_angle": "40 deg", "move.direction": "lowering"}),
    ("arm held near the top", 48, {"axis.start_angle": "0 deg", "move.distance": "80 deg", "move.direction": "lifting", "axis.external_force": "0 N"}),
    ("arm said to be level", 48, {"axis.start_angle": "0 deg", "move.distance": "1 deg", "move.direction": "lifting"}),
    # a torque that holds, that only rubs, or both
    ("torque lifting", 7, {"axis.load_is": "lifting", "move.direction": "both"}),
    ("torque of friction", 7, {"axis.load_is": "friction", "move.direction": "both"}),
    ("torque of friction, with", 15, {"axis.load_is": "friction", "move.direction": "lowering"}),
    ("torque in part", 23, {"axis.load_is": "part", "axis.held_torque": "20 mN.m", "move.direction": "both"}),
    ("torque in part by the torque held", 31, {"axis.held_torque": "30 mN.m", "move.direction": "lowering"}),
    # long wires: the ground shift at four margins
    ("long wire", 16, {"wiring.length": "3 m", "wiring.gauge": "20", "wiring.logic_high": "3.3 V", "wiring.input_high": "2.31 V", "wiring.input_max": "3.6 V"}),
    ("long wire, controller grounded at the board", 16, {"wiring.length": "3 m", "wiring.gauge": "20", "wiring.ground_at": "board", "wiring.logic_high": "3.3 V",
                                                         "wiring.input_high": "2.31 V", "wiring.input_max": "3.6 V"}),
    ("long wire, isolated", 16, {"wiring.length": "3 m", "wiring.gauge": "20", "wiring.ground_at": "isolated", "wiring.pulse_interface": "isolator",
                                 "wiring.input_high": "2.31 V", "wiring.input_max": "3.6 V"}),
    ("5 V into 3.3 V by divider", 8, {"wiring.logic_high": "5 V", "wiring.logic_low": "0.1 V", "wiring.input_high": "2.31 V", "wiring.input_max": "3.6 V",
                                      "wiring.input_low": "0.9 V", "wiring.input_min": "-0.3 V", "wiring.pulse_interface": "divider",
                                      "wiring.divider_upper": "10 kOhm", "wiring.divider_lower": "18 kOhm", "wiring.length": "3 m"}),
    ("5 V into 3.3 V, the two resistors alone", 8, {"wiring.logic_high": "5 V", "wiring.input_high": "2.31 V", "wiring.input_max": "3.6 V",
                                                    "wiring.divider_upper": "1.8 kOhm", "wiring.divider_lower": "3.3 kOhm"}),
    ("5 V into 3.3 V by a divider not said", 8, {"wiring.logic_high": "5 V", "wiring.input_max": "3.6 V", "wiring.pulse_interface": "divider"}),
    ("5 V into 3.3 V by shifter", 11, {"wiring.logic_high": "5 V", "wiring.input_high": "2.31 V", "wiring.input_max": "3.6 V", "wiring.pulse_interface": "shifter",
                                       "wiring.length": "6 m"}),
    ("current that flows back over a long wire", 1, {"supply.sinks_current": "yes", "wiring.length": "8 m", "wiring.gauge": "20", "axis.external_force": "0 N"}),
    ("a low that is not low enough", 14, {"wiring.logic_low": "0.8 V", "wiring.input_low": "0.8 V", "wiring.logic_high": "3.3 V", "wiring.input_max": "3.6 V"}),
    # kinds of limit
    ("limit of rating", 5, {"bridge.limit_kind": "none", "bridge.current_limit": "1.5 A"}),
    ("limit that chops", 5, {"bridge.limit_kind": "limits", "bridge.current_limit": "1.5 A"}),
    ("limit that trips", 5, {"bridge.limit_kind": "shuts_down", "bridge.current_limit": "1.5 A"}),
    ("limit of rating, loop limits", 5, {"bridge.limit_kind": "none", "bridge.current_limit": "1.5 A", "loop.current_limit": "1.2 A"}),
    ("limit that trips, loop limits", 5, {"bridge.limit_kind": "shuts_down", "bridge.current_limit": "1.5 A", "loop.current_limit": "1200 mA"}),
    ("limit of rating, part of the voltage", 5, {"bridge.limit_kind": "none", "bridge.current_limit": "1.5 A", "loop.voltage_limit": "0.4"}),
    # a worm among the stages, motor side first
    ("worm last of two", 7, {"gears.stage_efficiencies": "0.94, 0.42", "gears.efficiency": None, "move.direction": "both"}),
    ("worm in the middle", 7, {"gears.stage_efficiencies": "0.92, 0.42, 0.9", "gears.efficiency": None, "move.direction": "both"}),
    ("worm first", 7, {"gears.stage_efficiencies": "0.42, 0.92, 0.9", "gears.efficiency": None, "move.direction": "lowering"}),
    ("two worms", 7, {"gears.stage_efficiencies": "0.45, 0.9, 0.4", "gears.efficiency": None, "move.direction": "lowering"}),
    # a supply that is shared
    ("four on one pair, two move", 6, {"supply.actuators": "4", "supply.moving_together": "2", "wiring.shared": "common"}),
    ("four on their own pairs, two move", 6, {"supply.actuators": "4", "supply.moving_together": "2", "wiring.shared": "own"}),
    ("four on one pair, none together", 6, {"supply.actuators": "4", "supply.moving_together": "0"}),
    ("six on a weak source: no voltage is left", 12, {"supply.actuators": "6", "supply.moving_together": "6", "supply.source_resistance": "4 Ohm"}),
    ("three, off at rest", 19, {"supply.actuators": "3", "supply.moving_together": "1", "move.holding_current": "off"}),
    ("buck on a falling battery", 2, {"regulator.kind": "buck", "supply.lowest_voltage": "4.2 V", "supply.actuators": "2", "supply.moving_together": "1"}),
    # batteries
    ("battery below its rated current", 20, {"supply.capacity": "20 A.h", "supply.rated_hours": "20 h", "supply.peukert_exponent": "1.3"}),
    ("battery above its rated current", 20, {"supply.capacity": "100 mA.h", "supply.rated_hours": "20 h", "supply.peukert_exponent": "1.3"}),
    # fuses
    ("fuse above what the pin carries", 22, {"wiring.pin_current": "0.5 A"}),
    ("fuse with thick parts", 22, {"wiring.pin_current": "20 A", "wiring.trace_width": "10 mm", "wiring.gauge": "14", "wiring.area": None}),
    # the loop
    ("short integral", 10, {"loop.integral_time": "20 ms", "loop.bandwidth": "6 Hz"}),
    ("integral that is slow", 10, {"loop.integral_time": "3 s", "loop.bandwidth": "6 Hz"}),
    ("no integral", 10, {"loop.integral_time": "none", "loop.bandwidth": "6 Hz"}),
    ("bandwidth not given", 13, {"loop.bandwidth": None, "loop.feed_forward": None}),
    # the stepper
    ("stepper held by the pulse source", 9, {"steps.controller_rate_limit": "2 kHz", "stepper.microsteps": "32", "move.direction": "both"}),
    ("stepper with the load", 12, {"move.direction": "lowering"}),
    ("stepper too weak for the load", 6, {"stepper.holding_torque": "10 mN.m"}),
    # what is not said
    ("hold not said, cool", 8, {"move.holding_current": None}),
    ("hold not said, only balanced passes", 16, {"move.holding_current": None}),
    ("hold not said, warm", 23, {"move.holding_current": None}),
    ("hold not said, hot", 38, {"move.holding_current": None}),
    ("parts not given", 25, {"bridge.current_limit": None, "wiring.pin_current": None, "wiring.trace_width": None, "supply.current_limit": None,
                             "wiring.gauge": None, "encoder.sensor_spacing": None}),
    ("parts not given, small motor", 40, {"bridge.current_limit": None, "wiring.pin_current": None, "wiring.trace_width": None,
                                          "supply.current_limit": None, "wiring.gauge": None, "encoder.sensor_spacing": None, "encoder.pole_pairs": "4"}),
    ("small free play", 5, {"gears.backlash": "0.16 deg"}),
    ("large free play", 5, {"gears.backlash": "6 deg"}),
]


def exercise(entry, bases):
    name, i, changes = entry
    d = dict(bases[i][1])
    for k, text in changes.items():
        d.pop(k, None)
        if text is not None:
            d[k] = text
    return f"{name} (from {i + 1:02d})", d


if __name__ == "__main__":
    import multiprocessing
    from pathlib import Path

    here = Path(__file__).resolve().parent
    todo = [design(i) for i in range(COUNT)]
    bases = list(todo)
    for path in sorted(here.glob("../../../crates/pulsewright-sheet/demos/*.card.json")):
        card = json.loads(path.read_text(encoding="utf-8"))["inputs"]
        todo.append((f"example {path.name.split('.')[0]}", {k: v for k, v in card.items() if not k.startswith("card.")}))
    for kind in ("arm", "turntable", "belt", "screw", "rack", "drum", "torque"):
        todo.append((f"presets {kind}", {"axis.kind": kind}))
    todo += [exercise(entry, bases) for entry in EXERCISES]
    with multiprocessing.Pool(2) as pool:
        found = pool.map(functools.partial(report, version=3), [d for _, d in todo], chunksize=1)
    write(here / "reference.json", [(name, d, r) for (name, d), r in zip(todo, found)])
