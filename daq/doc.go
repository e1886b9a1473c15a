// Package daq runs one bench: from a source of readings to frames and run files.
//
// In: a [source.Source] of bytes or recorded readings, and a [setup.Bench] that says
// what hangs where. Out: immutable batches of frames to whoever listens, a [Status]
// for anyone at any time, and run files in a folder. It refuses readings whose time
// cannot be placed, and counts every one that it refuses by reason.
//
// One goroutine ([Bench.Run]) owns all of a bench's state. Listeners are called on
// that goroutine and must not block; commands reach it through a channel.
package daq
