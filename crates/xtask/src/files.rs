//! Files: reading, writing and finding them, with the name of the one that failed.

use anyhow::{Context, Result};
use std::fs;
use std::path::{Path, PathBuf};

pub fn read(path: &Path) -> Result<String> {
    fs::read_to_string(path).with_context(|| format!("could not read {}", path.display()))
}

pub fn write(path: &Path, bytes: &[u8]) -> Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)
            .with_context(|| format!("could not make {}", folder.display()))?;
    }
    fs::write(path, bytes).with_context(|| format!("could not write {}", path.display()))
}

/// Every file in a folder and those within it, in order.
pub fn list(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let entries =
        fs::read_dir(folder).with_context(|| format!("could not list {}", folder.display()))?;
    for entry in entries {
        let path = entry?.path();
        if path.is_dir() {
            files.extend(list(&path)?);
        } else {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}
