package daq

import (
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/wire"
)

// Link is the state of the line to the device, in words that people see.
type Link string

// The states of the line.
const (
	Waiting    Link = "waiting"    // no device yet, or it went away; the bench keeps trying
	Opening    Link = "opening"    // open, nothing received so far
	Live       Link = "live"       // readings arrive
	Silent     Link = "silent"     // open, but nothing has arrived for most of a second
	Unreadable Link = "unreadable" // bytes arrive, but no line of them can be read: is the bit rate right?
	Replaying  Link = "replaying"  // a recorded run is played back
	Finished   Link = "finished"   // a recording has come to its end
)

// Status is a bench at one moment. It is immutable: a new one is published on every
// change and at least four times a second.
type Status struct {
	Bench   string // name of the bench
	Source  string // what is read, for people
	Virtual bool   // the readings are simulated

	Setup *setup.Bench // what the bench goes by; another pointer after another calibration

	Link       Link
	LinkDetail string        // why, and what to do; empty when there is nothing to add
	Port       string        // path or name of what is open; empty when nothing is
	Since      time.Duration // [ns] host clock at which Link last changed
	Now        time.Duration // [ns] host clock at which this status was made

	Epoch      uint32  // [1] openings and restarts of the device so far
	Opens      uint64  // [1] times that the device was opened
	Rate       float64 // [1/s] accepted readings over the last second or so
	Lines      wire.Counts
	Misplaced  uint64  // [1] readings refused because their time could not be placed
	ClockKnown bool    // the device clock's rate has been estimated
	ClockPPM   float64 // [ppm] device clock's rate against the host's, positive = fast
	ClockU     float64 // [ppm] standard uncertainty of ClockPPM

	Lag    time.Duration // [ns] by which frames trail their readings
	Newest uint32        // [1] seq of the newest accepted reading
	Last   frame.Frame   // the newest frame; T = 0 and all absent when there is none yet
	Fresh  bool          // Last is recent: readings arrive and Last is no older than a second

	Run Recording
}

// Recording is the state of the run being recorded, or of the last one.
type Recording struct {
	Active  bool
	Name    string        // file name of the run, without folder
	Rows    uint64        // [1] rows handed to the recorder
	Lost    uint64        // [1] rows that could not be kept
	Zero    int64         // [ns] its time zero, on the bench's time base
	Length  time.Duration // [ns] since the start command
	Trouble string        // what went wrong with the file, and what to do; empty when nothing
}

// Batch is what a bench hands its listeners after each piece of input.
type Batch struct {
	Newest uint32        // [1] seq of the newest accepted reading
	Frames []frame.Frame // released by it, in order of time; may be empty; borrowed until the listener returns
}

// Listener is called on the source's goroutine, between two readings. It must return at
// once, copy what it keeps, and call no method of the bench but Status.
type Listener func(Batch)
