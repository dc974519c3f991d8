//! What a simulated landing gives: figures and traces as plain numbers, so that one simulation serves every result
//! and can be made elsewhere.

use super::absent::Absent;

/// How many commands are simulated: the move as asked for, and the jump of the step test.
pub const COMMANDS: usize = 2;

/// The move as asked for.
pub const MOVE: usize = 0;

/// The jump of the step test.
pub const STEP: usize = 1;

/// Why a simulated result is absent where it is simulated elsewhere.
pub const NOT_RUN: Absent = Absent::not_asked("being simulated …");

/// How many figures a command has.
pub const FIGURES: usize = 19;

/// Figures of a simulated command, each at the place that [`Figure`] says.
pub type Figures = [f64; FIGURES];

/// Place of a figure, in SI and at the output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Figure {
    Overshoot,
    /// Settling time; below 0 one of [`HUNTS`], [`RESTS`], [`CUT`], [`CREEPS`], [`ON_ITS_WAY`], [`SINKS`],
    /// [`DRIVEN_AWAY`].
    Settling,
    PeakCurrent,
    WorstError,
    FinalError,
    Droop,
    Hunting,
    /// 0 where no limit cycle.
    HuntingFrequency,
    Reversals,
    Energy,
    ReturnedEnergy,
    LostCounts,
    GreatestCounts,
    LongestStall,
    /// Time simulated from the start of the command.
    Duration,
    /// 0 where the run came to its end, or one of [`UNSTABLE`], [`TOO_MUCH`].
    Stopped,
    /// How long it stands still before its integral part breaks it loose; 0 where it does not.
    BreaksLoose,
    /// 1 where it hunts otherwise when it is computed in finer steps.
    Chaotic,
    /// Work of the simulation, in plain sub-steps.
    Work,
}

/// The motor ran away.
pub const UNSTABLE: f64 = 1.0;
/// The bound of samples or of work ended the run.
pub const TOO_MUCH: f64 = 2.0;

/// It hunts.
pub const HUNTS: f64 = -1.0;
/// It rests beside the target.
pub const RESTS: f64 = -2.0;
/// The run ended before.
pub const CUT: f64 = -3.0;
/// It creeps towards the target.
pub const CREEPS: f64 = -4.0;
/// It is still on its way.
pub const ON_ITS_WAY: f64 = -5.0;
/// The load pulls it away from the target.
pub const SINKS: f64 = -6.0;
/// It is driven away from the target.
pub const DRIVEN_AWAY: f64 = -7.0;

/// One point of the traces: SI, at the output.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Time since the start of the command.
    pub time: f64,
    /// Position of the load.
    pub position: f64,
    /// Position less what is commanded.
    pub error: f64,
    /// Current of the winding.
    pub current: f64,
}

/// What was simulated elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Landed {
    /// The figures of each command; not a number first where it was refused.
    pub figures: [Figures; COMMANDS],
    /// The traces of the move.
    pub trace: Vec<Point>,
}

impl Landed {
    /// Out of a row of numbers: the figures of each command, then the points.
    #[must_use]
    pub fn read(numbers: &[f64]) -> Option<Self> {
        let (figures, points) = numbers.split_at_checked(COMMANDS * FIGURES)?;
        let (of_move, of_step) = figures.split_at(FIGURES);
        let trace = points
            .chunks_exact(4)
            .map(|four| Point {
                time: four[0],
                position: four[1],
                error: four[2],
                current: four[3],
            })
            .collect();
        Some(Self {
            figures: [of_move.try_into().ok()?, of_step.try_into().ok()?],
            trace,
        })
    }
}
