// SPDX-License-Identifier: ISC
/* The beginning: the page's words are painted first; only then everything else is fetched, all of it at once. */

const MODULES = ['page', 'awake', 'band', 'chart', 'clock', 'core', 'lane', 'mine', 'news', 'paint', 'stage', 'words'];

/* on a page not seen yet no frame comes: then after a second */
await Promise.race([new Promise((done) => requestAnimationFrame(() => setTimeout(done))),
  new Promise((done) => setTimeout(done, 1000))]);
const answer = fetch('pupil.wasm');
for (const name of MODULES) {
  document.head.append(Object.assign(document.createElement('link'), { rel: 'modulepreload', href: `${name}.js` }));
}
const [{ Page }, { loadCore }] = await Promise.all([import('./page.js'), import('./core.js')]);
globalThis.reedlamp = new Page(await loadCore(await (await answer).arrayBuffer()));
