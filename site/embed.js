// <pulse-wright>: numbers and cards of a design in somebody's own page. One classic script, the program inside;
// it makes no request and leaves the page's own names alone but for `pulsewright`.
// `cargo page` puts the program in and writes dist/pulsewright-embed.js.
(function () {
    "use strict";

    // A page may hold the script twice; the first one counts.
    if (!window.customElements || customElements.get("pulse-wright")) {
        return;
    }

    /* glue */

    const PROGRAM = "program";
    let program = null;
    // The page of the card lies beside this script.
    const HERE = document.currentScript && document.currentScript.src || "";

    // Written straight into what inflates: a detour through a blob takes longer than the inflating.
    function inflated(pieces) {
        const stream = new DecompressionStream("gzip");
        const writer = stream.writable.getWriter();
        // A damaged program is told of by whoever reads.
        pieces.forEach((piece) => writer.write(piece).catch(() => {}));
        writer.close().catch(() => {});
        return new Response(stream.readable);
    }

    /* unpack */

    // The program is unpacked once, when somebody first asks for it.
    function start() {
        program = program || (async function () {
            // Whole: what compiles from a stream stands still for seconds now and then in Firefox.
            await wasm_bindgen({ module_or_path: await inflated(unpacked(PROGRAM)).arrayBuffer() });
            return wasm_bindgen;
        }());
        return program;
    }

    // A number that only the command computes, from a file, bears no mark.
    const STYLE = `
        :host { font: inherit; color: inherit; }
        :host([hidden]) { display: none; }
        :host([state="refused"]:not([design$=".json"])), :host([state="absent"]) { text-decoration: underline wavy; }
        :host([state="refused"]:not([design$=".json"]))::after, :host([state="absent"])::after { content: " [?]"; font-weight: 700; }
        :host([state="refused"]:not([design$=".json"]))::after, :host([state="absent"])::after { content: " [?]" / " (not computed)"; }
        .card { display: block; border: 1px solid currentColor; padding: .6em .9em .7em; margin: .5em 0; text-align: start; }
        h3, p { margin: 0; font: inherit; }
        table:empty { display: none; }
        h3 { font-weight: 700; display: flex; justify-content: space-between; gap: 1em; }
        .stamp { border: 2px solid currentColor; border-radius: 1em; padding: 0 .6em; font-weight: 700; }
        .stamp.fails { border-width: 3px; border-style: double; }
        .stamp.tight { border-style: dashed; }
        .stamp.unknown, .stamp.waits { border-style: dotted; }
        table { border-collapse: collapse; width: 100%; margin: .4em 0; font: inherit; }
        td, th { border: 0; border-top: 1px solid; border-color: color-mix(in srgb, currentColor 30%, transparent); padding: .15em .4em .15em 0; text-align: start; font: inherit; background: none; }
        td:last-child { text-align: end; font-variant-numeric: tabular-nums; white-space: nowrap; padding-inline-end: 0; }
        .quiet { opacity: .8; font-size: .85em; margin-top: .3em; }
        .scroll { overflow-x: auto; }
        a { color: inherit; }
        .plot { display: block; width: 100%; max-width: 45em; height: auto; }
        .plot text { font: 12px system-ui, sans-serif; fill: currentColor; }
        .plot .title, .plot .job { font-weight: 700; }
        .plot .middle { text-anchor: middle; }
        .plot .end { text-anchor: end; }
        .plot path { fill: none; stroke: currentColor; stroke-width: 1.3; }
        .plot .grid { stroke-width: .6; opacity: .3; }
        .plot .frame, .plot .limit { stroke-width: 1; }
        .plot .hot { stroke-dasharray: 8 3; }
        .plot .ordinary { stroke-width: 1.8; }
        .plot .commanded { stroke-dasharray: 2 3; }
        .plot .hatch, .plot .leader { stroke-width: .7; }
        .plot .bar { fill: currentColor; fill-opacity: .25; }
        .plot .dot { fill: currentColor; }
        .plot .name, .plot .note { opacity: .8; }`;

    // One style for all; where that is not known, each element has its own.
    let style = null;
    try {
        style = new CSSStyleSheet();
        style.replaceSync(STYLE);
    } catch (unknown) {
        style = null;
    }

    function el(tag, name, text) {
        const element = document.createElement(tag);
        if (name) {
            element.className = name;
        }
        // Text only: nothing of a design is ever read as markup.
        if (text) {
            element.textContent = text;
        }
        return element;
    }

    function row(table, cells) {
        const line = table.insertRow();
        cells.forEach(function (cell) {
            line.insertCell().textContent = cell;
        });
    }

    function usesComma(element) {
        const spoken = element.closest("[lang]");
        try {
            return new Intl.NumberFormat((spoken && spoken.lang) || undefined).format(1.5).includes(",");
        } catch (refused) {
            return false;
        }
    }

    const BLOCKS = "script[type='application/json'][id]";

    // What `design="#name"` of an element means: of JSON blocks and other elements of ours the last one before it, else
    // the first one behind. A generator that joins pages numbers an id that was there before, as `name-1`; one that
    // somebody asks for by that very id was written so.
    function named(element, name) {
        const numbered = (id) => id.startsWith(name + "-") && /^\d+$/.test(id.slice(name.length + 1));
        for (let at = element; at; at = at.getRootNode().host) {
            const root = at.getRootNode();
            const isAsked = (id) => root.querySelector("pulse-wright[design='#" + CSS.escape(id) + "']");
            let found = null;
            root.querySelectorAll(BLOCKS + ", pulse-wright[id]").forEach(function (other) {
                const fits = other.id === name || (numbered(other.id) && !isAsked(other.id));
                const before = other.compareDocumentPosition(at) & Node.DOCUMENT_POSITION_FOLLOWING;
                if (fits && other !== element && (before || !found)) {
                    found = other;
                }
            });
            if (found) {
                return found;
            }
        }
        return null;
    }

    // The text of an element's design: a link, or what an id on the page leads to. A page that is changed in place may
    // take a block away that was there: what was read of it stays.
    function designOf(element, depth) {
        const from = element.getAttribute("design") || "";
        if (/(?:#|%(?:25){0,2}23)pw/.test(from)) {
            return from;
        }
        const found = from.startsWith("#") && depth < 8 ? named(element, from.slice(1)) : null;
        if (found && found.localName === "script") {
            element.known = { from: from, text: found.textContent };
        } else if (found) {
            element.known = { from: from, text: designOf(found, depth + 1) };
        }
        if (element.known && element.known.from === from) {
            return element.known.text;
        }
        throw new Error("design=\"" + from + "\" is no link, and no id of a JSON block or another element here");
    }

    const isLoading = () => document.readyState === "loading";

    // The page may still be read: the text of an element and what its design names come later.
    const whole = isLoading()
        ? new Promise((done) => document.addEventListener("DOMContentLoaded", done, { once: true }))
        : Promise.resolve();

    // The elements on the page.
    const ours = new Set();

    // A table of labels and what stands beside them.
    function tableOf(rows) {
        const scroll = el("div", "scroll");
        const table = el("table");
        rows.forEach((cells) => row(table, cells));
        scroll.append(table);
        return scroll;
    }

    class PulseWright extends HTMLElement {
        static get observedAttributes() {
            return ["design", "show", "of", "unit", "digits", "page"];
        }

        constructor() {
            super();
            const root = this.attachShadow({ mode: "open" });
            if (style && root.adoptedStyleSheets) {
                root.adoptedStyleSheets = [style];
            } else {
                root.append(el("style", "", STYLE));
            }
            root.append(document.createElement("slot"));
        }

        connectedCallback() {
            ours.add(this);
            this.update();
        }

        disconnectedCallback() {
            ours.delete(this);
        }

        attributeChangedCallback() {
            this.update();
        }

        update() {
            if (!this.isConnected) {
                return;
            }
            // Read at once: what moves from page to page without loading may take the block away.
            if (!isLoading()) {
                this.look();
            }
            if (this.asked) {
                return;
            }
            this.asked = true;
            this.setAttribute("state", "waiting");
            whole.then(start).then((made) => {
                this.asked = false;
                if (this.isConnected) {
                    this.look();
                    this.show(made, designOf(this, 0));
                }
            }).catch((reason) => {
                this.asked = false;
                this.stand("refused", String(reason && reason.message || reason));
            });
        }

        // Whether the design is another than at the last look.
        look() {
            let text = null;
            try {
                text = designOf(this, 0);
            } catch (none) {
                // It is told where it is shown.
            }
            const other = text !== this.read;
            this.read = text;
            return other;
        }

        // The own text stands; what keeps it from being computed is said beside it.
        stand(state, message) {
            this.face(document.createElement("slot"));
            this.title = message;
            this.setAttribute("state", state);
        }

        face(content) {
            this.shadowRoot.lastChild.replaceWith(content);
        }

        show(made, design) {
            const asked = (name) => this.getAttribute(name) || "";
            const kind = asked("show") || "card";
            const of = asked("of");
            const comma = usesComma(this);
            const digits = asked("digits").trim();
            if (digits && !/^(?:[1-9]|1[0-5])$/.test(digits)) {
                throw new Error("digits=\"" + digits + "\": a number from 1 to 15");
            }
            const larger = {
                card: () => made.card(design, "", comma),
                station: () => made.card(design, of || " ", comma),
                figures: () => made.figures(design, of, comma),
                plot: () => made.plot(design, of),
            };
            const isLarger = Object.prototype.hasOwnProperty.call(larger, kind);
            const answer = JSON.parse(isLarger
                ? larger[kind]()
                : made.quote(design, kind, of, asked("unit"), Number(digits), comma, this.textContent));
            if (answer.state !== "ready") {
                this.stand(answer.state, answer.message);
                return;
            }
            this.removeAttribute("title");
            if (!isLarger) {
                const shown = el("span", "", answer.text);
                // A word is English, whatever is spoken around it; a number is not.
                if (!/\d/.test(answer.text)) {
                    shown.lang = "en";
                }
                this.face(answer.agrees ? document.createElement("slot") : shown);
                // Who looks for what changed finds it: the written number stands in the tooltip.
                if (!answer.agrees && this.textContent.trim()) {
                    this.title = this.textContent.trim() + " → " + answer.text;
                }
            } else {
                const face = kind === "figures"
                    ? tableOf(answer.rows.map((figure) => [figure.label, figure.display]))
                    : kind === "plot" ? PulseWright.plot(answer) : this.card(answer, kind);
                face.lang = "en";
                this.face(face);
            }
            this.setAttribute("assumed", answer.assumed.join(" "));
            this.setAttribute("state", "ready");
            const ready = new CustomEvent("pulse-wright-ready", { bubbles: true, composed: true });
            // A report takes far longer than a number: it is made for those who read it.
            let report = null;
            Object.defineProperty(ready, "detail", {
                get: () => report = report || JSON.parse(made.evaluate(design)),
            });
            this.dispatchEvent(ready);
        }

        static plot(answer) {
            const figure = el("div");
            // The only markup: the sheet's own drawing, in which every word of a design is escaped.
            const read = new DOMParser().parseFromString(answer.svg, "text/html").querySelector("svg");
            figure.append(el("p", "", answer.sentence), document.importNode(read, true));
            return figure;
        }

        card(answer, kind) {
            const card = el("section", "card");
            const head = el("h3", "", answer.title || "Route card");
            head.append(el("span", "stamp " + answer.status, answer.status));
            card.append(head, el("p", "", answer.sentence));
            const rows = answer.rows.map((result) => [result.label, result.display]);
            const checks = kind === "card" ? answer.checks.filter((check) => check.status !== "passes") : answer.checks;
            checks.forEach(function (check) {
                rows.push([(kind === "card" ? check.station : "Check") + ": " + check.label, check.status + (check.margin ? ", margin " + check.margin : "")]);
            });
            card.append(tableOf(rows));
            answer.findings.forEach(function (finding) {
                if (kind === "station" || finding.severity !== "note") {
                    card.append(el("p", "quiet", finding.message));
                }
            });
            const rests = answer.assumed.length === 0 ? "" : "Rests on " + answer.assumed.length + " assumed figures. ";
            card.append(el("p", "quiet", rests + answer.standing));
            if (kind === "card" && answer.entered.length > 0) {
                const entered = el("details", "quiet");
                entered.append(el("summary", "", "What was entered: " + answer.entered.length),
                    tableOf(answer.entered.map((input) => [input.label, input.display])));
                card.append(entered);
            }
            const page = this.hasAttribute("page") ? this.getAttribute("page") : HERE && new URL("pulsewright.html", HERE).href;
            if (kind === "card" && page) {
                const way = el("a", "", "Open this design");
                way.href = page.split("#")[0] + answer.link;
                // An address of a document may be anything; only pages are led to.
                if (/^(?:https?|file):$/.test(way.protocol)) {
                    const line = el("p", "quiet");
                    line.append(way);
                    card.append(line);
                }
            }
            return card;
        }
    }

    // For scripts of the page: the report of a design, as an object.
    window.pulsewright = window.pulsewright || {};
    window.pulsewright.evaluate = function (design) {
        return start().then(function (made) {
            const report = JSON.parse(made.evaluate(String(design)));
            if (report.state === "refused") {
                throw new Error(report.message);
            }
            return report;
        });
    };

    // Blocks and elements that a script of the page changes are followed, each element where its design is another.
    function touches(record) {
        const target = record.target.nodeType === Node.ELEMENT_NODE ? record.target : record.target.parentElement;
        const holds = (node) => node.nodeType === Node.ELEMENT_NODE &&
            (node.matches("script, pulse-wright") || node.querySelector("script, pulse-wright"));
        return (target && target.matches("script, pulse-wright")) || [...record.addedNodes].some(holds);
    }

    whole.then(function () {
        new MutationObserver(function (records) {
            if (!records.some(touches)) {
                return;
            }
            const written = new Set(records.map((record) => record.target.nodeType === Node.ELEMENT_NODE ? record.target : record.target.parentElement));
            ours.forEach(function (element) {
                if (element.look() || written.has(element)) {
                    element.update();
                }
            });
        }).observe(document, { subtree: true, childList: true, characterData: true, attributes: true, attributeFilter: ["id", "type", "design"] });
    });

    // A card in a frame says how tall it is; the frame follows, if it is one of ours and its height is not to be kept.
    window.addEventListener("message", function (event) {
        const height = event.data && event.data["pulse-wright-height"];
        if (typeof height !== "number" || !(height > 0 && height < 100000)) {
            return;
        }
        document.querySelectorAll("iframe[src*='pulsewright']").forEach(function (frame) {
            const origin = frame.sandbox.length > 0 && !frame.sandbox.contains("allow-same-origin")
                ? "null"
                : new URL(frame.src, document.baseURI).origin;
            if (frame.contentWindow === event.source && frame.dataset.height !== "kept" && (event.origin === origin || event.origin === "null")) {
                frame.style.height = Math.ceil(height) + "px";
            }
        });
    });

    customElements.define("pulse-wright", PulseWright);
}());
