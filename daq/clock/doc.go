// Package clock answers: when, on the host's clock, was the instant that the device
// calls t_us?
//
// In: the device's 32-bit counter of microseconds and the time at which the line
// arrived [ns on the host's monotonic clock]. Out: that instant [ns, same clock] and
// the device clock's rate error [ppm] with its standard uncertainty. It refuses
// readings that step back in time, and begins a new epoch where the counter
// contradicts the arrivals for good.
//
// Lines are only ever delayed, never early, so the least delayed ones show the
// device clock's true course: the lower envelope of (arrival - device time). Its
// slope is the rate error (see envelope), its height ties the two clocks together.
// Times follow the device clock, so late or bunched lines do not disturb
// velocities; rate and height are corrected gradually, never by a step (see
// timeline). The shortest delay of the link (some milliseconds) cannot be seen from
// here and stays in the times as a constant.
//
// What a frozen host, a sleeping device or a reset do is told at [Aligner.Place].
//
// The host's wall clock plays no role: nothing here reads any clock. Host times are
// those of a clock that never steps. If the host's monotonic clock is itself being
// slewed, the rate error is relative to it.
//
// The package is pure: no goroutine, no global, no allocation after [New].
package clock
