//! Entries become keys: the numbering follows the order of the entries, by itself.

/// Words that a choice takes, as an enumeration that the sheet can hold.
macro_rules! choices {
    ($(#[$note:meta])* $name:ident { $($variant:ident = $word:literal,)+ }) => {
        $(#[$note])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[allow(missing_docs)]
        #[repr(u8)]
        pub enum $name { $($variant,)+ }

        impl $name {
            /// The words, in the order of the variants.
            pub const WORDS: &'static [&'static str] = &[$($word,)+];
            /// Every variant.
            pub const EVERY: &'static [Self] = &[$(Self::$variant,)+];
        }

        impl $crate::register::Physical for $name {
            fn from_raw(raw: f64) -> Self {
                Self::EVERY.get(raw as usize).copied().unwrap_or(Self::EVERY[0])
            }
            fn raw(self) -> f64 {
                f64::from(self as u8)
            }
        }
    };
}

/// The inputs of a station: `KEY: Type = Input { … };`. They are numbered behind those of `$before`.
macro_rules! inputs {
    (after $before:path; $($key:ident: $type:ty = $entry:expr;)*) => {
        use $before as inputs_before;
        /// Number of this station's first input.
        pub const INPUTS_AT: usize = inputs_before::INPUTS_AT + inputs_before::INPUTS.len();
        inputs!(@ $($key: $type = $entry;)*);
    };
    (first; $($key:ident: $type:ty = $entry:expr;)*) => {
        /// Number of this station's first input.
        pub const INPUTS_AT: usize = 0;
        inputs!(@ $($key: $type = $entry;)*);
    };
    (@ $($key:ident: $type:ty = $entry:expr;)*) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms, dead_code)]
        enum InputAt { $($key,)* }
        $(
            /// The input of this name.
            pub const $key: $crate::register::Key<$type> =
                $crate::register::Key::at(INPUTS_AT + InputAt::$key as usize);
        )*
        /// This station's inputs.
        pub const INPUTS: &[$crate::register::Input] = &[$($entry,)*];
    };
}

/// The results of a station: `KEY: Type = Outcome { … }, function;`. They are numbered behind those
/// of `$before`.
macro_rules! results {
    (after $before:path; $($key:ident: $type:ty = $entry:expr, $function:path;)*) => {
        use $before as results_before;
        /// Number of this station's first result.
        pub const RESULTS_AT: usize = results_before::RESULTS_AT + results_before::RESULTS.len();
        results!(@ $($key: $type = $entry, $function;)*);
    };
    (first; $($key:ident: $type:ty = $entry:expr, $function:path;)*) => {
        /// Number of this station's first result.
        pub const RESULTS_AT: usize = $crate::register::INPUT_COUNT;
        results!(@ $($key: $type = $entry, $function;)*);
    };
    (@ $($key:ident: $type:ty = $entry:expr, $function:path;)*) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms, dead_code)]
        enum ResultAt { $($key,)* }
        $(
            /// The result of this name.
            pub const $key: $crate::register::Key<$type> =
                $crate::register::Key::at(RESULTS_AT + ResultAt::$key as usize);
        )*
        /// This station's results.
        pub const RESULTS: &[$crate::register::Outcome] = &[$(
            $crate::register::Outcome {
                compute: {
                    fn computed(
                        c: &$crate::eval::Eval<'_>,
                    ) -> Result<f64, $crate::eval::Absent> {
                        let found: $type = $function(c)?;
                        Ok(c.keep(found.into()))
                    }
                    computed
                },
                ..$entry
            },
        )*];
    };
}
