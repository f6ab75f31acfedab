// SPDX-License-Identifier: ISC
/* SVG elements, and words that shrink to fit and are never cut. */

export function svg(tag, attributes = {}, parent = null, text = null) {
  const element = document.createElementNS('http://www.w3.org/2000/svg', tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (text !== null) element.textContent = text;
  if (parent) parent.append(element);
  return element;
}

const FAMILY = 'Reedlamp, B612, "DejaVu Sans", Verdana, sans-serif';
const ruler = document.createElement('canvas').getContext('2d');
const widths = new Map();

/** Width of words at size 1. */
export function widthOf(text, bold) {
  const key = (bold ? '1' : '0') + text;
  if (!widths.has(key)) {
    if (widths.size > 2000) widths.clear();
    ruler.font = `${bold ? 700 : 400} 100px ${FAMILY}`;
    widths.set(key, ruler.measureText(text).width / 100);
  }
  return widths.get(key);
}

/** Forgets all widths, once the fonts have come. */
export const forgetWidths = () => widths.clear();

/** The size at which words fit into a width, at most `size`. */
export const fitted = (text, bold, size, width) => Math.min(size, width / Math.max(0.01, widthOf(text, bold)));

/** Words into an element. Music signs are thinner than the letters: an outline makes them as strong. */
export function signed(element, text, outline = true) {
  const html = element instanceof HTMLElement;
  for (const part of text.split(/([♭♯])/)) {
    if (!/[♭♯]/.test(part) || !outline) element.append(part);
    else if (html) element.append(Object.assign(document.createElement('span'), { className: 'sign', textContent: part }));
    else svg('tspan', { class: 'sign', stroke: element.getAttribute('fill') }, element, part);
  }
  return element;
}

/** Words on a line: `at` 'start', 'middle' or 'end' of x; y is the middle of the capitals, `base` their foot. */
export function write(parent, text, { x, y, size, width, bold = true, at = 'middle', ink = '#F4ECDF', base = null }) {
  const fit = width ? fitted(text, bold, size, width) : size;
  return signed(svg('text', { x, y: base === null ? y + fit * 0.36 : base, 'font-size': fit.toFixed(2), 'text-anchor': at,
    'font-weight': bold ? 700 : 400, fill: ink }, parent), text);
}

export const box = (parent, x, y, w, h, radius, fill, more = {}) =>
  svg('rect', { x, y, width: Math.max(0, w), height: Math.max(0, h), rx: Math.min(radius, w / 2, h / 2), fill, ...more },
    parent);
