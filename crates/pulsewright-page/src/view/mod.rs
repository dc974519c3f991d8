//! What a person sees: every file makes one kind of piece of the page from the state.

pub mod bench;
pub mod cards;
pub mod checks;
pub mod deciding;
pub mod drawing;
pub mod drive_line;
pub mod field;
pub mod figures;
pub mod files;
pub mod frame;
pub mod head;
pub mod plot;
pub mod print;
pub mod qr;
pub mod remedies;
pub mod result;
pub mod slider;
pub mod stamp;
pub mod station;
pub mod tuning;
