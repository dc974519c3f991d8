//! Numbers, units, JSON and CSV as text.

/// Errors of the sheet are values; what they say to a person is their `message`.
macro_rules! errors_in_words {
    ($($error:ty),+) => {$(
        impl core::fmt::Display for $error {
            fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                let message = self.message();
                f.write_str(message.as_ref())
            }
        }

        impl core::error::Error for $error {}
    )+};
}

pub mod csv;
pub mod json;
pub mod label;
pub mod measure;
pub mod notation;
pub mod number;
pub mod unit;
pub mod unit_pattern;
