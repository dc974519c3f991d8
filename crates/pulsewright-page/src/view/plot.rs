//! Plots in their stations: drawn after the numbers stand, read by pointer and by keyboard, with a
//! table of the same data.

use std::cell::Cell;
use std::rc::Rc;

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::evaluation::Absent;
use pulsewright_sheet::evaluation::simulated::NOT_RUN;
use pulsewright_sheet::plot::layout::Drawing;
use pulsewright_sheet::plot::{self, Known, Plot, Reading, Table, Width};
use pulsewright_sheet::register::Station;
use pulsewright_sheet::text::number;
use wasm_bindgen::JsCast;

use crate::dom::{El, batched_apart, button, el, follow, memo};
use crate::state::page_state::PageState;
use crate::view::checks::why;

/// Milliseconds without a key before a plot is drawn anew: nobody reads it while typing.
const PAUSE: u32 = 150;

/// How wide a plot is drawn on paper, and the widest on a screen, in CSS pixels.
const PAPER: f64 = 480.0;
const WIDEST: f64 = 760.0;

/// A plot with its drawing.
pub struct Drawn {
    plot: Plot,
    markup: String,
    drawing: Drawing,
}

/// What a figure shows: nothing yet, a plot, or why there is none.
pub type Made = RwSignal<Option<Result<Rc<Drawn>, Absent>>, LocalStorage>;

impl Drawn {
    /// Draws for a place this wide, in CSS pixels.
    pub fn new(plot: Plot, across: f64, id: &str) -> Rc<Self> {
        let (markup, drawing) = plot::svg(&plot, Width::Pixels(across as u16));
        // A plot that stands at two places has its own ids at each.
        let own = ["plot-", id, "-"].concat();
        let markup = if id == plot.id {
            markup
        } else {
            markup.replace(&["plot-", plot.id, "-"].concat(), &own)
        };
        Rc::new(Self {
            plot,
            markup,
            drawing,
        })
    }

    fn reading(&self, at: usize) -> Reading {
        let steps = self.plot.steps();
        self.plot.read(at.min(steps) as f64 / steps as f64)
    }

    /// The reading line at a step, as a path; bars have none.
    fn hair(&self, at: usize) -> String {
        if !self.plot.bars.is_empty() {
            return String::new();
        }
        let (frame, steps) = (self.drawing.frame, self.plot.steps());
        let share = at.min(steps) as f64 / steps as f64;
        let x = frame.left + share * (frame.right - frame.left);
        [
            "M",
            &number::fixed(x, 1),
            " ",
            &number::fixed(frame.top, 1),
            "V",
            &number::fixed(frame.bottom, 1),
        ]
        .concat()
    }

    /// The step that lies under a place of the drawing, given in shares of its width and height.
    fn step(&self, (across, down): (f64, f64)) -> usize {
        let (frame, drawing) = (self.drawing.frame, &self.drawing);
        let share = if self.plot.bars.is_empty() {
            (across * drawing.width - frame.left) / (frame.right - frame.left)
        } else {
            (down * drawing.height - frame.top) / (frame.bottom - frame.top)
        };
        let steps = self.plot.steps();
        // Less than none is none.
        ((share * steps as f64 + 0.5) as usize).min(steps)
    }
}

fn now(made: Made) -> Option<Rc<Drawn>> {
    made.get()?.ok()
}

fn unfollowed(made: Made) -> Option<Rc<Drawn>> {
    made.get_untracked()?.ok()
}

/// How wide a plot may be drawn at a place of such a width: letters keep their size whatever the width.
fn across(page: PageState, wide: f64) -> f64 {
    if page.paper.get_untracked() {
        return PAPER;
    }
    let window = window().inner_width().ok().and_then(|w| w.as_f64());
    let wide = if wide > 0.0 {
        wide
    } else {
        window.unwrap_or(PAPER) - 40.0
    };
    // Text that is set larger gets letters as large: the drawing is then made for fewer of its own pixels.
    let letters = window_letters();
    (wide / letters).min(WIDEST)
}

/// How large letters are set in this browser, as a share of the usual.
fn window_letters() -> f64 {
    let root = document().document_element();
    let style = root.and_then(|root| window().get_computed_style(&root).ok().flatten());
    let size = style.and_then(|style| style.get_property_value("font-size").ok());
    let pixels = size.and_then(|size| size.trim_end_matches("px").parse::<f64>().ok());
    (pixels.unwrap_or(16.0) / 16.0).max(1.0)
}

/// Torque against speed, for the head of the page.
pub fn of_head(page: PageState) -> Option<El> {
    let known = plot::PLOTS
        .iter()
        .find(|known| known.id == "torque_speed")?;
    Some(batched_apart(|| {
        followed(page.with_own_revision(), known, "map")
    }))
}

/// The plots of a station.
pub fn plots(page: PageState, station: Station) -> Vec<El> {
    let mut figures = Vec::new();
    for known in plot::PLOTS {
        if known.station == station {
            figures.push(batched_apart(|| {
                followed(page.with_own_revision(), known, known.id)
            }));
        }
    }
    figures
}

/// A plot that follows the design.
fn followed(page: PageState, known: &'static Known, id: &'static str) -> El {
    let made: Made = RwSignal::new_local(None);
    let figure = figure(known, id, made);
    let place = figure.element();
    let drawn_for = Rc::new(Cell::new(0.0));
    // To ask for the width of the place lays out the page, and only another window changes it.
    let place_width = Rc::new(Cell::new(0.0));
    let (drawn, known_width) = (drawn_for.clone(), place_width.clone());
    let width = Rc::new(move || {
        if known_width.get() <= 0.0 {
            let parent = place.parent_element();
            known_width.set(f64::from(parent.as_ref().unwrap_or(&place).client_width()));
        }
        across(page, known_width.get())
    });
    let width_now = width.clone();
    // What is being simulated leaves the drawing of before, and says so.
    let waits = RwSignal::new(false);
    let draw = move || {
        let plot = page.read_untracked(|w| known.plot(&w.eval));
        let not_yet = plot.as_ref().is_err_and(|why| *why == NOT_RUN);
        if !not_yet || unfollowed(made).is_none() {
            let wide = width_now();
            drawn.set(wide);
            made.set(Some(plot.map(|plot| Drawn::new(plot, wide, id))));
        }
        waits.set(not_yet);
    };
    let draw = Rc::new(draw);
    // A window that becomes wider or narrower has its plots drawn anew.
    let again = draw.clone();
    on_resize(move || {
        place_width.set(0.0);
        let wide = width();
        if unfollowed(made).is_some() && (wide - drawn_for.get()).abs() >= 8.0 {
            again();
        }
    });
    let mut pause = 0;
    let waiting = Cell::new(None::<Timeout>);
    follow(Box::new(move || {
        page.track_revision();
        // Dropping what waits calls it off.
        waiting.set(None);
        // What goes to paper cannot wait.
        let draw = draw.clone();
        if page.paper.get() {
            untrack(|| draw());
        } else {
            waiting.set(Some(Timeout::new(pause, move || draw())));
            pause = PAUSE;
        }
    }));
    figure.attr_fn("aria-busy", move || waits.get().then(|| "true".into()))
}

/// Runs `act` whenever the window has another size, as long as what asks for it is there.
fn on_resize(act: impl Fn() + 'static) {
    // What waits is called off with the listener: it must not come when the plot is gone.
    let waiting = StoredValue::new_local(None::<Timeout>);
    let act = Rc::new(act);
    let listener = gloo_events::EventListener::new(&window(), "resize", move |_| {
        let act = act.clone();
        waiting.set_value(Some(Timeout::new(PAUSE, move || act())));
    });
    let held = StoredValue::new_local(Some(listener));
    on_cleanup(move || {
        held.dispose();
        waiting.dispose();
    });
}

/// A figure of `made`: caption, drawing with its reader, readout, table.
fn figure(known: &'static Known, id: &'static str, made: Made) -> El {
    // At which step one reads; none until somebody does.
    let at = RwSignal::new(None::<usize>);
    let reading = move || Some(now(made)?.reading(at.get()?));
    let picture = el("div").html_fn(move || now(made).map_or(String::new(), |d| d.markup.clone()));
    let svg = picture.element();
    // After the drawing, in which the line lies.
    follow(Box::new(move || {
        if let (Some(drawn), Some(at)) = (now(made), at.get())
            && let Ok(Some(line)) = svg.query_selector(".hair")
        {
            let _ = line.set_attribute("d", &drawn.hair(at));
        }
    }));
    let missing = move || match made.get() {
        Some(Err(absent)) => why(&absent),
        _ => String::new(),
    };
    // What does not belong to this design is not missed, nor what enlarges another that is not there.
    let hidden = move || match made.get() {
        Some(Err(absent)) => !absent.is_asked() || known.id == "landing_end",
        found => found.is_none(),
    };
    let element_id = ["plot-", id].concat();
    el("figure")
        .class("plotted")
        .attr("id", &element_id)
        .flag("hidden", hidden)
        .child(
            el("figcaption")
                .child(el("b").text(known.title))
                .child(
                    el("p").text_fn(move || {
                        now(made).map_or(String::new(), |d| d.plot.finding.clone())
                    }),
                )
                .child(el("p").class("help").text_fn(missing)),
        )
        .child(
            el("div")
                .class("reader")
                .flag("hidden", move || now(made).is_none())
                .child(picture)
                .child(
                    reader(made, at)
                        .attr_fn("aria-label", move || {
                            Some(["Cursor on plot: ", known.title].concat())
                        })
                        .attr_fn("aria-valuemax", move || {
                            now(made).map(|d| number::int(d.plot.steps() as i64))
                        })
                        .attr_fn("aria-valuenow", move || {
                            Some(number::int(at.get().unwrap_or(0) as i64))
                        })
                        .attr_fn("aria-valuetext", move || {
                            Some(reading().map_or("use arrow keys".into(), |r| r.sentence()))
                        }),
                ),
        )
        .child(
            el("p")
                .class("readout")
                .attr("aria-live", "polite")
                .text_fn(move || reading().map_or(String::new(), |r| r.sentence())),
        )
        .child(tables(&element_id, made))
}

/// What is pointed at, or gone through by keys.
fn reader(made: Made, at: RwSignal<Option<usize>>) -> El {
    let point = move |event: &web_sys::Event| {
        let node: Option<web_sys::Element> = event.current_target().and_then(|t| t.dyn_into().ok());
        if let (Some(mouse), Some(node), Some(drawn)) = (
            event.dyn_ref::<web_sys::MouseEvent>(),
            node,
            unfollowed(made),
        ) {
            let share = |at: i32, of: i32| f64::from(at) / f64::from(of.max(1));
            at.set(Some(drawn.step((
                share(mouse.offset_x(), node.client_width()),
                share(mouse.offset_y(), node.client_height()),
            ))));
        }
    };
    el("div")
        .class("pointer")
        .attr("role", "slider")
        .attr("tabindex", "0")
        .attr("aria-valuemin", "0")
        .on("pointermove", point)
        .on("pointerdown", point)
        .on("keydown", move |event| {
            let (Some(key), Some(drawn)) =
                (event.dyn_ref::<web_sys::KeyboardEvent>(), unfollowed(made))
            else {
                return;
            };
            let last = drawn.plot.steps();
            let by: isize = match key.key().as_str() {
                "Home" => isize::MIN,
                "End" => isize::MAX,
                "ArrowRight" | "ArrowUp" => 1,
                "ArrowLeft" | "ArrowDown" => -1,
                "PageUp" => 10,
                "PageDown" => -10,
                _ => return,
            };
            event.prevent_default();
            // The first key begins at the low end, unless it asks for the other.
            let from = match at.get_untracked() {
                None if by < isize::MAX => isize::MIN,
                from => from.map_or(0, |n| n as isize),
            };
            let to = from.saturating_add(by).max(0) as usize;
            at.set(Some(to.min(last)));
        })
}

/// The tables behind a plot.
fn tables(figure: &str, made: Made) -> El {
    let open = RwSignal::new(false);
    let list = move || {
        if open.get() {
            now(made).map_or(Vec::new(), |d| d.plot.tables())
        } else {
            Vec::new()
        }
    };
    let key = memo(move || {
        let mut all = String::new();
        for table in list() {
            for row in table.rows.iter().chain([&table.head]) {
                all.push_str(&row.concat());
            }
        }
        all
    });
    let body = [figure, "-table"].concat();
    el("div")
        .class("tabled")
        .flag("hidden", move || now(made).is_none())
        .child(
            button("quiet", move || open.update(|o| *o = !*o))
                .attr("aria-controls", &body)
                .expanded(move || open.get())
                .text("Table")
                .child(el("span").class("unseen").text_fn(move || {
                    now(made).map_or(String::new(), |d| [" of: ", d.plot.title].concat())
                })),
        )
        .child(
            el("div")
                .attr("id", &body)
                .keyed(key, move || list().iter().map(table).collect()),
        )
}

fn table(table: &Table) -> El {
    let cell = |n: usize, words: &str| {
        if n == 0 {
            el("th").attr("scope", "row").text(words)
        } else {
            el("td").text(words)
        }
    };
    let mut head = el("tr");
    for words in &table.head {
        head = head.child(el("th").attr("scope", "col").text(words));
    }
    let mut body = el("tbody");
    for row in &table.rows {
        let mut line = el("tr");
        for (n, words) in row.iter().enumerate() {
            line = line.child(cell(n, words));
        }
        body = body.child(line);
    }
    el("div")
        .class("working")
        .attr("tabindex", "0")
        .attr("role", "group")
        .attr("aria-label", "Table")
        .child(el("table").child(el("thead").child(head)).child(body))
}
