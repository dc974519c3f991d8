// The calculator of Pulsewright as an ES module, for node and browsers: one file, the program inside; it makes no
// request. `cargo page` puts the program in and writes dist/module.

/* glue */

const PROGRAM = "program";
let program = null;

/* unpack */

// The program is unpacked once, when somebody first asks for a report.
function start() {
    program = program || (async function () {
        const inflated = new Blob(unpacked(PROGRAM)).stream().pipeThrough(new DecompressionStream("gzip"));
        await wasm_bindgen({ module_or_path: await new Response(inflated).arrayBuffer() });
        return wasm_bindgen;
    }());
    return program;
}

// The report of a design: a link with #pw1 in it, the text of a card file, or a card as an object.
export async function evaluate(design) {
    const made = await start();
    const text = typeof design === "string" ? design : String(JSON.stringify(design));
    const report = JSON.parse(made.evaluate(text));
    if (report.state === "refused") {
        throw new Error(report.message);
    }
    return report;
}
