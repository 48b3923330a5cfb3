// The drawing: the leads of the check, what is still in doubt, and what is tapped, drawn over
// the ladder that the engine drew.
const drawn = (function () {
  const space = 'http://www.w3.org/2000/svg';
  let now = null, over = null, scale = 1.2, asked = null, taken = [], tap = null;

  function element(name, attributes, text) {
    const e = document.createElementNS(space, name);
    for (const k in attributes) e.setAttribute(k, attributes[k]);
    if (text) e.textContent = text;
    return e;
  }
  function resize() {
    if (!now) return;
    for (const svg of document.querySelectorAll('#ladder > svg')) {
      svg.setAttribute('width', now.width * scale);
      svg.setAttribute('height', now.height * scale);
    }
  }
  // fitted shows all of the width where that can still be read.
  function fitted() {
    const wide = document.getElementById('view').clientWidth / now.width;
    scale = wide > .8 ? Math.min(wide, 1.6) : 1.2;
  }
  function show(d) {
    const first = !now || now.width !== d.width;
    now = d;
    const ladder = document.getElementById('ladder');
    ladder.innerHTML = d.svg;
    const svg = ladder.firstElementChild;
    svg.setAttribute('viewBox', '0 0 ' + d.width + ' ' + d.height);
    over = element('svg', { class: 'over', viewBox: '0 0 ' + d.width + ' ' + d.height, 'aria-hidden': 'true' });
    ladder.append(over);
    document.getElementById('drawn').hidden = false;
    if (first) fitted();
    resize();
    mark();
  }
  function around(at, what) {
    const view = document.getElementById('view');
    view.scrollTo({ left: at[0] * scale - view.clientWidth / 2, top: at[1] * scale - view.clientHeight / 2 });
  }
  function mark() {
    if (!over) return;
    over.replaceChildren();
    const hatch = element('pattern', { id: 'doubt', width: 5, height: 5, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' });
    hatch.append(element('rect', { width: 2, height: 5, fill: '#000', 'fill-opacity': '.55' }));
    over.append(hatch);
    const doubt = asked && asked.doubt || {};
    for (const t in doubt) {
      const at = now.points[t];
      if (at) over.append(element('circle', { class: 'doubt', cx: at[0], cy: at[1], r: 5 + 7 * Math.sqrt(doubt[t]), fill: 'url(#doubt)' }));
    }
    let focus = null;
    if (asked) {
      for (const [t, colour] of [[asked.red, 'red'], [asked.black, 'black']]) {
        const at = t && now.points[t];
        if (!at) continue;
        focus = focus ? [(focus[0] + at[0]) / 2, (focus[1] + at[1]) / 2] : at;
        over.append(element('circle', { class: 'lead ' + colour, cx: at[0], cy: at[1], r: 9 }));
        over.append(element('text', { class: colour, x: at[0], y: at[1] - 13 }, colour.toUpperCase()));
      }
      const at = asked.look && now.looks[asked.look];
      if (at) {
        focus = at;
        over.append(element('rect', { class: 'look', x: at[0] - 22, y: at[1] - 18, width: 44, height: 36 }));
      }
    }
    for (const name in now.looks) {
      const at = now.looks[name];
      over.append(hit('rect', { x: at[0] - 14, y: at[1] - 14, width: 28, height: 28 }, function () { tap({ device: name }); }));
    }
    for (const t in now.points) {
      const at = now.points[t];
      if (taken.includes(t)) over.append(element('circle', { class: 'taken', cx: at[0], cy: at[1], r: 8 }));
      over.append(hit('circle', { cx: at[0], cy: at[1], r: 10, 'data-terminal': t }, function () { tap({ terminal: t }); }));
    }
    if (focus) around(focus);
    const words = [];
    if (asked && (asked.red || asked.black)) words.push('Red lead on ' + asked.red + ', black on ' + asked.black + '.');
    if (asked && asked.look) words.push((asked.heard ? 'Listen to ' : 'Look at ') + asked.look + '.');
    if (Object.keys(doubt).length) words.push('Hatched: it may lie there still; the wider, the likelier.');
    words.push('Tap two terminals for a check of your own.');
    document.getElementById('legend').textContent = words.join(' ');
  }
  function hit(name, attributes, does) {
    const e = element(name, Object.assign({ class: 'hit' }, attributes));
    e.addEventListener('click', does);
    return e;
  }
  return {
    show: show,
    ask: function (a) { asked = a; mark(); },
    take: function (terminals) { taken = terminals; mark(); },
    onTap: function (f) { tap = f; },
    zoom: function (by) { scale = Math.min(4, Math.max(.4, scale * by)); resize(); if (asked) mark(); },
    at: function () { return now; },
    clear: function () { now = over = asked = null; taken = []; document.getElementById('ladder').replaceChildren(); document.getElementById('drawn').hidden = true; },
  };
})();
