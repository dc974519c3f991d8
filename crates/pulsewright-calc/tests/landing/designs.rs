//! Designs under test: the four demo cards in numbers, and random ones.

use pulsewright_calc::encoder::SignalErrors;
use pulsewright_calc::landing::{
    Actuator, Controller, Leg, Load, Mesh, OnTarget, Power, PulseInput, Rounding, Sensing,
};
use pulsewright_calc::motion::{Drivetrain, Profile};
use pulsewright_calc::position_loop::Gains;
use pulsewright_calc::units::{
    Angle, ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Inductance,
    MomentOfInertia, MotorConstant, Ratio, Stiffness, Time, Torque,
};
use uom::si::{
    angle::radian, electric_current::ampere, electric_potential::volt, electrical_resistance::ohm,
    frequency::hertz, inductance::henry, magnetic_flux::weber,
    moment_of_inertia::kilogram_square_meter, time::second, torque::newton_meter,
};

pub fn angle(value: f64) -> Angle {
    Angle::new::<radian>(value)
}

pub fn time(value: f64) -> Time {
    Time::new::<second>(value)
}

pub fn torque(value: f64) -> Torque {
    Torque::new::<newton_meter>(value)
}

pub fn inertia(value: f64) -> MomentOfInertia {
    MomentOfInertia::new::<kilogram_square_meter>(value)
}

pub fn current(value: f64) -> ElectricCurrent {
    ElectricCurrent::new::<ampere>(value)
}

pub fn volts(value: f64) -> ElectricPotential {
    ElectricPotential::new::<volt>(value)
}

pub fn ohms(value: f64) -> ElectricalResistance {
    ElectricalResistance::new::<ohm>(value)
}

pub fn gains(proportional: f64, derivative: f64) -> Gains {
    Gains {
        proportional: volts(proportional),
        derivative: MotorConstant::new::<weber>(derivative),
    }
}

/// A trapezoid of one third ramps.
pub fn trapezoid(distance: f64, duration: f64, dwell: f64) -> Leg {
    Leg {
        profile: Profile::Trapezoid {
            ramp_fraction: Ratio::from(1.0 / 3.0),
        },
        distance: angle(distance),
        time: time(duration),
        dwell: time(dwell),
    }
}

pub fn smooth(distance: f64, duration: f64, dwell: f64) -> Leg {
    Leg {
        profile: Profile::Smooth,
        ..trapezoid(distance, duration, dwell)
    }
}

/// A jump.
pub fn jump(distance: f64) -> Leg {
    smooth(distance, 0.0, 1.0)
}

/// The demo turntable.
pub fn turntable() -> Actuator {
    let one = Ratio::from(1.0);
    Actuator {
        train: Drivetrain {
            ratio: one * (19_380.0 / 13.0),
            efficiency: one * 0.3,
            back_driving_efficiency: one * 0.177_191_526_793_915_03,
            rotor_inertia: inertia(0.16e-7),
            load_inertia: inertia(0.0074),
            motor_constant: MotorConstant::new::<weber>(0.004_019_442_484_360_024),
            no_load_current: current(0.045),
        },
        mesh: Mesh {
            backlash: angle(0.16_f64.to_radians()),
            stiffness: Stiffness::new::<newton_meter>(60.0),
        },
        load: Load {
            holding_torque: torque(0.00775),
            friction_torque: torque(0.014_498_151_36),
            start_angle: None,
            last_stage: Ratio::from(1.0),
        },
        power: Power {
            voltage: volts(6.0),
            source_resistance: ohms(0.15 + 0.334_007_463_578_756_7),
            board_current: current(0.0286),
            winding_resistance: ohms(7.058_823_529_411_764_5 + 0.4),
            inductance: Some(Inductance::new::<henry>(1.1e-3)),
            current_limit: None,
        },
        sensing: Sensing {
            pole_pairs: 3,
            edges_counted: 4,
            errors: SignalErrors {
                phase: angle(0.0),
                placement: angle(0.2),
                duty: angle(12.0_f64.to_radians()),
            },
            edge_service_time: time(3e-6),
            hysteresis: one * 0.0,
        },
        pulses: PulseInput {
            steps_per_turn: one * 14_400.0,
            gearing: (323, 260),
            rate_limit: Some(Frequency::new::<hertz>(25_000.0)),
        },
        controller: Controller {
            gains: gains(0.076_642_725_545_402_45, 0.0),
            integral_time: Some(time(0.2)),
            feed_forward: one * 0.0,
            sample_time: time(1e-3),
            delay: 1,
            deadband: 1,
            pwm_resolution: 1000,
            voltage_limit: one,
            on_target: OnTarget::Drive,
            rounding: Rounding::Firmware,
        },
        position_tolerance: angle(0.3e-3 / 0.155),
        refinement: 1,
    }
}

/// The demo camera slider.
pub fn camera_slider() -> Actuator {
    let base = turntable();
    let one = Ratio::from(1.0);
    Actuator {
        train: Drivetrain {
            ratio: one * (2275.0 / 88.0),
            efficiency: one * 0.710_514_359_202_474_2,
            back_driving_efficiency: one * 0.679_928_807_338_986_9,
            rotor_inertia: inertia(1.1e-7),
            load_inertia: inertia(4.659_497_912_114_54e-5),
            motor_constant: MotorConstant::new::<weber>(0.004_867_790_337_142_355),
            no_load_current: current(0.1),
        },
        mesh: Mesh {
            backlash: angle(1.8_f64.to_radians()),
            stiffness: Stiffness::new::<newton_meter>(40.0),
        },
        load: Load {
            holding_torque: torque(0.040_583_818_295_627_53),
            friction_torque: torque(0.003_728_664_770_297_783_5),
            start_angle: None,
            last_stage: Ratio::from(1.0),
        },
        power: Power {
            source_resistance: ohms(1.2 + 0.157_544_519_045_300_29),
            board_current: current(0.0316),
            winding_resistance: ohms(3.333_333_333_333_333 + 0.4),
            inductance: Some(Inductance::new::<henry>(1e-3)),
            ..base.power
        },
        pulses: PulseInput {
            steps_per_turn: one * (12.0 * 2275.0 / 88.0),
            gearing: (1, 1),
            ..base.pulses
        },
        controller: Controller {
            gains: gains(0.056_713_477_544_908_165, 0.0),
            integral_time: Some(time(0.2)),
            ..base.controller
        },
        position_tolerance: angle(0.4e-3 / 0.032 * std::f64::consts::TAU),
        ..base
    }
}

/// The demo focus stage.
pub fn focus_stage() -> Actuator {
    let base = turntable();
    let one = Ratio::from(1.0);
    Actuator {
        train: Drivetrain {
            ratio: one * (18_445.0 / 312.0),
            efficiency: one * 0.548_720_407_181_279_1,
            back_driving_efficiency: one * 0.493_423_207_362_899,
            rotor_inertia: inertia(0.13e-7),
            load_inertia: inertia(6.521_297_489_839_827e-8),
            motor_constant: MotorConstant::new::<weber>(0.004_351_361_527_960_092),
            no_load_current: current(0.04),
        },
        mesh: Mesh {
            backlash: angle(3.0_f64.to_radians()),
            stiffness: Stiffness::new::<newton_meter>(6.0),
        },
        load: Load {
            holding_torque: torque(0.000_625_981_076_112_097_9),
            friction_torque: torque(0.003_436_517_039_093_417),
            start_angle: None,
            last_stage: Ratio::from(1.0),
        },
        power: Power {
            source_resistance: ohms(0.1 + 0.139_169_776_491_148_6),
            winding_resistance: ohms(8.571_428_571_428_571 + 0.4),
            inductance: Some(Inductance::new::<henry>(1.4e-3)),
            ..base.power
        },
        pulses: PulseInput {
            steps_per_turn: one * 700.0,
            gearing: (527, 520),
            ..base.pulses
        },
        controller: Controller {
            gains: gains(0.092_387_259_466_437_9, 0.0),
            integral_time: Some(time(0.2)),
            ..base.controller
        },
        position_tolerance: angle(15e-6 / 0.7e-3 * std::f64::consts::TAU),
        ..base
    }
}

/// The demo vent lever, starting level.
pub fn vent_lever() -> Actuator {
    let base = turntable();
    let one = Ratio::from(1.0);
    Actuator {
        train: Drivetrain {
            ratio: one * (9975.0 / 143.0),
            efficiency: one * 0.648_780_387_239_866_6,
            back_driving_efficiency: one * 0.615_573_936_454_128_6,
            rotor_inertia: inertia(14e-7),
            load_inertia: inertia(0.012_855),
            motor_constant: MotorConstant::new::<weber>(0.020_078_253_672_866_274),
            no_load_current: current(0.14),
        },
        mesh: Mesh {
            backlash: angle(2.5_f64.to_radians()),
            stiffness: Stiffness::new::<newton_meter>(90.0),
        },
        load: Load {
            holding_torque: torque(1.165_668_075),
            friction_torque: torque(0.0),
            start_angle: Some(angle(0.0)),
            last_stage: Ratio::from(1.0),
        },
        power: Power {
            voltage: volts(12.3),
            source_resistance: ohms(0.06 + 0.287_416_698_882_663_3),
            board_current: current(0.011_834_027_364_663_89),
            winding_resistance: ohms(4.25),
            inductance: Some(Inductance::new::<henry>(2.1e-3)),
            current_limit: None,
        },
        pulses: PulseInput {
            steps_per_turn: one * 1800.0,
            gearing: (133, 286),
            ..base.pulses
        },
        controller: Controller {
            gains: gains(0.182_910_393_335_517_4, 0.000_299_511_596_695_046_7),
            integral_time: Some(time(0.5)),
            deadband: 2,
            ..base.controller
        },
        position_tolerance: angle(4.0_f64.to_radians()),
        ..base
    }
}

/// A step test of each demo, as its card has it.
pub fn step_tests() -> [(&'static str, Actuator, Leg); 4] {
    [
        (
            "camera slider",
            camera_slider(),
            jump(5e-3 / 0.032 * std::f64::consts::TAU),
        ),
        (
            "focus stage",
            focus_stage(),
            jump(0.05e-3 / 0.7e-3 * std::f64::consts::TAU),
        ),
        ("turntable", turntable(), jump(0.5_f64.to_radians())),
        ("vent lever", vent_lever(), jump(5.0_f64.to_radians())),
    ]
}

/// Numbers between 0 and 1 that are the same on every machine (xorshift; Marsaglia 2003).
#[derive(Debug)]
pub struct Random(pub u64);

impl Random {
    pub fn unit(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Evenly spread on a logarithmic scale.
    pub fn spread(&mut self, low: f64, high: f64) -> f64 {
        low * libm::pow(high / low, self.unit())
    }
}

/// A random small gear motor that can carry its load, with a short move.
pub fn random(seed: u64) -> (Actuator, Leg) {
    let mut random = Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    for _ in 0..4 {
        random.unit();
    }
    let base = turntable();
    let one = Ratio::from(1.0);
    let ratio = random.spread(20.0, 300.0);
    let stages = 1 + (libm::log(ratio) / libm::log(4.0)).ceil() as i32;
    let per_stage = random.between(0.82, 0.96);
    let efficiency = per_stage.powi(stages);
    let back = (2.0 - 1.0 / per_stage).powi(stages);
    let constant = random.spread(0.003, 0.02);
    let resistance = random.between(3.0, 12.0);
    let voltage = 6.0;
    let stall = voltage / resistance;
    let idle = stall * random.between(0.03, 0.1);
    let stall_torque = ratio * efficiency * constant * (stall - idle);
    let holding = stall_torque * random.between(-0.25, 0.25);
    let friction = stall_torque * random.between(0.02, 0.08);
    let rotor = random.spread(1e-8, 3e-7);
    let load_inertia = rotor * ratio * ratio * random.spread(0.1, 2.0);
    let mechanical =
        resistance * (rotor + load_inertia / (ratio * ratio * efficiency)) / (constant * constant);
    let bandwidth = std::f64::consts::TAU * random.between(2.0, 5.0);
    let turns = bandwidth * mechanical;
    let proportional = if turns > 0.5 {
        bandwidth * turns
    } else {
        bandwidth * (1.0 - turns)
    } * constant;
    let derivative = (2.0 * 0.9 * turns - 1.0).max(0.0) * constant;
    let actuator = Actuator {
        train: Drivetrain {
            ratio: one * ratio,
            efficiency: one * efficiency,
            back_driving_efficiency: one * back,
            rotor_inertia: inertia(rotor),
            load_inertia: inertia(load_inertia),
            motor_constant: MotorConstant::new::<weber>(constant),
            no_load_current: current(idle),
        },
        mesh: Mesh {
            backlash: angle(random.between(0.5, 3.0).to_radians()),
            stiffness: Stiffness::new::<newton_meter>(stall_torque / 0.02),
        },
        load: Load {
            holding_torque: torque(holding),
            friction_torque: torque(friction),
            start_angle: None,
            last_stage: Ratio::from(1.0),
        },
        power: Power {
            source_resistance: ohms(random.between(0.05, 0.8)),
            winding_resistance: ohms(resistance),
            inductance: Some(Inductance::new::<henry>(
                resistance * random.spread(1e-4, 5e-4),
            )),
            ..base.power
        },
        pulses: PulseInput {
            steps_per_turn: one * (12.0 * ratio),
            gearing: (1, 1),
            ..base.pulses
        },
        controller: Controller {
            gains: gains(proportional, derivative),
            integral_time: None,
            ..base.controller
        },
        position_tolerance: angle(0.03),
        ..base
    };
    let speed = 0.4 * (voltage - idle * resistance) / (constant * ratio);
    let duration = random.between(0.2, 0.4);
    let sign = if random.unit() < 0.5 { -1.0 } else { 1.0 };
    (actuator, trapezoid(sign * speed * duration, duration, 1.0))
}
