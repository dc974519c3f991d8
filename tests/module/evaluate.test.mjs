// The ES module as `cargo page` left it in dist/module, run by node: `node --test tests/module/*.mjs`.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { evaluate } from "../../dist/module/pulsewright.js";

const dist = new URL("../../dist/", import.meta.url);
const text = (name) => readFileSync(new URL(name, dist), "utf8");

test("a link gives its report", async () => {
    const report = await evaluate("#pw1;gears.ratio=380");
    // Three pole pairs and four edges each, 380 times: arithmetic, no source.
    assert.equal(report.quantities["encoder.counts_per_output_turn"].value, 4560);
    assert.equal(report.report, 1);
});

test("a card gives the same as an object, as a text and as a link", async () => {
    const card = { route_card: 1, inputs: { "gears.stages": "35:12,37:13", "motor.rated_voltage": 6 } };
    const report = await evaluate(card);
    // 35/12 · 37/13: arithmetic, no source.
    assert.equal(report.quantities["gears.exact_ratio"].exact, "1295/156");
    assert.deepEqual(await evaluate(JSON.stringify(card)), report);
    assert.deepEqual(await evaluate("#pw1;motor.rated_voltage=6V;gears.stages=35:12,37:13"), report);
});

test("what is no sound design rejects and names the input", async () => {
    for (const [design, part] of [
        ["#pw1;gears.rattio=380", /gears\.rattio: no such input/],
        ["#pw1;motor.rated_voltage=6A", /motor\.rated_voltage: .*measures something else/],
        [{ route_card: 1, inputs: { "motor.rated_voltage": -6 } }, /motor\.rated_voltage/],
        [{ route_card: 2, inputs: {} }, /newer version/],
        [{ inputs: {} }, /route_card/],
        ["", /./],
        [undefined, /./],
        [380, /./],
    ]) {
        await assert.rejects(evaluate(design), (error) => error instanceof Error && part.test(error.message), String(design));
    }
});

test("the types know every id of a report", async () => {
    const types = text("module/pulsewright.d.ts");
    const report = await evaluate("#pw1");
    const ids = Object.keys(report.quantities).concat(Object.keys(report.absent));
    assert.ok(ids.length > 200);
    for (const id of ids.concat(report.verdict.missing)) {
        assert.ok(types.includes(`  | "${id}"`), id);
    }
    for (const check of report.checks) {
        assert.ok(types.includes(`"${check.status}"`), check.status);
        for (const key of Object.keys(check)) {
            assert.match(types, new RegExp(`\\n  ${key}\\??: `), key);
        }
    }
});

test("npm packs the module with its types, readme and licence", () => {
    const told = execFileSync("npm", ["pack", "--dry-run", "--json", "--offline"], { cwd: new URL("module/", dist) });
    const [packed] = JSON.parse(told);
    const names = packed.files.map((file) => file.path).sort();
    assert.deepEqual(names, ["LICENSE", "README.md", "package.json", "pulsewright.d.ts", "pulsewright.js"]);
    const described = JSON.parse(text("module/package.json"));
    for (const path of Object.values(described.exports["."])) {
        assert.ok(names.includes(path.slice(2)), path);
    }
});

// The schema's expressions are those of ECMA-262, which the validator of the other tests does not run.
test("the schema's expressions take its own examples", () => {
    const schema = JSON.parse(text("route-card.schema.json"));
    let tried = 0;
    for (const [id, input] of Object.entries(schema.properties.inputs.properties)) {
        const shape = input.$ref && schema.$defs[input.$ref.slice("#/$defs/".length)];
        if (!shape || !shape.pattern) {
            continue;
        }
        const pattern = new RegExp(shape.pattern, "u");
        for (const example of input.examples) {
            assert.ok(pattern.test(example), `${id}: ${example}`);
            tried += 1;
        }
        assert.ok(!pattern.test("6 furlongs"), id);
    }
    assert.ok(tried > 150, String(tried));
});
