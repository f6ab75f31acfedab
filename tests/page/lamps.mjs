// SPDX-License-Identifier: ISC
/* The lamps of the page's core, in the order of pupil_dump.c; one digest for each key, mode and pupil. Runs in the browser. */

export async function allLamps(qualities) {
  const { loadCore } = await import(new URL('core.js', location.href).href);
  const core = await loadCore(await (await fetch('pupil.wasm')).arrayBuffer());
  const players = [{ draws: 3, blows: 3, overblows: true }, { draws: 1, blows: 0, overblows: false }];
  const digests = [];
  for (let minor = 0; minor < 2; ++minor) {
    for (let tonic = 0; tonic < 12; tonic += 5) {
      core.key(tonic, minor > 0);
      for (const player of players) {
        const all = new Uint8Array(12 * 6 * qualities.length * 2 * 1000);
        let at = 0;
        for (let key = 0; key < 12; ++key) {
          for (let tuning = 0; tuning < 6; ++tuning) {
            core.player({ key, tuning, register: key % 3 - 1, ...player });
            for (const quality of qualities) {
              for (const root of ['I', 'bVI']) {
                core.chords(root + quality, `IV${quality}`, true, -1);
                all.set(core.lampBytes(), at);
                at += 1000;
              }
            }
          }
        }
        const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', all));
        digests.push([...digest].map((b) => b.toString(16).padStart(2, '0')).join(''));
      }
    }
  }
  return { digests, qualities: qualities.length };
}
