'use strict';
(() => {
  const at = (id) => document.getElementById(id);
  const all = (selector, from = document) => [...from.querySelectorAll(selector)];
  const stage = at('stage');
  const pictures = all('.picture');
  const numbers = all('#numbers button');
  const key = 'underdraw-bench:' + document.body.dataset.key;
  const scaleKey = 'underdraw-bench:px-per-mm';

  // What is ticked outlives the page where the browser lets it.
  const store = {
    keeps: true,
    read(name) {
      try {
        return window.localStorage.getItem(name);
      } catch {
        this.keeps = false;
        return null;
      }
    },
    write(name, value) {
      try {
        window.localStorage.setItem(name, value);
      } catch {
        this.keeps = false;
        at('forgetful').hidden = false;
      }
    },
  };
  const done = new Set();
  try {
    const kept = store.read(key);
    // At first, what the photos still show counts as drawn.
    for (const button of all('#numbers [data-there]')) {
      if (!kept) done.add(button.dataset.number);
    }
    for (const n of JSON.parse(kept || '[]')) done.add(String(n));
  } catch {
    // Not ours, or cut short: begin anew.
  }
  if (!store.keeps) at('forgetful').hidden = false;

  let view = 0;
  let zoom = 1;
  let chosen = -1;

  const shown = () => pictures[view];
  const side = (picture) => [Number(picture.dataset.width), Number(picture.dataset.height)];

  function fit() {
    if (!pictures.length) return;
    const [w, h] = side(shown());
    // As high as the style sheet allows, and no higher than the photo needs.
    stage.style.height = '';
    if (stage.clientWidth * h < stage.clientHeight * w) {
      stage.style.height = (stage.clientWidth * h) / w + 'px';
    }
    const scale = Math.min(stage.clientWidth / w, stage.clientHeight / h) * zoom;
    shown().style.width = w * scale + 'px';
    shown().style.height = h * scale + 'px';
    // Lines grow more slowly than the photo; numbers keep their size on the screen.
    stage.style.setProperty('--pen', Math.min(3.5, Math.max(1, (w * scale) / 450)) + 'px');
    for (const badge of all('.badge', shown())) {
      const size = 1 / Math.max(scale, 1e-6);
      const [circle, text] = badge.children;
      circle.setAttribute('r', 12 * size);
      circle.setAttribute('cy', -14 * size);
      circle.setAttribute('stroke-width', 2 * size);
      text.setAttribute('y', -14 * size);
      text.setAttribute('font-size', 12.5 * size);
    }
  }

  function zoomTo(wanted, focus) {
    const before = shown().getBoundingClientRect();
    const middle = focus || {
      x: (stage.scrollLeft + stage.clientWidth / 2) / Math.max(before.width, stage.clientWidth),
      y: (stage.scrollTop + stage.clientHeight / 2) / Math.max(before.height, stage.clientHeight),
    };
    zoom = Math.min(12, Math.max(1, wanted));
    fit();
    const width = shown().offsetWidth;
    const height = shown().offsetHeight;
    stage.scrollTo(middle.x * width - stage.clientWidth / 2, middle.y * height - stage.clientHeight / 2);
    at('smaller').disabled = zoom <= 1;
    at('larger').disabled = zoom >= 12;
  }

  function showView(index) {
    view = index;
    pictures.forEach((picture, i) => { picture.hidden = i !== index; });
    at('view').value = String(index);
    const both = shown().querySelector('.before') !== null;
    at('wipe').disabled = !both;
    fit();
    markChosen();
  }

  function badgeOf(picture, number) {
    return picture.querySelector('.badge[data-number="' + number + '"]');
  }

  function markChosen() {
    const number = chosen >= 0 ? numbers[chosen].dataset.number : null;
    for (const picture of pictures) {
      const layer = picture.querySelector('.chosen');
      layer.replaceChildren();
      for (const badge of all('.badge', picture)) {
        badge.classList.toggle('here', badge.dataset.number === number);
        badge.classList.toggle('ticked', done.has(badge.dataset.number));
      }
      if (number === null) continue;
      for (const kind of ['casing', 'inked']) {
        for (const part of ['c', 'o']) {
          const id = picture.id + '-' + part + number;
          if (!at(id)) continue;
          const use = document.createElementNS('http://www.w3.org/2000/svg', 'use');
          use.setAttribute('href', '#' + id);
          use.setAttribute('class', kind + (part === 'o' ? ' open' : ''));
          layer.append(use);
        }
      }
    }
  }

  function showCount() {
    const due = numbers.filter((button) => !button.dataset.missing);
    const ticked = due.filter((button) => done.has(button.dataset.number)).length;
    at('progress').textContent = numbers.length
      ? ticked + ' of ' + due.length + ' drawn again'
      : 'Nothing to draw again';
    for (const button of numbers) {
      const ticks = done.has(button.dataset.number);
      button.classList.toggle('ticked', ticks);
      const words = [button.dataset.number + ' ' + button.dataset.name];
      if (button.dataset.missing) words.push('not recovered');
      if (ticks) words.push('drawn again');
      button.setAttribute('aria-label', words.join(', '));
    }
  }

  function choose(index, seek) {
    if (index < 0 || index >= numbers.length) return;
    chosen = index;
    const button = numbers[index];
    const number = button.dataset.number;
    numbers.forEach((other, i) => { other.setAttribute('aria-current', String(i === index)); });
    at('now').textContent = number + ' · ' + button.dataset.name;
    at('earlier').disabled = index === 0;
    at('next').disabled = index === numbers.length - 1;
    at('done').checked = done.has(number);
    at('done').disabled = Boolean(button.dataset.missing);
    for (const detail of all('.detail')) detail.hidden = detail.dataset.number !== number;
    if (seek && pictures.length) {
      // The view that shows it largest comes first in the list.
      const views = (button.dataset.views || '').split(' ').filter(Boolean).map(Number);
      if (views.length && !views.includes(view)) showView(views[0]);
      const badge = badgeOf(shown(), number);
      if (badge && zoom > 1) {
        const [w, h] = side(shown());
        zoomTo(zoom, { x: Number(badge.dataset.x) / w, y: Number(badge.dataset.y) / h });
      }
    }
    markChosen();
    trueSize();
  }

  function trueSize() {
    const pxPerMm = Number(at('scale').value);
    at('bar').style.width = 50 * pxPerMm + 'px';
    for (const drawing of all('.drawing')) {
      drawing.style.width = Number(drawing.dataset.width) * pxPerMm + 'px';
      drawing.style.height = Number(drawing.dataset.height) * pxPerMm + 'px';
    }
  }

  at('view').addEventListener('change', (event) => showView(Number(event.target.value)));
  const wipe = () => { stage.style.setProperty('--wipe', at('wipe').value + '%'); };
  at('wipe').addEventListener('input', wipe);
  const layers = () => {
    stage.classList.toggle('no-lines', !at('lines').checked);
    stage.classList.toggle('no-open', !at('open').checked);
    at('open').disabled = !at('lines').checked;
  };
  at('lines').addEventListener('change', layers);
  at('open').addEventListener('change', layers);
  at('mirror').addEventListener('change', () => {
    document.body.classList.toggle('mirrored', at('mirror').checked);
  });
  at('larger').addEventListener('click', () => zoomTo(zoom * 1.5));
  at('smaller').addEventListener('click', () => zoomTo(zoom / 1.5));
  at('whole').addEventListener('click', () => zoomTo(1));
  stage.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === '+' || event.key === '=') zoomTo(zoom * 1.5);
    else if (event.key === '-') zoomTo(zoom / 1.5);
    else return;
    event.preventDefault();
  });
  stage.addEventListener('click', (event) => {
    const badge = event.target.closest('.badge');
    if (badge) choose(numbers.findIndex((b) => b.dataset.number === badge.dataset.number), false);
  });
  numbers.forEach((button, i) => button.addEventListener('click', () => choose(i, true)));
  at('earlier').addEventListener('click', () => choose(chosen - 1, true));
  at('next').addEventListener('click', () => choose(chosen + 1, true));
  at('done').addEventListener('change', () => {
    const number = numbers[chosen].dataset.number;
    if (at('done').checked) done.add(number);
    else done.delete(number);
    store.write(key, JSON.stringify([...done]));
    showCount();
    markChosen();
  });
  at('scale').addEventListener('input', () => {
    trueSize();
    store.write(scaleKey, at('scale').value);
  });
  window.addEventListener('resize', fit);

  const kept = Number(store.read(scaleKey));
  at('scale').value = kept >= 1.5 && kept <= 12 ? kept : 96 / 25.4;
  wipe();
  layers();
  showCount();
  if (pictures.length) {
    showView(0);
    zoomTo(1);
  }
  const open = numbers.findIndex((b) => !b.dataset.missing && !done.has(b.dataset.number));
  if (numbers.length) choose(Math.max(open, 0), true);
  trueSize();
})();
