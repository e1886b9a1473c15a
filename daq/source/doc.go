// Package source answers: what did the device send, and when did it arrive?
//
// In: a serial port ([Serial]), a simulated device ([Virtual]), a stored byte stream
// ([Recording]) or the readings of an earlier run ([Replay]). Out: [Event]s in order,
// bytes untouched, with the host's monotonic arrival time in nanoseconds. It refuses
// to interpret bytes, to give up on a device that went away, and to share a port with
// another program. [ServePty] goes the other way: it plays a device into a
// pseudo-terminal, for tests and for trying things out without hardware.
//
// On Linux the bytes go through a file of our own; the serial library sets up the
// line and is closed again before the first byte is read (port_linux.go says why).
// Elsewhere the library does both.
package source
