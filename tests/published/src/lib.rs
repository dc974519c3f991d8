//! See the tests of this package.
