// The actuator of the examples, made up: an expression, read by `include!`.
{
    let one = Ratio::from(1.0);
    Actuator {
        train: Drivetrain {
            ratio: one * 100.0, efficiency: one * 0.6, back_driving_efficiency: one * 0.5,
            rotor_inertia: MomentOfInertia::new::<uom::si::moment_of_inertia::kilogram_square_meter>(1.5e-8),
            load_inertia: MomentOfInertia::new::<uom::si::moment_of_inertia::kilogram_square_meter>(1.5e-4),
            motor_constant: MotorConstant::new::<uom::si::magnetic_flux::weber>(3.4e-3),
            no_load_current: ElectricCurrent::new::<uom::si::electric_current::ampere>(0.06),
        },
        mesh: Mesh {
            backlash: Angle::new::<uom::si::angle::degree>(3.0),
            stiffness: Stiffness::new::<uom::si::torque::newton_meter>(9.0),
        },
        load: Load {
            holding_torque: Torque::new::<uom::si::torque::newton_meter>(0.03),
            friction_torque: Torque::new::<uom::si::torque::newton_meter>(0.0),
            start_angle: None, last_stage: one,
        },
        power: Power {
            voltage: ElectricPotential::new::<uom::si::electric_potential::volt>(6.0),
            source_resistance: ElectricalResistance::new::<uom::si::electrical_resistance::ohm>(0.2),
            board_current: ElectricCurrent::new::<uom::si::electric_current::ampere>(0.03),
            winding_resistance: ElectricalResistance::new::<uom::si::electrical_resistance::ohm>(5.85),
            inductance: None, current_limit: None,
        },
        sensing: Sensing {
            pole_pairs: 3, edges_counted: 4,
            errors: SignalErrors {
                phase: Angle::default(), placement: Angle::default(), duty: Angle::default(),
            },
            edge_service_time: Time::default(), hysteresis: Ratio::default(),
        },
        pulses: PulseInput { steps_per_turn: one * 1200.0, gearing: (1, 1), rate_limit: None },
        controller: Controller {
            gains: Gains {
                proportional: ElectricPotential::new::<uom::si::electric_potential::volt>(0.2),
                derivative: MotorConstant::new::<uom::si::magnetic_flux::weber>(0.0),
            },
            integral_time: Some(Time::new::<uom::si::time::second>(0.2)), feed_forward: one * 0.0,
            sample_time: Time::new::<uom::si::time::millisecond>(1.0), delay: 1, deadband: 1,
            pwm_resolution: 1000, voltage_limit: one, on_target: OnTarget::Drive,
            rounding: Rounding::Firmware,
        },
        position_tolerance: Angle::new::<uom::si::angle::degree>(2.0), refinement: 1,
    }
}
