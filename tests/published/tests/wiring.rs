//! Wires, traces and levels.

use published::{Case, MICRO, design, hold, result};
use pulsewright_sheet::evaluation::Eval;
use pulsewright_test_support::agrees;

/// American wire gauge: diameter in mils and resistance of a thousand feet at 20 °C, which is the loop of
/// 500 ft (ASTM B258 and NBS Handbook 100; table read at cirris.com, whose diameters of 24 and 26 are cut
/// off, not rounded).
#[test]
fn gauges() {
    for (gauge, mils, ohms) in [
        ("18", Some("40.303"), "6.385"),
        ("20", Some("31.961"), "10.15"),
        ("22", Some("25.347"), "16.14"),
        ("24", None, "25.67"),
        ("26", None, "40.81"),
        ("28", Some("12.641"), "64.90"),
        ("30", Some("10.025"), "103.2"),
    ] {
        let design = design(&[
            ("wiring.gauge", gauge),
            ("wiring.length", "500 ft"),
            ("wiring.temperature", "20 degC"),
        ]);
        let c = Eval::new(&design);
        let loop_resistance = result(&c, "wiring.supply_resistance");
        assert!(
            loop_resistance.is_ok_and(|value| agrees(value, ohms)),
            "{gauge}"
        );
        if let Some(mils) = mils {
            let diameter = result(&c, "wiring.diameter").map(|value| value / (25.4 * MICRO));
            assert!(diameter.is_ok_and(|value| agrees(value, mils)), "{gauge}");
        }
    }
}

#[test]
fn cables_and_traces() {
    hold(&[
        Case {
            source: "NBS Handbook 100, table read at cirris.com: AWG 26 has 133.9 Ω/km; 0.5 m there and back",
            design: &[
                ("wiring.gauge", "26"),
                ("wiring.length", "0.5 m"),
                ("wiring.temperature", "20 degC"),
            ],
            printed: &[("wiring.supply_resistance", 1.0, "0.1339")],
        },
        Case {
            source: "IPC-2221B, 6.2 (widely quoted width, from memory): 11.8 mil carry 1 A outside",
            design: &[
                ("wiring.trace_width", "11.8 mil"),
                ("wiring.trace_thickness", "1.378 mil"),
                ("wiring.trace_rise", "10 K"),
            ],
            printed: &[("wiring.trace_current", 1.0, "1.00")],
        },
        Case {
            source: "IPC-2221B, 6.2 (widely quoted width, from memory): 30.8 mil carry 1 A inside",
            design: &[
                ("wiring.trace_width", "30.8 mil"),
                ("wiring.trace_thickness", "1.378 mil"),
                ("wiring.trace_rise", "10 K"),
                ("wiring.trace_layer", "inner"),
            ],
            printed: &[("wiring.trace_current", 1.0, "1.00")],
        },
        Case {
            source: "weekendengineering.com and Bogatin, PCD&F: a thousand squares of half-ounce copper are 1.0 Ω; 10 mil by 10 000 mil at 20 °C",
            design: &[
                ("wiring.trace_width", "10 mil"),
                ("wiring.trace_length", "10 in"),
                ("wiring.trace_thickness", "17.5 um"),
                ("axis.ambient_temperature", "10 degC"),
                ("wiring.trace_rise", "10 K"),
            ],
            printed: &[("wiring.trace_resistance", 1.0, "1.0")],
        },
    ]);
}
