//! The card itself: what people write on it.

use super::key::Words;
use super::schema::{ChangedBy, Form, INPUT, Input, Preset};

inputs! {
    card;

    TITLE: Words = Input {
        id: "card.title",
        symbol: "title",
        label: "Title",
        form: Form::Text,
        preset: Preset::LeftOut,
        layer: 2,
        changed_by: ChangedBy::Nothing,
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
        changed_by: ChangedBy::Nothing,
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
        changed_by: ChangedBy::Nothing,
        help: "Your own number or date of this state",
        ..INPUT
    };
    WISHED: Words = Input {
        id: "card.wished",
        symbol: "wished",
        label: "Wished figures",
        form: Form::Text,
        preset: Preset::LeftOut,
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Ids of the figures that a part would have to have, each with what its listing says: written by a way to fix it that was tried, and taken away as soon as a figure is entered by hand",
        ..INPUT
    };
}

results! {
    card;
}
