//! What has to move.

use super::key::{Found, Key, Rational, Travel};
use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Kind, Kinds, Preset, RESULT,
    ResultDefinition, Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::ratio;
use pulsewright_calc::units::{
    Angle, Energy, Force, Length, Mass, MomentOfInertia, Ratio, ThermodynamicTemperature, Torque,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Axis,
    prefixes: &["axis"],
    name: "Axis",
    question: "What has to move, and how hard does it push back?",
    about: "Every check is made against this load. Weigh and measure it first.",
};

choices! {
    /// How home is found.
    Home {
        None = "none",
        Switch = "switch",
        Stop = "stop",
        Index = "index",
    }
}

choices! {
    /// What a load torque that is given does at rest.
    LoadIs {
        Lifting = "lifting",
        Friction = "friction",
        Part = "part",
    }
}

inputs! {
    axis;

    KIND: Kind = Input {
        id: "axis.kind",
        symbol: "kind",
        label: "Kind of axis",
        form: Form::Choice(Kind::WORDS),
        preset: Preset::Fixed("arm"),
        layer: 1,
        changed_by: ChangedBy::Nothing,
        help: "Pick the drawing that looks like your machine. An arm that swings level about an upright shaft is a turntable (no gravity)",
        ..INPUT
    };
    LOAD_MASS: Mass = Input {
        id: "axis.load_mass",
        symbol: "m",
        label: "Load mass",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm), "60 g"), (Kinds::only(Kind::Turntable), "150 g"), (Kinds::only(Kind::Drum), "200 g"), (Kinds::only(Kind::Belt).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Screw)), "300 g")]),
        low: "0 kg",
        high: "200 kg",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 1,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        too_much: "this is no job for a small gear motor",
        changed_by: ChangedBy::Requirement,
        help: "Kitchen or luggage scale: everything that moves with the axis",
        ..INPUT
    };
    RADIUS: Length = Input {
        id: "axis.radius",
        symbol: "r",
        label: "Arm length or radius",
        labels: &[(Kind::Arm, "Arm length to the centre of mass"), (Kind::Turntable, "Turntable radius"), (Kind::Belt, "Pulley pitch radius"), (Kind::Rack, "Pinion pitch radius"), (Kind::Drum, "Drum radius")],
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm), "50 mm"), (Kinds::only(Kind::Turntable), "60 mm"), (Kinds::only(Kind::Drum), "10 mm")]),
        low: ">0 m",
        high: "2 m",
        default_tolerance: DefaultTolerance::Within("2 %"),
        layer: 1,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        too_little: "a load on the axis itself has no lever",
        too_much: "an arm or wheel of this size is no job for a small gear motor",
        changed_by: ChangedBy::Requirement,
        help: "Arm: shaft to the load's centre of mass. Turntable: shaft to the point that must line up. Pulley, pinion: pitch radius. Drum: half its diameter plus half the cord. An entered radius is used before tooth counts",
        ..INPUT
    };
    PULLEY_TEETH: u32 = Input {
        id: "axis.pulley_teeth",
        symbol: "z_pulley",
        label: "Pulley teeth",
        form: Form::Whole,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Belt), "16")]),
        low: "6",
        high: "400",
        layer: 1,
        kinds: Kinds::only(Kind::Belt),
        changed_by: ChangedBy::Fitting,
        help: "Count them",
        ..INPUT
    };
    BELT_PITCH: Length = Input {
        id: "axis.belt_pitch",
        symbol: "p_belt",
        label: "Belt pitch",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Belt), "2 mm")]),
        low: "0.5 mm",
        high: "25 mm",
        layer: 1,
        kinds: Kinds::only(Kind::Belt),
        changed_by: ChangedBy::Nothing,
        help: "Printed on the belt, or ten teeth by calliper, divided by ten",
        ..INPUT
    };
    PINION_TEETH: u32 = Input {
        id: "axis.pinion_teeth",
        symbol: "z_pinion",
        label: "Pinion teeth",
        form: Form::Whole,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Rack), "20")]),
        low: "6",
        high: "400",
        layer: 1,
        kinds: Kinds::only(Kind::Rack),
        changed_by: ChangedBy::Fitting,
        help: "Count them",
        ..INPUT
    };
    PINION_MODULE: Length = Input {
        id: "axis.pinion_module",
        symbol: "m_pinion",
        label: "Pinion module",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Rack), "0.8 mm")]),
        low: "0.1 mm",
        high: "10 mm",
        layer: 1,
        kinds: Kinds::only(Kind::Rack),
        changed_by: ChangedBy::Nothing,
        help: "Rack pitch (ten teeth by calliper, divided by ten) / π",
        ..INPUT
    };
    PAYLOAD_INERTIA: MomentOfInertia = Input {
        id: "axis.payload_inertia",
        symbol: "J_p",
        label: "Additional inertia",
        form: Form::Quantity(Measure::Inertia),
        preset: Preset::Computed("½·m·r² of a disc on a turntable; none on other kinds"),
        low: "0 kg.m2",
        high: "100 kg.m2",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        changed_by: ChangedBy::Requirement,
        help: "Weigh and measure: disc ½·m·r², bar about its middle m·L²/12, ring m·r². Turntable: with the load that rides on it",
        ..INPUT
    };
    SLOPE: Angle = Input {
        id: "axis.slope",
        symbol: "β",
        label: "Incline of the travel",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Belt).or(Kinds::only(Kind::Rack)), "0 deg"), (Kinds::only(Kind::Screw).or(Kinds::only(Kind::Drum)), "90 deg")]),
        low: "-90 deg",
        high: "90 deg",
        default_tolerance: DefaultTolerance::Within("1 deg"),
        layer: 2,
        kinds: Kinds::only(Kind::Belt).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        too_little: "steeper than upright is the other way round",
        too_much: "steeper than upright is the other way round",
        changed_by: ChangedBy::Requirement,
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
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Turntable).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        help: "Unpowered, pull the load along the level with a spring scale: steady pull / weight",
        ..INPUT
    };
    BEARING_RADIUS: Length = Input {
        id: "axis.bearing_radius",
        symbol: "r_b",
        label: "Mean bearing radius",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("10 mm"),
        low: "0.5 mm",
        high: "1 m",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Turntable),
        changed_by: ChangedBy::Fitting,
        help: "Turntable only: mean radius of the ball circle or thrust washer",
        ..INPUT
    };
    EXTERNAL_FORCE: Force = Input {
        id: "axis.external_force",
        symbol: "F",
        label: "Constant external force",
        form: Form::Quantity(Measure::Force),
        preset: Preset::Fixed("0 N"),
        low: "-5000 N",
        high: "5000 N",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 2,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        changed_by: ChangedBy::Requirement,
        help: "Spring scale at the arm's end or along the travel; positive resists the move. Only what pushes also at standstill (spring, wind, cable weight)",
        ..INPUT
    };
    DRAG_FORCE: Force = Input {
        id: "axis.drag_force",
        symbol: "F_d",
        label: "Friction (drag) force",
        form: Form::Quantity(Measure::Force),
        preset: Preset::Fixed("0 N"),
        low: "0 N",
        high: "5000 N",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Belt)).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        too_little: "drag opposes either way, so it has no sign",
        too_much: "this is no job for a small gear motor",
        changed_by: ChangedBy::Requirement,
        help: "Pull while moving minus half of up and down at rest: what only opposes motion (seals, brushes, a felt wiper)",
        ..INPUT
    };
    LOAD_TORQUE_GIVEN: Torque = Input {
        id: "axis.load_torque_given",
        symbol: "T_load",
        label: "Load torque",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Torque), "0.03 N.m")]),
        low: "0 N.m",
        high: "200 N.m",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 1,
        kinds: Kinds::only(Kind::Torque),
        changed_by: ChangedBy::Requirement,
        help: "Lever of known length and a scale on the driven shaft: force × length",
        ..INPUT
    };
    LOAD_IS: LoadIs = Input {
        id: "axis.load_is",
        symbol: "load_is",
        label: "Type of load torque",
        form: Form::Choice(LoadIs::WORDS),
        preset: Preset::Computed("part where the torque held is entered, else lifting: it pulls at rest too"),
        layer: 2,
        kinds: Kinds::only(Kind::Torque),
        changed_by: ChangedBy::Requirement,
        help: "Let go of the driven shaft: it runs back (lifting), it stays (friction), or it runs back with less than it takes to turn it (part)",
        ..INPUT
    };
    HELD_TORQUE: Torque = Input {
        id: "axis.held_torque",
        symbol: "T_held",
        label: "Load torque at rest",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::LeftOut,
        low: "0 N.m",
        high: "200 N.m",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 2,
        kinds: Kinds::only(Kind::Torque),
        too_much: "this is no job for a small gear motor",
        changed_by: ChangedBy::Requirement,
        help: "Lever and scale on the driven shaft: halfway between what lifts it and what just lets it sink",
        asked_by: Some(("axis.load_is", &["part"])),
        ..INPUT
    };
    LOAD_INERTIA_GIVEN: MomentOfInertia = Input {
        id: "axis.load_inertia_given",
        symbol: "J_load",
        label: "Load inertia",
        form: Form::Quantity(Measure::Inertia),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Torque), "1500 g.cm2")]),
        low: "0 kg.m2",
        high: "100 kg.m2",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 2,
        kinds: Kinds::only(Kind::Torque),
        changed_by: ChangedBy::Requirement,
        help: "As for the additional inertia: everything about the driven shaft",
        ..INPUT
    };
    SCREW_LEAD: Length = Input {
        id: "axis.screw_lead",
        symbol: "l",
        label: "Screw lead",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "2 mm")]),
        low: "0.1 mm",
        high: "100 mm",
        default_tolerance: DefaultTolerance::Within("0.2 %"),
        layer: 1,
        kinds: Kinds::only(Kind::Screw),
        changed_by: ChangedBy::Fitting,
        help: "Mark the nut, ten turns, calliper, divide by ten. Lead = pitch × number of starts",
        ..INPUT
    };
    SCREW_MEAN_DIAMETER: Length = Input {
        id: "axis.screw_mean_diameter",
        symbol: "d",
        label: "Mean thread diameter",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "7 mm")]),
        low: "0.5 mm",
        high: "200 mm",
        default_tolerance: DefaultTolerance::Within("3 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        changed_by: ChangedBy::Fitting,
        help: "Outside diameter minus half the pitch",
        ..INPUT
    };
    SCREW_THREAD_FRICTION: Ratio = Input {
        id: "axis.screw_thread_friction",
        symbol: "f",
        label: "Thread friction coefficient",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "0.15")]),
        low: "0.01",
        high: "0.6",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        help: "Greased steel on bronze 0.08 to 0.15, on plastic 0.10 to 0.20; ball screws: enter the efficiency instead",
        ..INPUT
    };
    SCREW_FLANK_ANGLE: Angle = Input {
        id: "axis.screw_flank_angle",
        symbol: "α",
        label: "Thread flank angle (half the thread angle)",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "15 deg")]),
        low: "0 deg",
        high: "45 deg",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        changed_by: ChangedBy::Fitting,
        help: "Half the thread angle: trapezoidal 15°, metric V thread 30°, square 0°",
        ..INPUT
    };
    COLLAR_FRICTION: Ratio = Input {
        id: "axis.collar_friction",
        symbol: "f_c",
        label: "Collar friction coefficient",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "0.10")]),
        low: "0",
        high: "0.6",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        changed_by: ChangedBy::Fitting,
        help: "Plain thrust washer 0.1 to 0.15; ball thrust bearing 0.003",
        ..INPUT
    };
    COLLAR_DIAMETER: Length = Input {
        id: "axis.collar_diameter",
        symbol: "d_c",
        label: "Mean collar diameter",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Screw), "10 mm")]),
        low: "0 mm",
        high: "500 mm",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Screw),
        changed_by: ChangedBy::Fitting,
        help: "Mean diameter of the thrust washer or bearing",
        ..INPUT
    };
    TRANSMISSION_EFFICIENCY: Ratio = Input {
        id: "axis.transmission_efficiency",
        symbol: "η_t",
        label: "Transmission efficiency",
        form: Form::Quantity(Measure::Share),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Belt).or(Kinds::only(Kind::Drum)), "0.95"), (Kinds::only(Kind::Rack), "0.90")]),
        low: "0.05",
        high: "1",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 3,
        kinds: Kinds::only(Kind::Belt).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)),
        too_little: "below 5 % nothing moves",
        too_much: "nothing gives out more than goes in",
        help: "Force out × travel / torque in × angle, measured slowly with two scales; otherwise use the typical value",
        ..INPUT
    };
    REDUCTION: Rational = Input {
        id: "axis.reduction",
        symbol: "i_last",
        label: "Extra reduction after the gear motor",
        form: Form::Exact,
        preset: Preset::LeftOut,
        low: "0.01",
        high: "1000",
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "Belt, ring gear, worm or crank between gear motor and axis: count the teeth, driven:driver",
        ..INPUT
    };
    REDUCTION_EFFICIENCY: Ratio = Input {
        id: "axis.reduction_efficiency",
        symbol: "η_last",
        label: "Efficiency of the extra reduction",
        form: Form::Quantity(Measure::Share),
        preset: Preset::Fixed("1"),
        low: "0.05",
        high: "1",
        too_much: "nothing gives out more than goes in",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Torque out / (torque in × ratio), two scales, slowly; worm 0.3 to 0.5, belt 0.95",
        ..INPUT
    };
    REDUCTION_BACKLASH: Angle = Input {
        id: "axis.reduction_backlash",
        symbol: "b_last",
        label: "Backlash of the extra reduction",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Fixed("0 deg"),
        low: "0 deg",
        high: "45 deg",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Gear motor shaft held, pointer on the axis, swing it lightly both ways",
        ..INPUT
    };
    START_ANGLE: Angle = Input {
        id: "axis.start_angle",
        symbol: "φ_0",
        label: "Start angle of the arm from level",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::LeftOut,
        low: "-180 deg",
        high: "180 deg",
        default_tolerance: DefaultTolerance::Within("2 deg"),
        layer: 3,
        kinds: Kinds::only(Kind::Arm),
        changed_by: ChangedBy::Requirement,
        too_little: "an arm turned further is one turned the other way",
        too_much: "an arm turned further is one turned the other way",
        help: "Angle from level where the move starts, below level negative; protractor or phone level. Without it the arm counts as level all the way: the worst case",
        ..INPUT
    };
    HOME: Home = Input {
        id: "axis.home",
        symbol: "home",
        label: "Homing method",
        form: Form::Choice(Home::WORDS),
        preset: Preset::Fixed("none"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "What finds the zero after power-up: a switch, a stop, an index mark, or nothing",
        ..INPUT
    };
    HOME_REPEATABILITY: Travel = Input {
        id: "axis.home_repeatability",
        symbol: "e_home",
        label: "Homing repeatability",
        form: Form::Travel,
        preset: Preset::LeftOut,
        low: "0",
        high: "10 deg | 10 mm",
        layer: 3,
        help: "Home ten times against a dial: half of the spread",
        asked_by: Some(("axis.home", &["switch", "stop", "index"])),
        ..INPUT
    };
    POSITION_TOLERANCE: Travel = Input {
        id: "axis.position_tolerance",
        symbol: "e_max",
        label: "Position tolerance",
        form: Form::Travel,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Torque)), "2 deg"), (Kinds::only(Kind::Turntable), "6 deg"), (Kinds::only(Kind::Belt), "0.6 mm"), (Kinds::only(Kind::Rack).or(Kinds::only(Kind::Drum)), "1 mm"), (Kinds::only(Kind::Screw), "0.1 mm")]),
        low: ">0",
        high: "360 deg | 1 m",
        layer: 1,
        too_little: "no axis stops exactly where it should",
        too_much: "an axis that may stop anywhere has no task",
        changed_by: ChangedBy::Requirement,
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
        default_tolerance: DefaultTolerance::Within("5 K"),
        layer: 2,
        too_little: "greases, magnets and boards for hobby use end there",
        too_much: "greases, magnets and boards for hobby use end there",
        help: "Thermometer beside the motor at the hottest hour of use",
        ..INPUT
    };
}

results! {
    axis;

    LAST_STAGE: Rational = ResultDefinition {
        id: "axis.last_stage",
        symbol: "i_a",
        label: "Extra reduction in effect",
        measure: Measure::Ratio,
        meaning: "turns of the gear motor for one of the axis",
        formula: "'as entered, or 1 where there is no last stage'",
        source: "definition",
        shown: false,
        ..RESULT
    };
    TRAVEL_PER_TURN: TurnLength = ResultDefinition {
        id: "axis.travel_per_turn",
        symbol: "s_turn",
        label: "Travel per turn of the axis",
        measure: Measure::Length,
        meaning: "along the travel, or around the rim",
        formula: "2 * pi * axis.radius",
        source: "geometry; exact where teeth or a lead say it",
        ..RESULT
    };
    TRAVEL_FORCE: Force = ResultDefinition {
        id: "axis.travel_force",
        symbol: "Z",
        label: "Force along the travel, moving against the load",
        measure: Measure::Force,
        meaning: "weight, friction and external force",
        formula: "axis.load_mass * g * (sin(axis.slope) + axis.friction_coefficient * cos(axis.slope)) + axis.external_force + axis.drag_force",
        source: "force balance on an incline",
        ..RESULT
    };
    TORQUE_AT_AXIS: Torque = ResultDefinition {
        id: "axis.torque_at_axis",
        symbol: "T_La",
        label: "Load torque at the axis",
        measure: Measure::Torque,
        meaning: "before the extra reduction",
        formula: "axis.load_mass * g * axis.radius + axis.external_force * axis.radius + axis.drag_force * axis.radius",
        source: "statics of the arm: level, or where its angle makes it the most",
        shown: false,
        ..RESULT
    };
    HOLDING_AT_AXIS: Torque = ResultDefinition {
        id: "axis.holding_at_axis",
        symbol: "T_Ha",
        label: "Holding torque at the axis",
        measure: Measure::Torque,
        meaning: "before the extra reduction",
        formula: "axis.load_mass * g * axis.radius + axis.external_force * axis.radius",
        source: "statics, no friction",
        shown: false,
        ..RESULT
    };
    RETURN_AT_AXIS: Torque = ResultDefinition {
        id: "axis.return_at_axis",
        symbol: "T_Ra",
        label: "Return torque at the axis",
        measure: Measure::Torque,
        meaning: "before the extra reduction",
        formula: "axis.torque_at_axis - 2 * axis.holding_at_axis",
        source: "friction is the same both ways",
        shown: false,
        ..RESULT
    };
    LOAD_TORQUE: Torque = ResultDefinition {
        id: "axis.load_torque",
        symbol: "T_L",
        label: "Load torque at the output, moving against the load",
        measure: Measure::Torque,
        meaning: "what the gear motor must give in steady motion",
        formula: "axis.torque_at_axis",
        source: "carried through the last stage, where there is one",
        ..RESULT
    };
    HOLDING_TORQUE: Torque = ResultDefinition {
        id: "axis.holding_torque",
        symbol: "T_H",
        label: "Holding torque at the output",
        measure: Measure::Torque,
        meaning: "at standstill, no help from friction",
        formula: "axis.holding_at_axis / axis.last_stage",
        source: "statics",
        ..RESULT
    };
    FRICTION_TORQUE: Torque = ResultDefinition {
        id: "axis.friction_torque",
        symbol: "T_C",
        label: "Load friction torque at the output",
        measure: Measure::Torque,
        meaning: "always opposes motion",
        formula: "axis.load_torque - axis.holding_torque",
        source: "definition",
        ..RESULT
    };
    LOAD_TORQUE_RETURN: Torque = ResultDefinition {
        id: "axis.load_torque_return",
        symbol: "T_R",
        label: "Return torque (negative = load drives)",
        measure: Measure::Torque,
        meaning: "at the output, moving with the load",
        formula: "axis.return_at_axis",
        source: "carried through the last stage, where there is one",
        ..RESULT
    };
    LOAD_INERTIA: MomentOfInertia = ResultDefinition {
        id: "axis.load_inertia",
        symbol: "J_L",
        label: "Load inertia at the output",
        measure: Measure::Inertia,
        meaning: "about the gear motor’s output shaft",
        formula: "(axis.payload_inertia + axis.load_mass * axis.radius ^ 2) / axis.last_stage ^ 2",
        source: "parallel masses",
        ..RESULT
    };
    REFLECTED_INERTIA: MomentOfInertia = ResultDefinition {
        id: "axis.reflected_inertia",
        symbol: "J_N",
        label: "Reflected rotor inertia at the output",
        measure: Measure::Inertia,
        meaning: "rotor inertia times the ratio squared",
        formula: "gears.exact_ratio ^ 2 * motor.rotor_inertia",
        source: "energy of a gear train",
        shown: false,
        ..RESULT
    };
    INERTIA_RATIO: Ratio = ResultDefinition {
        id: "axis.inertia_ratio",
        symbol: "J_ratio",
        label: "Inertia ratio load : rotor",
        measure: Measure::Ratio,
        meaning: "both at the output",
        formula: "axis.load_inertia / axis.reflected_inertia",
        source: "definition",
        ..RESULT
    };
    TOLERANCE_AT_LOAD: Travel = ResultDefinition {
        id: "axis.tolerance_at_load",
        symbol: "e_load",
        label: "Position tolerance at the load",
        measure: Measure::Angle,
        meaning: "as a length where the axis has one",
        formula: "'the allowed error: as entered, or as arc at the radius'",
        source: "geometry",
        shown: false,
        ..RESULT
    };
    DISTANCE_AT_LOAD: Travel = ResultDefinition {
        id: "axis.distance_at_load",
        symbol: "s_load",
        label: "Move distance at the load",
        measure: Measure::Angle,
        meaning: "as a length where the axis has one",
        formula: "'the distance: as entered, or as arc at the radius'",
        source: "geometry",
        shown: false,
        ..RESULT
    };
    BACK_DRIVES: bool = ResultDefinition {
        id: "axis.back_drives",
        symbol: "moves_off",
        label: "Back-drives with power off",
        measure: Measure::YesNo,
        meaning: "friction is not a brake",
        formula: "'yes where the load turns the shaft with more than gears.back_drive_torque'",
        source: "torque balance with the motor unpowered",
        ..RESULT
    };
    BACK_DRIVING_TORQUE: Torque = ResultDefinition {
        id: "axis.back_driving_torque",
        symbol: "T_b",
        label: "Back-driving torque of the load",
        measure: Measure::Torque,
        meaning: "power off; 0 where its own friction holds it",
        formula: "max(0, max(-axis.load_torque_return, -axis.load_torque))",
        source: "torque balance with the motor unpowered",
        ..RESULT
    };
    KINETIC_ENERGY: Energy = ResultDefinition {
        id: "axis.kinetic_energy",
        symbol: "E_moving",
        label: "Kinetic energy at peak speed",
        measure: Measure::Energy,
        meaning: "load and rotor",
        formula: "(axis.load_inertia + axis.reflected_inertia) * move.peak_speed ^ 2 / 2",
        source: "kinetic energy",
        ..RESULT
    };
    DROP_ENERGY: Energy = ResultDefinition {
        id: "axis.drop_energy",
        symbol: "E_fall",
        label: "Drop energy",
        measure: Measure::Energy,
        meaning: "of the load over the height of the move",
        formula: "axis.load_mass * g * abs(axis.distance_at_load * sin(axis.slope))",
        source: "potential energy",
        ..RESULT
    };
}

/// Travel per turn as a length, exact where teeth or a lead make it rational.
#[derive(Clone, Copy, Debug)]
pub struct TurnLength {
    pub(crate) length: Length,
    pub(crate) exact: Option<ratio::Exact>,
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
