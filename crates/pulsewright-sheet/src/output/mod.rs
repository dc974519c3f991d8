//! Ways out of an evaluation.

pub mod c_header;
pub mod compare;
pub mod documentation;
pub mod entered;
pub mod quoted;
pub mod rank;
pub mod report;
pub mod results_table;
pub mod settings;
pub mod slider;
pub mod tuning;
pub mod typescript;
pub mod verdict;
