// unpacked gives the bytes of a packed text: their number, and two characters for 13 bits or 14.
function unpacked(text) {
  text = text.trim();
  const digits = 93, surplus = digits * digits - 8192, start = text.indexOf(' ');
  const out = new Uint8Array(Number(text.slice(0, start)));
  const digit = function (i) { const c = text.charCodeAt(i); return c > 60 ? c - 34 : c - 33; };
  let n = 0, word = 0, have = 0;
  for (let i = start + 1; n < out.length; i += 2) {
    const v = digit(i) + digit(i + 1) * digits;
    word |= v << have;
    have += (v & 8191) < surplus ? 14 : 13;
    for (; have > 7; have -= 8, word >>>= 8) out[n++] = word & 255;
  }
  return out;
}
