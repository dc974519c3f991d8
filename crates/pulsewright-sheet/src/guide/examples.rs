//! Four complete examples, invented; no figure comes from any listing.

/// An example.
#[derive(Clone, Copy, Debug)]
pub struct Example {
    /// Its name on the card.
    pub title: &'static str,
    /// What it shows, in one sentence.
    pub story: &'static str,
    /// Its design, as a link.
    pub link: &'static str,
}

/// The examples; the first is shown at the first opening.
pub const EXAMPLES: [Example; 4] = [
    Example {
        title: "Model-railway turntable",
        story: "Example, invented. It misses on purpose: see why.",
        link: include_str!("../../demos/turntable.link"),
    },
    Example {
        title: "Greenhouse vent lever",
        story: "Example, invented. It holds for hours, and cannot: see why.",
        link: include_str!("../../demos/vent_lever.link"),
    },
    Example {
        title: "Camera slider",
        story: "Example, invented. Its batteries sag and its settings round: see where.",
        link: include_str!("../../demos/camera_slider.link"),
    },
    Example {
        title: "Focus stage",
        story: "Example, invented. It does its job: see by what margin.",
        link: include_str!("../../demos/focus_stage.link"),
    },
];
