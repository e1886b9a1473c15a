// Package daq runs one bench: from a source of readings to frames and run files.
//
// In: a [source.Source] of bytes or recorded readings, and a [setup.Bench] that says
// what hangs where. Out: immutable batches of frames to whoever listens, a [Status]
// for anyone at any time, and run files in a folder. It refuses readings whose time
// cannot be placed, and counts every one that it refuses by reason.
//
// The source's goroutine carries a reading all the way to the listeners, which must
// not block; commands take their turn on the same state. Whoever only wants to know
// reads a [Status], which is immutable.
package daq
