// The sketch of a ladder: rungs as rows to tap on. What is changed goes to the engine, which writes
// the text.
const sketch = (function () {
  let ladder = null, at = null, change = null;

  function key(text, name, kind, does) {
    const b = document.createElement('button');
    b.type = 'button';
    b.className = kind;
    b.textContent = text;
    if (name) b.setAttribute('aria-label', name);
    b.addEventListener('click', does);
    return b;
  }
  function same(path) { return at && JSON.stringify(at) === JSON.stringify(path); }
  function line(items, rung, path) {
    const row = document.createElement('div');
    row.className = 'string';
    items.forEach(function (it, i) {
      const here = path.concat([i]);
      if (!it.branches) {
        const b = key(it.text, it.text + ', rung ' + (rung + 1), 'unit', function () { at = same([rung, here]) ? null : [rung, here]; show(ladder); });
        b.setAttribute('aria-pressed', same([rung, here]) || false);
        row.append(b);
        return;
      }
      const box = document.createElement('div');
      box.className = 'branches';
      it.branches.forEach(function (branch, b) { box.append(line(branch, rung, here.concat([b]))); });
      row.append(box);
    });
    return row;
  }
  function edit(where) {
    const order = { where: where, rung: at ? at[0] : ladder.rungs.length - 1, part: document.getElementById('part').value };
    if (at) order.path = at[1];
    at = null;
    change(order);
  }
  function show(l) {
    if (at && (!l || at[0] >= l.rungs.length)) at = null;
    ladder = l;
    document.getElementById('sketching').hidden = !l;
    if (!l) return;
    const rows = document.getElementById('rows'), part = document.getElementById('part'), edits = document.getElementById('edits');
    rows.replaceChildren();
    l.rungs.forEach(function (r, i) {
      const head = document.createElement('p');
      head.className = 'soft';
      head.textContent = 'Rung ' + (i + 1) + (r.feed ? ', the feed' : '') + (r.title ? ': ' + r.title : '');
      rows.append(head, line(r.line, i, []));
    });
    const was = part.value;
    part.replaceChildren();
    for (const p of l.parts) part.append(new Option(p.text, p.word));
    if (l.parts.some(function (p) { return p.word === was; })) part.value = was;
    edits.replaceChildren();
    if (at) {
      for (const [where, text] of [['before', 'Before it'], ['after', 'After it'], ['beside', 'As a branch around it'], ['away', 'Take it away']]) {
        edits.append(key(text, '', '', function () { edit(where); }));
      }
    }
    edits.append(key(at ? 'On a new rung below it' : 'On a new rung', '', '', function () { edit('below'); }));
  }
  return { show: show, onChange: function (f) { change = f; }, clear: function () { at = null; } };
})();
