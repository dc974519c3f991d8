//! Closed forms against general-purpose simulators: circuits by ngspice 39, a geared rotor by MuJoCo 4.0.0. The netlists
//! and the script that made the numbers are in `reference/simulated`; `ngspice -b FILE.cir` prints them again.

#![allow(clippy::expect_used)]

use pulsewright_calc::bridge::{Chopper, Decay, chopped_current};
use pulsewright_calc::gears::reflected_inertia;
use pulsewright_calc::regulator::{Buck, Conduction, Rectifier, buck_state};
use pulsewright_calc::supply::{motor_current, voltage_behind};
use pulsewright_calc::units::{
    Capacitance, ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Inductance,
    MomentOfInertia, Power, Ratio,
};
use pulsewright_test_support::agrees;
use uom::si::capacitance::microfarad;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::frequency::{hertz, kilohertz};
use uom::si::inductance::{microhenry, millihenry};
use uom::si::moment_of_inertia::kilogram_square_meter;
use uom::si::power::watt;

fn volts(value: f64) -> ElectricPotential {
    ElectricPotential::new::<volt>(value)
}

fn winding(duty: f64, decay: Decay) -> Chopper {
    Chopper {
        voltage: volts(6.0),
        back_emf: volts(2.0),
        resistance: ElectricalResistance::new::<ohm>(7.059),
        inductance: Inductance::new::<millihenry>(1.1),
        frequency: Frequency::new::<hertz>(2000.0),
        duty: Ratio::from(duty),
        decay,
    }
}

/// `chopped_winding_slow.cir`: 0.4732583 A and −0.07369234 A; edges of 1 ns move the fifth digit.
#[test]
fn a_winding_chopped_with_slow_decay() {
    let band = chopped_current(&winding(0.6, Decay::Slow));
    assert!(agrees(band.greatest.value, "0.4733"), "{:?}", band);
    assert!(agrees(band.least.value, "-0.0737"), "{:?}", band);
}

/// `chopped_winding_fast.cir`: 0.5022374 A and −0.2723825 A.
#[test]
fn a_winding_chopped_with_fast_decay() {
    let band = chopped_current(&winding(0.8, Decay::Fast));
    assert!(agrees(band.greatest.value, "0.5022"), "{:?}", band);
    assert!(agrees(band.least.value, "-0.2724"), "{:?}", band);
}

/// `sagging_supply.cir`: 0.5977443659 A and 11.710691727 V.
#[test]
fn a_supply_sags_under_constant_power() {
    let resistance = ElectricalResistance::new::<ohm>(0.484);
    let current = motor_current(Power::new::<watt>(7.0), volts(12.0), resistance).expect("enough");
    assert!(agrees(current.value, "0.597744366"), "{current:?}");
    let left = voltage_behind(volts(12.0), &[(current, resistance)]);
    assert!(agrees(left.value, "11.7106917"), "{left:?}");
}

/// `buck_continuous.cir`: 0.6813139 A and 0.3186867 A in the inductor, 6.870 mV at the output. Edges and time step leave
/// three digits.
#[test]
fn a_step_down_stage_ripples() {
    let state = buck_state(&Buck {
        input_voltage: volts(12.0),
        output_voltage: volts(3.3),
        load_current: ElectricCurrent::new::<ampere>(0.5),
        inductance: Inductance::new::<microhenry>(22.0),
        frequency: Frequency::new::<kilohertz>(300.0),
        output_capacitance: Capacitance::new::<microfarad>(22.0),
        rectifier: Rectifier::Synchronous,
    })
    .expect("a step down");
    assert_eq!(state.conduction, Conduction::Continuous);
    assert!(agrees(state.peak_current.value, "0.681"), "{state:?}");
    assert!(
        agrees(
            state.peak_current.value - state.ripple_current.value,
            "0.319"
        ),
        "{state:?}"
    );
    assert!(agrees(state.output_ripple.value * 1e3, "6.87"), "{state:?}");
}

/// `geared_rotor.py`: 0.1 mN·m at the rotor turn the load with 59.73715651 rad/s².
#[test]
fn a_rotor_feels_heavy_behind_its_gears() {
    let kilogram_square_metres = MomentOfInertia::new::<kilogram_square_meter>;
    let rotor = reflected_inertia(kilogram_square_metres(16e-9), Ratio::from(100.0));
    let whole = rotor + kilogram_square_metres(7.4e-6);
    assert!(agrees(1e-4 * 100.0 / whole.value, "59.737157"), "{whole:?}");
}
