//! Without friction, backlash and rounding the loop is linear: it must equal the zero-order-hold
//! solution of the same plant with the same sampled controller.
//!
//! The values are those of scipy 1.17.1, `Ad, Bd, *_ = scipy.signal.cont2discrete((A, B, eye(5),
//! zeros((5, 2))), 1e-3)` with A, B of (i, ω, θ, Ω, Θ) and (u, T_G), then `x = Ad @ x + Bd @ [u,
//! T_G]` from 500 samples before the command on, u the controller of the model in floating point.

use crate::designs::{
    angle, current, gains, inertia, jump, ohms, smooth, torque, turntable, volts,
};
use pulsewright_calc::landing::{Actuator, Leg, Rounding, Sample, simulate};
use pulsewright_calc::units::{Inductance, MotorConstant, Ratio, Stiffness};
use uom::si::{inductance::henry, magnetic_flux::weber, torque::newton_meter};

/// Sample, current and position of the load.
type Row = (usize, f64, f64);

const JUMP: [Row; 11] = [
    (0, 0.124_765_377_901_056_71, -0.012_338_093_964_438_03),
    (1, 0.124_766_298_280_280_96, -0.012_289_701_985_787_124),
    (2, 0.308_863_373_099_992_1, -0.012_238_623_362_468_762),
    (5, 0.258_718_228_604_626_57, -0.011_818_048_040_983_568),
    (10, 0.234_417_659_961_873_16, -0.008_798_480_106_516_538),
    (20, 0.182_360_370_753_276_57, 0.006_286_265_178_729_27),
    (50, 0.088_755_129_629_403_32, 0.061_121_687_740_258_085),
    (100, 0.107_612_753_736_742_23, 0.102_472_928_025_572_01),
    (200, 0.125_436_356_876_432_43, 0.104_643_639_486_935_78),
    (500, 0.125_025_019_108_499_5, 0.101_314_224_973_263_45),
    (1000, 0.125_003_502_618_431_7, 0.100_184_209_007_570_14),
];

const SMOOTH: [Row; 11] = [
    (0, 0.124_999_999_781_490_51, -0.037_500_000_007_975_04),
    (1, 0.124_999_999_790_175_98, -0.037_500_000_005_665_245),
    (2, 0.125_003_780_445_723_77, -0.037_499_999_944_451_606),
    (5, 0.125_128_415_219_368, -0.037_499_972_024_790_02),
    (10, 0.125_648_058_090_953_97, -0.037_498_399_797_212_17),
    (20, 0.127_651_328_595_407_32, -0.037_446_434_740_171_335),
    (50, 0.135_428_613_097_376_86, -0.035_084_995_022_681_33),
    (100, 0.140_309_784_588_319_28, -0.012_957_749_908_849_906),
    (200, 0.132_578_697_524_588_4, 0.117_655_814_249_853_43),
    (500, 0.123_611_547_777_251_74, 0.464_794_950_265_175_5),
    (1000, 0.124_999_999_992_731_34, 0.462_500_000_001_083_9),
];

const LATE: [Row; 12] = [
    (0, 0.123_645_257_722_921, -0.006_261_895_627_281_812),
    (1, 0.123_654_585_916_727_98, -0.006_156_875_557_532_969_5),
    (2, 0.123_663_892_739_693_33, -0.006_052_947_228_202_403),
    (5, 0.123_692_929_839_107_03, -0.005_747_637_059_934_724),
    (10, 0.123_839_557_303_851_34, -0.005_259_847_067_294_912_5),
    (20, 0.124_556_459_299_316_64, -0.004_351_613_792_873_364),
    (50, 0.128_784_205_451_365_87, -0.001_427_202_021_651_708_2),
    (100, 0.136_087_404_233_702_5, 0.011_411_978_207_201_948),
    (200, 0.137_417_538_633_691_83, 0.109_062_054_924_107_02),
    (500, 0.114_605_568_290_352_25, 0.546_359_196_952_852_6),
    (1000, 0.125_173_371_095_177_5, 0.499_709_845_418_912_34),
    (2000, 0.125_000_063_630_194_36, 0.500_000_292_490_375_4),
];

/// The linear plant of the reference.
pub fn linear() -> Actuator {
    let mut actuator = turntable();
    let one = Ratio::from(1.0);
    actuator.train.ratio = one * 100.0;
    actuator.train.efficiency = one;
    actuator.train.back_driving_efficiency = one;
    actuator.train.rotor_inertia = inertia(2e-8);
    actuator.train.load_inertia = inertia(3e-4);
    actuator.train.motor_constant = MotorConstant::new::<weber>(4e-3);
    actuator.train.no_load_current = current(0.0);
    actuator.mesh.backlash = angle(0.0);
    actuator.mesh.stiffness = Stiffness::new::<newton_meter>(10.0);
    actuator.load.holding_torque = torque(0.05);
    actuator.load.friction_torque = torque(0.0);
    actuator.power.voltage = volts(6.0);
    actuator.power.source_resistance = ohms(0.0);
    actuator.power.board_current = current(0.0);
    actuator.power.winding_resistance = ohms(6.0);
    actuator.power.inductance = Some(Inductance::new::<henry>(1.2e-3));
    actuator.pulses.steps_per_turn = one * 1200.0;
    actuator.pulses.gearing = (1, 1);
    actuator.pulses.rate_limit = None;
    actuator.controller.rounding = Rounding::None;
    actuator.controller.integral_time = None;
    actuator.controller.deadband = 0;
    actuator
}

#[track_caller]
fn compare(actuator: &Actuator, leg: Leg, rows: &[Row]) {
    let mut samples = vec![Sample::default(); 4000];
    let (_, filled) = simulate(actuator, &[leg], &mut samples).unwrap();
    let distance = leg.distance.value;
    let mut widest: f64 = 0.0;
    for &(at, current, position) in rows {
        assert!(at < filled);
        let sample = samples[at];
        widest = widest
            .max((sample.current.value - current).abs())
            .max((sample.position.value - position).abs() / distance);
    }
    println!("differs by {widest:.1e}");
    assert!(widest <= 1e-8, "differs by {widest}");
}

#[test]
fn a_jump_with_integral_is_the_zero_order_hold_solution() {
    let mut actuator = linear();
    actuator.controller.gains = gains(0.12, 1e-3);
    actuator.controller.integral_time = Some(crate::designs::time(0.3));
    compare(&actuator, jump(0.1), &JUMP);
}

#[test]
fn a_smooth_move_with_feed_forward_and_no_delay_is_the_zero_order_hold_solution() {
    let mut actuator = linear();
    actuator.controller.gains = gains(0.2, 2e-3);
    actuator.controller.feed_forward = Ratio::from(1.0);
    actuator.controller.delay = 0;
    compare(&actuator, smooth(0.5, 0.5, 1.0), &SMOOTH);
}

#[test]
fn three_samples_of_delay_at_half_the_voltage_are_the_zero_order_hold_solution() {
    let mut actuator = linear();
    actuator.controller.gains = gains(0.05, 0.0);
    actuator.controller.integral_time = Some(crate::designs::time(0.2));
    actuator.controller.feed_forward = Ratio::from(0.5);
    actuator.controller.delay = 3;
    actuator.controller.voltage_limit = Ratio::from(0.5);
    compare(&actuator, smooth(0.5, 0.5, 1.0), &LATE);
}
