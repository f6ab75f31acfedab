// SPDX-License-Identifier: ISC
/* Keeps the screen awake while the page is seen. Browsers lend a wake lock only over https or on the machine itself;
   elsewhere a tiny silent video that plays on does it on many phones, after the first touch. */

export class Awake {
  /** `told(kept)` whenever it changes: true, false. */
  constructor(told) {
    this.told = told;
    this.wanted = false;
    this.lock = null;
    document.addEventListener('visibilitychange', () => this.renew());
    document.addEventListener('pointerup', () => this.renew());
    document.addEventListener('keyup', () => this.renew());
  }

  want(wanted) {
    this.wanted = wanted;
    this.renew();
  }

  async renew() {
    if (!this.wanted) {
      if (this.lock) this.lock.release();
      if (this.video) this.video.pause();
      this.lock = null;
      this.told(false);
      return;
    }
    if (document.hidden || this.lock) return;
    if (navigator.wakeLock) await this.borrow();
    else await this.play();
  }

  async borrow() {
    try {
      const lock = await navigator.wakeLock.request('screen');
      lock.addEventListener('release', () => {
        if (this.lock === lock) this.lock = null;
        this.told(Boolean(this.lock));
      });
      this.lock = lock;
      this.told(true);
    } catch {
      this.told(false); /* low battery, or not yet seen */
    }
  }

  async play() {
    try {
      if (!this.video) this.video = Awake.film();
      await this.video.play();
      this.told(true);
    } catch {
      this.told(false);
    }
  }

  /** A canvas that changes now and then, as a film. */
  static film() {
    const canvas = document.createElement('canvas');
    canvas.width = canvas.height = 16;
    const ink = canvas.getContext('2d');
    let tick = 0;
    setInterval(() => {
      ink.fillStyle = tick++ % 2 ? '#11161C' : '#12171D';
      ink.fillRect(0, 0, 16, 16);
    }, 1000);
    const video = document.createElement('video');
    video.muted = true;
    video.setAttribute('playsinline', '');
    video.setAttribute('aria-hidden', 'true');
    video.className = 'film';
    video.srcObject = canvas.captureStream(2);
    document.body.append(video);
    return video;
  }
}
