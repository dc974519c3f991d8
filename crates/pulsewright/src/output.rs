//! Where a text goes: standard output, or a file that is whole or as it was before.

use std::fs::{self, Permissions};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use tempfile::{Builder, NamedTempFile};

use crate::paint::Paint;

/// Puts `text` where it was asked for.
///
/// # Errors
/// What kept it from being written, with the file's name.
pub fn put(text: &str, to: Option<&Path>, paint: Paint) -> Result<(), String> {
    match to {
        Some(file) if file.as_os_str() != "-" => Staged::new(file, text)?.place(),
        _ => print(text, paint),
    }
}

/// Prints `text`.
///
/// # Errors
/// What kept it from being written.
pub fn print(text: &str, paint: Paint) -> Result<(), String> {
    let output = std::io::stdout();
    let written = if paint.is_on() {
        // This stream knows how older terminals are coloured.
        anstream::AutoStream::always(output).write_all(text.as_bytes())
    } else {
        output.lock().write_all(text.as_bytes())
    };
    match written {
        // A reader that closes early (`| head`) is no fault of the design.
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(error.to_string()),
        _ => Ok(()),
    }
}

/// A text that lies ready beside the file it is for.
pub struct Staged {
    file: PathBuf,
    ready: Ready,
}

enum Ready {
    Beside(NamedTempFile),
    /// What is no file, a device or a pipe, is written to, never replaced.
    Direct(String),
}

impl Staged {
    /// Writes `text` to a new file beside `file`.
    ///
    /// # Errors
    /// What kept it from being written, with the file's name.
    pub fn new(file: &Path, text: &str) -> Result<Self, String> {
        let fail = |error: std::io::Error| format!("{}: {error}", file.display());
        let known = fs::metadata(file).ok();
        if known.as_ref().is_some_and(fs::Metadata::is_dir) {
            return Err(format!("{}: this is a folder", file.display()));
        }
        if known.as_ref().is_some_and(|known| !known.is_file()) {
            return Ok(Self {
                file: file.into(),
                ready: Ready::Direct(text.into()),
            });
        }
        if known
            .as_ref()
            .is_some_and(|known| known.permissions().readonly())
        {
            return Err(format!("{}: this file may not be written", file.display()));
        }
        // A link to a file stays one.
        let file_itself = fs::canonicalize(file).unwrap_or_else(|_| file.into());
        let folder = match file_itself.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        let mut builder = Builder::new();
        builder.prefix(".pulsewright-").suffix(".tmp");
        let usual = usual_permissions();
        if let Some(usual) = &usual {
            builder.permissions(usual.clone());
        }
        let mut beside = builder.tempfile_in(folder).map_err(fail)?;
        beside
            .write_all(text.as_bytes())
            .and_then(|()| beside.as_file().sync_all())
            .map_err(fail)?;
        if let Some(known) = known {
            beside
                .as_file()
                .set_permissions(known.permissions())
                .map_err(fail)?;
        }
        Ok(Self {
            file: file_itself,
            ready: Ready::Beside(beside),
        })
    }

    /// Puts it in its place, in one step.
    ///
    /// # Errors
    /// What kept it from its place, with the file's name.
    pub fn place(self) -> Result<(), String> {
        let placed = match self.ready {
            Ready::Beside(beside) => beside.persist(&self.file).map(drop).map_err(|e| e.error),
            Ready::Direct(text) => fs::write(&self.file, text),
        };
        placed.map_err(|error| format!("{}: {error}", self.file.display()))
    }
}

/// Those of a new file, from which the system takes what the person does not give to others.
#[cfg(unix)]
fn usual_permissions() -> Option<Permissions> {
    use std::os::unix::fs::PermissionsExt as _;
    Some(Permissions::from_mode(0o666))
}

#[cfg(not(unix))]
fn usual_permissions() -> Option<Permissions> {
    None
}
