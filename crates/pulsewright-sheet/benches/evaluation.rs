//! How long the sheet takes: a full evaluation, a link, a keystroke, a simulated landing. It asserts nothing.

#![allow(missing_docs, clippy::expect_used)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};

use pulsewright_sheet::analysis::solve;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::simulated::{Figure, MOVE};
use pulsewright_sheet::guide::examples::EXAMPLES;
use pulsewright_sheet::register;
use pulsewright_sheet::stations::simulation;
use pulsewright_sheet::text::number::DecimalMark;

/// Every result, every check, every finding.
fn everything(design: &Design) {
    let c = Eval::new(design);
    c.all();
    black_box(check::all(&c));
    black_box(finding::all(&c));
}

fn evaluation(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("full evaluation");
    for example in &EXAMPLES {
        let design = link::read(example.link).expect("an example's link").design;
        group.bench_function(example.title, |b| b.iter(|| everything(black_box(&design))));
    }
    group.finish();
}

fn links(criterion: &mut Criterion) {
    let turntable = EXAMPLES[0].link;
    let design = link::read(turntable).expect("an example's link").design;
    let mut group = criterion.benchmark_group("turntable");
    group.bench_function("link read", |b| b.iter(|| link::read(black_box(turntable))));
    group.bench_function("link written", |b| {
        b.iter(|| link::write(black_box(&design)))
    });
    let torque = register::find_input("motor.stall_torque").expect("an input");
    let mut design = design.clone();
    group.bench_function("keystroke", |b| {
        b.iter(|| {
            design.enter(torque, black_box("4.6 kgf.cm"), DecimalMark::Typed);
            everything(&design);
        });
    });
    group.finish();
}

/// What is sought once nobody types.
fn sought(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("greatest load");
    for example in &EXAMPLES {
        let design = link::read(example.link).expect("an example's link").design;
        group.bench_function(example.title, |b| {
            b.iter(|| solve::max_load(&Eval::new(black_box(&design))))
        });
    }
    group.finish();
}

/// The move of each example, simulated.
fn landings(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("landing");
    for example in &EXAMPLES {
        let design = link::read(example.link).expect("an example's link").design;
        let case = simulation::case(&Eval::new(&design), MOVE).expect("a case");
        let (figures, _) = simulation::run(&case, &mut []).expect("figures");
        let simulated = figures[Figure::Duration as usize];
        let name = format!("{}, {simulated:.1} s", example.title);
        group.bench_function(name, |b| {
            b.iter(|| simulation::run(black_box(&case), &mut []))
        });
    }
    group.finish();
}

criterion_group!(benches, evaluation, links, sought, landings);
criterion_main!(benches);
