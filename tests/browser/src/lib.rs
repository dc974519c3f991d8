//! Drives the packed page in real browsers, as a person opens it: one file, from a folder that holds nothing else.
//!
//! A test is a function that takes a [`Page`]; [`tests!`] runs each in every engine. `PULSEWRIGHT_ENGINES` chooses
//! engines (`chromium,firefox,webkit` when unset). After each test the page must have recorded no error and made no
//! request; a test that provokes errors takes them with [`Page::take_errors`]. A failure leaves a screenshot in
//! `target/browser-shots`.

mod driver;
pub mod first_screen;
pub mod keys;
mod page;
mod runner;

pub use driver::{Engine, Session, root};
pub use page::{Element, Page, Scheme, packed_page};
pub use runner::{Group, Outcome, Test, run};

/// Makes `main` of modules of test functions, each `fn(&Page) -> Outcome`. A group that says `in Engine` asks for what
/// only that engine's driver can do.
#[macro_export]
macro_rules! tests {
    ($($module:ident $(in $engine:ident)? { $($test:ident),+ $(,)? })+) => {
        fn main() -> std::process::ExitCode {
            $crate::run(&[$($crate::Group {
                name: stringify!($module),
                only: [$($crate::Engine::$engine)?].first().copied(),
                tests: &[$((stringify!($test), $module::$test as $crate::Test)),+],
            }),+])
        }
    };
}
