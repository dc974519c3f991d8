//! The H-bridge driver.

use pulsewright_calc::bridge as formulas;
use pulsewright_calc::units::{
    ElectricCurrent, ElectricalResistance, Frequency, Power, Ratio, TemperatureCoefficient,
    ThermalResistance, ThermodynamicTemperature, Time,
};

use super::movement::YesNo;
use super::{
    Form, INPUT, Input, Key, Means, Outcome, Preset, RESULT, Station, Sure, drive, encoder, heat,
    motor, movement, position_loop, supply,
};
use crate::check::{Case, Check, Room, Status};
use crate::eval::{Absent, BEYOND, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

choices! {
    /// What the bridge does at its current limit.
    LimitKind { Chops = "chops", Trips = "trips", Rating = "rating", }
}

choices! {
    /// How the current decays while the PWM is off.
    Decay { Slow = "slow", Fast = "fast", }
}

inputs! {
    after super::steps;

    HIGH_SIDE: ElectricalResistance = Input {
        id: "bridge.high_side",
        symbol: "R_high",
        label: "High-side resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("220 mOhm"),
        low: "0.5 mOhm",
        high: "20 Ohm",
        sure: Sure::Within("20 %"),
        layer: 2,
        means: Means::Bought,
        help: "Data sheet at 25 °C and your motor voltage, highest figure",
        ..INPUT
    };
    LOW_SIDE: ElectricalResistance = Input {
        id: "bridge.low_side",
        symbol: "R_low",
        label: "Low-side resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("180 mOhm"),
        low: "0.5 mOhm",
        high: "20 Ohm",
        sure: Sure::Within("20 %"),
        layer: 2,
        means: Means::Bought,
        help: "As above; a sheet with one figure for both: half each",
        ..INPUT
    };
    TEMPERATURE_COEFFICIENT: TemperatureCoefficient = Input {
        id: "bridge.temperature_coefficient",
        symbol: "α_bridge",
        label: "Temperature coefficient of the resistance",
        form: Form::Quantity(Measure::PerKelvin),
        preset: Preset::Fixed("0.005 1/K"),
        low: "0 1/K",
        high: "0.02 1/K",
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "Data sheet curve: (R at 125 °C / R at 25 °C − 1) / 100 K",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "bridge.current_limit",
        symbol: "I_bridge",
        label: "Current limit of the bridge",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("1.5 A"),
        low: "10 mA",
        high: "200 A",
        sure: Sure::Within("10 %"),
        layer: 1,
        means: Means::Bought,
        help: "Data sheet: peak current or lowest over-current trip; the lower one",
        ..INPUT
    };
    LIMIT_KIND: LimitKind = Input {
        id: "bridge.limit_kind",
        symbol: "limit_kind",
        label: "What the limit does",
        form: Form::Choice(LimitKind::WORDS),
        preset: Preset::Fixed("rating"),
        layer: 3,
        means: Means::Bought,
        help: "Data sheet: does it regulate the current, switch off, or only survive it?",
        ..INPUT
    };
    JUNCTION_TO_AMBIENT: ThermalResistance = Input {
        id: "bridge.junction_to_ambient",
        symbol: "R_ja",
        label: "Thermal resistance, junction to ambient",
        form: Form::Quantity(Measure::ThermalResistance),
        preset: Preset::Fixed("80 K/W"),
        low: "5 K/W",
        high: "500 K/W",
        sure: Sure::Within("30 %"),
        layer: 3,
        means: Means::Fitted,
        help: "Data sheet, small-board figure: 2 × 2 mm pad package 60 to 90, SOT-23-6 150 to 200, pad-backed TSSOP 35 to 45",
        ..INPUT
    };
    MAX_JUNCTION: ThermodynamicTemperature = Input {
        id: "bridge.max_junction",
        symbol: "ϑ_jmax",
        label: "Limit of the junction",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("150 degC"),
        low: "85 degC",
        high: "200 degC",
        sure: Sure::Near,
        layer: 3,
        means: Means::Nothing,
        help: "Data sheet, absolute maximum",
        ..INPUT
    };
    PWM_FREQUENCY: Frequency = Input {
        id: "bridge.pwm_frequency",
        symbol: "f_pwm",
        label: "PWM frequency",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::Fixed("20 kHz"),
        low: "100 Hz",
        high: "500 kHz",
        sure: Sure::Within("1 %"),
        layer: 2,
        means: Means::Setting,
        help: "Firmware. Below 20 kHz it can be heard",
        ..INPUT
    };
    RISE_TIME: Time = Input {
        id: "bridge.rise_time",
        symbol: "t_rise",
        label: "Rise time at the motor",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("200 ns"),
        low: "0 s",
        high: "10 us",
        sure: Sure::Within("50 %"),
        layer: 3,
        means: Means::Bought,
        help: "Data sheet or scope at the motor terminal, 10 to 90 %",
        ..INPUT
    };
    FALL_TIME: Time = Input {
        id: "bridge.fall_time",
        symbol: "t_fall",
        label: "Fall time at the motor",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("200 ns"),
        low: "0 s",
        high: "10 us",
        sure: Sure::Within("50 %"),
        layer: 3,
        means: Means::Bought,
        help: "As above",
        ..INPUT
    };
    QUIESCENT_CURRENT: ElectricCurrent = Input {
        id: "bridge.quiescent_current",
        symbol: "I_qb",
        label: "Quiescent current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("1.5 mA"),
        low: "0 A",
        high: "100 mA",
        sure: Sure::Within("50 %"),
        layer: 3,
        means: Means::Bought,
        help: "Data sheet, supply current when awake and idle",
        ..INPUT
    };
    DECAY: Decay = Input {
        id: "bridge.decay",
        symbol: "decay",
        label: "Decay while the PWM is off",
        form: Form::Choice(Decay::WORDS),
        preset: Preset::Fixed("slow"),
        layer: 3,
        means: Means::Setting,
        help: "Firmware's off state: both low sides on = slow; opposite pair or both off = fast",
        ..INPUT
    };
    LOCAL_AMBIENT: ThermodynamicTemperature = Input {
        id: "board.local_ambient",
        symbol: "ϑ_local",
        label: "Air around the boards",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::LeftOut,
        low: "-40 degC",
        high: "150 degC",
        sure: Sure::Within("5 K"),
        layer: 3,
        help: "Thermometer on the bridge's neighbourhood after half an hour, cover on",
        ..INPUT
    };
}

results! {
    after super::steps;

    RESISTANCE: ElectricalResistance = Outcome {
        id: "bridge.resistance",
        symbol: "R_bridge",
        label: "Resistance of both switches",
        measure: Measure::Resistance,
        meaning: "one high and one low side carry the motor current",
        formula: "bridge.high_side + bridge.low_side",
        source: "series connection",
        ..RESULT
    }, resistance;
    RIPPLE_CURRENT: ElectricCurrent = Outcome {
        id: "bridge.ripple_current",
        symbol: "ΔI_pwm",
        label: "Ripple of the motor current",
        measure: Measure::Current,
        meaning: "peak to peak, at its worst",
        formula: "supply.voltage / (4 * motor.inductance * bridge.pwm_frequency)",
        source: "ripple at half duty (Gupta & Singhal, Power Electronics, ch. 5)",
        ..RESULT
    }, ripple_current;
    LOCAL_AMBIENT_NOW: ThermodynamicTemperature = Outcome {
        id: "board.local_ambient",
        symbol: "ϑ_board",
        label: "Temperature around the boards in effect",
        measure: Measure::Temperature,
        meaning: "boards in the motor's housing get as warm as it",
        formula: "heat.housing_temperature",
        source: "given, else the temperature of the housing",
        ..RESULT
    }, local_ambient;
    QUIESCENT_LOSS: Power = Outcome {
        id: "bridge.quiescent_loss",
        symbol: "P_qb",
        label: "Quiescent loss",
        measure: Measure::Power,
        meaning: "while awake",
        formula: "supply.voltage * bridge.quiescent_current",
        source: "definition",
        shown: false,
        ..RESULT
    }, quiescent_loss;
    SWITCHING_LOSS: Power = Outcome {
        id: "bridge.switching_loss",
        symbol: "P_sw",
        label: "Switching loss",
        measure: Measure::Power,
        meaning: "heat of the edges, in the cycle",
        formula: "supply.voltage * move.rms_current * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency / 2",
        source: "straight edges (application note SLVA504A)",
        ..RESULT
    }, switching_loss;
    JUNCTION_TEMPERATURE: ThermodynamicTemperature = Outcome {
        id: "bridge.junction_temperature",
        symbol: "ϑ_j",
        label: "Junction temperature in the cycle",
        measure: Measure::Temperature,
        meaning: "of the driver chip, after hours",
        formula: "25 + (board.local_ambient - 25 + bridge.junction_to_ambient * (move.rms_current ^ 2 * bridge.resistance + bridge.switching_loss + bridge.quiescent_loss)) / (1 - bridge.junction_to_ambient * bridge.temperature_coefficient * move.rms_current ^ 2 * bridge.resistance)",
        source: "heat balance of one thermal resistance [derived]",
        ..RESULT
    }, junction_temperature;
    CONDUCTION_LOSS: Power = Outcome {
        id: "bridge.conduction_loss",
        symbol: "P_on",
        label: "Conduction loss",
        measure: Measure::Power,
        meaning: "heat of the current in the warm switches, in the cycle",
        formula: "move.rms_current ^ 2 * bridge.resistance * (1 + bridge.temperature_coefficient * (bridge.junction_temperature - 25))",
        source: "Joule's law",
        ..RESULT
    }, conduction_loss;
    SWITCHING_LOSS_HOLD: Power = Outcome {
        id: "bridge.switching_loss_hold",
        symbol: "P_swh",
        label: "Switching loss while it holds",
        measure: Measure::Power,
        meaning: "at the most current that holding takes",
        formula: "supply.voltage * abs(hold.current_most) * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency / 2",
        source: "straight edges (application note SLVA504A)",
        shown: false,
        ..RESULT
    }, switching_loss_hold;
    JUNCTION_HOLD: ThermodynamicTemperature = Outcome {
        id: "bridge.junction_temperature_hold",
        symbol: "ϑ_jhold",
        label: "Junction temperature while it holds",
        measure: Measure::Temperature,
        meaning: "at the most current that holding takes",
        formula: "25 + (board.local_ambient - 25 + bridge.junction_to_ambient * (hold.current_most ^ 2 * bridge.resistance + bridge.switching_loss_hold + bridge.quiescent_loss)) / (1 - bridge.junction_to_ambient * bridge.temperature_coefficient * hold.current_most ^ 2 * bridge.resistance)",
        source: "heat balance of one thermal resistance [derived]",
        ..RESULT
    }, junction_hold;
    JUNCTION_STALL: ThermodynamicTemperature = Outcome {
        id: "bridge.junction_temperature_stall",
        symbol: "ϑ_jstall",
        label: "Junction temperature in a jam",
        measure: Measure::Temperature,
        meaning: "if it lasted; at full duty nothing switches",
        formula: "25 + (board.local_ambient - 25 + bridge.junction_to_ambient * (drive.blocked_current ^ 2 * bridge.resistance + bridge.quiescent_loss)) / (1 - bridge.junction_to_ambient * bridge.temperature_coefficient * drive.blocked_current ^ 2 * bridge.resistance)",
        source: "heat balance of one thermal resistance [derived]",
        ..RESULT
    }, junction_stall;
    CURRENT_MARGIN: Ratio = Outcome {
        id: "bridge.current_margin",
        symbol: "k_bridge",
        label: "Current limit over the greatest current asked",
        measure: Measure::Ratio,
        meaning: "a jam is judged apart",
        formula: "bridge.current_limit / max(move.peak_current, abs(hold.current_most))",
        source: "definition",
        ..RESULT
    }, current_margin;
}

fn resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(formulas::resistance(c.get(HIGH_SIDE)?, c.get(LOW_SIDE)?))
}

fn decay(c: &Eval<'_>) -> Result<formulas::Decay, Absent> {
    Ok(match c.get(DECAY)? {
        Decay::Slow => formulas::Decay::Slow,
        Decay::Fast => formulas::Decay::Fast,
    })
}

fn ripple_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let decay = decay(c)?;
    if decay == formulas::Decay::Fast {
        c.working("supply.voltage / (2 * motor.inductance * bridge.pwm_frequency)");
    }
    Ok(formulas::ripple_current(
        c.get(supply::VOLTAGE)?,
        c.get(motor::INDUCTANCE)?,
        c.get(PWM_FREQUENCY)?,
        decay,
    ))
}

fn local_ambient(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    if let Some(given) = c.option(LOCAL_AMBIENT)? {
        c.working("'as given'");
        return Ok(given);
    }
    c.get(heat::HOUSING_TEMPERATURE)
}

fn quiescent_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    Ok(c.get(supply::VOLTAGE)? * c.get(QUIESCENT_CURRENT)?)
}

fn edges(c: &Eval<'_>, current: Key<ElectricCurrent>, fast: &'static str) -> Result<Power, Absent> {
    let decay = decay(c)?;
    if decay == formulas::Decay::Fast {
        c.working(fast);
    }
    let switching = formulas::Switching {
        voltage: c.get(supply::VOLTAGE)?,
        rise_time: c.get(RISE_TIME)?,
        fall_time: c.get(FALL_TIME)?,
        frequency: c.get(PWM_FREQUENCY)?,
        decay,
    };
    Ok(formulas::switching_loss(c.get(current)?, &switching))
}

fn switching_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    edges(
        c,
        movement::RMS_CURRENT,
        "supply.voltage * move.rms_current * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency",
    )
}

fn switching_loss_hold(c: &Eval<'_>) -> Result<Power, Absent> {
    edges(
        c,
        heat::CURRENT_MOST,
        "supply.voltage * abs(hold.current_most) * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency",
    )
}

/// Why a junction temperature is not there.
const OVERHEATS: Absent = Absent::impossible(
    "the bridge's loss grows faster with its temperature than it is carried away",
);

fn junction(
    c: &Eval<'_>,
    current: Key<ElectricCurrent>,
    switching: Power,
) -> Result<ThermodynamicTemperature, Absent> {
    formulas::junction_temperature(&formulas::Junction {
        local_ambient: c.get(LOCAL_AMBIENT_NOW)?,
        junction_to_ambient: c.get(JUNCTION_TO_AMBIENT)?,
        resistance_at_25: c.get(RESISTANCE)?,
        temperature_coefficient: c.get(TEMPERATURE_COEFFICIENT)?,
        current: c.get(current)?,
        other_loss: switching + c.get(QUIESCENT_LOSS)?,
    })
    .map_err(|_| OVERHEATS)
}

fn junction_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    junction(c, movement::RMS_CURRENT, c.get(SWITCHING_LOSS)?)
}

fn conduction_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    let warm = pulsewright_calc::heat::resistance_at(
        c.get(RESISTANCE)?,
        c.get(TEMPERATURE_COEFFICIENT)?,
        pulsewright_calc::units::celsius(25.0),
        c.get(JUNCTION_TEMPERATURE)?,
    );
    Ok(formulas::conduction_loss(
        c.get(movement::RMS_CURRENT)?,
        warm,
    ))
}

fn junction_hold(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    junction(c, heat::CURRENT_MOST, c.get(SWITCHING_LOSS_HOLD)?)
}

fn junction_stall(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    junction(c, drive::BLOCKED_CURRENT, Power::default())
}

fn reversal(c: &Eval<'_>) -> Result<Option<ElectricCurrent>, Absent> {
    Ok(match c.get(movement::REVERSES_AT_SPEED)? {
        YesNo::Yes => Some(c.get(drive::REVERSAL_CURRENT)?),
        YesNo::No => None,
    })
}

fn current_margin(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let reversal = reversal(c)?;
    if reversal.is_some() {
        c.working("bridge.current_limit / max(max(move.peak_current, abs(hold.current_most)), drive.reversal_current)");
    }
    formulas::current_margin(
        c.get(CURRENT_LIMIT)?,
        c.get(movement::PEAK_CURRENT)?,
        c.get(heat::CURRENT_MOST)?,
        reversal,
    )
    .ok_or(Absent::unlimited("no current is asked"))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.bridge_current",
        label: "Current of the bridge",
        under: "the move asks {move.peak_current} and holding {hold.current_most}, the bridge takes {bridge.current_limit}; a jam asks {drive.stall_current}, a reversal at full speed {drive.reversal_current}",
        station: Station::Bridge,
        measure: Measure::Current,
        room: bridge_current_room,
    },
    Check {
        id: "check.bridge_heat",
        label: "Warmth of the bridge",
        under: "the driver chip gets {bridge.junction_temperature} in the cycle and {bridge.junction_temperature_hold} while it holds, it stands {bridge.max_junction}",
        station: Station::Bridge,
        measure: Measure::TemperatureRise,
        room: bridge_heat_room,
    },
];

/// Current that a start or a jam asks before the bridge limits it.
fn inrush(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let stall = c.get(drive::GREATEST_STALL_CURRENT)?;
    Ok(c.option(position_loop::CURRENT_LIMIT)?
        .map_or(stall, |own| own.min(stall)))
}

fn bridge_current_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let mut needs = vec![
        (c.get(movement::PEAK_CURRENT)?, Case::Move),
        (c.get(heat::CURRENT_MOST)?.abs(), Case::Hold),
    ];
    if let Some(reversal) = reversal(c)? {
        needs.push((reversal, Case::Move));
    }
    if c.get(LIMIT_KIND)? == LimitKind::Trips {
        needs.push((inrush(c)?, Case::Blocked));
    }
    let greatest = needs
        .into_iter()
        .reduce(|most, next| if next.0 > most.0 { next } else { most });
    let (need, case) = greatest.ok_or(BEYOND)?;
    Ok(Some(Room::of(c.get(CURRENT_LIMIT)?, need).in_case(case)))
}

fn bridge_heat_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let local = c.get(LOCAL_AMBIENT_NOW)?.value;
    let capability = c.get(MAX_JUNCTION)?.value - local;
    let both = c
        .get(JUNCTION_TEMPERATURE)
        .and_then(|cycle| Ok((cycle.value - local, c.get(JUNCTION_HOLD)?.value - local)));
    match both {
        Ok((cycle, held)) if held > cycle => {
            Ok(Some(Room::of(capability, held).in_case(Case::Hold)))
        }
        Ok((cycle, _)) => Ok(Some(Room::of(capability, cycle).in_case(Case::Move))),
        // No temperature is reached; the current beyond which none is says how far off it is.
        Err(absent) if absent == OVERHEATS => {
            let cooled = c.get(JUNCTION_TO_AMBIENT)?
                * c.get(TEMPERATURE_COEFFICIENT)?
                * c.get(RESISTANCE)?;
            let need = c
                .get(movement::RMS_CURRENT)?
                .max(c.get(heat::CURRENT_MOST)?.abs());
            Ok(Some(Room {
                measure: Some(Measure::Current),
                at_best: Status::Under,
                ..Room::of(1.0 / cooled.value.sqrt(), need.value)
            }))
        }
        Err(absent) => Err(absent),
    }
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "trips_on_start",
        station: Station::Bridge,
        message: "This bridge switches off at {bridge.current_limit}, and a start at full duty asks {drive.greatest_stall_current}: it trips before it turns. Ramp the duty, set a current limit in the loop, or take a bridge that chops.",
        numbers: &["bridge.current_limit", "drive.greatest_stall_current"],
        when: trips_on_start,
    },
    Finding {
        id: "jam_beyond_bridge",
        station: Station::Bridge,
        message: "A jam asks {drive.greatest_stall_current}, and nothing holds the current to the {bridge.current_limit} that this bridge survives. Set a current limit in the loop, or take a bridge that chops.",
        numbers: &["bridge.current_limit", "drive.greatest_stall_current"],
        when: jam_beyond_bridge,
    },
    Finding {
        id: "bridge_overheats",
        station: Station::Bridge,
        message: "The driver chip overheats: {bridge.junction_temperature} in the cycle, {bridge.junction_temperature_hold} while it holds, with {board.local_ambient} around it; it stands {bridge.max_junction}. More copper under it, a cooler place or a driver of lower resistance.",
        numbers: &[
            "bridge.junction_temperature",
            "bridge.junction_temperature_hold",
            "board.local_ambient",
            "bridge.max_junction",
        ],
        when: bridge_overheats,
    },
    Finding {
        id: "audible_pwm",
        station: Station::Bridge,
        message: "A PWM frequency of {bridge.pwm_frequency} can be heard; from 20 kHz on it cannot.",
        numbers: &["bridge.pwm_frequency"],
        when: audible_pwm,
    },
];

/// A fault where a bridge of this kind of limit is asked for more than its limit in a jam.
fn beyond(c: &Eval<'_>, kind: LimitKind) -> Result<Option<Severity>, Absent> {
    let over = inrush(c)? > c.get(CURRENT_LIMIT)?;
    Ok((c.get(LIMIT_KIND)? == kind && over).then_some(Severity::Fault))
}

fn trips_on_start(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    beyond(c, LimitKind::Trips)
}

fn jam_beyond_bridge(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    beyond(c, LimitKind::Rating)
}

fn bridge_overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    encoder::under(bridge_heat_room(c)?)
}

fn audible_pwm(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(PWM_FREQUENCY)?.value < 20e3).then_some(Severity::Note))
}
