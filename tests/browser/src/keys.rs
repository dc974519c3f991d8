//! Keys without a letter, as WebDriver names them (W3C WebDriver, "Keyboard actions").

/// Held while the other keys of the same text are pressed.
pub const CONTROL: &str = "\u{E009}";
/// Takes away the letter before.
pub const BACKSPACE: &str = "\u{E003}";
/// Takes away what is selected.
pub const DELETE: &str = "\u{E017}";
/// Goes to the next field.
pub const TAB: &str = "\u{E004}";
/// Confirms.
pub const ENTER: &str = "\u{E007}";
/// Closes.
pub const ESCAPE: &str = "\u{E00C}";
/// Up.
pub const UP: &str = "\u{E013}";
/// Down.
pub const DOWN: &str = "\u{E015}";
/// Left.
pub const LEFT: &str = "\u{E012}";
/// Right.
pub const RIGHT: &str = "\u{E014}";
/// To the end.
pub const END: &str = "\u{E010}";
/// To the beginning.
pub const HOME: &str = "\u{E011}";
