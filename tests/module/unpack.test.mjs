// What `site/unpack.js` reads, written once more by arithmetic of numbers without a limit.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

const source = readFileSync(new URL("../../site/unpack.js", import.meta.url), "utf8");
const unpacked = new Function(`${source}; return unpacked;`)();
const ALPHABET = Array.from({ length: 94 }, (_, at) => String.fromCharCode(33 + at)).filter((c) => !"\"<\\".includes(c));

/* Thirteen bytes are eight pairs of 13 bits; fewer at the end give as many letters as their bits need. */
function packed(bytes) {
    let text = "";
    for (let at = 0; at < bytes.length; at += 13) {
        const group = bytes.subarray(at, at + 13);
        let value = group.reduceRight((sum, byte) => sum * 256n + BigInt(byte), 0n);
        let letters = "";
        for (let pairs = 0; pairs < 8; pairs += 1) {
            const pair = Number(value % 8192n);
            letters += ALPHABET[pair % 91] + ALPHABET[Math.floor(pair / 91)];
            value /= 8192n;
        }
        const bits = group.length * 8;
        const over = bits % 13;
        text += letters.slice(0, 2 * Math.floor(bits / 13) + (over > 6 ? 2 : over > 0 ? 1 : 0));
    }
    return text;
}

test("every length comes back, also around the pieces' ends", () => {
    const lengths = [...Array(120).keys(), ...Array.from({ length: 40 }, (_, at) => 53_228 + at), 106_496, 106_497, 150_001];
    for (const length of lengths) {
        for (const byte of [() => 0, () => 255, (at) => (Math.imul(at, 2_654_435_761) >>> 13) & 255]) {
            const bytes = Uint8Array.from({ length }, (_, at) => byte(at));
            assert.deepEqual(Buffer.concat(unpacked(packed(bytes))), Buffer.from(bytes), `${length} bytes`);
        }
    }
});
