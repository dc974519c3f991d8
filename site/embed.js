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

    // Written straight into what inflates: a detour through a blob takes longer than the inflating.
    function inflated(packed) {
        const stream = new DecompressionStream("gzip");
        const writer = stream.writable.getWriter();
        // A damaged program is told of by whoever reads.
        writer.write(packed).catch(() => {});
        writer.close().catch(() => {});
        return new Response(stream.readable, { headers: { "Content-Type": "application/wasm" } });
    }

    // The program is unpacked once, when somebody first asks for it.
    function start() {
        program = program || (async function () {
            const packed = Uint8Array.fromBase64
                ? Uint8Array.fromBase64(PROGRAM)
                : Uint8Array.from(atob(PROGRAM), (letter) => letter.charCodeAt(0));
            try {
                await wasm_bindgen({ module_or_path: inflated(packed) });
            } catch (refused) {
                await wasm_bindgen({ module_or_path: await inflated(packed).arrayBuffer() });
            }
            return wasm_bindgen;
        }());
        return program;
    }

    const STYLE = `
        :host { font: inherit; color: inherit; }
        :host([hidden]) { display: none; }
        .card { display: block; border: 1px solid currentColor; padding: .6em .9em .7em; margin: .5em 0; text-align: start; }
        h3, p { margin: 0; font: inherit; }
        table:empty { display: none; }
        h3 { font-weight: 700; display: flex; justify-content: space-between; gap: 1em; }
        .stamp { border: 2px solid currentColor; border-radius: 1em; padding: 0 .6em; font-weight: 700; }
        .stamp.under { border-width: 3px; border-style: double; }
        .stamp.tight { border-style: dashed; }
        .stamp.unknown { border-style: dotted; }
        table { border-collapse: collapse; width: 100%; margin: .4em 0; font: inherit; }
        td, th { border: 0; border-top: 1px solid; border-color: color-mix(in srgb, currentColor 30%, transparent); padding: .15em .4em .15em 0; text-align: start; font: inherit; background: none; }
        td:last-child { text-align: end; font-variant-numeric: tabular-nums; white-space: nowrap; padding-inline-end: 0; }
        .quiet { opacity: .8; font-size: .85em; margin-top: .3em; }
        .scroll { overflow-x: auto; }`;

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

    // The text of a design: a link, or what an id on the page leads to.
    function designOf(element, depth) {
        const named = element.getAttribute("design") || "";
        if (/(?:#|%(?:25){0,2}23)pw/.test(named)) {
            return named;
        }
        if (named.startsWith("#") && depth < 8) {
            const root = element.getRootNode();
            const found = (root.getElementById && root.getElementById(named.slice(1))) ||
                document.getElementById(named.slice(1));
            if (found && found.localName === "script" && found.type === "application/json") {
                return found.textContent;
            }
            if (found && found.localName === "pulse-wright") {
                return designOf(found, depth + 1);
            }
        }
        throw new Error("design=\"" + named + "\" is no link, and no id of a JSON block or another element here");
    }

    class PulseWright extends HTMLElement {
        static get observedAttributes() {
            return ["design", "show", "of", "unit", "digits"];
        }

        constructor() {
            super();
            const root = this.attachShadow({ mode: "open" });
            root.append(el("style", "", STYLE), document.createElement("slot"));
        }

        connectedCallback() {
            this.update();
        }

        attributeChangedCallback() {
            this.update();
        }

        update() {
            if (!this.isConnected || this.asked) {
                return;
            }
            this.asked = true;
            this.setAttribute("state", "waiting");
            // The page may still be read: the element's own text and what its design names come later.
            const read = document.readyState === "loading"
                ? new Promise((done) => document.addEventListener("DOMContentLoaded", done, { once: true }))
                : Promise.resolve();
            read.then(start).then((made) => {
                this.asked = false;
                this.show(made, designOf(this, 0));
            }).catch((reason) => {
                this.asked = false;
                this.stand("refused", String(reason && reason.message || reason));
            });
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
            const comma = usesComma(this);
            let answer;
            if (kind === "value") {
                answer = JSON.parse(made.value(design, asked("of"), asked("unit"), Number(asked("digits")) || 0, comma, this.textContent));
            } else if (kind === "card" || kind === "station") {
                answer = JSON.parse(made.card(design, kind === "card" ? "" : asked("of") || " ", comma));
            } else {
                throw new Error("show=\"" + kind + "\" is none of card, station, value");
            }
            if (answer.state !== "ready") {
                this.stand(answer.state, answer.message);
                return;
            }
            this.removeAttribute("title");
            if (kind === "value") {
                this.face(answer.agrees ? document.createElement("slot") : el("span", "", answer.text));
                // Who looks for what changed finds it: the written number stands in the tooltip.
                if (!answer.agrees && this.textContent.trim()) {
                    this.title = this.textContent.trim() + " → " + answer.text;
                }
            } else {
                this.face(PulseWright.card(answer, kind));
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

        static card(answer, kind) {
            const card = el("section", "card");
            const head = el("h3", "", answer.title || "Route card");
            head.append(el("span", "stamp " + answer.status, answer.status));
            card.append(head, el("p", "", answer.sentence));
            const scroll = el("div", "scroll");
            const table = el("table");
            answer.rows.forEach(function (result) {
                row(table, [result.label, result.display]);
            });
            const checks = kind === "card" ? answer.checks.filter((check) => check.status !== "clear") : answer.checks;
            checks.forEach(function (check) {
                row(table, [(kind === "card" ? check.station : "Check") + ": " + check.label, check.status + (check.room ? ", room " + check.room : "")]);
            });
            scroll.append(table);
            card.append(scroll);
            answer.findings.forEach(function (finding) {
                if (kind === "station" || finding.severity !== "note") {
                    card.append(el("p", "quiet", finding.message));
                }
            });
            const rests = answer.assumed.length === 0 ? "" : "Rests on " + answer.assumed.length + " assumed figures. ";
            card.append(el("p", "quiet", rests + answer.standing));
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

    // A card in a frame says how tall it is; the frame follows, if it is one of ours and says a height.
    window.addEventListener("message", function (event) {
        const height = event.data && event.data["pulse-wright-height"];
        if (typeof height !== "number" || !(height > 0 && height < 100000)) {
            return;
        }
        document.querySelectorAll("iframe[src*='pulsewright']").forEach(function (frame) {
            const origin = frame.sandbox.length > 0 && !frame.sandbox.contains("allow-same-origin")
                ? "null"
                : new URL(frame.src, document.baseURI).origin;
            if (frame.contentWindow === event.source && (event.origin === origin || event.origin === "null")) {
                frame.style.height = Math.ceil(height) + "px";
            }
        });
    });

    customElements.define("pulse-wright", PulseWright);
}());
