//! Hold and heat.

results! {
    after super::drive;
}
