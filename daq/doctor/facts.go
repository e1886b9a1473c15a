// Package doctor answers: would a bench work here and now, and if not, what is to be
// done about it?
//
// In: [Facts] about the bench file, the device's port, the data folder, the host's clock,
// the calibrations and the web address, gathered by [Gather]. Out: one [Finding] for each
// thing looked at, from [Examine], which touches nothing. It refuses to repair anything,
// and opens no port: that would restart the device.
package doctor

import (
	"time"

	"joulewell/daq/source"
)

// Facts are what was seen of a bench and its machine. An error is what stood in the way.
type Facts struct {
	File    File
	Port    Port
	Data    Data
	Clock   Clock
	Parts   []Part // that are calibrated
	PartsBy error  // the calibration book could not be read
	Book    Book
	Web     Web
}

// File is the bench file.
type File struct {
	Path     string // empty = there is none
	Err      error
	Bench    string
	Cautions []string // what is possible but unlikely to be meant
}

// Port is the device's serial port.
type Port struct {
	Name string // as configured
	Err  error  // it could not be opened
	source.Inspection
}

// Data is the folder of the run files.
type Data struct {
	Path string
	Err  error  // it cannot be made or written to
	Free uint64 // [byte]
	Cut  int    // [1] runs that were cut short and await their repair
}

// Clock is the host's clock of day.
type Clock struct {
	Now      time.Time
	Newest   time.Time // of what the bench's files say; zero = they say nothing
	NewestOf string    // what that is
	Unsynced bool      // the system says that nothing keeps the clock right
}

// Part is one thing that is calibrated.
type Part struct {
	Name    string
	Date    time.Time // of the calibration that counts; zero = there is none
	Stale   string    // why the newest does not count; empty where it does
	Overdue string    // since when it should have been made anew; empty where it is not due
}

// Book is the calibration book.
type Book struct {
	Path string // empty = none is kept
	Err  error  // nothing can be added to it
}

// Web is the address of the web server.
type Web struct {
	Address string
	Err     error // it cannot be listened on
	Ours    bool  // a joulewell answers there
	Beyond  bool  // other machines can reach it
}
