// How late readings arrive: their age at arrival above that of the promptest.
//
// A tab that slept, or a network that held things back, gets old readings all at
// once; the time of their arrival does not tell, their own time stamps do.

/** By so much [s per s] the promptest arrival is forgotten: clocks differ in rate. */
const FORGET = 1e-3;

export class Lateness {
  promptest = Infinity; // [s] least difference of arrival and time stamp
  last = NaN; // [s] arrival before

  /**
   * @param {number} arrival [s] on the page's clock
   * @param {number} t [s] time stamp of the reading
   * @returns {number} [s] by which it is late; a clock that was set back counts as prompt
   */
  of(arrival, t) {
    const waited = arrival - this.last;
    if (waited > 0) this.promptest += FORGET * waited;
    this.last = arrival;
    this.promptest = Math.min(this.promptest, arrival - t);
    return arrival - t - this.promptest;
  }
}
