//! What a practitioner does about each check: settings, parts and sizes, the handiest first.

use super::act::{Act, Means, Rung, outward};
use super::classes::{
    BACKLASHES, CLASSES, CURRENTS, GAUGES, PEAK_OVER_CONTINUOUS, RATED_VOLTAGES, RATIOS,
    REDUCTIONS, TEETH, VOLTAGES,
};
use super::motor as gear_motor;
use super::tuning;
use crate::evaluation::check::CheckResult;
use crate::evaluation::{Eval, Status};
use crate::register::position_loop as control;
use crate::register::{
    Kind, Physical, axis, bridge, drive, encoder, gears, heat, motor, movement, regulator, steps,
    supply, wiring,
};
use crate::text::measure::Measure;
use crate::text::number;
use pulsewright_calc::preferred::{Series, at_most};
use pulsewright_calc::units::ElectricCurrent;

/// What can be done about a check, the handiest first; another job is not among it.
pub(super) fn acts(c: &Eval<'_>, held: &CheckResult) -> Vec<Act> {
    let id = held.check.id.trim_start_matches("check.");
    // A motor that cannot move the load has no speed with it: more torque is what it lacks.
    let stuck = matches!(id, "speed" | "voltage") && lacks_torque(c);
    let mut book = Book {
        c,
        held,
        id: if stuck { "torque" } else { id },
        acts: Vec::new(),
    };
    book.fill();
    book.acts.retain(|act| !act.rungs.is_empty());
    book.acts.sort_by_key(|act| act.means);
    book.acts
}

/// Whether the motor lacks the torque for the move.
fn lacks_torque(c: &Eval<'_>) -> bool {
    let torque = c.model().checks().find(|k| k.id == "check.torque");
    let margin = torque.and_then(|k| (k.margin)(c).ok().flatten());
    margin.is_some_and(|margin| margin.status() == Status::Fails)
}

struct Book<'c, 'd> {
    c: &'c Eval<'d>,
    held: &'c CheckResult,
    id: &'static str,
    acts: Vec<Act>,
}

use Means::{Driver, Gearbox, Setting, SmallPart, WireOrSupply};

impl Book<'_, '_> {
    fn is(&self, ids: &[&str]) -> bool {
        // What is off without another homing is off with it.
        ids.contains(&self.id) || self.id == "homing" && ids.contains(&"position")
    }

    fn put(
        &mut self,
        means: Means,
        input: usize,
        say: &'static str,
        rungs: Vec<Rung>,
        ordered: bool,
    ) {
        self.acts.push(Act {
            input,
            means,
            say,
            rungs,
            ordered,
        });
    }

    fn one(index: usize, text: String) -> Rung {
        Rung {
            entries: vec![(index, text)],
            gearbox: None,
            words: None,
        }
    }

    /// Sizes in SI beyond the present one, in a unit of this size; upwards or downwards.
    fn sizes(
        &mut self,
        means: Means,
        index: usize,
        (unit, size): (&str, f64),
        sizes: &[f64],
        up: bool,
        say: &'static str,
    ) {
        let present = self.c.raw(index).ok();
        let better = |value: f64| {
            present.is_none_or(|now| {
                if up {
                    value > now * 1.001
                } else {
                    value < now * 0.999
                }
            })
        };
        let mut of: Vec<f64> = sizes.iter().copied().filter(|v| better(v * size)).collect();
        of.sort_by(f64::total_cmp);
        if !up {
            of.reverse();
        }
        let rungs = of
            .into_iter()
            .map(|v| Self::one(index, [&number::text(v, 6), unit].concat()))
            .collect();
        self.put(means, index, say, rungs, true);
    }

    /// Words of a choice that do not stand there, in this order.
    fn words(&mut self, means: Means, index: usize, list: &[(&'static str, &str)]) {
        let now = self.c.raw(index).ok();
        let crate::register::Form::Choice(known) = crate::register::inputs()[index].form else {
            return;
        };
        let rungs = list
            .iter()
            .filter(|(word, _)| {
                let at = known.iter().position(|known| known == word);
                at.map(|at| at as f64) != now
            })
            .map(|(word, said)| Rung {
                entries: vec![(index, (*word).into())],
                gearbox: None,
                words: Some((*said).into()),
            })
            .collect();
        self.put(means, index, "", rungs, false);
    }

    fn number(&self, index: usize) -> Option<f64> {
        self.c.raw(index).ok()
    }

    fn fill(&mut self) {
        self.settings();
        self.signals();
        self.heat();
        self.power();
        self.exactness();
        self.drive();
    }

    fn settings(&mut self) {
        if self.is(&[
            "stall",
            "bridge_current",
            "gear_peak",
            "brown_out",
            "supply_current",
            "connector",
            "trace",
            "bridge_temperature",
            "stall_time",
        ]) {
            self.current_limit();
            self.voltage_limit(&[0.9, 0.8, 0.7, 0.6, 0.5]);
        }
        if self.is(&["torque", "warm", "speed", "voltage"]) {
            self.limits_raised();
        }
        if self.is(&["voltage_rating"]) {
            self.voltage_for_rating();
        }
        if self.is(&[
            "hold",
            "holding_current",
            "winding_temperature",
            "warm",
            "bridge_temperature",
            "bracket",
        ]) {
            let rest = [
                (
                    "friction_helps",
                    "Relax the holding current once the load stands",
                ),
                (
                    "no_friction",
                    "Hold with the current that balances the load",
                ),
                (
                    "friction_against",
                    "Hold on with the current at which it stopped",
                ),
            ];
            let off = ("off", "Switch the motor off at the target");
            let index = movement::DWELL_CURRENT.index();
            if self.is(&["hold"]) {
                self.words(Setting, index, &rest);
            } else {
                self.words(Setting, index, &[rest[0], rest[1], off]);
            }
        }
        if self.is(&["backlash", "position", "final_error", "homing", "path"]) {
            self.words(
                Setting,
                movement::APPROACH.index(),
                &[
                    ("one_side", "Always approach from the same side"),
                    ("centred", "Centre the backlash before each approach"),
                ],
            );
        }
        if self.is(&["speed", "voltage", "warm"]) {
            self.ramps(&[0.25, 0.2, 0.15, 0.1], false);
        }
        if self.is(&["regenerated_voltage", "torque"]) {
            self.ramps(&[0.4, 0.5], true);
        }
        if self.is(&[
            "speed",
            "voltage",
            "warm",
            "winding_temperature",
            "regenerated_voltage",
        ]) {
            self.words(
                Setting,
                movement::PROFILE.index(),
                &[
                    ("trapezoid", "Move with straight ramps (trapezoid)"),
                    ("smooth", "Move with rounded ramps (smooth)"),
                ],
            );
        }
        if self.is(&["bridge_current"]) {
            self.words(
                Setting,
                movement::REVERSES_AT_SPEED.index(),
                &[(
                    "no",
                    "Never command full speed the other way without a ramp",
                )],
            );
        }
        if self.is(&["bridge_temperature"]) {
            self.sizes(
                Setting,
                bridge::PWM_FREQUENCY.index(),
                ("kHz", 1e3),
                &[20.0],
                false,
                "Set PWM frequency to {}",
            );
        }
        if self.is(&["stall_time"]) {
            let timeout = self
                .number(heat::STALL_TIME.index())
                .map(|time| 0.75 * time);
            let rungs = timeout
                .map(|time| {
                    Self::one(
                        control::STALL_TIMEOUT.index(),
                        [&outward(time, false, 2), "s"].concat(),
                    )
                })
                .into_iter()
                .collect();
            self.put(
                Setting,
                control::STALL_TIMEOUT.index(),
                "Set the stall timeout to {}",
                rungs,
                true,
            );
        }
        if self.is(&["supply_current", "brown_out", "speed", "torque", "voltage"]) {
            let now = self.number(supply::MOVING_TOGETHER.index()).unwrap_or(1.0);
            let fewer: Vec<f64> = [1.0, 2.0, 3.0, 4.0]
                .into_iter()
                .filter(|n| *n < now)
                .collect();
            self.sizes(
                Setting,
                supply::MOVING_TOGETHER.index(),
                ("", 1.0),
                &fewer,
                false,
                "Move no more than {} of the actuators at a time",
            );
        }
        if self.is(&["brown_out"])
            && let Some(logic) = self.number(regulator::OUTPUT_VOLTAGE.index())
        {
            let levels: Vec<f64> = [4.5, 4.3, 4.0, 3.9, 3.0, 2.9, 2.7, 2.5, 1.8]
                .into_iter()
                .filter(|level| *level < 0.95 * logic && *level >= 0.72 * logic)
                .collect();
            self.sizes(
                Setting,
                regulator::RESET_VOLTAGE.index(),
                ("V", 1.0),
                &levels,
                false,
                "Set the processor's reset level to {}, if it runs that low",
            );
        }
    }

    /// As much as cures, as little as the move still passes with.
    fn current_limit(&mut self) {
        let index = control::CURRENT_LIMIT.index();
        let flows = self
            .number(drive::UNLIMITED_CURRENT.index())
            .or(self.number(drive::BLOCKED_CURRENT.index()));
        let Some(flows) = flows else { return };
        let least = self
            .number(movement::PEAK_CURRENT.index())
            .unwrap_or(0.1 * flows);
        let mut rungs = Vec::new();
        let mut at = 0.999 * flows;
        while let Some(next) = at_most(ElectricCurrent::from_raw(at), Series::E24) {
            if next.value < 1.02 * least || rungs.len() > 30 {
                break;
            }
            rungs.push(Self::one(
                index,
                [&number::text(next.value, 3), "A"].concat(),
            ));
            at = 0.999 * next.value;
        }
        self.put(
            Setting,
            index,
            "Limit the loop's current to {}",
            rungs,
            true,
        );
    }

    fn voltage_limit(&mut self, shares: &[f64]) {
        self.sizes(
            Setting,
            control::VOLTAGE_LIMIT.index(),
            ("", 1.0),
            shares,
            false,
            "Limit the duty to {}",
        );
    }

    fn voltage_for_rating(&mut self) {
        let (rated, highest) = (
            self.number(motor::RATED_VOLTAGE.index()),
            self.number(drive::HIGHEST_VOLTAGE.index()),
        );
        let (Some(rated), Some(highest)) = (rated, highest) else {
            return;
        };
        let shares: Vec<f64> = [rated / highest]
            .into_iter()
            .filter_map(|share| outward(share, false, 2).parse().ok())
            .collect();
        self.voltage_limit(&shares);
        let sold: Vec<f64> = VOLTAGES
            .into_iter()
            .filter(|volts| (0.95 * rated..=1.25 * rated).contains(volts))
            .collect();
        self.supply_of(&sold, false);
    }

    /// Limits that somebody set below what the move needs, raised or taken away.
    fn limits_raised(&mut self) {
        for (index, unit, say) in [
            (
                control::CURRENT_LIMIT.index(),
                "A",
                "Raise the loop's current limit to {}",
            ),
            (
                control::VOLTAGE_LIMIT.index(),
                "",
                "Raise the duty limit to {}",
            ),
        ] {
            if self.c.design().entry(index).is_none() {
                continue;
            }
            let present = self.number(index).unwrap_or(1.0);
            let texts: Vec<f64> = [1.25, 1.5, 2.0, 3.0, 4.0]
                .into_iter()
                .filter_map(|times| outward(times * present, true, 2).parse().ok())
                .filter(|value: &f64| !unit.is_empty() || *value <= 1.0)
                .chain(unit.is_empty().then_some(1.0))
                .collect();
            self.sizes(Setting, index, (unit, 1.0), &texts, true, say);
        }
    }

    fn ramps(&mut self, shares: &[f64], up: bool) {
        self.sizes(
            Setting,
            movement::RAMP_FRACTION.index(),
            ("", 1.0),
            shares,
            up,
            "Set the ramps to {} of the move's time",
        );
    }

    fn signals(&mut self) {
        if self.is(&["direction", "edges", "edge_gap"]) {
            self.spacing();
        }
        if self.is(&["edges", "edge_gap"]) {
            self.sizes(
                SmallPart,
                encoder::PLACEMENT_ERROR.index(),
                ("mm", 1e-3),
                &[0.1, 0.05],
                false,
                "Place the sensors within {} of their angle: soldered by machine, or against a jig",
            );
            self.sizes(
                SmallPart,
                encoder::DUTY_ERROR.index(),
                ("deg", core::f64::consts::PI / 180.0),
                &[12.0, 6.0],
                false,
                "Choose a magnet ring with a duty error of {} or less",
            );
        }
        if self.is(&["edge_gap", "processor_load"]) {
            let timer = "Let a timer of the processor count the edges";
            self.timer(encoder::EDGE_SERVICE_TIME.index(), timer);
            self.sizes(
                Setting,
                encoder::COUNTS_PER_POLE_PAIR.index(),
                ("", 1.0),
                &[1.0, 2.0],
                false,
                "Count {} edges per pole pair",
            );
        }
        if self.is(&["processor_load", "step_rate"]) {
            let timer = "Let a timer of the processor count the step pulses";
            self.timer(steps::SERVICE_TIME.index(), timer);
        }
        if self.is(&["step_rate", "processor_load"]) {
            self.steps_per_turn(false);
        }
        if self.is(&["step_rate"]) {
            self.sizes(
                Setting,
                steps::SENT_PULSE_WIDTH.index(),
                ("us", 1e-6),
                &[10.0, 5.0, 3.0, 2.0],
                false,
                "Send step pulses of {}",
            );
            self.sizes(
                SmallPart,
                steps::CONTROLLER_RATE_LIMIT.index(),
                ("kHz", 1e3),
                &[50.0, 100.0, 200.0, 500.0],
                true,
                "Choose a step/dir controller that sends {}",
            );
        }
        if self.is(&["pulse_width"])
            && let Some(needed) = self.number(steps::PULSE_HIGH.index())
        {
            self.at_least(
                steps::SENT_PULSE_WIDTH.index(),
                1.25 * needed,
                "Send step pulses of {}",
            );
        }
        if self.is(&["direction_setup"])
            && let Some(needed) = self.number(steps::DIRECTION_SETUP.index())
        {
            self.at_least(
                steps::SENT_DIRECTION_SETUP.index(),
                1.25 * needed,
                "Send the direction {} before a step",
            );
        }
        if self.is(&["field"]) {
            self.sizes(
                SmallPart,
                encoder::PEAK_FIELD.index(),
                ("mT", 1e-3),
                &[20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0],
                true,
                "Bring the magnet nearer to the sensor, or take a stronger one: {} at the sensor",
            );
            self.sizes(
                SmallPart,
                encoder::OPERATE_POINT.index(),
                ("mT", 1e-3),
                &[18.0, 9.0, 5.0, 3.4],
                false,
                "Choose sensors with an operate point of {} or less",
            );
        }
        if self.is(&["logic_level"]) {
            self.levels();
        }
    }

    fn timer(&mut self, index: usize, words: &str) {
        if self.number(index).is_some_and(|time| time > 0.0) {
            let mut rung = Self::one(index, "0s".into());
            rung.words = Some(words.into());
            self.put(Setting, index, "", vec![rung], true);
        }
    }

    /// A time of at least so much, in microseconds to two digits.
    fn at_least(&mut self, index: usize, seconds: f64, say: &'static str) {
        let text = [&outward(1e6 * seconds, true, 2), "us"].concat();
        self.put(Setting, index, say, vec![Self::one(index, text)], true);
    }

    /// The second sensor where its edges lie midway between those of the first.
    fn spacing(&mut self) {
        let Some(pairs) = self.number(encoder::POLE_PAIRS.index()) else {
            return;
        };
        let present = self
            .number(encoder::SENSOR_SPACING.index())
            .unwrap_or(0.0)
            .to_degrees();
        let mut good: Vec<f64> = (0..(2.0 * pairs) as u32)
            .map(|k| 90.0 * f64::from(2 * k + 1) / pairs)
            .collect();
        good.sort_by(|a, b| (a - present).abs().total_cmp(&(b - present).abs()));
        let single = self
            .number(encoder::SENSORS.index())
            .is_some_and(|n| n < 2.0);
        let say = if single {
            "Fit a second sensor at "
        } else {
            "Place the second sensor at "
        };
        let rungs = good
            .iter()
            .take(2)
            .map(|degrees| {
                let angle = number::text(*degrees, 5);
                let mut entries = vec![(encoder::SENSOR_SPACING.index(), [&angle, "deg"].concat())];
                if single {
                    entries.insert(0, (encoder::SENSORS.index(), "2".into()));
                    entries.push((encoder::COUNTS_PER_POLE_PAIR.index(), String::new()));
                }
                Rung {
                    entries,
                    gearbox: None,
                    words: Some([say, &self.c.notation.mark(angle), "°"].concat()),
                }
            })
            .collect();
        let input = if single {
            encoder::SENSORS.index()
        } else {
            encoder::SENSOR_SPACING.index()
        };
        self.put(SmallPart, input, "", rungs, false);
    }

    /// Steps for each turn of the output: finer ones than the counts bring nothing, coarser ones than half of them
    /// cost exactness.
    fn steps_per_turn(&mut self, finer: bool) {
        let Some(counts) = self.number(encoder::COUNTS_PER_OUTPUT_TURN.index()) else {
            return;
        };
        let present = self.number(steps::STEPS_PER_TURN.index()).unwrap_or(counts);
        let rounds: Vec<f64> = (0..7)
            .flat_map(|decade| {
                [1.0, 2.0, 4.0, 5.0, 8.0].map(|n| n * libm::pow(10.0, f64::from(decade)))
            })
            .chain([libm::round(counts)])
            .filter(|n| (0.5 * counts..=2.0 * counts).contains(n))
            .filter(|n| if finer { *n > present } else { *n < present })
            .collect();
        self.sizes(
            Setting,
            steps::WANTED_PER_TURN.index(),
            ("", 1.0),
            &rounds,
            finer,
            "Set the gearing to {} steps for a turn of the output",
        );
    }

    fn levels(&mut self) {
        let index = wiring::PULSE_INTERFACE.index();
        let divider = (
            self.number(wiring::FIT_DIVIDER_UPPER.index()),
            self.number(wiring::FIT_DIVIDER_LOWER.index()),
        );
        let mut rungs = Vec::new();
        if let (Some(upper), Some(lower)) = divider {
            let said = |ohm: f64| self.c.notation.said(Measure::Resistance, ohm, 3);
            rungs.push(Rung {
                entries: vec![
                    (index, "divider".into()),
                    (
                        wiring::DIVIDER_UPPER.index(),
                        [&number::text(upper, 4), "Ohm"].concat(),
                    ),
                    (
                        wiring::DIVIDER_LOWER.index(),
                        [&number::text(lower, 4), "Ohm"].concat(),
                    ),
                ],
                gearbox: None,
                words: Some(
                    [
                        "Fit a divider in each pulse line: ",
                        &said(upper),
                        " from the source, ",
                        &said(lower),
                        " to ground",
                    ]
                    .concat(),
                ),
            });
        }
        for (word, said) in [
            ("shifter", "Fit a level shifter in the pulse lines"),
            ("isolator", "Fit an isolator in the pulse lines"),
        ] {
            let mut rung = Self::one(index, word.into());
            rung.entries
                .push((wiring::DIVIDER_UPPER.index(), String::new()));
            rung.entries
                .push((wiring::DIVIDER_LOWER.index(), String::new()));
            rung.words = Some(said.into());
            rungs.push(rung);
        }
        self.put(SmallPart, index, "", rungs, false);
        self.sizes(
            SmallPart,
            wiring::LOGIC_HIGH.index(),
            ("V", 1.0),
            &[3.3, 5.0],
            true,
            "Choose a step/dir controller, or an output of it, with pulses of {}",
        );
        self.words(
            SmallPart,
            wiring::GROUND_AT.index(),
            &[(
                "board",
                "Join the ground of the pulses at the board, not at the supply",
            )],
        );
    }

    fn heat(&mut self) {
        if self.is(&["holding_current", "winding_temperature", "warm", "bracket"]) {
            // Bolted to metal a motor sheds about twice as much; it is assumed in free air.
            let class = self.c.class().unwrap_or(0);
            let free = [45.0, 24.0, 18.0, 14.0][class];
            self.sizes(
                SmallPart,
                motor::HOUSING_TO_AMBIENT.index(),
                ("K/W", 1.0),
                &[libm::round(0.5 * free)],
                false,
                "Bolt the motor to metal: {} from its housing to the air",
            );
        }
        if self.is(&["bracket"]) {
            let present = self.number(motor::BRACKET_LIMIT.index()).unwrap_or(0.0) - 273.15;
            let rungs = [75.0, 95.0, 150.0]
                .into_iter()
                .filter(|limit| *limit > present)
                .map(|limit| {
                    Self::one(
                        motor::BRACKET_LIMIT.index(),
                        [&number::text(limit, 3), "degC"].concat(),
                    )
                })
                .collect();
            self.put(
                SmallPart,
                motor::BRACKET_LIMIT.index(),
                "Make the bracket of a material that stands {}",
                rungs,
                true,
            );
        }
        if self.is(&["bridge_temperature"]) {
            self.sizes(
                SmallPart,
                bridge::JUNCTION_TO_AMBIENT.index(),
                ("K/W", 1.0),
                &[60.0, 45.0, 35.0, 25.0],
                false,
                "Give the driver more copper, or a heat sink: {} to the air",
            );
            let index = bridge::HIGH_SIDE.index();
            if let Some(present) = self.number(index) {
                let low = self.number(bridge::LOW_SIDE.index()).unwrap_or(present);
                let rungs = [0.5, 0.25, 0.12]
                    .into_iter()
                    .map(|share| {
                        let each = outward(1e3 * share * 0.5 * (present + low), false, 2);
                        let text = [&each, "mOhm"].concat();
                        Rung {
                            entries: vec![(index, text.clone()), (bridge::LOW_SIDE.index(), text)],
                            gearbox: None,
                            words: None,
                        }
                    })
                    .collect();
                self.put(
                    Driver,
                    index,
                    "Choose a motor driver with {} or less in each path",
                    rungs,
                    true,
                );
            }
        }
        if self.is(&["regulator_temperature"]) {
            self.words(
                SmallPart,
                regulator::KIND.index(),
                &[("buck", "Fit a buck (switching) regulator")],
            );
            self.sizes(
                SmallPart,
                regulator::JUNCTION_TO_AMBIENT.index(),
                ("K/W", 1.0),
                &[120.0, 90.0, 60.0, 40.0],
                false,
                "Choose a regulator in a larger package, on more copper: {} to the air",
            );
        }
        if self.is(&["trace"]) {
            let widths = [0.5, 0.8, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
            self.sizes(
                SmallPart,
                wiring::TRACE_WIDTH.index(),
                ("mm", 1e-3),
                &widths,
                true,
                "Draw the trace {} wide",
            );
            self.sizes(
                SmallPart,
                wiring::TRACE_THICKNESS.index(),
                ("um", 1e-6),
                &[70.0],
                true,
                "Order the board with {} of copper",
            );
        }
        if self.is(&["stall"]) {
            self.sizes(
                SmallPart,
                wiring::TRACE_WIDTH.index(),
                ("mm", 1e-3),
                &[1.5, 2.0, 2.5, 3.0, 4.0, 5.0],
                true,
                "Draw the trace {} wide",
            );
        }
        if self.is(&["connector", "stall"]) {
            self.sizes(
                SmallPart,
                wiring::PIN_CURRENT.index(),
                ("A", 1.0),
                &CURRENTS[..7],
                true,
                "Use connector pins for {}, or several in parallel",
            );
        }
    }

    fn power(&mut self) {
        if self.is(&["regenerated_voltage"]) {
            let sizes: Vec<f64> = (2..4)
                .flat_map(|decade| {
                    Series::E6.tenths().iter().map(move |tenth| {
                        f64::from(*tenth) / 10.0 * libm::pow(10.0, f64::from(decade))
                    })
                })
                .chain([10_000.0])
                .collect();
            self.sizes(
                SmallPart,
                supply::BULK_CAPACITANCE.index(),
                ("uF", 1e-6),
                &sizes,
                true,
                "Fit {} of bulk capacitance on the motor supply",
            );
            self.words(
                WireOrSupply,
                supply::SINKS_CURRENT.index(),
                &[(
                    "yes",
                    "Choose a supply that takes current back, such as a battery",
                )],
            );
            self.sizes(
                SmallPart,
                supply::MAX_VOLTAGE.index(),
                ("V", 1.0),
                &RATED_VOLTAGES,
                true,
                "Choose driver, regulator and capacitors that survive {}",
            );
        }
        if self.is(&["brown_out"]) {
            self.sizes(
                SmallPart,
                regulator::DROPOUT.index(),
                ("V", 1.0),
                &[0.3, 0.2],
                false,
                "Choose a low-dropout regulator: {} or less",
            );
            self.sizes(
                SmallPart,
                regulator::OUTPUT_VOLTAGE.index(),
                ("V", 1.0),
                &[3.3],
                false,
                "Run the logic from {}",
            );
            let present = self
                .number(supply::SOURCE_RESISTANCE.index())
                .unwrap_or(0.0);
            let lower: Vec<f64> = [0.8, 0.6, 0.5, 0.4, 0.3, 0.2]
                .into_iter()
                .filter_map(|share| outward(share * present, false, 2).parse().ok())
                .filter(|ohm: &f64| *ohm >= 0.02)
                .collect();
            self.sizes(
                WireOrSupply,
                supply::SOURCE_RESISTANCE.index(),
                ("Ohm", 1.0),
                &lower,
                false,
                "Choose a supply, or cells, of {} or less",
            );
        }
        if self.is(&["brown_out", "voltage", "speed"]) {
            self.wire();
        }
        if self.is(&["torque", "speed", "voltage", "warm", "brown_out"]) {
            // No more than a quarter beyond what the motor is rated for.
            let rated = self.number(motor::RATED_VOLTAGE.index()).unwrap_or(0.0);
            let limit = self.number(control::VOLTAGE_LIMIT.index()).unwrap_or(1.0);
            let sold: Vec<f64> = VOLTAGES
                .into_iter()
                .filter(|v| v * limit <= 1.25 * rated)
                .collect();
            self.supply_of(&sold, true);
        }
        if self.is(&["supply_current", "stall"]) {
            self.sizes(
                WireOrSupply,
                supply::CURRENT_LIMIT.index(),
                ("A", 1.0),
                &CURRENTS,
                true,
                "Choose a supply for {} or more",
            );
        }
        if self.is(&["stall", "bridge_current"]) {
            self.sizes(
                Driver,
                bridge::CURRENT_LIMIT.index(),
                ("A", 1.0),
                &CURRENTS,
                true,
                "Choose a motor driver for {} or more",
            );
            self.parts_for_stall();
            self.words(
                Driver,
                bridge::LIMIT_KIND.index(),
                &[(
                    "limits",
                    "Choose a motor driver that limits the current itself",
                )],
            );
        }
    }

    /// Driver, pins and supply, as far as each of them lacks it, for one current.
    fn parts_for_stall(&mut self) {
        let parts = [
            (bridge::CURRENT_LIMIT.index(), "the motor driver"),
            (wiring::PIN_CURRENT.index(), "connector pins"),
            (supply::CURRENT_LIMIT.index(), "a supply"),
        ];
        let mut rungs = Vec::new();
        for size in CURRENTS {
            let (mut entries, mut names) = (Vec::new(), Vec::new());
            for (index, name) in parts {
                if self.number(index).is_some_and(|now| now < 0.999 * size) {
                    entries.push((index, [&number::text(size, 3), "A"].concat()));
                    names.push(name);
                }
            }
            if entries.len() > 1 {
                let amperes = self.c.notation.said(Measure::Current, size, 3);
                rungs.push(Rung {
                    entries,
                    gearbox: None,
                    words: Some(
                        ["Choose ", &names.join(", "), " for ", &amperes, " or more"].concat(),
                    ),
                });
            }
        }
        self.put(Driver, supply::CURRENT_LIMIT.index(), "", rungs, true);
    }

    /// Thicker wire, where it is a good part of what the supply's current meets.
    fn wire(&mut self) {
        let part = self
            .number(wiring::SUPPLY_RESISTANCE.index())
            .unwrap_or(0.0);
        let whole = self.number(drive::SUPPLY_PATH.index()).unwrap_or(0.0);
        if part < 0.4 * whole {
            return;
        }
        if self.c.design().entry(wiring::AREA.index()).is_some() {
            self.sizes(
                WireOrSupply,
                wiring::AREA.index(),
                ("mm2", 1e-6),
                &[0.14, 0.25, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0],
                true,
                "Use wire of {} or more",
            );
        } else {
            self.sizes(
                WireOrSupply,
                wiring::GAUGE.index(),
                ("", 1.0),
                &GAUGES,
                false,
                "Use {} AWG wire or thicker",
            );
        }
    }

    /// A supply of another voltage; a battery keeps the share by which it falls.
    fn supply_of(&mut self, sold: &[f64], up: bool) {
        let index = supply::VOLTAGE.index();
        let Some(present) = self.number(index) else {
            return;
        };
        let mut volts: Vec<f64> = sold
            .iter()
            .copied()
            .filter(|v| {
                if up {
                    *v > 1.001 * present
                } else {
                    *v < 0.999 * present
                }
            })
            .collect();
        if !up {
            volts.reverse();
        }
        let rungs = volts
            .into_iter()
            .map(|v| {
                let mut entries = vec![(index, [&number::text(v, 4), "V"].concat())];
                for end in [
                    supply::LOWEST_VOLTAGE.index(),
                    supply::HIGHEST_VOLTAGE.index(),
                ] {
                    if let (true, Some(now)) =
                        (self.c.design().entry(end).is_some(), self.number(end))
                    {
                        let text = [&number::text(now * v / present, 3), "V"].concat();
                        entries.push((end, text));
                    }
                }
                Rung {
                    entries,
                    gearbox: None,
                    words: None,
                }
            })
            .collect();
        self.put(WireOrSupply, index, "Choose a supply of {}", rungs, true);
    }

    fn exactness(&mut self) {
        if self.is(&["rounding", "position"]) {
            let now = self.number(steps::DECIMALS.index()).unwrap_or(3.0);
            let more: Vec<f64> = (1..=3)
                .map(|n| now + f64::from(n))
                .filter(|n| *n <= 6.0)
                .collect();
            self.sizes(
                Setting,
                steps::DECIMALS.index(),
                ("", 1.0),
                &more,
                true,
                "Enter steps per unit with {} decimal places in the step/dir controller",
            );
        }
        if self.is(&["resolution", "position"]) {
            self.steps_per_turn(true);
            self.sizes(
                Setting,
                encoder::COUNTS_PER_POLE_PAIR.index(),
                ("", 1.0),
                &[2.0, 4.0],
                true,
                "Count {} edges per pole pair",
            );
            self.pole_pairs();
        }
        if self.is(&["position"]) {
            self.sizes(
                Setting,
                control::DEADBAND.index(),
                ("", 1.0),
                &[0.0, 1.0, 2.0],
                false,
                "Set the deadband to {} counts",
            );
            if self.c.left_out(control::INTEGRAL_TIME.index()) {
                let rung = Self::one(control::INTEGRAL_TIME.index(), "0.2s".into());
                self.put(
                    Setting,
                    control::INTEGRAL_TIME.index(),
                    "Give the loop an integral part of {}",
                    vec![rung],
                    true,
                );
            }
        }
        if self.is(&["homing"]) {
            self.home();
        }
        if self.is(&["phase_margin", "final_error", "path"]) {
            self.loop_settings();
        }
        if self.is(&["backlash", "position", "final_error"]) {
            let rungs = BACKLASHES
                .into_iter()
                .filter(|b| {
                    self.number(gears::BACKLASH.index())
                        .is_none_or(|now| *b < 0.99 * now.to_degrees())
                })
                .map(|b| {
                    Self::one(
                        gears::BACKLASH.index(),
                        [&number::text(b, 3), "deg"].concat(),
                    )
                })
                .collect();
            self.put(
                Gearbox,
                gears::BACKLASH.index(),
                "Choose a gearbox with backlash of {} or less",
                rungs,
                true,
            );
        }
    }

    /// A magnet ring with more poles, the second sensor where it then belongs.
    fn pole_pairs(&mut self) {
        let Some(present) = self.number(encoder::POLE_PAIRS.index()) else {
            return;
        };
        let two = self
            .number(encoder::SENSORS.index())
            .is_some_and(|n| n >= 2.0);
        let rungs = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 11.0]
            .into_iter()
            .filter(|pairs| *pairs > present)
            .map(|pairs| {
                let mut entries = vec![(encoder::POLE_PAIRS.index(), number::text(pairs, 3))];
                let mut words = [
                    "Choose a magnet ring with ",
                    &number::text(pairs, 3),
                    " pole pairs",
                ]
                .concat();
                if two {
                    let angle = number::text(90.0 / pairs, 4);
                    words = [
                        &words,
                        ", the second sensor at ",
                        &self.c.notation.mark(angle.clone()),
                        "°",
                    ]
                    .concat();
                    entries.push((encoder::SENSOR_SPACING.index(), [&angle, "deg"].concat()));
                }
                Rung {
                    entries,
                    gearbox: None,
                    words: Some(words),
                }
            })
            .collect();
        self.put(SmallPart, encoder::POLE_PAIRS.index(), "", rungs, true);
    }

    /// A home that is found again within a count: an index mark on the motor's shaft.
    fn home(&mut self) {
        let none = self.number(axis::HOME.index()) == Some(0.0);
        if none {
            self.words(
                SmallPart,
                axis::HOME.index(),
                &[
                    ("switch", "Fit a switch that finds home"),
                    ("index", "Fit an index mark that finds home"),
                ],
            );
            return;
        }
        let Some(count) = self.number(encoder::ARC_PER_COUNT.index()).or_else(|| {
            let turn = self.number(encoder::ANGLE_PER_COUNT.index())?;
            Some(turn * self.number(crate::register::verdict::TRAVEL_PER_ANGLE.index())?)
        }) else {
            return;
        };
        let linear = self.c.get(axis::KIND).is_ok_and(Kind::is_linear);
        let text = |times: f64| {
            if linear {
                Some([&outward(1e6 * times * count, true, 2), "um"].concat())
            } else {
                let angle = self.number(encoder::ANGLE_PER_COUNT.index())?;
                let stage = self.number(axis::LAST_STAGE.index()).unwrap_or(1.0);
                Some(
                    [
                        &outward((times * angle / stage).to_degrees(), true, 2),
                        "deg",
                    ]
                    .concat(),
                )
            }
        };
        let rungs = [2.0, 1.0]
            .into_iter()
            .filter_map(text)
            .map(|text| Rung {
                entries: vec![
                    (axis::HOME.index(), "index".into()),
                    (axis::HOME_REPEATABILITY.index(), text.clone()),
                ],
                gearbox: None,
                words: Some(
                    [
                        "Find home by an index mark on the motor shaft or screw, within ",
                        &crate::text::unit::spaced_quantity(&text, &crate::text::unit::pretty),
                    ]
                    .concat(),
                ),
            })
            .collect();
        self.put(SmallPart, axis::HOME.index(), "", rungs, true);
    }

    fn loop_settings(&mut self) {
        let rungs = if self.is(&["phase_margin"]) {
            tuning::calmer(self.c)
        } else {
            tuning::nearer(self.c)
        };
        self.put(Setting, control::BANDWIDTH.index(), "", rungs, false);
        if self.is(&["phase_margin"]) {
            self.sizes(
                Setting,
                control::SAMPLE_TIME.index(),
                ("ms", 1e-3),
                &[5.0, 2.0, 1.0, 0.5, 0.2],
                false,
                "Sample the loop every {}",
            );
        }
    }

    fn drive(&mut self) {
        if self.is(&[
            "torque",
            "holding_current",
            "winding_temperature",
            "warm",
            "gear_continuous",
        ]) {
            self.spring();
        }
        let slower = self.is(&[
            "torque",
            "holding_current",
            "winding_temperature",
            "warm",
            "resolution",
            "position",
        ]);
        let faster = self.is(&[
            "speed",
            "voltage",
            "edge_gap",
            "processor_load",
            "step_rate",
            "edges",
        ]);
        if slower {
            self.ratio(true);
        }
        if faster {
            self.ratio(false);
        }
        let teeth = [
            (
                axis::PULLEY_TEETH.index(),
                "Use a drive pulley of {} teeth",
                Kind::Belt,
            ),
            (
                axis::PINION_TEETH.index(),
                "Use a pinion of {} teeth",
                Kind::Rack,
            ),
        ];
        for (index, say, kind) in teeth {
            if self.c.get(axis::KIND) != Ok(kind) || self.c.given(axis::RADIUS) {
                continue;
            }
            if slower || self.is(&["gear_continuous", "radial"]) {
                self.sizes(Gearbox, index, ("", 1.0), &TEETH, false, say);
            } else if self.is(&["speed", "voltage"]) {
                self.sizes(Gearbox, index, ("", 1.0), &TEETH, true, say);
            }
        }
        if self.c.get(axis::KIND) == Ok(Kind::Drum)
            && self.is(&[
                "torque",
                "gear_continuous",
                "holding_current",
                "winding_temperature",
                "warm",
                "position",
                "backlash",
            ])
            && let Some(present) = self.number(axis::RADIUS.index())
        {
            let rungs = [0.8, 0.65, 0.5]
                .into_iter()
                .map(|share| {
                    Self::one(
                        axis::RADIUS.index(),
                        [&outward(1e3 * share * present, false, 2), "mm"].concat(),
                    )
                })
                .collect();
            self.put(
                Gearbox,
                axis::RADIUS.index(),
                "Use a drum of {} radius",
                rungs,
                true,
            );
        }
        if self.is(&["gear_continuous", "gear_peak"]) {
            self.stronger_gears();
        }
        if self.is(&["radial"])
            && let Ok(need) = self.held.margin.map(|margin| margin.need)
        {
            let class = &CLASSES[self.c.class().unwrap_or(0)];
            if 1.25 * need <= class.radial {
                let text = [&outward(1.25 * need, true, 2), "N"].concat();
                let rung = Self::one(gears::RADIAL_LIMIT.index(), text);
                self.put(
                    Gearbox,
                    gears::RADIAL_LIMIT.index(),
                    "Choose a gearbox whose shaft takes {} of radial load",
                    vec![rung],
                    true,
                );
            }
        }
        if self.is(&[
            "torque",
            "speed",
            "voltage",
            "warm",
            "voltage_rating",
            "holding_current",
            "winding_temperature",
            "gear_continuous",
            "gear_peak",
            "radial",
        ]) {
            self.acts.extend(gear_motor::act(self.c, self.id));
        }
        if self.is(&[
            "torque",
            "gear_continuous",
            "holding_current",
            "winding_temperature",
            "position",
            "backlash",
            "resolution",
            "warm",
        ]) {
            self.reduction();
        }
    }

    /// What a spring or a counterweight takes off the load: no more than half of it, for then it is no small part.
    fn spring(&mut self) {
        let kind = self.c.get(axis::KIND);
        let lifts = matches!(
            kind,
            Ok(Kind::Arm | Kind::Drum | Kind::Screw | Kind::Rack | Kind::Belt)
        );
        let holds = self.number(axis::HOLDING_AT_AXIS.index()).unwrap_or(0.0);
        let (Some(mass), true) = (self.number(axis::LOAD_MASS.index()), lifts && holds > 0.0)
        else {
            return;
        };
        let present = self.number(axis::EXTERNAL_FORCE.index()).unwrap_or(0.0);
        let weight = mass * pulsewright_calc::units::STANDARD_GRAVITY;
        let rungs = [0.1, 0.2, 0.3, 0.4, 0.5]
            .into_iter()
            .filter_map(|share| {
                let off = outward(share * weight, true, 2);
                let force = present - off.parse::<f64>().ok()?;
                (force >= -weight).then(|| Rung {
                    entries: vec![(
                        axis::EXTERNAL_FORCE.index(),
                        [&number::text(force, 4), "N"].concat(),
                    )],
                    gearbox: None,
                    words: Some(
                        [
                            "Fit a spring or a counterweight that takes ",
                            &self.c.notation.mark(off),
                            " N off the load",
                        ]
                        .concat(),
                    ),
                })
            })
            .collect();
        self.put(SmallPart, axis::EXTERNAL_FORCE.index(), "", rungs, true);
    }

    /// The same motor on another gearbox of the family.
    fn ratio(&mut self, up: bool) {
        let Some(present) = self.number(gears::RATIO_NOW.index()) else {
            return;
        };
        let mut listed: Vec<f64> = RATIOS
            .into_iter()
            .filter(|r| {
                let times = if up { r / present } else { present / r };
                (1.05..=8.0).contains(&times)
            })
            .collect();
        if !up {
            listed.reverse();
        }
        let rungs = listed
            .into_iter()
            .map(|ratio| {
                let text = number::text(ratio, 4);
                Rung {
                    words: Some(["Put the same motor on a gearbox of ", &text, ":1"].concat()),
                    entries: Vec::new(),
                    gearbox: Some(text),
                }
            })
            .collect();
        self.put(Gearbox, gears::RATIO.index(), "", rungs, false);
    }

    fn reduction(&mut self) {
        if self.c.design().entry(axis::REDUCTION.index()).is_some() {
            return;
        }
        let rungs = REDUCTIONS
            .into_iter()
            .map(|ratio| {
                let text = number::text(ratio, 3);
                Rung {
                    entries: vec![
                        (axis::REDUCTION.index(), text.clone()),
                        (axis::REDUCTION_EFFICIENCY.index(), "0.95".into()),
                    ],
                    gearbox: None,
                    words: Some(
                        [
                            "Add a reduction of ",
                            &self.c.notation.mark(text),
                            ":1 behind the gear motor (toothed belt or gears)",
                        ]
                        .concat(),
                    ),
                }
            })
            .collect();
        self.put(Means::Motor, axis::REDUCTION.index(), "", rungs, true);
    }

    /// A gearbox of the same size that takes more, as far as any of that size does.
    fn stronger_gears(&mut self) {
        let Ok(class) = self.c.class() else { return };
        let class = &CLASSES[class];
        let Ok(margin) = self.held.margin else { return };
        let present = self.number(gears::CONTINUOUS_TORQUE.index()).unwrap_or(0.0);
        let need = 1.25 * margin.need;
        let (continuous, peak) = if self.is(&["gear_continuous"]) {
            (need, 2.5 * need)
        } else {
            (present.max(need / PEAK_OVER_CONTINUOUS), need)
        };
        if continuous > class.continuous || margin.status() == Status::Passes {
            return;
        }
        let peak = peak.max(self.number(gears::PEAK_TORQUE.index()).unwrap_or(0.0));
        let text = |torque: f64| [&outward(torque, true, 2), "N.m"].concat();
        let rung = Rung {
            entries: vec![
                (gears::CONTINUOUS_TORQUE.index(), text(continuous)),
                (gears::PEAK_TORQUE.index(), text(peak)),
            ],
            gearbox: None,
            words: None,
        };
        let (input, say) = if self.is(&["gear_continuous"]) {
            (
                gears::CONTINUOUS_TORQUE.index(),
                "Choose a gearbox that takes {} continuously",
            )
        } else {
            (
                gears::PEAK_TORQUE.index(),
                "Choose a gearbox that takes {} at its peak",
            )
        };
        self.put(Gearbox, input, say, vec![rung], true);
    }
}
