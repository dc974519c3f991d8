//! Runs every test in every engine: the engines side by side. What has done with one engine opens another browser of
//! the engine that has most left to do. Prints what Rust's own test runner prints.

use crate::driver::Engine;
use crate::page::{Page, packed_page};
use anyhow::{Result, bail};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::Instant;

/// What a test returns; the error says what was awaited in vain. Assertions may also panic.
pub type Outcome = Result<()>;
/// A test.
pub type Test = fn(&Page) -> Outcome;

/// Tests that belong together.
#[derive(Debug)]
pub struct Group {
    /// Stands before the name of each.
    pub name: &'static str,
    /// The one engine in which they run, where it is one.
    pub only: Option<Engine>,
    /// Each with its name.
    pub tests: &'static [(&'static str, Test)],
}

/// Runs the tests whose name contains the first argument without a dash, or all.
pub fn run(groups: &[Group]) -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let filter = arguments.iter().find(|argument| !argument.starts_with('-'));
    let engines = match Engine::chosen() {
        Ok(engines) => engines,
        Err(error) => {
            eprintln!("error: {error:#}");
            return ExitCode::FAILURE;
        }
    };
    let all: Vec<Queue> = engines
        .into_iter()
        .map(|engine| Queue {
            engine,
            tests: tests_of(engine, groups),
            next: AtomicUsize::new(0),
        })
        .collect();
    let in_all: usize = all.iter().map(|queue| queue.tests.len()).sum();
    let plan: Vec<Queue> = all
        .into_iter()
        .map(|mut queue| {
            queue
                .tests
                .retain(|(name, _)| filter.is_none_or(|part| name.contains(part.as_str())));
            queue
        })
        .collect();
    let count: usize = plan.iter().map(|queue| queue.tests.len()).sum();
    let filtered = in_all - count;
    if arguments.iter().any(|argument| argument == "--list") {
        for (name, _) in plan.iter().flat_map(|queue| &queue.tests) {
            println!("{name}: test");
        }
        return ExitCode::SUCCESS;
    }

    println!("\nrunning {count} tests");
    let began = Instant::now();
    let failures: Vec<(String, String)> = thread::scope(|scope| {
        let runs: Vec<_> = plan
            .iter()
            .filter(|queue| !queue.tests.is_empty())
            .map(|own| scope.spawn(|| run_and_help(own, &plan)))
            .collect();
        runs.into_iter()
            .flat_map(|run| {
                run.join().unwrap_or_else(|_| {
                    vec![(
                        "runner".to_owned(),
                        "the test runner itself failed".to_owned(),
                    )]
                })
            })
            .collect()
    });
    if !failures.is_empty() {
        println!("\nfailures:");
        for (name, reason) in &failures {
            println!("\n---- {name} ----\n{reason}");
        }
    }
    let passed = count.saturating_sub(failures.len());
    let (word, code) = if failures.is_empty() {
        ("ok", ExitCode::SUCCESS)
    } else {
        ("FAILED", ExitCode::FAILURE)
    };
    println!(
        "\ntest result: {word}. {passed} passed; {} failed; 0 ignored; 0 measured; {filtered} filtered out; finished in {:.2}s\n",
        failures.len(),
        began.elapsed().as_secs_f64()
    );
    code
}

/// The tests of one engine, with their full names.
fn tests_of(engine: Engine, groups: &[Group]) -> Vec<(String, Test)> {
    groups
        .iter()
        .filter(|group| group.only.is_none_or(|only| only == engine))
        .flat_map(|group| {
            group.tests.iter().map(move |(name, test)| {
                let full = [engine.name(), group.name, name].join("::");
                (full, *test)
            })
        })
        .collect()
}

/// The tests of an engine; every browser of it takes the next.
struct Queue {
    engine: Engine,
    tests: Vec<(String, Test)>,
    next: AtomicUsize,
}

impl Queue {
    fn take(&self) -> Option<&(String, Test)> {
        self.tests.get(self.next.fetch_add(1, Ordering::Relaxed))
    }

    fn left(&self) -> usize {
        self.tests
            .len()
            .saturating_sub(self.next.load(Ordering::Relaxed))
    }
}

/// Tests that an engine must have left for another browser of it to be worth its start.
const WORTH_A_BROWSER: usize = 6;

/// Runs one engine's tests, then those that others have left; the failed ones, each with its reason.
fn run_and_help(own: &Queue, plan: &[Queue]) -> Vec<(String, String)> {
    let mut failures = match start(own.engine) {
        Ok(page) => run_queue(page, own),
        // Without a browser every one of its tests has failed.
        Err(error) => std::iter::from_fn(|| own.take())
            .map(|(name, _)| {
                println!("test {name} ... FAILED");
                (name.clone(), format!("{error:#}"))
            })
            .collect(),
    };
    while let Some(other) = plan.iter().max_by_key(|queue| queue.left())
        && other.left() >= WORTH_A_BROWSER
        && let Ok(page) = start(other.engine)
    {
        failures.extend(run_queue(page, other));
    }
    failures
}

fn start(engine: Engine) -> Result<Page> {
    let page = Page::start(engine, &packed_page())?;
    page.set_viewport(1280, 800)?;
    Ok(page)
}

/// Runs what the queue holds. A test whose browser ended, or lost its page, is run once more in another one: WebKit 2.50
/// falls now and then while it loads a page.
fn run_queue(mut page: Page, queue: &Queue) -> Vec<(String, String)> {
    let mut failures = Vec::new();
    while let Some((name, test)) = queue.take() {
        let began = Instant::now();
        let mut outcome = run_one(&page, *test);
        if let Err(error) = &outcome
            && page.is_gone()
            && let Ok(another) = start(queue.engine)
        {
            println!(
                "test {name} ... its browser or page is gone: {error:#}; once more in another"
            );
            page = another;
            outcome = run_one(&page, *test);
        }
        match outcome {
            Ok(()) => println!("test {name} ... ok <{:.1}s>", began.elapsed().as_secs_f64()),
            Err(error) => {
                println!("test {name} ... FAILED");
                let picture = page
                    .screenshot(&format!("failed-{}", name.replace("::", "-")))
                    .map_or_else(
                        |refused| format!("no screenshot: {refused:#}"),
                        |file| file.display().to_string(),
                    );
                failures.push((name.clone(), format!("{error:#}\n{picture}")));
            }
        }
    }
    failures
}

/// One test on a page as opened for the first time, and what must hold after every test.
fn run_one(page: &Page, test: Test) -> Outcome {
    page.open()?;
    match catch_unwind(AssertUnwindSafe(|| test(page))) {
        Ok(outcome) => outcome?,
        Err(panic) => {
            let text = panic
                .downcast_ref::<String>()
                .cloned()
                .or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()));
            bail!("{}", text.unwrap_or_else(|| "the test panicked".to_owned()));
        }
    }
    let errors = page.take_errors()?;
    if !errors.is_empty() {
        bail!("the page recorded errors: {errors:#?}");
    }
    let requests = page.requests()?;
    if !requests.is_empty() {
        bail!("the page asked the network for: {requests:#?}");
    }
    Ok(())
}
