// What the page does: it sends what is tapped and typed to the engine, shows what comes back,
// and keeps the log. It decides nothing.
(function () {
  const $ = function (id) { return document.getElementById(id); };
  const carried = JSON.parse($('carried').textContent);
  const prefix = 'deadrung.';
  let engine = null, module = null, session = null, asked = null, taken = [], device = null, steps = [], operators = {};

  // What is kept, in the storage of the browser.
  let keeps = true;
  function keep(key, value) {
    try {
      localStorage.setItem(prefix + key, JSON.stringify(value));
    } catch (e) {
      keeps = false;
      $('storage').textContent = 'This browser keeps nothing. Take the log as a file before you leave.';
      return false;
    }
    return true;
  }
  function kept(start) {
    const out = [];
    try {
      for (let i = 0; i < localStorage.length; i++) {
        const key = localStorage.key(i);
        if (key.startsWith(prefix + start)) out.push([key.slice(prefix.length), JSON.parse(localStorage.getItem(key))]);
      }
    } catch (e) { keeps = false; }
    return out.sort(function (a, b) { return a[1].at < b[1].at ? 1 : -1; });
  }
  function drop(key) { try { localStorage.removeItem(prefix + key); } catch (e) { /* nothing was kept */ } }

  // The engine, in a worker of its own.
  // started starts the engine. It stays: what it has worked through is not worked through again.
  function started() {
    if (engine) return;
    engine = new Worker(URL.createObjectURL(new Blob([$('worker').textContent], { type: 'text/javascript' })));
    engine.onmessage = function (e) {
      if (e.data instanceof WebAssembly.Module) {
        module = e.data;
        $('engine').textContent = '';
      } else if (e.data.failed) {
        failed('The engine does not start: ' + e.data.failed);
      } else {
        heard(JSON.parse(e.data));
      }
    };
    engine.onerror = function (e) { failed('The engine has stopped: ' + e.message); engine.terminate(); engine = null; };
    engine.postMessage(module || { packed: $('engine').textContent });
  }
  function send(order) { started(); engine.postMessage(JSON.stringify(order)); }

  // Screens.
  function only(id) {
    for (const s of ['start', 'session', 'editor', 'scores', 'paper']) $(s).hidden = s !== id;
    $('home').hidden = id === 'start';
  }
  function button(text, does, word) {
    const b = document.createElement('button');
    b.type = 'button';
    if (word) {
      const head = document.createElement('b');
      head.textContent = word;
      b.append(head, ' ');
    }
    b.append(text);
    b.addEventListener('click', does);
    return b;
  }
  function paragraph(text, kind) {
    const p = document.createElement('p');
    if (kind) p.className = kind;
    p.textContent = text;
    return p;
  }
  function circuitsKnown() {
    return carried.concat(kept('file.').map(function (f) { return f[1]; }));
  }
  function home() {
    session = asked = null;
    send({ do: 'leave' });
    const likely = kept('session.').filter(function (s) { return !s[1].over; }).map(function (s) { return s[1]; }).concat(circuitsKnown());
    send({ do: 'ready', circuits: likely.map(function (c) { return { name: c.name, text: c.text }; }) }); // while somebody chooses
    $('title').textContent = carried.length === 1 ? carried[0].title : 'deadrung';
    $('circuits').replaceChildren();
    for (const c of circuitsKnown()) {
      const card = document.createElement('div');
      card.className = 'card';
      const h = document.createElement('h3');
      h.textContent = c.title || c.name;
      card.append(h);
      if (c.about) card.append(paragraph(c.about, 'soft'));
      const bar = document.createElement('div');
      bar.className = 'bar';
      bar.append(named('Find what is wrong', c, function () { begin(c, {}); }),
        named('Practise', c, function () { begin(c, { practice: true, seed: Math.floor(Math.random() * 1e6) }); }),
        named('Circuit file', c, function () { edit(c); }));
      if (!carried.includes(c)) bar.append(deleting('file.' + c.name, c.title || c.name));
      card.append(bar);
      $('circuits').append(card);
    }
    $('scored').hidden = !scores();
    $('resume').replaceChildren();
    const open = kept('session.');
    if (open.length) {
      const h = document.createElement('h2');
      h.textContent = 'Go on with';
      $('resume').append(h);
    }
    for (const [key, s] of open) {
      const bar = document.createElement('div');
      bar.className = 'bar';
      const what = s.title + (s.practice ? ', practice' : '') + (s.drill ? ', drill' : '') + ', ' + s.at.slice(0, 16).replace('T', ' ') + (s.over ? ', ended' : '');
      bar.append(button(what, function () { go(key, s); }));
      bar.append(deleting(key, what));
      $('resume').append(bar);
    }
    only('start');
    $('title').focus({ preventScroll: true });
  }
  // deleting is a button that deletes what is kept by a key when it is pressed twice.
  function deleting(key, what) {
    const b = button('Delete', function () {
      if (b.textContent === 'Delete') { b.textContent = 'Really delete?'; b.setAttribute('aria-label', 'Really delete ' + what + '?'); return; }
      drop(key);
      home();
    });
    b.setAttribute('aria-label', 'Delete ' + what);
    return b;
  }
  function named(text, c, does) {
    const b = button(text, does);
    b.setAttribute('aria-label', text + ': ' + (c.title || c.name));
    return b;
  }

  for (const [name, text] of [['4', '4 contacts'], ['8', '8 contacts'], ['16', '16 contacts'], ['line', 'Two-wire line']]) {
    $('drills').append(button(text, function () { begin({ name: 'drill', title: 'Drill: ' + text }, { drill: name, seed: Math.floor(Math.random() * 1e6) }); }));
  }

  // Scores.
  function scores() { return (kept('scores')[0] || [0, { text: '' }])[1].text; }
  function scored(m) { keep('scores', { at: '', text: scores() + m.lines }); }
  $('toscores').addEventListener('click', function () {
    history.pushState(null, '', '#scores');
    arrive();
  });
  function tally(m) {
    $('tally').replaceChildren();
    for (const r of m.results) {
      const row = document.createElement('div'), bar = document.createElement('meter'), words = document.createElement('div');
      row.className = 'tally';
      bar.max = 1;
      bar.value = r.share;
      bar.setAttribute('aria-label', r.name + ': as good as the best, from 0 to 1');
      words.append(paragraph(r.name), paragraph(r.at.slice(0, 10) + ': ' + r.words, 'soft'));
      row.append(bar, words);
      $('tally').append(row);
    }
  }
  $('exportscores').addEventListener('click', function () { download('practice.jsonl', scores(), 'application/jsonl'); });

  // Symbols of the drawing.
  let iec = !!(kept('symbols')[0] || [0, {}])[1].iec;
  for (const b of document.querySelectorAll('.symbols')) {
    b.setAttribute('aria-pressed', iec);
    b.addEventListener('click', function () {
      iec = !iec;
      keep('symbols', { at: '', iec: iec });
      for (const other of document.querySelectorAll('.symbols')) other.setAttribute('aria-pressed', iec);
      const d = drawn.at();
      if (!$('editor').hidden) read();
      else if (d) draw(d);
    });
  }
  // The ladder, or the connection diagram: where the leads go on the real thing.
  let wired = false;
  function draw(at) { send({ do: 'draw', step: at.step, off: !!at.off, iec: iec, wired: wired }); }
  $('wired').addEventListener('click', function () {
    wired = !wired;
    this.setAttribute('aria-pressed', wired);
    if (drawn.at()) draw(drawn.at());
  });

  // Sessions.
  function begin(c, more) {
    const at = new Date().toISOString();
    const s = Object.assign({ name: c.name, text: c.text, title: c.title || c.name, log: '', at: at }, more);
    go('session.' + at + Math.floor(Math.random() * 1e4), s);
  }
  function go(key, s) {
    session = { key: key, s: s };
    if (location.hash !== '#' + key) history.pushState(null, '', '#' + key);
    asked = null; taken = []; device = null;
    drawn.clear();
    $('told').replaceChildren(); $('past').replaceChildren(); $('earlier').hidden = $('ask').hidden = $('more').hidden = true;
    $('title').textContent = s.title;
    only('session');
    $('ends').hidden = !!s.drill;
    busy('Starting');
    send({ do: 'open', of: key, name: s.name, text: s.text, log: s.log, practice: !!s.practice, seed: s.seed || 0, level: s.level || '', drill: s.drill || '', iec: iec, wired: wired });
  }
  function busy(text, share) {
    $('busy').hidden = false;
    $('working').textContent = text;
    if (share === undefined) $('share').removeAttribute('value'); else $('share').value = share;
  }
  function failed(text) {
    $('busy').hidden = true;
    told([{ form: 'caution', label: 'This cannot go on', points: [text] }]);
  }

  function heard(m) {
    if (m.kind === 'keep') { keeping(m); return; }
    if (m.of !== undefined && !(session && session.key === m.of)) return; // of one that was left
    if (m.kind === 'scored') { scored(m); return; }
    if (m.kind === 'scores') { tally(m); return; }
    if (m.kind === 'completed') { completed(m); return; }
    if (m.kind === 'written') { written(m); return; }
    if (!session && m.kind === 'failed' && !$('editor').hidden) { $('mistakes').replaceChildren(paragraph(m.text)); return; }
    if (!session && m.kind !== 'checked') return;
    switch (m.kind) {
    case 'working': if ($('ask').hidden) busy('Working through every fault', m.share || 0); break;
    case 'opened': steps = m.steps || []; session.s.title = m.title; $('title').textContent = m.title; break;
    case 'drawn': operators = m.drawn.operators || {}; drawn.show(m.drawn); standing(); break;
    case 'told': told(m.pieces); break;
    case 'asked': ask(m.asked); break;
    case 'mistaken': mistaken(m); break;
    case 'checked': checked(m); break;
    case 'reported': report(m); break;
    case 'over':
      $('busy').hidden = $('ask').hidden = $('more').hidden = true;
      session.s.over = true; keep(session.key, session.s);
      told([{ form: 'paragraph', text: session.s.drill ? 'The drill is over.' : 'The session has ended. Its report can be printed.' }], true);
      break;
    case 'failed': failed(m.text); break;
    }
  }
  // keeping keeps lines of a session, which may have been left meanwhile.
  function keeping(m) {
    const s = session && session.key === m.of ? session.s : (kept(m.of)[0] || [])[1];
    if (!s) return;
    s.log += m.lines;
    keep(m.of, s);
  }
  function standing() {
    const d = drawn.at();
    $('drawstep').textContent = !d || d.step < 0 ? 'At rest' : d.off ? 'Power off, held as in "' + steps[d.step] + '"' : 'A good circuit in "' + steps[d.step] + '"';
  }

  // What is told.
  let fresh = true;
  function told(pieces, more) {
    if (fresh && !more) {
      if ($('told').childNodes.length) {
        $('past').append(...$('told').childNodes);
        $('earlier').hidden = false;
      }
    }
    fresh = false;
    let list = null;
    for (const p of pieces) {
      if (p.form === 'item') {
        if (!list) { list = document.createElement('dl'); $('told').append(list); }
        const dd = document.createElement('dd');
        dd.textContent = p.text;
        if (p.label) {
          const dt = document.createElement('dt');
          dt.textContent = p.label;
          list.append(dt);
        } else if (list.lastElementChild && list.querySelector('dt')) {
          list.lastElementChild.append(document.createElement('br'), p.text);
          continue;
        } else {
          list.replaceWith(list = document.createElement('div'));
          list.remove();
          list = null;
          $('told').append(paragraph(p.text, 'inner'));
          continue;
        }
        list.append(dd);
        continue;
      }
      list = null;
      if (p.form === 'paragraph') $('told').append(paragraph(p.text, p.inner ? 'inner' : ''));
      if (p.form === 'drawn' && p.text.trim()) {
        const pre = document.createElement('pre');
        pre.tabIndex = 0;
        pre.textContent = p.text;
        $('told').append(pre);
      }
      if (p.form === 'caution') $('told').append(caution(p));
    }
  }
  function caution(p) {
    const box = document.createElement('div');
    box.className = 'caution';
    box.setAttribute('role', 'note');
    if (p.label) box.append(paragraph(p.label));
    if (p.text) box.append(paragraph(p.text));
    if (p.points) {
      const ol = document.createElement('ol');
      for (const point of p.points) {
        const li = document.createElement('li');
        li.textContent = point;
        ol.append(li);
      }
      box.append(ol);
    }
    return box;
  }

  // What is asked.
  function answer(order) {
    $('ask').hidden = $('more').hidden = true;
    fresh = true;
    taken = []; device = null; tapped();
    setTimeout(function () { if ($('ask').hidden && session && !session.s.over) busy('Working'); }, 300);
    send(Object.assign({ do: 'answer' }, order));
  }
  function ask(a) {
    asked = a;
    $('busy').hidden = true;
    $('ask').hidden = false;
    $('question').textContent = a.text;
    drill.show(a.drill, function (text) { answer({ text: text }); });
    const types = a.typed && !a.drill || a.place === 'act';
    if (types) $('question').after($('typing')); else $('rare').append($('typing'));
    $('typing').hidden = false;
    $('typedlabel').textContent = a.typed || 'or type it';
    $('typed').value = '';
    $('typed').inputMode = a.reading ? 'decimal' : 'text';
    pad(a.reading);
    for (const id of ['choices', 'besides', 'rarer']) $(id).replaceChildren();
    a.choices.forEach(function (c, i) {
      if (c.word === 'draw' || c.word === 'stop') return; // the drawing is there, and so is Leave
      const where = c.rare ? 'rarer' : a.place === 'check' && !['on', 'off', 'dim'].includes(c.word) ? 'besides' : 'choices';
      $(where).append(button(c.text, function () { answer({ choice: i }); }));
    });
    $('rare').hidden = types && !$('rarer').childNodes.length;
    $('more').hidden = !!a.wait;
    if (a.wait) $('typing').hidden = true;
    $('rare').open = false; $('helping').open = false;
    $('helping').hidden = !a.help;
    $('help').textContent = a.help || '';
    $('left').textContent = a.left ? 'Still possible: ' + a.left + '.' : '';
    const d = drawn.at();
    if (d && !a.wait && (d.step !== a.step || !!d.off !== !!a.off)) draw(a);
    drawn.ask(a.wait ? null : a);
    fresh = true;
    $('question').focus({ preventScroll: true });
    $('told').scrollIntoView({ block: 'start' });
  }
  function pad(kind) {
    $('pad').hidden = !kind;
    $('pad').replaceChildren();
    if (!kind) return;
    const keys = kind === 'diode' ? ['7', '8', '9', 'OL', '4', '5', '6', 'V', '1', '2', '3', 'mV', '.', '0', '⌫'] : kind === 'ohms' ? ['7', '8', '9', 'OL', '4', '5', '6', 'k', '1', '2', '3', 'M', '.', '0', '⌫', 'ohm'] :
      ['7', '8', '9', 'V', '4', '5', '6', 'mV', '1', '2', '3', '⌫', '.', '0'];
    for (const k of keys) {
      const b = button(k, function () {
        const f = $('typed');
        if (k === '⌫') f.value = f.value.slice(0, -1);
        else if (k === 'OL') f.value = k;
        else f.value += /^[kMoVm]/.test(k) ? ' ' + k : k;
      });
      if (k === '⌫') b.setAttribute('aria-label', 'Take the last figure back');
      $('pad').append(b);
    }
  }
  $('ask').addEventListener('submit', function (e) {
    e.preventDefault();
    const text = $('typed').value.trim();
    if (text) answer({ text: text });
  });

  // What is tapped on the drawing.
  drawn.onTap(function (what) {
    if (!asked || asked.wait) return;
    if (what.device) { device = what.device; taken = []; }
    if (what.terminal) {
      device = null;
      if (taken.includes(what.terminal)) taken = taken.filter(function (t) { return t !== what.terminal; });
      else taken = taken.concat([what.terminal]).slice(-2);
    }
    tapped();
  });
  function tapped() {
    drawn.take(taken);
    const bar = $('tapped');
    bar.replaceChildren();
    bar.hidden = !taken.length && !device;
    if (device) {
      bar.append(paragraph(device));
      if (asked && asked.place === 'complaint') {
        bar.append(button('is on, and should be off', function () { answer({ text: device + ' on' }); }),
          button('is off, and should be on', function () { answer({ text: device + ' off' }); }));
      } else {
        bar.append(button('Look', function () { own('look', device); }));
      }
      for (const position of operators[device] || []) {
        if (asked && asked.place === 'act') bar.append(button(position, function () { answer({ then: ['move ' + device + ' ' + position] }); }));
      }
    }
    if (taken.length) bar.append(paragraph('Red on ' + taken[0] + (taken[1] ? ', black on ' + taken[1] : '; tap where the black one goes')));
    if (taken.length === 2) {
      const both = taken.join(' ');
      bar.append(button('Volts, live', function () { own('volts', both); }), button('Ohms, power locked off', function () { own('ohms', both); }),
        button('Ohms, wires lifted off ' + taken[0], function () { own('ohms', both + ' lifted ' + taken[0]); }));
      if (asked && asked.diodes) {
        bar.append(button('Diode test, power locked off', function () { own('diode', both); }),
          button('Diode test, wires lifted off ' + taken[0], function () { own('diode', both + ' lifted ' + taken[0]); }));
      }
    }
    if (taken.length || device) bar.append(button('Clear', function () { taken = []; device = null; tapped(); }));
  }
  function own(kind, what) {
    if (asked.place === 'act') answer({ then: [kind + ' ' + what] });
    else if (asked.place === 'own-check' || asked.place === 'leads') answer({ text: what });
    else answer({ then: ['other', kind, steps[Math.max(0, asked.step)], what] });
  }

  // Files.
  function download(name, text, type) {
    const a = document.createElement('a');
    a.href = URL.createObjectURL(new Blob([text], { type: type }));
    a.download = name;
    a.click();
    setTimeout(function () { URL.revokeObjectURL(a.href); }, 1000);
  }
  $('export').addEventListener('click', function () {
    download(session.s.name.replace(/\.ya?ml$/, '') + '.jsonl', session.s.log, 'application/jsonl');
  });
  $('report').addEventListener('click', function () { send({ do: 'report' }); });
  $('file').addEventListener('change', async function (e) {
    for (const f of e.target.files) {
      const text = await f.text();
      if (/\.jsonl$/.test(f.name)) {
        let title = '';
        try { title = JSON.parse(text.split('\n')[0]).circuit; } catch (err) { /* told below */ }
        const c = circuitsKnown().find(function (c) { return c.title === title; });
        if (c) begin(c, { log: text });
        else $('storage').textContent = 'The log ' + f.name + ' is of no circuit on this page; open the circuit file first.';
      } else {
        edit({ name: f.name, title: f.name, text: text });
      }
    }
    e.target.value = '';
  });
  function report(m) {
    const p = $('paper');
    p.replaceChildren();
    const h = document.createElement('h2');
    h.textContent = m.title;
    const body = document.createElement('div');
    body.innerHTML = m.html;
    for (const t of body.querySelectorAll('table')) t.tabIndex = 0; // it scrolls by itself on a narrow screen
    const bar = document.createElement('div');
    bar.className = 'bar';
    bar.append(button('Print', function () { window.print(); }), button('Back to the session', function () { only('session'); }));
    if (navigator.share) bar.append(button('Share', function () { navigator.share({ title: m.title, text: body.innerText }).catch(function () {}); }));
    p.append(bar, h, caution({ text: m.text }), body);
    only('paper');
    h.tabIndex = -1;
    h.focus();
  }

  // A circuit file that is written.
  let file = null, reading = 0;
  function edit(c) {
    session = null;
    file = Object.assign({}, c);
    for (let n = 2; carried.includes(c) && kept('file.' + file.name).length; n++) file.name = c.name.replace(/(\.ya?ml)?$/, '-' + n + '$1');
    c = file;
    const hash = '#file.' + encodeURIComponent(c.name);
    if (location.hash !== hash) history.pushState(null, '', hash);
    $('title').textContent = c.title || c.name;
    $('source').value = c.text;
    before = [];
    $('unwrite').hidden = true;
    $('words').replaceChildren();
    sketch.clear();
    only('editor');
    send({ do: 'leave' });
    read();
  }
  // keepFile keeps what is being written, with its mistakes.
  function keepFile() {
    file.text = $('source').value;
    file.at = new Date().toISOString();
    if (!carried.some(function (c) { return c.text === file.text; })) keep('file.' + file.name, file);
  }
  function read() {
    keepFile();
    send({ do: 'read', name: file.name, text: file.text, iec: iec });
  }
  $('source').addEventListener('input', function () {
    keepFile();
    clearTimeout(reading);
    reading = setTimeout(read, 400);
    complete();
  });
  $('source').addEventListener('click', complete);
  $('source').addEventListener('keyup', function (e) { if (/^(Arrow|Home|End|Page)/.test(e.key)) complete(); });

  // Words that may stand where the cursor is. The engine counts bytes.
  const bytes = new TextEncoder();
  function complete() {
    const s = $('source');
    $('words').replaceChildren();
    send({ do: 'complete', text: s.value, at: bytes.encode(s.value.slice(0, s.selectionStart)).length });
  }
  function completed(m) {
    const s = $('source');
    $('words').replaceChildren();
    const start = new TextDecoder().decode(bytes.encode(s.value).slice(0, m.at || 0)).length;
    for (const w of (m.words || []).slice(0, 12)) {
      $('words').append(button(w, function () {
        s.setRangeText(w, start, s.selectionEnd, 'end');
        s.focus();
        read();
        complete();
      }));
    }
  }
  // changed takes a text that the engine wrote; what was there can be had back.
  let before = [];
  function written(m) {
    before.push($('source').value);
    $('source').value = m.text;
    $('unwrite').hidden = false;
    read();
  }
  $('unwrite').addEventListener('click', function () {
    $('source').value = before.pop();
    $('unwrite').hidden = !before.length;
    sketch.clear();
    read();
  });
  $('wire').addEventListener('click', function () { send({ do: 'wire', name: file.name, text: $('source').value }); });
  sketch.onChange(function (edit) { send({ do: 'sketch', text: $('source').value, edit: edit }); });
  $('new').addEventListener('click', function () {
    let name = 'new.yaml';
    for (let n = 2; kept('file.' + name).length; n++) name = 'new-' + n + '.yaml';
    edit({ name: name, title: 'New circuit', text: 'circuit: New circuit\n\ndevices:\n  PWS1: {type: supply, volts: 120}\n  F1: {type: fuse, amps: 1}\n  PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n  H1: {type: lamp}\n\nrungs:\n  - {feed: [PWS1, F1]}\n  - [PB1, H1]\n\noperation:\n  - step: at rest\n    expect: {H1: off}\n  - step: pressed\n    set: {PB1: pressed}\n    expect: {H1: on}\n' });
  });
  function place(line, column, width) {
    const lines = $('source').value.split('\n');
    let at = column - 1;
    for (let i = 0; i < line - 1; i++) at += lines[i].length + 1;
    $('source').focus();
    $('source').setSelectionRange(at, at + Math.max(1, width));
  }
  function checked(m) {
    if (!file) return;
    $('mistakes').replaceChildren();
    for (const w of m.mistakes || []) $('mistakes').append(mistake(w));
    if (!(m.mistakes || []).length) $('mistakes').append(paragraph('No mistakes: every step does what the file expects.'));
    if (m.drawn) { $('preview').innerHTML = m.drawn.svg; file.title = m.title; keepFile(); }
    sketch.show(m.ladder || null);
    $('nosketch').textContent = m.ladder ? '' : m.text || '';
    $('wire').hidden = !m.rungs;
  }
  function wordsOf(w) { return 'line ' + w.line + ': ' + w.what + (w.hint ? '. Right would be: ' + w.hint : ''); }
  function mistake(w) {
    return button(wordsOf(w), function () { place(w.line, w.column, w.width); }, w.warning ? 'Warning' : 'Mistake');
  }
  function mistaken(m) {
    $('busy').hidden = true;
    told([{ form: 'caution', label: m.text === 'log' ? 'The kept log cannot be read' : 'The circuit file has mistakes',
      points: m.mistakes.map(wordsOf) }]);
  }
  $('save').addEventListener('click', function () { download(file.name, $('source').value, 'application/yaml'); });
  $('try').addEventListener('click', function () { file.text = $('source').value; begin(file, {}); });

  $('larger').addEventListener('click', function () { drawn.zoom(1.25); });
  $('smaller').addEventListener('click', function () { drawn.zoom(.8); });
  $('home').addEventListener('click', function () { history.pushState(null, '', '#'); home(); });
  document.addEventListener('keydown', function (e) {
    if (e.altKey || e.ctrlKey || e.metaKey || !/^[1-9]$/.test(e.key) || /INPUT|TEXTAREA/.test(e.target.tagName) || $('ask').hidden) return;
    const b = document.querySelectorAll('#choices button, #besides button')[e.key - 1];
    if (b) b.click();
  });
  function arrive() {
    const key = decodeURIComponent(location.hash.slice(1));
    const s = key.startsWith('session.') && kept(key)[0];
    const c = key.startsWith('file.') && ((kept(key)[0] || [])[1] || carried.find(function (c) { return 'file.' + c.name === key; }));
    if (s) go(key, s[1]);
    else if (c) edit(c);
    else if (key === 'scores') {
      session = null;
      send({ do: 'leave' });
      $('title').textContent = 'Scores';
      $('tally').replaceChildren();
      only('scores');
      send({ do: 'tally', log: scores() });
    } else home();
  }
  window.addEventListener('popstate', arrive);
  if (window.given) begin(carried[0], { log: window.given }); // by a chart that ended
  else arrive();
})();
