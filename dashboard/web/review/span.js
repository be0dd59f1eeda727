// Which part of the service is in sight, in seconds since it began.

const least = 20; // seconds across the screen

/**
 * @typedef {{from: number, until: number}} Bounds
 */

/** The span in sight. It tells whoever listens after each change. */
export class Span {
  /** @param {number} length of the service, in seconds */
  constructor(length) {
    this.length = Math.max(length, least);
    this.from = 0;
    this.until = this.length;
    /** @type {(() => void)[]} */
    this.listeners = [];
  }

  get width() {
    return this.until - this.from;
  }

  get whole() {
    return this.width >= this.length - 0.5;
  }

  /**
   * Shows a span, or the nearest that there is.
   * @param {number} from
   * @param {number} until
   */
  show(from, until) {
    const width = Math.min(Math.max(until - from, Math.min(least, this.length)), this.length);
    const start = Math.min(Math.max(from, 0), this.length - width);
    if (!Number.isFinite(start + width) || (start === this.from && start + width === this.until)) return;
    this.from = start;
    this.until = start + width;
    for (const tell of this.listeners) tell();
  }

  /** @param {number} by seconds; later is positive */
  pan(by) {
    this.show(this.from + by, this.until + by);
  }

  /**
   * Zooms about a moment, which stays where it is.
   * @param {number} factor below 1 shows less, in more detail
   * @param {number} about
   */
  zoom(factor, about) {
    const width = Math.min(Math.max(this.width * factor, Math.min(least, this.length)), this.length);
    const from = about - ((about - this.from) / this.width) * width;
    this.show(from, from + width);
  }

  /**
   * A service that goes on grows; a view of its end follows.
   * @param {number} length
   */
  grow(length) {
    const whole = this.whole;
    this.length = Math.max(length, least);
    if (whole) this.show(0, this.length);
  }
}
