// SPDX-License-Identifier: ISC
/* The teacher's choruses side by side, a panel for each measure: the taller and brighter, the better. Loaded when it is first
   looked at. */
import { box, svg, widthOf, write } from './paint.js';

const SHADES = ['#48341F', '#7C4A1A', '#F0A93F', '#FFDB94', '#FFF3D6'];
const LEAST = 9; /* px from one chorus to the next */
const MOST = 34;
const DAY = 1.2; /* of that, between two days */
const FOOT = 18; /* px for the days' names */
const SIZE = 13;

const element = (tag, textContent) => Object.assign(document.createElement(tag), { textContent });

/** The first chorus that has room, and how wide each is. */
function room(days, width) {
  const gaps = (first) => days.filter((day, n) => n > first && day !== days[n - 1]).length;
  const pitch = (first) => width / (days.length - first + DAY * gaps(first));
  let first = 0;
  while (pitch(first) < LEAST) ++first;
  return [first, Math.min(MOST, pitch(first))];
}

/** One chorus; of its parts the best at the foot. */
function chorus(to, x, width, height, good) {
  if (good < 0) return;
  let y = height;
  [good].flat().forEach((share, n, parts) => {
    const high = height * share / 100;
    y -= high;
    if (parts.length > 1) box(to, x, y, width, high - 1, 0, SHADES[4 - n]);
    else box(to, x, Math.min(y, height - 3), width, Math.max(3, high), 3, SHADES[Math.min(4, Math.floor(share / 20))]);
  });
}

function panel(to, days, goods) {
  const { width, height } = to.getBoundingClientRect();
  const [first, pitch] = room(days, width);
  let x = 0;
  let from = 0;
  box(to, 0, height - FOOT, width, 1, 0, '#303C49');
  for (let n = first; n < days.length; ++n) {
    chorus(to, x, pitch * 0.72, height - FOOT, goods[n]);
    x += pitch;
    if (days[n + 1] === days[n]) continue;
    const fits = (name, most) => SIZE * widthOf(name, false) < most;
    const day = [days[n], days[n].split(' ')[0]].find((name) => fits(name, x - from + pitch * DAY / 2)) || (n + 1 === days.length ? days[n] : '');
    const end = !fits(day, width - from);
    write(to, day, { x: end ? width : from, base: height - 4, size: SIZE, at: end ? 'end' : 'start', bold: false, ink: '#A9B4BF' });
    x += pitch * DAY;
    from = x;
  }
}

/** Fills the dialog with what the server says of the choruses. */
export function showPractice(dialog, { said, days, panels }) {
  const [words, all] = dialog.querySelectorAll('p, div');
  words.textContent = said && said[0].toUpperCase() + said.slice(1);
  const draw = () => {
    all.replaceChildren(...panels.map(([title, now]) => {
      const section = element('section', '');
      section.append(element('small', title), element('b', now || '-'), svg('svg', { 'aria-hidden': true }));
      return section;
    }));
    all.querySelectorAll('svg').forEach((to, n) => panel(to, days, panels[n][2]));
  };
  if (!dialog.open) dialog.showModal();
  draw();
  window.onresize = draw;
  dialog.onclose = () => { window.onresize = null; };
}
