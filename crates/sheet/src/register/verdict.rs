//! What it all comes to.

results! {
    after super::stepper;
}
