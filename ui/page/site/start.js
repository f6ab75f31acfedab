// SPDX-License-Identifier: ISC
/* Runs first: lets the page's words be painted, then fetches everything else at once. */

const MODULES = ['page', 'chart', 'clock', 'core', 'follower', 'lane', 'paint', 'settings', 'stage', 'stream', 'wake_lock', 'words'];

/* a hidden page gets no frame: then after a second */
await Promise.race([new Promise((done) => requestAnimationFrame(() => setTimeout(done))),
  new Promise((done) => setTimeout(done, 1000))]);
const answer = fetch('pupil.wasm');
for (const name of MODULES) {
  document.head.append(Object.assign(document.createElement('link'), { rel: 'modulepreload', href: `${name}.js` }));
}
const [{ Page }, { loadCore }] = await Promise.all([import('./page.js'), import('./core.js')]);
globalThis.reedlamp = new Page(await loadCore(await (await answer).arrayBuffer()));
