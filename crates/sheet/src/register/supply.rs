//! The supply.

use crate::check::Check;
use crate::finding::Finding;

use calc::units::{
    Capacitance, ElectricCharge, ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio,
    Time,
};

use super::movement::YesNo;
use super::{Form, INPUT, Input, Must, Preset, Rule, Sure};
use crate::eval::{Absent, Eval};
use crate::unit::Measure;

fn max_voltage(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok((1.5 * c.bare(VOLTAGE)?).max(12.0))
}

inputs! {
    after super::bridge;

    VOLTAGE: ElectricPotential = Input {
        id: "supply.voltage",
        symbol: "V",
        label: "Supply voltage, no load",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("6 V"),
        low: "0.5 V",
        high: "60 V",
        sure: Sure::Within("5 %"),
        layer: 1,
        because: "beyond 60 V a shock can hurt, and below 0.5 V nothing runs",
        help: "Voltmeter at the supply, nothing connected",
        ..INPUT
    };
    LOWEST_VOLTAGE: ElectricPotential = Input {
        id: "supply.lowest_voltage",
        symbol: "V_low",
        label: "Lowest supply voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::LeftOut,
        low: "0.5 V",
        high: "60 V",
        sure: Sure::Within("3 %"),
        layer: 2,
        rules: &[Rule { must: Must::AtMost, than: |c| c.bare(VOLTAGE), name: "the supply voltage", because: "the lowest is not above the usual" }],
        help: "Battery at the end of its charge: per cell alkaline 1.0, NiMH 1.0, lithium 3.0 V",
        ..INPUT
    };
    HIGHEST_VOLTAGE: ElectricPotential = Input {
        id: "supply.highest_voltage",
        symbol: "V_high",
        label: "Highest supply voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::LeftOut,
        low: "0.5 V",
        high: "65 V",
        sure: Sure::Within("3 %"),
        layer: 2,
        rules: &[Rule { must: Must::AtLeast, than: |c| c.bare(VOLTAGE), name: "the supply voltage", because: "the highest is not below the usual" }],
        help: "Battery just charged: per cell alkaline 1.6, NiMH 1.45, lithium 4.2 V; adapter without load",
        ..INPUT
    };
    SOURCE_RESISTANCE: ElectricalResistance = Input {
        id: "supply.source_resistance",
        symbol: "R_source",
        label: "Source resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("0.1 Ohm"),
        low: "0 Ohm",
        high: "100 Ohm",
        sure: Sure::Within("30 %"),
        layer: 2,
        help: "Two readings at the supply: (volts unloaded − volts loaded) / amperes. Per cell: AA alkaline 0.15 to 0.3, NiMH 0.02 to 0.05, lithium 0.03 to 0.1 Ω",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "supply.current_limit",
        symbol: "I_supply",
        label: "Current limit of the supply",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("2 A"),
        low: "10 mA",
        high: "1000 A",
        sure: Sure::Within("10 %"),
        layer: 2,
        help: "Label of the supply; cells: rated continuous discharge",
        ..INPUT
    };
    CAPACITY: ElectricCharge = Input {
        id: "supply.capacity",
        symbol: "C_batt",
        label: "Battery capacity",
        form: Form::Quantity(Measure::Charge),
        preset: Preset::LeftOut,
        low: "10 mA.h",
        high: "1000 A.h",
        sure: Sure::Within("20 %"),
        layer: 2,
        help: "Label; count on 80 % of it",
        ..INPUT
    };
    RATED_HOURS: Time = Input {
        id: "supply.rated_hours",
        symbol: "H",
        label: "Hours of the capacity rating",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 h"),
        low: "0.1 h",
        high: "100 h",
        sure: Sure::Near,
        layer: 3,
        help: "Label: the hours that the capacity is stated for; lead 20 h, others often 5 h",
        ..INPUT
    };
    PEUKERT_EXPONENT: Ratio = Input {
        id: "supply.peukert_exponent",
        symbol: "k_p",
        label: "Peukert exponent",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1.05"),
        low: "1",
        high: "1.6",
        sure: Sure::Within("0.05"),
        layer: 3,
        help: "Lithium 1.02 to 1.05, sealed lead 1.05 to 1.15, flooded lead 1.2 to 1.6",
        ..INPUT
    };
    ACTUATORS: u32 = Input {
        id: "supply.actuators",
        symbol: "n_all",
        label: "Actuators on this supply",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "1",
        high: "64",
        layer: 2,
        help: "Motors on this supply and these wires",
        ..INPUT
    };
    MOVING_TOGETHER: u32 = Input {
        id: "supply.moving_together",
        symbol: "n_moving",
        label: "Actuators that move together",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "0",
        high: "64",
        layer: 2,
        rules: &[Rule { must: Must::AtMost, than: |c| c.bare(ACTUATORS), name: "all actuators", because: "no more can move than there are" }],
        help: "How many may move at the same moment",
        ..INPUT
    };
    BULK_CAPACITANCE: Capacitance = Input {
        id: "supply.bulk_capacitance",
        symbol: "C_bulk",
        label: "Capacitance on the motor supply",
        form: Form::Quantity(Measure::Capacitance),
        preset: Preset::Fixed("470 uF"),
        low: "0.1 uF",
        high: "1 F",
        sure: Sure::Within("20 %"),
        layer: 2,
        help: "Add up what is fitted on the shared rail, all boards",
        ..INPUT
    };
    MAX_VOLTAGE: ElectricPotential = Input {
        id: "supply.max_voltage",
        symbol: "V_max",
        label: "Voltage that everything survives",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::From(max_voltage, "12 V, or 1.5 times a higher supply voltage"),
        low: "0.5 V",
        high: "100 V",
        sure: Sure::Near,
        layer: 2,
        rules: &[Rule { must: Must::Above, than: |c| c.bare(VOLTAGE), name: "the supply voltage", because: "parts that do not survive the supply are gone at once" }],
        help: "Lowest absolute maximum among bridge, regulator and capacitors",
        ..INPUT
    };
    TAKES_BACK: YesNo = Input {
        id: "supply.takes_back",
        symbol: "takes_back",
        label: "Supply takes current back",
        form: Form::Choice(YesNo::WORDS),
        preset: Preset::Fixed("no"),
        layer: 3,
        help: "Battery: yes; ordinary adapter: no",
        ..INPUT
    };
}

results! {
    after super::bridge;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
