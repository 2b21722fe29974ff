'use strict';
(() => {
  const at = (id) => document.getElementById(id);
  const all = (selector, from = document) => [...from.querySelectorAll(selector)];
  const sides = ['before', 'after'];
  const kLeast = 4;
  const kLargest = 12;  // times the whole photo
  const key = 'underdraw-points:' + all('.picture').map((p) => p.dataset.name).join('|');

  const store = {
    read() {
      try {
        return window.localStorage.getItem(key);
      } catch {
        at('forgetful').hidden = false;
        return null;
      }
    },
    write(text) {
      try {
        window.localStorage.setItem(key, text);
      } catch {
        at('forgetful').hidden = false;
      }
    },
  };

  const panes = {};
  for (const side of sides) {
    const stage = at(side + '-stage');
    panes[side] = { side, stage, pictures: all('.picture', stage), shown: 0, zoom: 1, cross: null };
  }
  const picture = (pane) => pane.pictures[pane.shown];
  const size = (of) => [Number(of.dataset.width), Number(of.dataset.height)];
  const pairKey = () => sides.map((side) => picture(panes[side]).dataset.name).join('|');

  // For each two photos the spots of both sides, in px of the pictures here, and in which order they
  // were set. Spots of the same place in both lists are one point.
  let pairs = {};
  try {
    const kept = JSON.parse(store.read() || '{}');
    for (const [name, pair] of Object.entries(kept)) {
      const good = (list) => Array.isArray(list) &&
        list.every((p) => Array.isArray(p) && p.length === 2 && p.every(Number.isFinite));
      if (good(pair.before) && good(pair.after)) {
        pairs[name] = { before: pair.before, after: pair.after, order: [] };
      }
    }
  } catch {
    pairs = {};  // not ours, or cut short
  }
  const current = () => (pairs[pairKey()] ||= { before: [], after: [], order: [] });
  const complete = (pair) => Math.min(pair.before.length, pair.after.length);

  function fit(pane) {
    const [w, h] = size(picture(pane));
    const { stage } = pane;
    // As high as the style sheet allows, and no higher than the photo needs.
    stage.style.height = '';
    if (stage.clientWidth * h < stage.clientHeight * w) {
      stage.style.height = (stage.clientWidth * h) / w + 'px';
    }
    const scale = Math.min(stage.clientWidth / w, stage.clientHeight / h) * pane.zoom;
    picture(pane).style.width = w * scale + 'px';
    picture(pane).style.height = h * scale + 'px';
    pane.scale = Math.max(scale, 1e-6);
    at(pane.side + '-smaller').disabled = pane.zoom <= 1;
    at(pane.side + '-larger').disabled = pane.zoom >= kLargest;
  }

  function svgElement(kind, attributes, into) {
    const element = document.createElementNS('http://www.w3.org/2000/svg', kind);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    into.append(element);
    return element;
  }

  function drawMarks(pane) {
    const svg = picture(pane).querySelector('svg');
    svg.replaceChildren();
    const unit = 1 / pane.scale;  // one px of the screen
    const pair = current();
    pair[pane.side].forEach(([x, y], i) => {
      const alone = i >= complete(pair);
      const mark = svgElement('g', { class: 'mark' + (alone ? ' alone' : '') }, svg);
      for (const kind of ['casing', 'inked']) {
        svgElement('circle', { class: kind, cx: x, cy: y, r: 9 * unit }, mark);
        svgElement('path', {
          class: kind,
          d: `M${x - 3 * unit} ${y}h${6 * unit}M${x} ${y - 3 * unit}v${6 * unit}`,
        }, mark);
      }
      const text = svgElement('text', {
        x: x + 12 * unit,
        y: y - 8 * unit,
        'font-size': 16 * unit,
        'stroke-width': 4 * unit,
      }, mark);
      text.textContent = String(i + 1);
    });
    if (pane.cross) {
      const [x, y] = pane.cross;
      const cross = svgElement('g', { class: 'cross' }, svg);
      const d = `M${x - 14 * unit} ${y}h${28 * unit}M${x} ${y - 14 * unit}v${28 * unit}`;
      for (const kind of ['casing', 'inked']) svgElement('path', { class: kind, d }, cross);
    }
  }

  const quoted = (text) => '"' + text.replace(/[\\"]/g, '\\$&') + '"';

  function tomlText() {
    let text = '';
    for (const before of panes.before.pictures) {
      for (const after of panes.after.pictures) {
        const pair = pairs[before.dataset.name + '|' + after.dataset.name];
        const count = pair ? complete(pair) : 0;
        if (count < kLeast) continue;
        const rows = [];
        for (let i = 0; i < count; ++i) {
          const px = sides.flatMap((side) => {
            const file = Number((side === 'before' ? before : after).dataset.filePx);
            return pair[side][i].map((v) => (v * file).toFixed(1));
          });
          rows.push('  [' + px.join(', ') + '],');
        }
        text += '[[pair]]\nbefore = ' + quoted(before.dataset.name) + '\nafter = ' +
          quoted(after.dataset.name) + '\npoints = [\n' + rows.join('\n') + '\n]\n\n';
      }
    }
    return text;
  }

  let link = null;
  function show() {
    for (const side of sides) drawMarks(panes[side]);
    const pair = current();
    const count = complete(pair);
    const alone = pair.before.length > count ? 'after' : pair.after.length > count ? 'before' : null;
    let words = count === 1 ? '1 point' : count + ' points';
    if (count < kLeast) words += ' of at least ' + kLeast;
    if (alone) words += '. Now tap number ' + (count + 1) + ' in the photo ' + alone;
    at('status').textContent = words + '.';
    at('undo').disabled = pair.before.length + pair.after.length === 0;
    const removers = at('removers');
    removers.replaceChildren();
    for (let i = 0; i < count; ++i) {
      const button = document.createElement('button');
      button.type = 'button';
      button.textContent = String(i + 1);
      button.setAttribute('aria-label', 'Take point ' + (i + 1) + ' back');
      button.addEventListener('click', () => {
        for (const side of sides) pair[side].splice(i, 1);
        pair.order = [];
        changed();
        const next = removers.children[Math.min(i, removers.children.length - 1)];
        (next || at('undo')).focus();
      });
      removers.append(button);
    }
    const text = tomlText();
    at('toml').value = text;
    at('copy').disabled = text === '';
    if (link) URL.revokeObjectURL(link);
    link = text === '' ? null : URL.createObjectURL(new Blob([text], { type: 'application/toml' }));
    at('save').hidden = !link;
    if (link) at('save').href = link;
    at('copied').textContent = '';
  }

  function changed() {
    store.write(JSON.stringify(pairs));
    show();
  }

  function setPoint(pane, spot) {
    const [w, h] = size(picture(pane));
    const pair = current();
    const mine = pair[pane.side];
    const place = [Math.min(w, Math.max(0, spot[0])), Math.min(h, Math.max(0, spot[1]))];
    // A second tap before the other photo had its turn moves the point.
    if (mine.length > complete(pair)) {
      mine[mine.length - 1] = place;
    } else {
      mine.push(place);
      pair.order.push(pane.side);
    }
    changed();
  }

  function undo() {
    const pair = current();
    const side = pair.order.pop() ||
      (pair.after.length >= pair.before.length ? 'after' : 'before');
    pair[side].pop();
    changed();
  }

  function zoomTo(pane, wanted, focus) {
    const { stage } = pane;
    const [w, h] = size(picture(pane));
    const middle = focus || [
      (stage.scrollLeft + stage.clientWidth / 2) / pane.scale,
      (stage.scrollTop + stage.clientHeight / 2) / pane.scale,
    ];
    pane.zoom = Math.min(kLargest, Math.max(1, wanted));
    fit(pane);
    stage.scrollTo(Math.min(middle[0], w) * pane.scale - stage.clientWidth / 2,
                   Math.min(middle[1], h) * pane.scale - stage.clientHeight / 2);
    drawMarks(pane);
  }

  function moveCross(pane, dx, dy) {
    const [w, h] = size(picture(pane));
    const { stage } = pane;
    if (!pane.cross) {
      pane.cross = [w / 2, h / 2];
    } else {
      pane.cross = [
        Math.min(w, Math.max(0, pane.cross[0] + dx / pane.scale)),
        Math.min(h, Math.max(0, pane.cross[1] + dy / pane.scale)),
      ];
    }
    // The cross stays in view.
    const [x, y] = pane.cross.map((v) => v * pane.scale);
    const edge = 40;
    if (x < stage.scrollLeft + edge) stage.scrollLeft = x - edge;
    if (x > stage.scrollLeft + stage.clientWidth - edge) {
      stage.scrollLeft = x - stage.clientWidth + edge;
    }
    if (y < stage.scrollTop + edge) stage.scrollTop = y - edge;
    if (y > stage.scrollTop + stage.clientHeight - edge) {
      stage.scrollTop = y - stage.clientHeight + edge;
    }
    drawMarks(pane);
  }

  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  for (const side of sides) {
    const pane = panes[side];
    pane.stage.addEventListener('click', (event) => {
      const box = picture(pane).getBoundingClientRect();
      const spot = [(event.clientX - box.left) / pane.scale, (event.clientY - box.top) / pane.scale];
      const [w, h] = size(picture(pane));
      if (spot[0] < 0 || spot[1] < 0 || spot[0] > w || spot[1] > h) return;
      pane.cross = null;
      setPoint(pane, spot);
    });
    pane.stage.addEventListener('keydown', (event) => {
      const way = ways[event.key];
      if (way) {
        const step = event.shiftKey ? 1 : 12;
        moveCross(pane, way[0] * step, way[1] * step);
      } else if (event.key === 'Enter' || event.key === ' ') {
        if (pane.cross) setPoint(pane, [...pane.cross]); else moveCross(pane, 0, 0);
      } else if (event.key === '+' || event.key === '=') {
        zoomTo(pane, pane.zoom * 1.5, pane.cross);
      } else if (event.key === '-') {
        zoomTo(pane, pane.zoom / 1.5, pane.cross);
      } else if (event.key === 'Backspace') {
        if (!at('undo').disabled) undo();
      } else {
        return;
      }
      event.preventDefault();
    });
    pane.stage.addEventListener('blur', () => { pane.cross = null; drawMarks(pane); });
    at(side + '-smaller').addEventListener('click', () => zoomTo(pane, pane.zoom / 1.5));
    at(side + '-larger').addEventListener('click', () => zoomTo(pane, pane.zoom * 1.5));
    at(side + '-whole').addEventListener('click', () => zoomTo(pane, 1));
    at(side + '-photo').addEventListener('change', (event) => {
      pane.shown = Number(event.target.value);
      pane.pictures.forEach((p, i) => { p.hidden = i !== pane.shown; });
      pane.zoom = 1;
      pane.cross = null;
      fit(pane);
      show();
    });
  }
  at('undo').addEventListener('click', undo);
  at('copy').addEventListener('click', async () => {
    const box = at('toml');
    let done = true;
    try {
      await navigator.clipboard.writeText(box.value);
    } catch {
      box.focus();
      box.select();
      done = document.execCommand('copy');
    }
    at('copied').textContent = done ? 'Copied.' : 'Copy the text from the box.';
  });
  const refit = () => {
    for (const side of sides) fit(panes[side]);
    for (const side of sides) drawMarks(panes[side]);
  };
  window.addEventListener('resize', refit);
  for (const side of sides) at(side + '-photo').value = '0';
  refit();
  show();
})();
