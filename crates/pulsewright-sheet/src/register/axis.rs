//! What has to move.

use pulsewright_calc::axis::{self as formulas, TurnTravel};
use pulsewright_calc::ratio;
use pulsewright_calc::units::{
    Angle, Energy, Force, Length, Mass, MomentOfInertia, Ratio, ThermodynamicTemperature, Torque,
};

use super::{
    Form, Found, INPUT, Input, Key, Kinds, Means, Outcome, Preset, RESULT, Rational, Station, Sure,
    Travel, gears, motor, movement,
};
use crate::check::Check;
use crate::eval::{Absent, BEYOND, Code, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

choices! {
    /// Kind of axis.
    Kind {
        Arm = "arm",
        Turntable = "turntable",
        Belt = "belt",
        Screw = "screw",
        Rack = "rack",
        Drum = "drum",
        Torque = "torque",
    }
}

choices! {
    /// How home is found.
    Home {
        None = "none",
        Switch = "switch",
        Stop = "stop",
        Index = "index",
    }
}

impl Kind {
    /// Whether the axis moves along a line: its travel is a length.
    #[must_use]
    pub const fn is_linear(self) -> bool {
        matches!(self, Self::Belt | Self::Screw | Self::Rack | Self::Drum)
    }
}

/// A turntable with a mass and no inertia given: a disc of that mass.
fn payload_inertia(c: &Eval<'_>) -> Result<f64, Absent> {
    match c.get(KIND)? {
        Kind::Turntable => {
            let radius = c.get(RADIUS)?;
            let inertia: MomentOfInertia = 0.5 * c.get(LOAD_MASS)? * radius * radius;
            Ok(inertia.value)
        }
        _ => Ok(0.0),
    }
}

inputs! {
    after super::card;

    KIND: Kind = Input {
        id: "axis.kind",
        symbol: "kind",
        label: "Kind of axis",
        form: Form::Choice(Kind::WORDS),
        preset: Preset::Fixed("arm"),
        layer: 1,
        means: Means::Nothing,
        help: "Pick the drawing that looks like your machine. An arm that swings level about an upright shaft is a turntable (no gravity)",
        ..INPUT
    };
    LOAD_MASS: Mass = Input {
        id: "axis.load_mass",
        symbol: "m",
        label: "Mass carried",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm), "60 g"), (Kinds::only(Kind::Turntable), "150 g"), (Kinds::only(Kind::Drum), "200 g"), (Kinds::only(Kind::Belt).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Screw)), "300 g")]),
        low: "0 kg",
        high: "200 kg",
        sure: Sure::Within("10 %"),
        layer: 1,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        because: "below nothing there is no mass, and beyond 200 kg this is no job for a small gear motor",
        means: Means::Asked,
        help: "Kitchen or luggage scale: everything that moves with the axis",
        ..INPUT
    };
    RADIUS: Length = Input {
        id: "axis.radius",
        symbol: "r",
        label: "Radius",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm), "50 mm"), (Kinds::only(Kind::Turntable), "60 mm"), (Kinds::only(Kind::Drum), "10 mm")]),
        low: ">0 m",
        high: "2 m",
        sure: Sure::Within("2 %"),
        layer: 1,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        because: "a load on the axis itself has no lever, and beyond 2 m a small gear motor has no say",
        means: Means::Asked,
        help: "Shaft centre to the load's centre of mass (arm) or to the point that must line up. Drum: half its diameter plus half the cord. A given radius beats assumed teeth",
        ..INPUT
    };
    PULLEY_TEETH: u32 = Input {
        id: "axis.pulley_teeth",
        symbol: "z_pulley",
        label: "Teeth of the pulley",
        form: Form::Whole,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Belt), "16")]),
        low: "6",
        high: "400",
        layer: 1,
        kinds: Kinds::only(Kind::Belt),
        means: Means::Fitted,
        help: "Count them",
        ..INPUT
    };
    BELT_PITCH: Length = Input {
        id: "axis.belt_pitch",
        symbol: "p_belt",
        label: "Pitch of the belt",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Belt), "2 mm")]),
        low: "0.5 mm",
        high: "25 mm",
        layer: 1,
        kinds: Kinds::only(Kind::Belt),
        means: Means::Nothing,
        help: "Printed on the belt, or ten teeth by calliper, divided by ten",
        ..INPUT
    };
    PINION_TEETH: u32 = Input {
        id: "axis.pinion_teeth",
        symbol: "z_pinion",
        label: "Teeth of the pinion",
        form: Form::Whole,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Rack), "20")]),
        low: "6",
        high: "400",
        layer: 1,
        kinds: Kinds::only(Kind::Rack),
        means: Means::Fitted,
        help: "Count them",
        ..INPUT
    };
    PINION_MODULE: Length = Input {
        id: "axis.pinion_module",
        symbol: "m_pinion",
        label: "Module of the pinion",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Rack), "0.8 mm")]),
        low: "0.1 mm",
        high: "10 mm",
        layer: 1,
        kinds: Kinds::only(Kind::Rack),
        means: Means::Nothing,
        help: "Rack pitch (ten teeth by calliper, divided by ten) / π",
        ..INPUT
    };
    PAYLOAD_INERTIA: MomentOfInertia = Input {
        id: "axis.payload_inertia",
        symbol: "J_p",
        label: "Inertia besides the mass",
        form: Form::Quantity(Measure::Inertia),
        preset: Preset::From(payload_inertia, "½·m·r² of a disc on a turntable; none on other kinds"),
        low: "0 kg.m2",
        high: "100 kg.m2",
        sure: Sure::Within("20 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        means: Means::Asked,
        help: "Weigh and measure: disc ½·m·r², bar about its middle m·L²/12, ring m·r². Turntable: with the load that rides on it",
        ..INPUT
    };
    SLOPE: Angle = Input {
        id: "axis.slope",
        symbol: "β",
        label: "Slope of the travel",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Belt).or(Kinds::only(Kind::Rack)), "0 deg"), (Kinds::only(Kind::Screw).or(Kinds::only(Kind::Drum)), "90 deg")]),
        low: "-90 deg",
        high: "90 deg",
        sure: Sure::Within("1 deg"),
        layer: 2,
        kinds: Kinds::only(Kind::Belt).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        because: "steeper than upright is the other way round",
        means: Means::Asked,
        help: "Phone level or set square along the travel; negative = the move goes downhill",
        ..INPUT
    };
    FRICTION_COEFFICIENT: Ratio = Input {
        id: "axis.friction_coefficient",
        symbol: "μ",
        label: "Coefficient of friction",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Drum)), "0"), (Kinds::only(Kind::Turntable).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Screw)), "0.10"), (Kinds::only(Kind::Belt), "0.05")]),
        low: "0",
        high: "1",
        sure: Sure::Within("50 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Turntable).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        help: "Unpowered, pull the load along the level with a spring scale: steady pull / weight",
        ..INPUT
    };
    BEARING_RADIUS: Length = Input {
        id: "axis.bearing_radius",
        symbol: "r_b",
        label: "Mean radius of the bearing",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("10 mm"),
        low: "0.5 mm",
        high: "1 m",
        sure: Sure::Within("10 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Turntable),
        means: Means::Fitted,
        help: "Turntable only: mean radius of the ball circle or thrust washer",
        ..INPUT
    };
    EXTERNAL_FORCE: Force = Input {
        id: "axis.external_force",
        symbol: "F",
        label: "Force that also pushes at rest",
        form: Form::Quantity(Measure::Force),
        preset: Preset::Fixed("0 N"),
        low: "-5000 N",
        high: "5000 N",
        sure: Sure::Within("20 %"),
        layer: 2,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        means: Means::Asked,
        help: "Spring scale at the radius or along the travel; positive resists the move. Only what pushes also at standstill (spring, wind, cable weight)",
        ..INPUT
    };
    DRAG_FORCE: Force = Input {
        id: "axis.drag_force",
        symbol: "F_d",
        label: "Drag that only opposes motion",
        form: Form::Quantity(Measure::Force),
        preset: Preset::Fixed("0 N"),
        low: "0 N",
        high: "5000 N",
        sure: Sure::Within("20 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        because: "drag opposes either way, so it has no sign; beyond 5 kN this is no small gear motor's job",
        means: Means::Asked,
        help: "Pull while moving minus half of up and down at rest: what only opposes motion (seals, brushes, a felt wiper)",
        ..INPUT
    };
    LOAD_TORQUE_GIVEN: Torque = Input {
        id: "axis.load_torque_given",
        symbol: "T_given",
        label: "Torque of the load",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Torque), "0.03 N.m")]),
        low: "0 N.m",
        high: "200 N.m",
        sure: Sure::Within("20 %"),
        layer: 1,
        kinds: Kinds::only(Kind::Torque),
        means: Means::Asked,
        help: "Lever of known length and a scale on the driven shaft: force × length",
        ..INPUT
    };
    LOAD_INERTIA_GIVEN: MomentOfInertia = Input {
        id: "axis.load_inertia_given",
        symbol: "J_given",
        label: "Inertia of the load",
        form: Form::Quantity(Measure::Inertia),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Torque), "1500 g.cm2")]),
        low: "0 kg.m2",
        high: "100 kg.m2",
        sure: Sure::Within("30 %"),
        layer: 2,
        kinds: Kinds::only(Kind::Torque),
        means: Means::Asked,
        help: "As payload_inertia, everything about the driven shaft",
        ..INPUT
    };
    SCREW_LEAD: Length = Input {
        id: "axis.screw_lead",
        symbol: "l",
        label: "Lead of the screw",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "2 mm")]),
        low: "0.1 mm",
        high: "100 mm",
        sure: Sure::Within("0.2 %"),
        layer: 1,
        kinds: Kinds::only(Kind::Screw),
        means: Means::Fitted,
        help: "Mark the nut, ten turns, calliper, divide by ten. Lead = pitch × number of starts",
        ..INPUT
    };
    SCREW_MEAN_DIAMETER: Length = Input {
        id: "axis.screw_mean_diameter",
        symbol: "d",
        label: "Mean diameter of the thread",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "7 mm")]),
        low: "0.5 mm",
        high: "200 mm",
        sure: Sure::Within("3 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        means: Means::Fitted,
        help: "Outside diameter minus half the pitch",
        ..INPUT
    };
    SCREW_THREAD_FRICTION: Ratio = Input {
        id: "axis.screw_thread_friction",
        symbol: "f",
        label: "Friction in the thread",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "0.15")]),
        low: "0.01",
        high: "0.6",
        sure: Sure::Within("30 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        help: "Greased steel on bronze 0.08 to 0.15, on plastic 0.10 to 0.20; ball screws: give the efficiency instead",
        ..INPUT
    };
    SCREW_FLANK_ANGLE: Angle = Input {
        id: "axis.screw_flank_angle",
        symbol: "α",
        label: "Flank angle, half the thread angle",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "15 deg")]),
        low: "0 deg",
        high: "45 deg",
        sure: Sure::Near,
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        means: Means::Fitted,
        help: "Half the thread angle: trapezoidal 15°, metric V thread 30°, square 0°",
        ..INPUT
    };
    COLLAR_FRICTION: Ratio = Input {
        id: "axis.collar_friction",
        symbol: "f_c",
        label: "Friction of the collar",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "0.10")]),
        low: "0",
        high: "0.6",
        sure: Sure::Within("30 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        means: Means::Fitted,
        help: "Plain thrust washer 0.1 to 0.15; ball thrust bearing 0.003",
        ..INPUT
    };
    COLLAR_DIAMETER: Length = Input {
        id: "axis.collar_diameter",
        symbol: "d_c",
        label: "Mean diameter of the collar",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "10 mm")]),
        low: "0 mm",
        high: "500 mm",
        sure: Sure::Within("5 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        means: Means::Fitted,
        help: "Mean diameter of the thrust washer or bearing",
        ..INPUT
    };
    TRANSMISSION_EFFICIENCY: Ratio = Input {
        id: "axis.transmission_efficiency",
        symbol: "η_t",
        label: "Efficiency of the transmission",
        form: Form::Quantity(Measure::Share),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Belt).or(Kinds::only(Kind::Drum)), "0.95"), (Kinds::only(Kind::Rack), "0.90")]),
        low: "0.05",
        high: "1",
        sure: Sure::Within("5 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Belt).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        because: "nothing gives out more than goes in, and below 5 % nothing moves",
        help: "Force out × travel / torque in × angle, measured slowly with two scales; else leave assumed",
        ..INPUT
    };
    REDUCTION: Rational = Input {
        id: "axis.reduction",
        symbol: "i_last",
        label: "Last stage between gear motor and axis",
        form: Form::Exact,
        preset: Preset::LeftOut,
        low: "0.01",
        high: "1000",
        layer: 2,
        means: Means::Fitted,
        help: "Belt, ring gear, worm or crank between gear motor and axis: count the teeth, driven:driver",
        ..INPUT
    };
    REDUCTION_EFFICIENCY: Ratio = Input {
        id: "axis.reduction_efficiency",
        symbol: "η_last",
        label: "Efficiency of the last stage",
        form: Form::Quantity(Measure::Share),
        preset: Preset::Fixed("1"),
        low: "0.05",
        high: "1",
        sure: Sure::Within("10 %"),
        layer: 3,
        means: Means::Bought,
        help: "Torque out / (torque in × ratio), two scales, slowly; worm 0.3 to 0.5, belt 0.95",
        ..INPUT
    };
    REDUCTION_BACKLASH: Angle = Input {
        id: "axis.reduction_backlash",
        symbol: "b_last",
        label: "Free play of the last stage",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Fixed("0 deg"),
        low: "0 deg",
        high: "45 deg",
        sure: Sure::Within("50 %"),
        layer: 3,
        means: Means::Bought,
        help: "Gear motor shaft held, pointer on the axis, swing it lightly both ways",
        ..INPUT
    };
    START_ANGLE: Angle = Input {
        id: "axis.start_angle",
        symbol: "φ_0",
        label: "Angle of the arm from level",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Fixed("0 deg"),
        low: "-180 deg",
        high: "180 deg",
        sure: Sure::Within("2 deg"),
        layer: 3,
        kinds: Kinds::only(Kind::Arm),
        means: Means::Asked,
        help: "Arm only: angle from level at the start of the move; protractor or phone level",
        ..INPUT
    };
    HOME: Home = Input {
        id: "axis.home",
        symbol: "home",
        label: "How home is found",
        form: Form::Choice(Home::WORDS),
        preset: Preset::Fixed("none"),
        layer: 3,
        means: Means::Fitted,
        help: "What finds the zero after power-up: a switch, a stop, an index mark, or nothing",
        ..INPUT
    };
    HOME_REPEATABILITY: Travel = Input {
        id: "axis.home_repeatability",
        symbol: "e_home",
        label: "Repeatability of home",
        form: Form::Travel,
        preset: Preset::LeftOut,
        low: "0",
        high: "10 deg | 10 mm",
        layer: 3,
        help: "Home ten times against a dial: half of the spread",
        ..INPUT
    };
    POSITION_TOLERANCE: Travel = Input {
        id: "axis.position_tolerance",
        symbol: "e_max",
        label: "Error that is allowed",
        form: Form::Travel,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Torque)), "2 deg"), (Kinds::only(Kind::Turntable), "6 deg"), (Kinds::only(Kind::Belt), "0.6 mm"), (Kinds::only(Kind::Rack).or(Kinds::only(Kind::Drum)), "1 mm"), (Kinds::only(Kind::Screw), "0.1 mm")]),
        low: ">0",
        high: "360 deg | 1 m",
        layer: 1,
        because: "an axis that may stop nowhere, or anywhere, has no task",
        means: Means::Asked,
        help: "How far off may the load stop before the job is spoiled? Millimetres are read as arc at the radius",
        ..INPUT
    };
    AMBIENT_TEMPERATURE: ThermodynamicTemperature = Input {
        id: "axis.ambient_temperature",
        symbol: "ϑ_a",
        label: "Ambient temperature",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("25 degC"),
        low: "-40 degC",
        high: "85 degC",
        sure: Sure::Within("5 K"),
        layer: 2,
        because: "greases, magnets and boards for hobby use end there",
        help: "Thermometer beside the motor at the hottest hour of use",
        ..INPUT
    };
}

results! {
    first;

    LAST_STAGE: Rational = Outcome {
        id: "axis.last_stage",
        symbol: "i_a",
        label: "Ratio of the last stage in effect",
        measure: Measure::Ratio,
        meaning: "turns of the gear motor for one of the axis",
        formula: "'as given, or 1 where there is no last stage'",
        source: "definition",
        shown: false,
        ..RESULT
    }, last_stage;
    TRAVEL_PER_TURN: TurnLength = Outcome {
        id: "axis.travel_per_turn",
        symbol: "s_turn",
        label: "Travel in one turn of the axis",
        measure: Measure::Length,
        meaning: "along the travel, or around the rim",
        formula: "2 * pi * axis.radius",
        source: "geometry; exact where teeth or a lead say it",
        ..RESULT
    }, travel_per_turn;
    TRAVEL_FORCE: Force = Outcome {
        id: "axis.travel_force",
        symbol: "Z",
        label: "Force along the travel, moving against the load",
        measure: Measure::Force,
        meaning: "weight, friction and what pushes",
        formula: "axis.load_mass * g * (sin(axis.slope) + axis.friction_coefficient * cos(axis.slope)) + axis.external_force + axis.drag_force",
        source: "force balance on an incline",
        ..RESULT
    }, travel_force;
    TORQUE_AT_AXIS: Torque = Outcome {
        id: "axis.torque_at_axis",
        symbol: "T_La",
        label: "Load torque at the axis itself",
        measure: Measure::Torque,
        meaning: "before the last stage",
        formula: "axis.load_mass * g * axis.radius + axis.external_force * axis.radius + axis.drag_force * axis.radius",
        source: "statics of the arm, worst when level",
        shown: false,
        ..RESULT
    }, torque_at_axis;
    HOLDING_AT_AXIS: Torque = Outcome {
        id: "axis.holding_at_axis",
        symbol: "T_Ha",
        label: "Holding torque at the axis itself",
        measure: Measure::Torque,
        meaning: "before the last stage",
        formula: "axis.load_mass * g * axis.radius + axis.external_force * axis.radius",
        source: "statics, no friction",
        shown: false,
        ..RESULT
    }, holding_at_axis;
    RETURN_AT_AXIS: Torque = Outcome {
        id: "axis.return_at_axis",
        symbol: "T_Ra",
        label: "Return torque at the axis itself",
        measure: Measure::Torque,
        meaning: "before the last stage",
        formula: "axis.torque_at_axis - 2 * axis.holding_at_axis",
        source: "friction is the same both ways",
        shown: false,
        ..RESULT
    }, return_at_axis;
    LOAD_TORQUE: Torque = Outcome {
        id: "axis.load_torque",
        symbol: "T_L",
        label: "Load torque at the output, moving against the load",
        measure: Measure::Torque,
        meaning: "what the gear motor must give in steady motion",
        formula: "axis.torque_at_axis",
        source: "carried through the last stage, where there is one",
        ..RESULT
    }, load_torque;
    HOLDING_TORQUE: Torque = Outcome {
        id: "axis.holding_torque",
        symbol: "T_H",
        label: "Holding torque at the output",
        measure: Measure::Torque,
        meaning: "at standstill, no help from friction",
        formula: "axis.holding_at_axis / axis.last_stage",
        source: "statics",
        ..RESULT
    }, holding_torque;
    FRICTION_TORQUE: Torque = Outcome {
        id: "axis.friction_torque",
        symbol: "T_C",
        label: "Friction torque at the output",
        measure: Measure::Torque,
        meaning: "what always opposes motion",
        formula: "axis.load_torque - axis.holding_torque",
        source: "definition",
        ..RESULT
    }, friction_torque;
    LOAD_TORQUE_RETURN: Torque = Outcome {
        id: "axis.load_torque_return",
        symbol: "T_R",
        label: "Torque for the way back",
        measure: Measure::Torque,
        meaning: "above 0 it must be driven, below 0 it drives",
        formula: "axis.return_at_axis",
        source: "carried through the last stage, where there is one",
        ..RESULT
    }, load_torque_return;
    LOAD_INERTIA: MomentOfInertia = Outcome {
        id: "axis.load_inertia",
        symbol: "J_L",
        label: "Inertia of the load at the output",
        measure: Measure::Inertia,
        meaning: "about the gear motor’s output shaft",
        formula: "(axis.payload_inertia + axis.load_mass * axis.radius ^ 2) / axis.last_stage ^ 2",
        source: "parallel masses",
        ..RESULT
    }, load_inertia;
    REFLECTED_INERTIA: MomentOfInertia = Outcome {
        id: "axis.reflected_inertia",
        symbol: "J_N",
        label: "Inertia of the rotor, seen at the output",
        measure: Measure::Inertia,
        meaning: "the ratio squared makes it large",
        formula: "gears.exact_ratio ^ 2 * motor.rotor_inertia",
        source: "energy of a gear train",
        shown: false,
        ..RESULT
    }, reflected_inertia;
    INERTIA_RATIO: Ratio = Outcome {
        id: "axis.inertia_ratio",
        symbol: "J_ratio",
        label: "Inertia of the load over that of the rotor",
        measure: Measure::Ratio,
        meaning: "high ratios make the rotor the larger part",
        formula: "axis.load_inertia / axis.reflected_inertia",
        source: "definition",
        ..RESULT
    }, inertia_ratio;
    TOLERANCE_AT_LOAD: Travel = Outcome {
        id: "axis.tolerance_at_load",
        symbol: "e_load",
        label: "Error that is allowed, at the load",
        measure: Measure::Angle,
        meaning: "as a length where the axis has one",
        formula: "'the allowed error: as given, or as arc at the radius'",
        source: "geometry",
        shown: false,
        ..RESULT
    }, tolerance_at_load;
    DISTANCE_AT_LOAD: Travel = Outcome {
        id: "axis.distance_at_load",
        symbol: "s_load",
        label: "Distance of the move, at the load",
        measure: Measure::Angle,
        meaning: "as a length where the axis has one",
        formula: "'the distance: as given, or as arc at the radius'",
        source: "geometry",
        shown: false,
        ..RESULT
    }, distance_at_load;
    BACK_DRIVES: bool = Outcome {
        id: "axis.back_drives",
        symbol: "moves_off",
        label: "Moves by itself with the power off",
        measure: Measure::YesNo,
        meaning: "never rely on friction for safety",
        formula: "'yes where the load turns the shaft with more than gears.back_drive_torque'",
        source: "torque balance with the motor unpowered",
        ..RESULT
    }, back_drives;
    BACK_DRIVING_TORQUE: Torque = Outcome {
        id: "axis.back_driving_torque",
        symbol: "T_b",
        label: "Torque with which the load turns the shaft, power off",
        measure: Measure::Torque,
        meaning: "0 where its own friction holds it",
        formula: "max(0, max(-axis.load_torque_return, -axis.load_torque))",
        source: "torque balance with the motor unpowered",
        ..RESULT
    }, back_driving_torque;
    MOVING_ENERGY: Energy = Outcome {
        id: "axis.moving_energy",
        symbol: "E_moving",
        label: "Energy of the moving axis",
        measure: Measure::Energy,
        meaning: "load and rotor at peak speed",
        formula: "(axis.load_inertia + axis.reflected_inertia) * move.peak_speed ^ 2 / 2",
        source: "kinetic energy",
        ..RESULT
    }, moving_energy;
    FALL_ENERGY: Energy = Outcome {
        id: "axis.fall_energy",
        symbol: "E_fall",
        label: "Energy of the fall",
        measure: Measure::Energy,
        meaning: "the load down the height of the move",
        formula: "axis.load_mass * g * abs(axis.distance_at_load * sin(axis.slope))",
        source: "potential energy",
        ..RESULT
    }, fall_energy;
}

/// Travel per turn as a length, exact where teeth or a lead make it rational.
#[derive(Clone, Copy, Debug)]
pub struct TurnLength {
    length: Length,
    exact: Option<ratio::Exact>,
}

impl From<TurnLength> for Found {
    fn from(turn: TurnLength) -> Self {
        Self {
            value: turn.length.value,
            exact: turn.exact,
            measure: None,
        }
    }
}

/// Travel in one turn of the axis as a length.
pub const TURN_TRAVEL: Key<Length> = Key::at(TRAVEL_PER_TURN.index());

/// Ratio of the last stage as a factor.
pub const LAST_STAGE_NOW: Key<Ratio> = LAST_STAGE.as_ratio();

fn last_stage(c: &Eval<'_>) -> Result<Rational, Absent> {
    if c.left_out_now(REDUCTION) {
        return ratio::exact(1, 1).map(Rational).ok_or(BEYOND);
    }
    c.exact(REDUCTION).map(Rational)
}

/// Travel per turn, with its factor of π kept apart.
///
/// # Errors
/// When the kind has no travel, or what says it is not given.
pub fn turn_travel(c: &Eval<'_>) -> Result<TurnTravel, Absent> {
    let round = |c: &Eval<'_>| formulas::round_travel(c.exact(RADIUS)?).ok_or(BEYOND);
    match c.get(KIND)? {
        Kind::Belt if !by_radius(c, PULLEY_TEETH) => {
            c.working("axis.pulley_teeth * axis.belt_pitch");
            formulas::belt_travel(c.get(PULLEY_TEETH)?, c.exact(BELT_PITCH)?).ok_or(BEYOND)
        }
        Kind::Rack if !by_radius(c, PINION_TEETH) => {
            c.working("pi * axis.pinion_module * axis.pinion_teeth");
            formulas::rack_travel(c.get(PINION_TEETH)?, c.exact(PINION_MODULE)?).ok_or(BEYOND)
        }
        Kind::Screw => {
            c.working("axis.screw_lead");
            c.exact(SCREW_LEAD).map(TurnTravel::Rational)
        }
        Kind::Torque => Err(Absent::not_asked("a torque given has no travel")),
        _ => round(c),
    }
}

/// A given radius beats assumed teeth; both given, the teeth are used.
fn by_radius(c: &Eval<'_>, teeth: Key<u32>) -> bool {
    c.given(RADIUS) && !c.given(teeth)
}

fn travel_per_turn(c: &Eval<'_>) -> Result<TurnLength, Absent> {
    let travel = turn_travel(c)?;
    let exact = match travel {
        TurnTravel::Rational(exact) => Some(exact),
        TurnTravel::TimesPi(_) => None,
    };
    let length = formulas::travel_length(travel).ok_or(BEYOND)?;
    Ok(TurnLength { length, exact })
}

fn carried(c: &Eval<'_>) -> Result<formulas::Carried, Absent> {
    Ok(formulas::Carried {
        mass: c.get(LOAD_MASS)?,
        external_force: c.get(EXTERNAL_FORCE)?,
        drag_force: c.get(DRAG_FORCE)?,
    })
}

fn straight(c: &Eval<'_>) -> Result<formulas::Travel, Absent> {
    Ok(formulas::Travel {
        carried: carried(c)?,
        slope: c.get(SLOPE)?,
        friction_coefficient: c.get(FRICTION_COEFFICIENT)?,
    })
}

fn travel_force(c: &Eval<'_>) -> Result<Force, Absent> {
    if c.get(KIND)?.is_linear() {
        Ok(formulas::travel_force(straight(c)?))
    } else {
        Err(Absent::not_asked(
            "a turning axis has no force along a line",
        ))
    }
}

fn screw(c: &Eval<'_>) -> Result<formulas::Screw, Absent> {
    Ok(formulas::Screw {
        lead: c.get(SCREW_LEAD)?,
        mean_diameter: c.get(SCREW_MEAN_DIAMETER)?,
        thread_friction: c.get(SCREW_THREAD_FRICTION)?,
        flank_angle: c.get(SCREW_FLANK_ANGLE)?,
        collar_friction: c.get(COLLAR_FRICTION)?,
        collar_diameter: c.get(COLLAR_DIAMETER)?,
    })
}

/// Torques at the axis itself, by its kind.
fn load_at_axis(c: &Eval<'_>) -> Result<formulas::Load, Absent> {
    match c.get(KIND)? {
        Kind::Arm => Ok(formulas::arm(carried(c)?, c.get(RADIUS)?)),
        Kind::Turntable => Ok(formulas::turntable(
            carried(c)?,
            c.get(RADIUS)?,
            c.get(FRICTION_COEFFICIENT)?,
            c.get(BEARING_RADIUS)?,
        )),
        Kind::Torque => Ok(formulas::given(
            c.get(LOAD_TORQUE_GIVEN)?,
            Force::default(),
            Length::default(),
        )),
        Kind::Screw if c.option(TRANSMISSION_EFFICIENCY)?.is_none() => {
            formulas::screw_by_threads(straight(c)?, screw(c)?).map_err(|error| match error {
                formulas::ScrewError::Binds => Absent::impossible(
                    "the screw binds: π·d is not above f·l·sec α, so friction grows faster than any torque",
                ),
                _ => Absent::impossible("no thread has this diameter and flank angle"),
            })
        }
        _ => {
            let efficiency = c.option(TRANSMISSION_EFFICIENCY)?.unwrap_or(Ratio::from(1.0));
            let radius = formulas::effective_radius(c.get(TURN_TRAVEL)?);
            formulas::linear(straight(c)?, radius, efficiency).ok_or(BEYOND)
        }
    }
}

/// Whether the screw is computed by its threads.
fn by_threads(c: &Eval<'_>) -> Result<bool, Absent> {
    Ok(c.get(KIND)? == Kind::Screw && c.option(TRANSMISSION_EFFICIENCY)?.is_none())
}

const RAISE: &str = "axis.travel_force * axis.screw_mean_diameter / 2 * (axis.screw_lead + pi * axis.screw_thread_friction * axis.screw_mean_diameter / cos(axis.screw_flank_angle)) / (pi * axis.screw_mean_diameter - axis.screw_thread_friction * axis.screw_lead / cos(axis.screw_flank_angle)) + axis.travel_force * axis.collar_friction * axis.collar_diameter / 2";

fn torque_at_axis(c: &Eval<'_>) -> Result<Torque, Absent> {
    let torque = load_at_axis(c)?.load_torque;
    match c.get(KIND)? {
        Kind::Arm => {}
        Kind::Turntable => c.working("axis.friction_coefficient * axis.load_mass * g * axis.bearing_radius + axis.external_force * axis.radius + axis.drag_force * axis.radius"),
        Kind::Torque => c.working("axis.load_torque_given"),
        Kind::Screw if by_threads(c)? => c.working(if c.get(TRAVEL_FORCE)?.value >= 0.0 {
            RAISE
        } else {
            "'the load drives the screw: -Z·(d/2)·(π·f·d·sec α − l)/(π·d + f·l·sec α) plus the collar'"
        }),
        _ if c.get(TRAVEL_FORCE)?.value >= 0.0 => c.working(
            "axis.travel_force * axis.travel_per_turn / (2 * pi * axis.transmission_efficiency)",
        ),
        _ => c.working(
            "axis.travel_force * axis.travel_per_turn / (2 * pi) * (2 - 1 / axis.transmission_efficiency)",
        ),
    }
    Ok(torque)
}

fn holding_at_axis(c: &Eval<'_>) -> Result<Torque, Absent> {
    match c.get(KIND)? {
        Kind::Arm => {}
        Kind::Turntable => c.working("axis.external_force * axis.radius"),
        Kind::Torque => c.working("axis.load_torque_given"),
        _ => c.working("(axis.load_mass * g * sin(axis.slope) + axis.external_force) * axis.travel_per_turn / (2 * pi)"),
    }
    Ok(load_at_axis(c)?.holding_torque)
}

fn return_at_axis(c: &Eval<'_>) -> Result<Torque, Absent> {
    if by_threads(c)? {
        c.working("'lowering by the thread: F_t·(d/2)·(π·f·d·sec α − l)/(π·d + f·l·sec α) + |F_t|·f_c·d_c/2, F_t the force that pushes back; raising where friction on the slope is the greater'");
    }
    Ok(load_at_axis(c)?.load_torque_return)
}

/// Efficiency of the last stage, 1 where there is none.
///
/// # Errors
/// When it is not understood.
pub fn last_stage_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.left_out_now(REDUCTION) {
        return Ok(Ratio::from(1.0));
    }
    c.get(REDUCTION_EFFICIENCY)
}

fn reduction(c: &Eval<'_>) -> Result<formulas::Reduction, Absent> {
    Ok(formulas::Reduction {
        ratio: c.get(LAST_STAGE_NOW)?,
        efficiency: c.get(REDUCTION_EFFICIENCY)?,
    })
}

/// The torques of the axis carried to the gearbox output.
fn load_at_output(c: &Eval<'_>) -> Result<formulas::Load, Absent> {
    let at_axis = formulas::Load {
        load_torque: c.get(TORQUE_AT_AXIS)?,
        holding_torque: c.get(HOLDING_AT_AXIS)?,
        load_torque_return: c.get(RETURN_AT_AXIS)?,
    };
    if c.left_out_now(REDUCTION) {
        return Ok(at_axis);
    }
    formulas::carry_load(at_axis, reduction(c)?).ok_or(BEYOND)
}

fn load_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    if !c.left_out_now(REDUCTION) {
        c.working(if c.get(TORQUE_AT_AXIS)?.value >= 0.0 {
            "axis.torque_at_axis / (axis.last_stage * axis.reduction_efficiency)"
        } else {
            "axis.torque_at_axis / axis.last_stage * (2 - 1 / axis.reduction_efficiency)"
        });
    }
    Ok(load_at_output(c)?.load_torque)
}

fn holding_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(load_at_output(c)?.holding_torque)
}

fn friction_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(c.get(LOAD_TORQUE)? - c.get(HOLDING_TORQUE)?)
}

fn load_torque_return(c: &Eval<'_>) -> Result<Torque, Absent> {
    if !c.left_out_now(REDUCTION) {
        c.working(if c.get(RETURN_AT_AXIS)?.value >= 0.0 {
            "axis.return_at_axis / (axis.last_stage * axis.reduction_efficiency)"
        } else {
            "axis.return_at_axis / axis.last_stage * (2 - 1 / axis.reduction_efficiency)"
        });
    }
    Ok(load_at_output(c)?.load_torque_return)
}

/// The torques at the output, together.
///
/// # Errors
/// Why one of them is not there.
pub fn load(c: &Eval<'_>) -> Result<formulas::Load, Absent> {
    Ok(formulas::Load {
        load_torque: c.get(LOAD_TORQUE)?,
        holding_torque: c.get(HOLDING_TORQUE)?,
        load_torque_return: c.get(LOAD_TORQUE_RETURN)?,
    })
}

fn load_inertia(c: &Eval<'_>) -> Result<MomentOfInertia, Absent> {
    let at_axis = match c.get(KIND)? {
        Kind::Torque => {
            c.working("axis.load_inertia_given / axis.last_stage ^ 2");
            c.get(LOAD_INERTIA_GIVEN)?
        }
        Kind::Turntable => {
            c.working("axis.payload_inertia / axis.last_stage ^ 2");
            c.get(PAYLOAD_INERTIA)?
        }
        Kind::Arm => {
            formulas::load_inertia(c.get(PAYLOAD_INERTIA)?, c.get(LOAD_MASS)?, c.get(RADIUS)?)
        }
        _ => {
            c.working("(axis.payload_inertia + axis.load_mass * (axis.travel_per_turn / (2 * pi)) ^ 2) / axis.last_stage ^ 2");
            let radius = formulas::effective_radius(c.get(TURN_TRAVEL)?);
            formulas::load_inertia(c.get(PAYLOAD_INERTIA)?, c.get(LOAD_MASS)?, radius)
        }
    };
    formulas::carry_inertia(at_axis, c.get(LAST_STAGE_NOW)?).ok_or(BEYOND)
}

fn reflected_inertia(c: &Eval<'_>) -> Result<MomentOfInertia, Absent> {
    Ok(pulsewright_calc::gears::reflected_inertia(
        c.get(motor::ROTOR_INERTIA)?,
        c.get(gears::RATIO_NOW)?,
    ))
}

fn inertia_ratio(c: &Eval<'_>) -> Result<Ratio, Absent> {
    formulas::inertia_ratio(c.get(LOAD_INERTIA)?, c.get(REFLECTED_INERTIA)?).ok_or(BEYOND)
}

/// An angle or a length that a person entered, as this kind of axis shows it: a length along the
/// travel or as arc at the radius, an angle where a torque is given.
///
/// # Errors
/// When it was entered as what this kind does not take.
pub fn shown(c: &Eval<'_>, entered: Travel) -> Result<Travel, Absent> {
    let kind = c.get(KIND)?;
    match entered {
        Travel::Angle(_) if kind.is_linear() => Err(Absent::missing(usize::from(u16::MAX))),
        Travel::Length(_) if kind == Kind::Torque => Err(Absent::missing(usize::from(u16::MAX))),
        Travel::Angle(angle) if kind != Kind::Torque => Ok(Travel::Length(
            pulsewright_calc::gears::travel_of(angle, c.get(TURN_TRAVEL)?),
        )),
        other => Ok(other),
    }
}

/// A travel at the load as an angle of the gearbox output.
///
/// # Errors
/// When it is not there.
pub fn at_output(c: &Eval<'_>, travel: Travel) -> Result<Angle, Absent> {
    let at_axis = match travel {
        Travel::Angle(angle) => angle,
        Travel::Length(length) => {
            let share = length / c.get(TURN_TRAVEL)?;
            pulsewright_calc::units::turns(share.value)
        }
    };
    Ok(at_axis * c.get(LAST_STAGE_NOW)?.value)
}

/// An angle of the gearbox output as the load shows it.
///
/// # Errors
/// When the axis is not there.
pub fn at_load(c: &Eval<'_>, output: Angle) -> Result<Travel, Absent> {
    shown_angle(c, output / c.get(LAST_STAGE_NOW)?.value)
}

/// An angle of the axis as the load shows it.
///
/// # Errors
/// When the axis is not there.
pub fn shown_angle(c: &Eval<'_>, at_axis: Angle) -> Result<Travel, Absent> {
    if c.get(KIND)? == Kind::Torque {
        return Ok(Travel::Angle(at_axis));
    }
    Ok(Travel::Length(pulsewright_calc::gears::travel_of(
        at_axis,
        c.get(TURN_TRAVEL)?,
    )))
}

/// What was entered, as this kind of axis shows it.
///
/// # Errors
/// When it is not there, or is what this kind does not take.
pub fn entered(c: &Eval<'_>, key: Key<Travel>) -> Result<Travel, Absent> {
    let wrong = Absent::missing(key.index());
    shown(c, c.travel(key)?).map_err(|absent| {
        if usize::from(absent.about) == usize::from(u16::MAX) {
            wrong
        } else {
            absent
        }
    })
}

fn tolerance_at_load(c: &Eval<'_>) -> Result<Travel, Absent> {
    entered(c, POSITION_TOLERANCE)
}

fn distance_at_load(c: &Eval<'_>) -> Result<Travel, Absent> {
    entered(c, movement::DISTANCE)
}

/// Torque that turns the unpowered motor from the output; `None` where the gears lock.
fn holds(c: &Eval<'_>) -> Result<Option<Torque>, Absent> {
    match c.get(gears::BACK_DRIVE_TORQUE) {
        Ok(torque) => Ok(Some(torque)),
        Err(absent) if absent.code == Code::Unlimited => Ok(None),
        Err(absent) => Err(absent),
    }
}

fn back_driving_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    let driving = formulas::back_driving(load(c)?, holds(c)?).driving_torque;
    Ok(if driving.value > 0.0 {
        driving
    } else {
        Torque::default()
    })
}

fn back_drives(c: &Eval<'_>) -> Result<bool, Absent> {
    Ok(formulas::back_driving(load(c)?, holds(c)?).moves)
}

fn moving_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    Ok(formulas::moving_energy(
        c.get(LOAD_INERTIA)?,
        c.get(REFLECTED_INERTIA)?,
        c.get(movement::PEAK_SPEED)?,
    ))
}

fn fall_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    let height = match c.get(KIND)? {
        Kind::Arm => {
            c.working(
                "'m·g times the height between the highest and the lowest place of the move'",
            );
            let angle = at_output(c, c.travel(DISTANCE_AT_LOAD)?)? / c.get(LAST_STAGE_NOW)?.value;
            formulas::arm_height(c.get(RADIUS)?, c.get(START_ANGLE)?, angle)
        }
        kind if kind.is_linear() => match c.travel(DISTANCE_AT_LOAD)? {
            Travel::Length(length) => formulas::slope_height(length, c.get(SLOPE)?),
            Travel::Angle(_) => return Err(BEYOND),
        },
        Kind::Turntable => {
            c.working("0");
            Length::default()
        }
        _ => return Err(Absent::not_asked("a torque given says nothing of a height")),
    };
    Ok(formulas::fall_energy(c.get(LOAD_MASS)?, height))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "falls_without_power",
        station: Station::Axis,
        message: "When the power goes, this load can fall: {axis.load_mass}, {axis.holding_torque} at the shaft, {axis.fall_energy}. Gears may slow it or hold it today; friction is not a brake. Prop or hang the load before you switch off, keep hands and heads out of its path, and fit a spring, a counterweight or a brake where anyone can reach under it.",
        numbers: &[
            "axis.holding_torque",
            "axis.back_driving_torque",
            "gears.back_drive_torque",
            "axis.fall_energy",
        ],
        when: falls,
    },
    Finding {
        id: "falls_without_power",
        station: Station::Axis,
        message: "When the power goes, this load can turn the shaft backwards: {axis.holding_torque}. Gears may slow it or hold it today; friction is not a brake. Prop the load before you switch off, keep hands and heads out of its path, and fit a spring, a counterweight or a brake where anyone can reach it.",
        numbers: &[
            "axis.holding_torque",
            "axis.back_driving_torque",
            "gears.back_drive_torque",
        ],
        when: turns_back,
    },
    Finding {
        id: "held_by_friction",
        station: Station::Axis,
        message: "With the power off only friction holds this load against {axis.holding_torque} at the shaft. It may hold, it may creep with vibration, grease and wear; never rely on it where someone can be hurt.",
        numbers: &[
            "axis.holding_torque",
            "axis.back_driving_torque",
            "gears.back_drive_torque",
        ],
        when: held,
    },
    Finding {
        id: "no_home",
        station: Station::Axis,
        message: "Counts are lost without power, and nothing finds home again. Fit a switch, a stop or an index mark, or say which you have.",
        numbers: &[],
        when: no_home,
    },
    Finding {
        id: "inputs_disagree",
        station: Station::Axis,
        message: "The radius and the teeth do not say the same travel; the teeth are used ({axis.travel_per_turn} a turn).",
        numbers: &["axis.radius", "axis.travel_per_turn"],
        when: radius_disagrees,
    },
];

fn pulled(c: &Eval<'_>) -> Result<bool, Absent> {
    Ok(c.get(HOLDING_TORQUE)?.value.abs() > 0.0)
}

fn falls(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let carries = c.get(KIND)? != Kind::Torque;
    Ok((carries && pulled(c)? && c.get(BACK_DRIVES)?).then_some(Severity::Warning))
}

fn turns_back(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let bare = c.get(KIND)? == Kind::Torque;
    Ok((bare && pulled(c)? && c.get(BACK_DRIVES)?).then_some(Severity::Warning))
}

fn held(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((pulled(c)? && !c.get(BACK_DRIVES)?).then_some(Severity::Warning))
}

fn no_home(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(HOME)? == Home::None).then_some(Severity::Fault))
}

fn radius_disagrees(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let both = match c.get(KIND)? {
        Kind::Belt => c.given(RADIUS) && c.given(PULLEY_TEETH),
        Kind::Rack => c.given(RADIUS) && c.given(PINION_TEETH),
        _ => false,
    };
    if !both {
        return Ok(None);
    }
    let by_teeth = formulas::effective_radius(c.get(TURN_TRAVEL)?);
    let off = (c.get(RADIUS)?.value / by_teeth.value - 1.0).abs();
    Ok((off > 1e-3).then_some(Severity::Note))
}
