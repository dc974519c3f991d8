//! The card itself: what people write on it.

use super::{Form, INPUT, Input, Means, Preset, Words};

inputs! {
    first;

    TITLE: Words = Input {
        id: "card.title",
        symbol: "title",
        label: "Title",
        form: Form::Text,
        preset: Preset::LeftOut,
        layer: 2,
        means: Means::Nothing,
        help: "What this card is of",
        ..INPUT
    };
    NOTE: Words = Input {
        id: "card.note",
        symbol: "note",
        label: "Note",
        form: Form::Text,
        preset: Preset::LeftOut,
        layer: 3,
        means: Means::Nothing,
        help: "Anything worth keeping with it",
        ..INPUT
    };
    REVISION: Words = Input {
        id: "card.revision",
        symbol: "revision",
        label: "Revision",
        form: Form::Text,
        preset: Preset::LeftOut,
        layer: 3,
        means: Means::Nothing,
        help: "Your own number or date of this state",
        ..INPUT
    };
}
