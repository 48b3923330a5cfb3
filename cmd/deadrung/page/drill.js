// A drill: the string of contacts, or the two wires of the line, to tap on.
const drill = (function () {
  let first = null, chosen = null;

  function key(text, name, kind, does) {
    const b = document.createElement('button');
    b.type = 'button';
    b.className = kind;
    b.textContent = text;
    b.setAttribute('aria-label', name);
    b.addEventListener('click', does);
    return b;
  }
  // show draws how a drill stands. Answer takes what is typed for it.
  function show(d, answer) {
    const string = document.getElementById('string'), named = document.getElementById('named');
    string.replaceChildren();
    named.replaceChildren();
    string.hidden = named.hidden = !d;
    first = chosen = null;
    if (!d) return;
    const pairs = d.points[0].word.includes(' '), at = d.at.split(' ');
    function unit(word) {
      const open = d.left.includes(word);
      return key(word, word + (open ? ', may be open' : ', not open'), 'unit' + (open ? ' doubt' : ''), function () {
        named.replaceChildren(key('Name it: ' + word + ' is open', 'Name it: ' + word + ' is open', '', function () { answer('open ' + word); }));
        named.scrollIntoView({ block: 'nearest' });
      });
    }
    function row(label, end) {
      const r = document.createElement('div');
      r.className = 'string';
      r.append(label);
      string.append(r);
      return function (e) { r.append(e || end); };
    }
    if (!pairs) {
      const add = row('L', 'lamp, N');
      d.units.forEach(function (u, i) {
        add(unit(u));
        const p = d.points[i];
        if (p) add(key(p.word, p.text, 'point' + (p.word === d.at ? ' red' : ''), function () { answer(p.word); }));
      });
      add();
      return;
    }
    const sections = (d.units.length - 1) / 2;
    for (const wire of [0, 1]) {
      const add = row(wire ? 'return' : 'hot', '');
      for (let k = 0; k <= sections; k++) {
        if (k) add(unit(d.units[wire * sections + k - 1]));
        const p = key(String(k), (wire ? 'Black lead on return ' : 'Red lead on hot ') + k, 'point' + (at[wire] === String(k) ? wire ? ' black' : ' red' : ''), function () {
          if (first && first.wire !== wire) { answer(wire ? first.k + ' ' + k : k + ' ' + first.k); return; }
          first = { wire: wire, k: k };
          for (const b of string.querySelectorAll('.taken')) b.classList.remove('taken');
          p.classList.add('taken');
          named.textContent = (wire ? 'Black on return ' : 'Red on hot ') + k + '. Tap where the ' + (wire ? 'red' : 'black') + ' one goes, on the other wire.';
        });
        add(p);
      }
    }
    row('between them', '')(unit(d.units[2 * sections]));
  }
  return { show: show };
})();
