// Package wire answers: what did the device say?
//
// In: bytes as they come from the line, in pieces of any size. Out: one [Reading]
// per accepted line, in the device's own units (each [Column] names its unit). The
// protocol is described for people who write firmware in README.md beside this file.
//
// A [Splitter] cuts the bytes into lines, a [Decoder] makes readings of them and
// keeps [Counts] of everything that it saw. Both live in constant memory whatever the
// device sends. A line that is not beyond doubt is refused with a [Reason] and
// counted, never repaired and never guessed at; the lines after it are read as usual.
//
// The way back, for simulated devices and recordings, is [AppendFields] and
// [AppendReading].
//
// The package is pure: no input or output, no clock, no goroutine, no state outside
// of its values.
package wire
