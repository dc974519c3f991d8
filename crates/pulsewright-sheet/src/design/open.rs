//! A design out of whatever carries one: a card file's text, a link, or a text with a link in it.

use super::Design;
use super::card::{self, CardError};
use super::link::{self, LinkError, Read};

/// Why a text carries no design.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OpenError {
    /// It is no design file, and no link stands in it.
    Card(CardError),
    /// What stands in it is no whole link.
    Link(LinkError),
}

impl OpenError {
    /// In words, with what to do.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Card(error) => error.message(),
            Self::Link(error) => error.message().into(),
        }
    }
}

errors_in_words!(OpenError);

/// The design of a text: of a design file, else of the first link in it, as in a header made from the design. Of a text
/// that begins with a link all is the link: a blank in it stands in a value.
///
/// # Errors
/// [`OpenError`] where neither is there, or a newer version wrote it.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::open::open;
///
/// let file = r##"{"route_card": 1, "inputs": {"gears.ratio": 380, "card.note": "was #pw1;gears.ratio=100"}}"##;
/// let link = "// made from #pw1;gears.ratio=380;card.note=was%20%23pw1%3Bgears.ratio%3D100";
/// assert_eq!(open(file).unwrap().design, open(link).unwrap().design);
/// assert!(open("{}").is_err());
///
/// let blank = open("#pw1;axis.load_mass=400 g").unwrap().design;
/// assert_eq!(blank, open("#pw1;axis.load_mass=400g").unwrap().design);
/// ```
pub fn open(text: &str) -> Result<Read, OpenError> {
    let text = text.trim();
    if text.starts_with('{') {
        return open_by(text, &card::read);
    }
    let first_word = text.split_whitespace().next().unwrap_or_default();
    let read = if link::stands_in(first_word) {
        link::read(&text.replace(' ', "%20"))
    } else {
        link::read(text)
    };
    read.map_err(OpenError::Link)
}

/// The same of a file, where something else reads its JSON, such as a browser: what is no design file may hold a link.
///
/// # Errors
/// As [`open`].
pub fn open_by(
    text: &str,
    card: &dyn Fn(&str) -> Result<Design, CardError>,
) -> Result<Read, OpenError> {
    match card(text) {
        Ok(design) => Ok(Read {
            design,
            trouble: None,
        }),
        Err(newer @ CardError::Newer(_)) => Err(OpenError::Card(newer)),
        Err(error) => match link::read(text) {
            Err(LinkError::NoMark) => Err(OpenError::Card(error)),
            read => read.map_err(OpenError::Link),
        },
    }
}
