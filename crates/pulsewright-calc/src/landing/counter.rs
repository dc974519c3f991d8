//! The edge counter: what the firmware reads of the motor's angle, and what it loses.

use super::Sensing;
use super::cubic::Cubic;
#[cfg(not(any(test, feature = "std")))]
use crate::float::Rounding as _;

/// Greatest number of edges followed one by one in a step; more are counted as lost.
const MOST_EDGES: u32 = 1024;

/// Work of one edge followed, in plain sub-steps: measured.
const EDGE_WORK: u64 = 4;

/// Share of the speed at which edges come too fast, from which on they are followed one by one.
const WATCHED: f64 = 0.7;

/// Distance of two edges, in cycles, that counts as none.
const SAME_PLACE: f64 = 1e-12;

#[derive(Debug, Clone)]
pub(super) struct Counter {
    pole_pairs: f64,
    /// Places of the edges in the electrical cycle; A's are the first and the third.
    edges: [f64; 4],
    counted: &'static [usize],
    hysteresis: f64,
    service_time: f64,
    /// Motor speed above which an edge may come while the last one is being served.
    fast: f64,
    start: f64,
    /// Cycles passed of each edge, and those at the start.
    passed: [i64; 4],
    passed_before: [i64; 4],
    /// Counts that the function of the angle does not show.
    offset: i64,
    count: i64,
    following: bool,
    served: [bool; 2],
    pending: u32,
    waiting_way: i64,
    busy_until: f64,
    followed: u64,
    most_work: u64,
}

impl Counter {
    pub fn new(sensing: &Sensing, start: f64, most_work: u64) -> Self {
        let tau = core::f64::consts::TAU;
        let shift = 0.5 * sensing.errors.duty.value / tau;
        let phase = (sensing.errors.phase.value + sensing.errors.placement.value) / tau;
        let edges = [
            0.125 - shift,
            0.375 + phase - shift,
            0.625 + shift,
            0.875 + phase + shift,
        ];
        let counted: &'static [usize] = match sensing.edges_counted {
            1 => &[0],
            2 => &[0, 2],
            _ => &[0, 1, 2, 3],
        };
        let gap = match counted.len() {
            1 => 1.0,
            2 => 0.5 - 2.0 * shift,
            _ => 0.25 - phase - 2.0 * shift,
        };
        let pole_pairs = f64::from(sensing.pole_pairs.max(1));
        let service_time = sensing.edge_service_time.value.max(0.0);
        let fast = if gap <= 0.0 || sensing.hysteresis.value > 0.0 {
            0.0
        } else if service_time > 0.0 {
            WATCHED * gap * tau / (pole_pairs * service_time)
        } else {
            f64::INFINITY
        };
        let mut counter = Self {
            pole_pairs,
            edges,
            counted,
            hysteresis: sensing.hysteresis.value.max(0.0),
            service_time,
            fast,
            start,
            passed: [0; 4],
            passed_before: [0; 4],
            offset: 0,
            count: 0,
            following: false,
            served: [false; 2],
            pending: 0,
            waiting_way: 1,
            busy_until: f64::NEG_INFINITY,
            followed: 0,
            most_work,
        };
        counter.passed = core::array::from_fn(|edge| (-counter.edges[edge]).floor() as i64);
        counter.passed_before = counter.passed;
        counter.served = counter.levels();
        if fast == 0.0 {
            counter.following = true;
        }
        counter
    }

    /// Edges followed one by one so far, in plain sub-steps.
    pub fn work(&self) -> u64 {
        EDGE_WORK * self.followed
    }

    pub fn per_turn(&self) -> f64 {
        self.counted.len() as f64 * self.pole_pairs
    }

    /// Electrical cycles turned since the start.
    fn cycles(&self, angle: f64) -> f64 {
        self.pole_pairs * (angle - self.start) / core::f64::consts::TAU
    }

    /// The count without any rounding.
    pub fn exact(&self, angle: f64) -> f64 {
        self.cycles(angle) * self.counted.len() as f64
    }

    fn ideal(&self, cycles: f64) -> i64 {
        self.counted.iter().fold(0_i64, |sum, &edge| {
            let place = self.edges[edge];
            let passed = (cycles - place).floor() as i64;
            sum.saturating_add(passed.saturating_sub((-place).floor() as i64))
        })
    }

    /// The count that the firmware reads at this angle and time.
    pub fn read(&mut self, angle: f64, time: f64) -> i64 {
        if self.following {
            self.serve_until(time);
            return self.count;
        }
        self.offset.saturating_add(self.ideal(self.cycles(angle)))
    }

    /// Counts by which what was read differs from the edges that were passed, once the last of them
    /// is served.
    pub fn lost(&self) -> u64 {
        if !self.following {
            return self.offset.unsigned_abs();
        }
        let mut served = self.clone();
        served.serve_until(f64::INFINITY);
        let passed = self.counted.iter().fold(0_i64, |sum, &edge| {
            sum.saturating_add(self.passed[edge].saturating_sub(self.passed_before[edge]))
        });
        passed.abs_diff(served.count)
    }

    /// Levels of A and B: high between their two edges.
    fn levels(&self) -> [bool; 2] {
        [
            self.passed[0] != self.passed[2],
            self.passed[1] != self.passed[3],
        ]
    }

    /// Sees one step of the motor: angle and speed at both ends, and their times.
    #[inline(always)]
    pub fn pass(&mut self, from: (f64, f64, f64), to: (f64, f64, f64)) {
        let fast = from.2.abs().max(to.2.abs()) >= self.fast;
        if fast || self.following {
            self.pass_followed(fast, from, to);
        }
    }

    #[inline(never)]
    fn pass_followed(&mut self, fast: bool, from: (f64, f64, f64), to: (f64, f64, f64)) {
        if !self.following {
            self.following = true;
            let cycles = self.cycles(from.1);
            self.count = self.offset.saturating_add(self.ideal(cycles));
            self.passed = core::array::from_fn(|edge| (cycles - self.edges[edge]).floor() as i64);
            self.served = self.levels();
            self.pending = 0;
            self.busy_until = f64::NEG_INFINITY;
        }
        self.follow(from, to);
        if !fast && self.pending == 0 && to.0 >= self.busy_until {
            self.following = false;
            self.offset = self.count.saturating_sub(self.ideal(self.cycles(to.1)));
        }
    }

    /// Next edge up (1) or down (−1): its place in cycles, and which it is.
    fn next_edge(&self, way: i64) -> (f64, usize) {
        let mut nearest = (way as f64 * f64::INFINITY, 0);
        for &edge in self.counted {
            let place = if way > 0 {
                self.passed[edge].saturating_add(1) as f64 + self.edges[edge] + self.hysteresis
            } else {
                self.passed[edge] as f64 + self.edges[edge] - self.hysteresis
            };
            if (place - nearest.0) * (way as f64) < 0.0 {
                nearest = (place, edge);
            }
        }
        nearest
    }

    fn follow(&mut self, from: (f64, f64, f64), to: (f64, f64, f64)) {
        let (begin, end) = (self.cycles(from.1), self.cycles(to.1));
        if begin == end {
            return;
        }
        let way = if end > begin { 1 } else { -1 };
        let step = to.0 - from.0;
        let scale = self.pole_pairs / core::f64::consts::TAU * step;
        let path = Cubic {
            from: begin,
            to: end,
            slope_from: from.2 * scale,
            slope_to: to.2 * scale,
        };
        for _ in 0..MOST_EDGES {
            if self.work() >= self.most_work {
                break;
            }
            let (place, edge) = self.next_edge(way);
            let reached = if way > 0 { place <= end } else { place > end };
            if !reached {
                return;
            }
            self.followed += 1;
            let share = path.crossing(|value| value - place).unwrap_or(0.5);
            let time = from.0 + share * step;
            self.serve_until(time);
            self.passed[edge] += way;
            // Edges of both sensors at the same place change the pair at once.
            let (next, other) = self.next_edge(way);
            if other != edge && (next - place).abs() <= SAME_PLACE {
                self.passed[other] += way;
            }
            self.edge(way, time);
        }
        // Too fast to follow: all of them are gone.
        let cycles = self.cycles(to.1);
        let passed: [i64; 4] =
            core::array::from_fn(|edge| (cycles - self.edges[edge]).floor() as i64);
        self.passed = passed;
        self.served = self.levels();
        self.pending = 0;
    }

    /// An edge has come: it is served at once, or waits for the one before.
    fn edge(&mut self, way: i64, time: f64) {
        if time >= self.busy_until {
            self.serve(way, time);
            return;
        }
        self.pending += 1;
        self.waiting_way = way;
        if self.counted.len() < 4 && self.pending > 1 {
            // One sensor's two edges cancel, or a single edge is flagged twice.
            self.pending = if self.counted.len() == 2 { 0 } else { 1 };
        }
    }

    fn serve_until(&mut self, time: f64) {
        if self.pending > 0 && self.busy_until <= time {
            let moment = self.busy_until;
            self.pending = 0;
            self.serve(self.waiting_way, moment);
        }
    }

    /// Steps the pair of levels through the four-state table; a single sensor has the direction of
    /// the motion.
    fn serve(&mut self, way: i64, time: f64) {
        self.busy_until = time + self.service_time;
        let step = if self.counted.len() < 4 {
            way
        } else {
            let (was, now) = (self.served, self.levels());
            self.served = now;
            match (was[0] != now[0], was[1] != now[1]) {
                (false, false) | (true, true) => 0,
                // Going up, A changes to the opposite of B, and B changes to A.
                (true, false) if now[0] != now[1] => 1,
                (false, true) if now[0] == now[1] => 1,
                _ => -1,
            }
        };
        self.count = self.count.saturating_add(step);
    }
}
