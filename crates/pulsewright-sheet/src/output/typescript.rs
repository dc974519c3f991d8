//! TypeScript types of a design and of its report, from the register: what an editor needs to complete ids in a script.

use crate::register::{self, COUNT, Form, INPUT_COUNT, Input, YesNo};
use crate::text::json::quoted;

/// What the module offers, and the form of what it promises.
const REPORT: &str = r#"/** How a check stands; `waits` until another one is put right. */
export type Status = "passes" | "tight" | "fails" | "unknown" | "waits";

/** A design as a file: what is given, and nothing else. */
export interface Card {
  $schema?: string;
  route_card: 1;
  inputs: Inputs;
}

/** A result that could be computed. */
export interface Quantity {
  /** In `unit`, SI; temperatures in °C. */
  value: number;
  unit: string;
  label: string;
  /** As the page shows it. */
  display: string;
  /** The assumed inputs that it rests on. */
  assumed: InputId[];
  /** Where it is known exactly: a fraction of whole numbers, "19380/13". */
  exact?: string;
}

/** Why there is no number. */
export interface Absent {
  code: "missing" | "refused" | "unlimited" | "impossible" | "waits" | "above";
  message: string;
}

/** What the design can do, held against what it must. */
export interface Check {
  id: string;
  label: string;
  capability: number | null;
  need: number | null;
  unit: string;
  margin: number | null;
  status: Status;
  assumed: InputId[];
  case?: "move" | "blocked" | "hold";
  message?: string;
}

/** A sentence that numbers have triggered. */
export interface Finding {
  id: string;
  severity: "note" | "fault" | "caution" | "warning" | "danger";
  message: string;
  numbers: Record<string, number>;
}

/** What is said of an entry. */
export interface EntryMessage {
  id: InputId;
  label: string;
  message: string;
}

/** The report of a design. A calculation, not an approval. */
export interface Report {
  /** Version of this form. */
  report: 1;
  made_by: string;
  route_card: 1;
  verdict: { status: Status; check: string | null; sentence: string; missing: InputId[]; wished?: InputId[] };
  /** Entries that are refused, with the reason. */
  refused?: EntryMessage[];
  /** Entries that the chosen kind of axis, or another choice, does not ask for. */
  unused?: EntryMessage[];
  quantities: Partial<Record<ResultId, Quantity>>;
  absent: Partial<Record<ResultId, Absent>>;
  checks: Check[];
  findings: Finding[];
}

/**
 * The report of a design: a link with `#pw1` in it, the text of a card file, or a card.
 * It rejects with an `Error` that names the input where one is unknown or refused.
 */
export function evaluate(design: string | Card): Promise<Report>;
"#;

/// The types.
///
/// # Example
/// ```
/// let types = pulsewright_sheet::output::typescript::types();
/// assert!(types.contains(r#""axis.kind"?: "arm" | "turntable""#));
/// ```
#[must_use]
pub fn types() -> String {
    let mut out = String::from("// Made from the register; do not edit.\n\n");
    out.push_str(&union("Ids of inputs.", "InputId", 0..INPUT_COUNT));
    out.push_str(&union("Ids of results.", "ResultId", INPUT_COUNT..COUNT));
    out.push_str("/** Given inputs; a bare number is in the SI unit of its id. */\nexport interface Inputs {\n");
    for (index, input) in register::inputs().iter().enumerate() {
        let unit = match input.form {
            Form::Quantity(_) => register::measure(index).si_name(),
            _ => "",
        };
        let unit = match unit {
            "" | "1" => String::new(),
            unit => [" [", unit, "]"].concat(),
        };
        let help = match input.help {
            "" => String::new(),
            help => [". ", help].concat(),
        };
        let says = [input.label, &unit, &help].concat().replace("*/", "* /");
        let line = [
            "  /** ",
            &says,
            " */\n  ",
            &quoted(input.id),
            "?: ",
            &taken(input),
            ";\n",
        ];
        out.push_str(&line.concat());
    }
    out.push_str("}\n\n");
    out.push_str(REPORT);
    out
}

fn union(says: &str, name: &str, indices: core::ops::Range<usize>) -> String {
    let ids: Vec<String> = indices
        .map(|index| ["  | ", &quoted(register::id(index))].concat())
        .collect();
    let (says, ids) = (["/** ", says, " */\n"].concat(), ids.join("\n"));
    [&says, "export type ", name, " =\n", &ids, ";\n\n"].concat()
}

/// The type of an input.
fn taken(input: &Input) -> String {
    match input.form {
        Form::Choice(words) => {
            let mut all: Vec<String> = words.iter().map(|word| quoted(word)).collect();
            if words == YesNo::WORDS {
                all.push("boolean".into());
            }
            all.join(" | ")
        }
        Form::Text | Form::Stages | Form::Shares | Form::Travel => "string".into(),
        Form::Quantity(_) | Form::Whole | Form::Exact => "string | number".into(),
    }
}
