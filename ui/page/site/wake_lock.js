// SPDX-License-Identifier: ISC
/* Keeps the screen on while the page is visible. Browsers have wake locks (W3C Screen Wake Lock) only over https or on the
   machine itself; elsewhere a tiny silent video that keeps playing does it on many phones, after the first touch. */

export class ScreenWakeLock {
  /** Calls `onChange(held)` whenever it changes: true, false. */
  constructor(onChange) {
    this.onChange = onChange;
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
      this.onChange(false);
      return;
    }
    if (document.hidden || this.lock) return;
    if (navigator.wakeLock) await this.request();
    else await this.play();
  }

  async request() {
    try {
      const lock = await navigator.wakeLock.request('screen');
      lock.addEventListener('release', () => {
        if (this.lock === lock) this.lock = null;
        this.onChange(Boolean(this.lock));
      });
      this.lock = lock;
      this.onChange(true);
    } catch {
      this.onChange(false); /* low battery, or not visible yet */
    }
  }

  async play() {
    try {
      if (!this.video) this.video = ScreenWakeLock.createVideo();
      await this.video.play();
      this.onChange(true);
    } catch {
      this.onChange(false);
    }
  }

  /** A video of a canvas that changes once a second. */
  static createVideo() {
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
    video.className = 'wake-video';
    video.srcObject = canvas.captureStream(2);
    document.body.append(video);
    return video;
  }
}
