// The bytes of a packed text, in pieces: two letters of an alphabet of 91 bear 13 bits, a single one at the end 6. The
// alphabet is that of printable ASCII without the quotation mark, < and the backslash.
function unpacked(text) {
    // 65536 letters bear whole bytes, even whole pairs of bytes: of those a piece is made. In pairs, because a loop that
    // runs once is slow: a third of its steps are saved. They lie in memory as WebAssembly lets them lie.
    var most = 65536;
    var letters = new Uint8Array(most + 1), encoder = new TextEncoder();
    // What the first and the second letter of a pair bear.
    var first = new Uint8Array(128), second = new Uint16Array(128);
    for (var code = 33; code < 127; code += 1) {
        first[code] = code - 33 - (code > 34) - (code > 60) - (code > 92);
        second[code] = 91 * first[code];
    }

    function bytes(part) {
        var length = ((part.length >> 1) * 13 + (part.length & 1) * 6) >> 3;
        var halves = new Uint16Array((length >> 1) + 1);
        // A letter that bears nothing makes a pair of the last one.
        encoder.encodeInto(part + "!", letters);
        var held = 0, bits = 0, end = 0;
        for (var at = 0; at < part.length; at += 2) {
            held |= (first[letters[at]] + second[letters[at + 1]]) << bits;
            bits += 13;
            if (bits > 15) {
                halves[end] = held;
                end += 1;
                bits -= 16;
                held >>= 16;
            }
        }
        halves[end] = held;
        return new Uint8Array(halves.buffer, 0, length);
    }

    var pieces = [];
    for (var begin = 0; begin < text.length; begin += most) {
        pieces.push(bytes(text.slice(begin, begin + most)));
    }
    return pieces;
}
