//! Four complete examples, invented; no figure comes from any listing.

/// An example.
#[derive(Clone, Copy, Debug)]
pub struct Example {
    /// Its name on the card.
    pub title: &'static str,
    /// What it shows, in one sentence.
    pub story: &'static str,
    /// Its design file.
    pub card: &'static str,
}

/// The examples; the first is shown at the first opening.
pub const EXAMPLES: [Example; 4] = [
    Example {
        title: "Model-railway turntable",
        story: "Example, invented. It misses on purpose: see why.",
        card: include_str!("../demos/turntable.card.json"),
    },
    Example {
        title: "Greenhouse vent lever",
        story: "Example, invented. It holds for hours, and cannot: see why.",
        card: include_str!("../demos/vent_lever.card.json"),
    },
    Example {
        title: "Camera slider",
        story: "Example, invented. Its batteries sag and its settings round: see where.",
        card: include_str!("../demos/camera_slider.card.json"),
    },
    Example {
        title: "Focus stage",
        story: "Example, invented. It does its job: see how much room is left.",
        card: include_str!("../demos/focus_stage.card.json"),
    },
];
