// The bytes of a packed text: two letters of an alphabet of 91 bear 13 bits, a single one at the end 6. The alphabet
// is that of printable ASCII without the quotation mark, < and the backslash. The loop is that of unpack.wat.
function unpacked(text) {
    var loop = Uint8Array.from(atob("loop"), function (letter) { return letter.charCodeAt(0); });
    var memory = new WebAssembly.Memory({ initial: (text.length >> 16) + 2 });
    var places = new Uint8Array(memory.buffer);
    for (var code = 33; code < 127; code += 1) {
        places[code] = code - 33 - (code > 34) - (code > 60) - (code > 92);
    }
    var begin = 128, at = 144, end = at + text.length, to = begin;
    new TextEncoder().encodeInto(text + "!", places.subarray(at));
    var unpack = new WebAssembly.Instance(new WebAssembly.Module(loop), { "": { memory: memory } }).exports.unpack;
    // In parts, so that the engine may take to the faster code it makes meanwhile.
    for (; at < end; at += 8192) {
        to = unpack(at, Math.min(at + 8192, end), to);
    }
    // A copy: what is unpacked must not go with the memory when nobody holds that any more.
    return places.slice(begin, begin + (((text.length >> 1) * 13 + (text.length & 1) * 6) >> 3));
}
