//! Line drawings of the stations: what the letters of their fields mean. The letter of the field that
//! has the focus stands out.
//!
//! A drawing is one text, pieces with a bar between them. The first letter of a piece says what it is:
//! paths `o` outline, `t` thin, `d` dashed, `c` centre line; circles `r`, dashed `R`: centre, radius;
//! `h` an edge of what is fixed, hatched to the right of its direction: from, to; `w` words at a place;
//! letters of inputs with their id, the station's own prefix left out: `D` a dimension: from, to, place
//! of the letter; `A` the same bent: from, by, to, place; `L` an arrow: from, to, place; `C` a bent
//! arrow: from, by, to, place; `P` a letter alone: place.

use leptos::prelude::*;
use pulsewright_sheet::num;
use pulsewright_sheet::register::{self, Station, axis, axis::Kind, movement};

use crate::dom::{El, batched_apart, el, memo};
use crate::state::page_state::PageState;

const ARM: &str = "h44 160 116 160|oM60 160L80 130L100 160|r80 130 6|oM86 126L265 73M84 135L266 80|r280 70 16|cM90 130H250|Dradius 72 107 272 47 156 66|tM78 124L71 103M277 55L270 42|Astart_angle 190 130 192 114 185 98 198 120|Lexternal_force 280 88 280 134 288 134|Ldrag_force 330 74 318 112 330 104|Lpayload_inertia 330 22 291 58 335 24|tM297 65L372 43M296 73L374 66|Aposition_tolerance 360 46 363 56 362 68 370 60|Pload_mass 273 75";
const TURNTABLE: &str = "oM60 74H340V88H60Z|oM170 88V100H230V88M182 100V128M218 100V128|h130 128 270 128|cM200 20V142|oM250 74V50H300V74|Pload_mass 268 67|Dradius 200 30 340 30 266 24|tM340 70V24|Dbearing_radius 200 116 230 116 238 122|tM230 102V122|Lexternal_force 386 60 346 78 374 52|Ldrag_force 386 116 346 90 376 132|Lfriction_coefficient 140 116 174 97 124 122|Lpayload_inertia 104 36 112 70 92 34|tM60 70V44M82 70V44|Dposition_tolerance 60 50 82 50 20 54";
const BELT: &str = "r80 90 26|r310 90 26|r80 90 4|r310 90 4|oM80 64H310M80 116H310|tM80 94V150M310 94V150|h60 150 100 150|h290 150 330 150|oM170 38H240V64H170Z|Pload_mass 196 56|Lexternal_force 300 50 244 50 304 54|Ldrag_force 166 52 124 52 102 50|tM170 36V18M192 36V18|Dposition_tolerance 170 24 192 24 200 26|Lradius 80 90 62 72 74 106|Lpulley_teeth 30 134 60 108 14 150|tM150 116v6M162 116v6M174 116v6M186 116v6M198 116v6M210 116v6M162 124V136M186 124V136|Dbelt_pitch 162 132 186 132 192 136|Lfriction_coefficient 270 84 236 67 274 92|Ltransmission_efficiency 44 40 66 66 26 38|cM170 168H270|tM170 168L266 146|Aslope 250 168 254 159 249 150 260 164";
const SCREW: &str = "oM40 88H326V104H40Z|tM44 88l8 16M68 88l8 16M92 88l8 16M116 88l8 16M140 88l8 16M236 88l8 16M260 88l8 16M284 88l8 16M308 88l8 16|oM170 68H220V124H170Z|oM150 42H250V68H150Z|Pload_mass 192 61|oM30 78H40V114H30Z|h30 62 30 130|h120 126 290 126|Dscrew_mean_diameter 342 88 342 104 350 101|tM328 88H348M328 104H348|tM260 86V66M284 86V66|Dscrew_lead 260 72 284 72 268 64|Dcollar_diameter 54 78 54 114 60 128|tM42 78H60M42 114H60|Lcollar_friction 50 152 36 118 52 162|Lscrew_thread_friction 130 150 176 106 118 160|Lexternal_force 306 54 254 54 310 58|Ldrag_force 146 54 108 54 84 52|tM150 40V20M172 40V20|Dposition_tolerance 150 26 172 26 180 28|Lfriction_coefficient 262 156 240 128 266 164|oM300 36l11 -22l11 22l11 -22l11 22|cM311 42V6|Pscrew_flank_angle 313 32|Ptransmission_efficiency 226 84|cM290 172H390|tM290 172L386 150|Aslope 360 172 364 163 359 156 370 168";
const RACK: &str = "r120 68 30|R120 68 35|r120 68 4|oM40 112l5 -9h6l5 9h8l5 -9h6l5 9h8l5 -9h6l5 9h8l5 -9h6l5 9h8l5 -9h6l5 9h8l5 -9h6l5 9h8l5 -9h6l5 9h8l5 -9h6l5 9h8l5 -9h6l5 9h8l5 -9h6l5 9H304V134H40Z|oM304 92H366V134H304Z|Pload_mass 328 118|h40 136 300 136|Lexternal_force 398 112 370 112 378 106|Ldrag_force 300 158 258 158 306 162|Lradius 120 68 99 47 98 70|Lpinion_teeth 52 26 92 46 22 24|tM38 103H14M38 112H14|Dpinion_module 20 96 20 119 4 90|Lfriction_coefficient 190 160 176 138 194 168|Ltransmission_efficiency 196 40 148 72 200 40|tM304 90V72M326 90V72|Dposition_tolerance 304 78 326 78 332 80|cM258 48H358|tM258 48L354 26|Aslope 328 48 332 39 327 32 338 44";
const DRUM: &str = "h150 14 70 14|tM110 14V64|r110 70 34|r110 70 6|oM144 70V112|oM120 112H168V142H120Z|Pload_mass 137 131|Lradius 110 70 86 46 84 70|Lexternal_force 144 144 144 174 150 174|Ldrag_force 184 112 184 142 190 140|Ltransmission_efficiency 52 114 82 92 32 124|Lpayload_inertia 196 54 148 66 200 56|tM96 112H118M96 130H118|Dposition_tolerance 102 112 102 130 52 146|tM230 150H380L230 96Z|h230 152 380 152|oM290 100l26 9l-7 20l-26 -9Z|Aslope 330 150 331 141 335 133 308 146|Lfriction_coefficient 340 90 306 122 344 92";
const TORQUE: &str = "cM30 90H296|oM60 82H250V98H60|oM250 46H272V134H250Z|oM118 68H152V82M118 68V82M118 98V112H152V98|oM124 112V130M146 112V130|h100 130 170 130|Cload_torque_given 290 56 330 90 290 124 318 95|Lload_inertia_given 222 28 256 48 184 28|Lposition_tolerance 322 150 274 130 328 156";
/// On every axis: a thermometer.
const AIR: &str = "|oM363 25V9a3 3 0 0 1 6 0V25|r366 30 6|Pambient_temperature 378 24";

const RAMPS: &str =
    "oM60 120L130 34H250L320 120|Dramp_fraction 60 136 130 136 82 152|tM130 124V142";
const SMOOTH: &str = "oM60 120C120 120 132 34 190 34S260 120 320 120";
const MOVE: &str = "|tM50 14V120H392|oM320 120H376|w56 16 speed|w362 112 time|Pdistance 186 92|Dtime 60 166 320 166 186 160|Ddwell 320 136 376 136 332 152|tM60 124V172M320 124V172M376 124V142";

const MOTOR: &str = "oM120 50H230V130H120Z|oM230 46H316V134H230Z|tM252 46V134M294 46V134|oM316 84H366V96H316|oM120 86H92V94H120M84 72H92V108H84Z|oM104 58V122|cM70 90H382|h318 80 318 24|h318 156 318 100|Dcase_diameter 52 50 52 130 8 94|tM116 50H46M116 130H46|tM150 50V26M170 50V26|Prated_voltage 132 18|Lno_load_current 186 26 174 42 188 22|Pstall_current 216 24|Cno_load_speed 374 70 394 90 374 110 370 62|Pstall_torque 340 130|Pterminal_resistance 128 76|Pinductance 204 76|Protor_inertia 128 118|Pmax_winding_temperature 180 118|Lmass 256 164 250 138 262 174|Ladded_mass 70 152 100 124 22 166|Lbracket_limit 352 34 326 46 356 32";
const GEARS: &str = "r110 95 20|R110 95 25|r190 95 50|R190 95 55|r110 95 4|r190 95 6|cM76 95H262M190 26V164|Lratio 52 34 104 72 14 34|Pnominal_ratio 14 56|Lefficiency_per_stage 116 24 136 84 100 20|Ccontinuous_torque 200 28 248 34 258 78 246 34|Lpeak_torque 122 168 135 106 70 176|Lradial_limit 190 95 190 166 196 174|Pstiffness 202 84|oM272 160C292 156 300 140 304 118L312 84H332L340 118C344 140 350 156 366 160|oM340 22C350 50 354 80 358 120H380C384 80 388 50 396 30|tM338 108V66M356 108V66|Dbacklash 338 72 356 72 318 68";
const ENCODER: &str = "r120 92 48|r120 92 14|tM134 92H168M127 104L144 134M113 104L96 134M106 92H72M113 80L96 50M127 80L144 50|oM178 84H190V100H178Z|oM146 34l11 -6l8 14l-11 6Z|tM190 92H222M160 24L172 4|Asensor_spacing 212 92 208 42 166 14 206 40|Lplacement_error 220 118 192 98 224 126|Lpole_pairs 44 34 84 60 34 32|tM120 92V164M184 102V164|Dplacement_radius 120 158 184 158 140 176|Lpeak_field 48 152 84 122 16 164|oM256 60H280V40H310V60H340V40H370V60H394|oM256 114H295V94H325V114H355V94H385V114H394|tM280 64V84M310 64V84|Dduty_error 280 78 310 78 316 82|tM340 64V140M355 116V140|Dedge_service_time 322 134 340 134 304 146|Pedges_counted 348 156";
const STEPS: &str = "w4 50 step|w4 124 direction|oM60 60H96V30H136V60H196V30H236V60H296V30H336V60H392|oM70 134H78V104H392|tM96 28V10M136 28V10M196 28V10M296 28V10M336 28V10M136 62V82M196 62V82|Dpulse_high 96 18 136 18 100 8|Dpulse_low 136 76 196 76 156 92|Dcontroller_rate_limit 196 18 296 18 226 10|Dsource_pulse_width 296 18 336 18 342 20|tM78 138V156M96 62V156|Ldirection_setup 56 150 78 150 16 164|Lsource_direction_setup 122 150 96 150 128 156|Pwanted_per_turn 250 156";
const BRIDGE: &str = "oM100 20H300M100 150H300|oM130 20V38L118 60M130 62V108L118 130M130 132V150|oM270 20V38L258 60M270 62V108L258 130M270 132V150|r200 85 22|oM130 85H178M222 85H270|oM200 150V160|h184 160 216 160|Lhigh_side 84 28 116 48 40 32|Llow_side 84 146 116 122 46 160|Lcurrent_limit 140 76 172 76 138 68|tM300 126h8v-12h10v12h10v-12h10v12h8|Ppwm_frequency 306 106|tM262 118h36|Ljunction_to_ambient 306 60 344 34 350 34|Pmax_junction 306 76|Pquiescent_current 308 24";
const SUPPLY: &str = "oM100 150V104M84 104H116M92 96H108M100 96V40H136|oM136 32H172V48H136Z|oM172 40H340V73M340 117V150H100|r340 95 22|oM250 40V88M234 88H266M234 98H266M250 98V150|Dvoltage 66 40 66 150 46 92|tM96 40H60M96 150H60|Phighest_voltage 14 66|Plowest_voltage 14 120|Psource_resistance 132 24|Lcurrent_limit 182 30 222 30 186 22|Pbulk_capacitance 196 98|Pcapacity 114 118|Dmax_voltage 296 44 296 146 270 132|R384 95 14|Pactuators 356 140";
const REGULATOR: &str = "oM40 60H110|oM110 40H210V104H110Z|oM210 60H296|oM296 40H370V118H296Z|w128 66 regulator|w304 66 processor|oM160 104V140|h140 140 180 140|oM333 118V140|h313 140 353 140|Ddropout 110 26 210 26 142 20|tM110 38V20M210 38V20|Doutput_voltage 248 64 248 136 254 122|tM160 136H254|Lquiescent_current 160 110 160 132 168 128|Lmcu_current 254 48 290 48 250 40|Psensor_current 306 86|Preset_voltage 306 106|Pefficiency 120 92|Ljunction_to_ambient 110 100 78 126 38 138";
const WIRING: &str = "oM10 34H40V80H10Z|oM40 50H220M40 62H220|oM220 24H390V130H220Z|Dlength 40 24 220 24 120 18|tM40 32V18M220 22V18|r70 130 15|tM58 137l16 -20M64 143l17 -21M58 128l9 -11M73 145l11 -14|Larea 116 120 88 127 122 124|Pgauge 122 144|oM234 50H330V62H234Z|tM240 62l8 -12M254 62l8 -12M268 62l8 -12M282 62l8 -12M296 62l8 -12M310 62l8 -12|Dtrace_width 344 44 344 68 350 62|tM332 50H350M332 62H350|Dtrace_length 234 80 330 80 270 96|tM234 64V86M330 64V86|Ppin_current 176 84|oM234 118H252V104H372|Plogic_high 236 152|Pinput_high 286 152|Pinput_max 336 152";
const DRIVE: &str = "r70 95 18|oM70 113V150H330V117M70 77V40H104|oM104 32H140V48H104Z|oM140 40H164|oM164 32H200V48H164Z|oM200 40H224|oM224 32H260V48H224Z|oM260 40H330V73|r330 95 22|oM352 90H390M352 100H390|w321 100 M|Psupply.voltage 34 100|Psupply.source_resistance 96 24|Pbridge.high_side 164 24|Pmotor.terminal_resistance 222 24|Lbridge.current_limit 268 32 304 32 272 24|Cmotor.no_load_speed 374 74 394 94 374 116 366 66|Pgears.ratio 352 136";
const HEAT: &str = "oM10 56H84V112H10Z|oM84 84H104M140 84H160|oM104 76H140V92H104Z|oM160 56H234V112H160Z|oM234 84H254M290 84H318|oM254 76H290V92H254Z|h318 124 318 44|w22 88 winding|w170 88 housing|w332 88 air|Pmotor.winding_to_housing 104 66|Pmotor.housing_to_ambient 256 66|Pmotor.max_winding_temperature 26 46|Pmotor.winding_time_constant 34 132|Pmotor.housing_time_constant 184 132|Paxis.ambient_temperature 332 112|Lmotor.no_load_current 196 24 196 52 204 26";
const LOOP: &str = "r50 80 11|oM10 80H39M61 80H94|tM42 72l16 16M58 72l-16 16|oM94 54H166V106H94Z|oM166 80H190|oM190 54H246V106H190Z|oM246 80H286|r308 80 22|w299 85 M|oM330 80H380|oM340 80V150H50V91|oM200 140H236V160H200Z|Pdeadband 58 62|Pbandwidth 102 76|Pdamping 142 76|Pintegral_time 102 98|Ppwm_resolution 196 76|Pvoltage_limit 196 98|Lcurrent_limit 252 66 282 66 252 58|Psample_time 206 132";
const STEPPER: &str = "oM54 26H194V166H54Z|R124 96 62|r124 96 40|r124 96 5|tM164 96h8M163 86l8 -2M160 77l7 -4M154 69l6 -6M146 63l5 -7M164 106l8 2M160 115l7 4M154 123l6 6|tM176 96H206M174 83L203 75|Astep_angle 200 96 200 86 197 78 206 84|Cholding_torque 78 78 92 50 124 46 134 48|Protor_inertia 108 122|Pmass 62 44|oM250 60H266|oM266 52H296V68H266Z|oM296 60h10a6 6 0 0 1 12 0a6 6 0 0 1 12 0a6 6 0 0 1 12 0h14|oM356 60V140H250|Pphase_resistance 264 44|Pphase_inductance 312 44|Lphase_current 262 82 296 82 270 98|Ddrive_voltage 250 64 250 136 256 124|Pmicrosteps 206 112";
const VERDICT: &str = "cM200 20V160|h250 150 250 34|h150 34 150 150|tM40 92H360|Daxis.position_tolerance 200 48 250 48 212 40|Dgears.backlash 182 84 218 84 224 80|Dgears.transmission_error 200 112 226 112 204 128|r200 92 3";
const BENCH: &str = "h10 140 390 140|oM20 66H90V140M20 66V140|w34 108 supply|oM90 82H130M166 82H206M90 116H206|r148 82 18|w143 87 A|oM206 62H286V126H206Z|tM216 126V140M276 126V140|w226 98 board|oM286 82H326M286 116H326|r346 99 26|w340 104 M|tM330 120V140M362 120V140|oM372 95H388V103H372|Psupply.voltage 40 58|Lmotor.no_load_current 122 50 174 50 128 44|Pbridge.current_limit 222 54";

/// The drawing of a station and the prefix of its ids.
fn source(station: Station, kind: Kind, smooth: bool) -> (&'static str, [&'static str; 2]) {
    match station {
        Station::Axis => {
            let axis = match kind {
                Kind::Arm => ARM,
                Kind::Turntable => TURNTABLE,
                Kind::Belt => BELT,
                Kind::Screw => SCREW,
                Kind::Rack => RACK,
                Kind::Drum => DRUM,
                Kind::Torque => TORQUE,
            };
            ("axis.", [axis, AIR])
        }
        Station::Move => ("move.", [if smooth { SMOOTH } else { RAMPS }, MOVE]),
        Station::Motor => ("motor.", [MOTOR, ""]),
        Station::Gears => ("gears.", [GEARS, ""]),
        Station::Encoder => ("encoder.", [ENCODER, ""]),
        Station::Steps => ("steps.", [STEPS, ""]),
        Station::Bridge => ("bridge.", [BRIDGE, ""]),
        Station::Supply => ("supply.", [SUPPLY, ""]),
        Station::Regulator => ("regulator.", [REGULATOR, ""]),
        Station::Wiring => ("wiring.", [WIRING, ""]),
        Station::Drive => ("", [DRIVE, ""]),
        Station::Heat => ("", [HEAT, ""]),
        Station::Loop => ("loop.", [LOOP, ""]),
        Station::Stepper => ("stepper.", [STEPPER, ""]),
        Station::Verdict => ("", [VERDICT, ""]),
        Station::Bench => ("", [BENCH, ""]),
    }
}

type Point = (f64, f64);

/// The numbers of a piece, two by two.
fn points(words: &mut core::str::Split<'_, char>) -> Vec<Point> {
    let mut out = Vec::new();
    while let (Some(x), Some(y)) = (words.next(), words.next()) {
        let number = |word: &str| word.parse::<i32>().map_or(0.0, f64::from);
        out.push((number(x), number(y)));
    }
    out
}

fn push(out: &mut String, pieces: &[&str]) {
    for piece in pieces {
        out.push_str(piece);
    }
}

fn push_point(out: &mut String, lead: &str, at: Point) {
    push(out, &[lead, &num::text(at.0, 4), " ", &num::text(at.1, 4)]);
}

/// A unit step from `a` towards `b`.
fn towards(a: Point, b: Point) -> Point {
    let (x, y) = (b.0 - a.0, b.1 - a.1);
    let length = (x * x + y * y).sqrt().max(1e-9);
    (x / length, y / length)
}

/// An arrow's head at `tip`, coming from `from`.
fn push_head(out: &mut String, from: Point, tip: Point) {
    let (x, y) = towards(from, tip);
    let back = (tip.0 - 9.0 * x, tip.1 - 9.0 * y);
    out.push_str("<path class='head' d='");
    push_point(out, "M", tip);
    push_point(out, "L", (back.0 - 2.4 * y, back.1 + 2.4 * x));
    push_point(out, "L", (back.0 + 2.4 * y, back.1 - 2.4 * x));
    out.push_str("Z'/>");
}

/// An edge of what is fixed, with its hatching.
fn push_fixed(out: &mut String, a: Point, b: Point) {
    let (x, y) = towards(a, b);
    let length = (b.0 - a.0).abs().max((b.1 - a.1).abs());
    out.push_str("<path d='");
    push_point(out, "M", a);
    push_point(out, "L", b);
    out.push_str("'/><path class='thin' d='");
    for n in 0..(length / 7.0) as usize {
        let far = 7.0 * n as f64 + 7.0;
        let foot = (a.0 + far * x, a.1 + far * y);
        push_point(out, "M", foot);
        // To the right of the direction and a little back.
        push_point(out, "L", (foot.0 - 6.0 * (y + x), foot.1 + 6.0 * (x - y)));
    }
    out.push_str("'/>");
}

/// A letter with its dimension.
fn push_letter(out: &mut String, kind: &str, index: usize, places: &[Point], lit: bool) {
    let Some((&at, line)) = places.split_last() else {
        return;
    };
    push(
        out,
        &["<g class='letter", if lit { " lit" } else { "" }, "'>"],
    );
    if let (Some(&first), Some(&last)) = (line.first(), line.last()) {
        let (second, before) = (
            line.get(1).copied().unwrap_or(last),
            line.get(line.len().saturating_sub(2))
                .copied()
                .unwrap_or(first),
        );
        out.push_str("<path d='");
        push_point(out, "M", first);
        if line.len() == 3 {
            push_point(out, "Q", second);
            push_point(out, " ", last);
        } else {
            push_point(out, "L", last);
        }
        out.push_str("'/>");
        push_head(out, before, last);
        if matches!(kind, "D" | "A") {
            push_head(out, second, first);
        }
    }
    let symbol = register::symbol(index);
    let (base, sub) = symbol.split_once('_').unwrap_or((symbol, ""));
    out.push_str("<text x='");
    push(
        out,
        &[
            &num::text(at.0, 4),
            "' y='",
            &num::text(at.1, 4),
            "'>",
            base,
        ],
    );
    if !sub.is_empty() {
        push(out, &["<tspan dy='4'>", sub, "</tspan>"]);
    }
    out.push_str("</text></g>");
}

/// The index of a letter.
fn input(prefix: &str, id: &str) -> Option<usize> {
    register::find_input(&[if id.contains('.') { "" } else { prefix }, id].concat())
}

/// The drawing as SVG; the letter of `lit` stands out.
fn markup((prefix, parts): (&str, [&str; 2]), lit: Option<usize>) -> String {
    let mut out = String::from("<svg viewBox='0 0 400 180' aria-hidden='true'><g class='lines'>");
    for piece in parts.iter().flat_map(|part| part.split('|')) {
        let (Some(kind), Some(rest)) = (piece.get(..1), piece.get(1..)) else {
            continue;
        };
        let class = match kind {
            "o" => "",
            "t" => "thin",
            "d" | "R" => "dashed thin",
            "c" => "centre",
            _ => "",
        };
        let mut words = rest.split(' ');
        match kind {
            "o" | "t" | "d" | "c" => {
                push(&mut out, &["<path class='", class, "' d='", rest, "'/>"])
            }
            "r" | "R" => {
                let mut next = || words.next().unwrap_or("0");
                push(
                    &mut out,
                    &["<circle class='", class, "' cx='", next(), "' cy='"],
                );
                push(&mut out, &[next(), "' r='", next(), "'/>"]);
            }
            "h" => {
                if let [a, b] = points(&mut words).as_slice() {
                    push_fixed(&mut out, *a, *b);
                }
            }
            "w" => {
                let mut next = || words.next().unwrap_or("");
                push(&mut out, &["<text x='", next(), "' y='"]);
                push(&mut out, &[next(), "'>", next(), "</text>"]);
            }
            _ => {
                if let Some(index) = words.next().and_then(|id| input(prefix, id)) {
                    let places = points(&mut words);
                    push_letter(&mut out, kind, index, &places, lit == Some(index));
                }
            }
        }
    }
    out.push_str("</g></svg>");
    out
}

/// The drawing of a station.
pub fn drawing(page: PageState, station: Station) -> El {
    // Which drawing it is changes seldom; the design with every key.
    let shape = memo(move || {
        page.read(|w| {
            let kind = w.eval.get(axis::KIND).map_or(0, |kind| kind as u32);
            let smooth = w.eval.get(movement::PROFILE) == Ok(movement::Profile::Smooth);
            2 * kind + u32::from(smooth)
        })
    });
    let drawn = move || {
        let shape = shape.get();
        let kind = Kind::EVERY.get(shape as usize / 2).copied();
        let source = source(station, kind.unwrap_or(Kind::Arm), shape % 2 == 1);
        markup(source, page.focus.get())
    };
    batched_apart(|| el("div").class("drawing").html_fn(drawn))
}
