//! The position loop's start values. Free play is left out, so that the gears are meshed.

use published::{Case, DEGREE, hold, hold_with};

/// Every margin: python-control 0.10.2 (NumPy 2.4.6), `margin((Kp + Kd*s + Kp/(0.2*s))/Ke/(s*(tau*s + 1)*(te*s + 1)))`,
/// the integral of 0.2 s included, its phase less (½ + delay)·Ts at the crossover; the same with `pade(dead, 8)` in the
/// loop.
#[test]
fn margins() {
    hold_with(
        &[
            ("axis.kind", "torque"),
            ("motor.figures_at", "motor"),
            ("motor.rated_voltage", "6 V"),
            ("motor.no_load_current", "0 A"),
            ("gears.backlash", "0 deg"),
            ("bridge.high_side", "0.5 mOhm"),
            ("bridge.low_side", "0.5 mOhm"),
        ],
        &[
            Case {
                source: "computed: python-control 0.10.2, Ke 5 mV·s, 5 Ω, 0.8 mH, 0.15 g·cm², 2000 g·cm² behind 100:1 at 0.7, 5 Hz, ζ 1",
                design: &[
                    ("axis.load_inertia_given", "2000 g.cm2"),
                    ("motor.no_load_speed", "1200 rad/s"),
                    ("motor.terminal_resistance", "4.9990 Ohm"),
                    ("motor.inductance", "0.8 mH"),
                    ("motor.rotor_inertia", "0.15 g.cm2"),
                    ("gears.ratio", "100"),
                    ("gears.efficiency", "0.7"),
                    ("loop.bandwidth", "5 Hz"),
                    ("loop.damping", "1"),
                    ("loop.sample_time", "1 ms"),
                    ("loop.delay", "1"),
                ],
                printed: &[
                    ("loop.proportional_gain", 1.0, "0.114076"),
                    ("loop.derivative_gain", 1.0, "0.000000"),
                    ("loop.crossover", 1.0, "3.64481"),
                    ("loop.phase_margin", DEGREE, "64.2197"),
                ],
            },
            Case {
                source: "computed: python-control 0.10.2, Ke 10 mV·s, 2 Ω, 1 mH, 10 g·cm², 50 000 g·cm² behind 50:1 at 0.6, 10 Hz, ζ 0.7",
                design: &[
                    ("axis.load_inertia_given", "50000 g.cm2"),
                    ("motor.no_load_speed", "600 rad/s"),
                    ("motor.terminal_resistance", "1.9990 Ohm"),
                    ("motor.inductance", "1 mH"),
                    ("motor.rotor_inertia", "10 g.cm2"),
                    ("gears.ratio", "50"),
                    ("gears.efficiency", "0.6"),
                    ("loop.bandwidth", "10 Hz"),
                    ("loop.damping", "0.7"),
                    ("loop.sample_time", "1 ms"),
                    ("loop.delay", "1"),
                ],
                printed: &[
                    ("loop.proportional_gain", 1.0, "3.42146"),
                    ("loop.derivative_gain", 1.0, "0.066236"),
                    ("loop.crossover", 1.0, "13.6906"),
                    ("loop.phase_margin", DEGREE, "55.8933"),
                ],
            },
            Case {
                source: "computed: python-control 0.10.2, the same seen through a last stage: four times the inertia behind 2:1, 0.8 of 0.75",
                design: &[
                    ("axis.load_inertia_given", "200000 g.cm2"),
                    ("axis.reduction", "2:1"),
                    ("axis.reduction_efficiency", "0.8"),
                    ("motor.no_load_speed", "600 rad/s"),
                    ("motor.terminal_resistance", "1.9990 Ohm"),
                    ("motor.inductance", "1 mH"),
                    ("motor.rotor_inertia", "10 g.cm2"),
                    ("gears.ratio", "50"),
                    ("gears.efficiency", "0.75"),
                    ("loop.bandwidth", "10 Hz"),
                    ("loop.damping", "0.7"),
                    ("loop.sample_time", "1 ms"),
                    ("loop.delay", "1"),
                ],
                printed: &[
                    ("loop.crossover", 1.0, "13.6906"),
                    ("loop.phase_margin", DEGREE, "55.8933"),
                ],
            },
            Case {
                source: "computed: python-control 0.10.2, Ke 20 mV·s, 4 Ω, 2 mH, 20 g·cm², no load inertia, 8 Hz, ζ 0.8, 2 ms without delay",
                design: &[
                    ("axis.load_inertia_given", "0 kg.m2"),
                    ("motor.no_load_speed", "300 rad/s"),
                    ("motor.terminal_resistance", "3.9990 Ohm"),
                    ("motor.inductance", "2 mH"),
                    ("motor.rotor_inertia", "20 g.cm2"),
                    ("gears.ratio", "30"),
                    ("gears.efficiency", "0.8"),
                    ("loop.bandwidth", "8 Hz"),
                    ("loop.damping", "0.8"),
                    ("loop.sample_time", "2 ms"),
                    ("loop.delay", "0"),
                ],
                printed: &[
                    ("loop.proportional_gain", 1.0, "1.01065"),
                    ("loop.derivative_gain", 1.0, "0.0121699"),
                    ("loop.crossover", 1.0, "6.61514"),
                    ("loop.phase_margin", DEGREE, "67.5090"),
                ],
            },
        ],
    );
}

/// With gain 1 the tutorial's loop swings at 46.1 rad/s, and its own friction alone damps it to 0.643; without
/// that friction of 3.5077·10⁻⁶ N·m·s the damping is 1/(2·ωn·τ) = 0.631 (computed). Asked for both, the
/// start values are gain 1 and no derivative.
#[test]
fn tutorial_of_a_position_loop() {
    hold(&[Case {
        source: "Control Tutorials, DC Motor Position: System Analysis, ctms.engin.umich.edu: J 3.2284·10⁻⁶ kg·m², K 0.0274, 4 Ω, 2.75 µH",
        design: &[
            ("axis.kind", "torque"),
            ("axis.load_inertia_given", "0 kg.m2"),
            ("motor.figures_at", "motor"),
            ("motor.rated_voltage", "6 V"),
            ("motor.no_load_speed", "218.978102 rad/s"),
            ("motor.no_load_current", "0 A"),
            ("motor.terminal_resistance", "3.9990 Ohm"),
            ("motor.inductance", "2.75 uH"),
            ("motor.rotor_inertia", "32.284 g.cm2"),
            ("gears.ratio", "10"),
            ("gears.backlash", "0 deg"),
            ("bridge.high_side", "0.5 mOhm"),
            ("bridge.low_side", "0.5 mOhm"),
            ("loop.bandwidth", "7.3371 Hz"),
            ("loop.damping", "0.631"),
        ],
        printed: &[
            ("loop.proportional_gain", 1.0, "1.00"),
            ("loop.derivative_gain", 1.0, "0.000"),
        ],
    }]);
}
