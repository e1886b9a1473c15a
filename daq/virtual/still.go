package virtual

// Still is the bench in the hands of a technician who calibrates it: nothing swings, a
// load hangs on the cell, and what the ranger sees stands at a height.
type Still struct {
	Height float64 // [m] of the bob's lowest point above the floor
	Load   float64 // [N] on the cell
}

// Hold makes the sensors see a bench at rest from now on, with their noise and faults;
// nil lets them see the swinging bob again, which has moved on meanwhile. It may be called
// from anywhere at any time.
func (d *Device) Hold(s *Still) { d.still.Store(s) }
