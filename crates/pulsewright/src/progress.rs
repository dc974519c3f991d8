//! What is said on standard error while something takes long.

use std::io::{IsTerminal as _, Write as _};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::thread;
use std::time::{Duration, Instant};

/// What is done sooner says nothing.
const PATIENCE: Duration = Duration::from_secs(1);

/// Does `work`; where it takes longer than a second, `says` on standard error how far it is: in one
/// line on a terminal, in a line now and then in a log.
pub fn shown<T>(says: impl Fn() -> String + Send, work: impl FnOnce() -> T) -> T {
    let (done, waits) = mpsc::channel();
    thread::scope(|scope| {
        // Where there is no thread to be had, nothing is said.
        let _ = thread::Builder::new().spawn_scoped(scope, move || tell(&waits, says));
        let made = work();
        drop(done);
        made
    })
}

fn tell(waits: &Receiver<()>, says: impl Fn() -> String) {
    let began = Instant::now();
    let terminal = std::io::stderr().is_terminal();
    let pause = Duration::from_millis(if terminal { 250 } else { 10_000 });
    let mut next = PATIENCE;
    let mut said = false;
    while let Err(RecvTimeoutError::Timeout) = waits.recv_timeout(next) {
        let text = format!("{}, {} s", says(), began.elapsed().as_secs());
        let mut error = std::io::stderr();
        let _ = if terminal {
            write!(error, "\r\u{1b}[K{text}").and_then(|()| error.flush())
        } else {
            writeln!(error, "pulsewright: {text}")
        };
        said = true;
        next = pause;
    }
    if said && terminal {
        let _ = write!(std::io::stderr(), "\r\u{1b}[K");
    }
}
