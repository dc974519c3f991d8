// The bytes of a packed text: two letters of an alphabet of 91 bear 13 bits, a single one at the end 6. The alphabet
// is that of printable ASCII without the quotation mark, < and the backslash.
function unpacked(text) {
    var bytes = new Uint8Array(((text.length >> 1) * 13 + (text.length & 1) * 6) >> 3);
    var digit = function (at) {
        var code = text.charCodeAt(at);
        return code - 33 - (code > 34) - (code > 60) - (code > 92);
    };
    var held = 0, bits = 0, end = 0;
    for (var at = 0; at < text.length; at += 2) {
        var pair = at + 1 < text.length;
        held |= (digit(at) + (pair ? 91 * digit(at + 1) : 0)) << bits;
        for (bits += pair ? 13 : 6; bits > 7; bits -= 8) {
            bytes[end] = held & 255;
            end += 1;
            held >>= 8;
        }
    }
    return bytes;
}
