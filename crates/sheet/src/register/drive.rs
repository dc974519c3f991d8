//! The motor on this supply.

inputs! {
    after super::wiring;

}

results! {
    after super::wiring;
}
